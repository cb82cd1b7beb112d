"""A small writer of binary glTF 2.0: accessors, meshes and nodes into one file, nothing that is not used.

glTF is in metres with +Y up; this project is in millimetres with +Z up. `upright` turns one into the other.
"""

from __future__ import annotations

import json
import struct
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.types import FloatArray

M_PER_MM = 0.001  # exact
MAGIC, VERSION = 0x46546C67, 2
JSON_CHUNK, BIN_CHUNK = 0x4E4F534A, 0x004E4942
ARRAY, INDICES = 34962, 34963
TRIANGLES, LINES = 4, 1
_KINDS = {
    np.dtype(np.int8): 5120,
    np.dtype(np.uint8): 5121,
    np.dtype(np.int16): 5122,
    np.dtype(np.uint16): 5123,
    np.dtype(np.uint32): 5125,
    np.dtype(np.float32): 5126,
}
_SHAPES = {1: "SCALAR", 2: "VEC2", 3: "VEC3", 4: "VEC4"}


@dataclass
class Gltf:
    """What will stand in the file; every `add` gives the index of what it added."""

    document: dict[str, Any] = field(default_factory=dict)
    parts: list[bytes] = field(default_factory=list)
    size: int = 0

    def _listed(self, name: str, value: dict[str, Any]) -> int:
        self.document.setdefault(name, []).append(value)
        return len(self.document[name]) - 1

    def accessor(
        self, values: NDArray[Any], *, target: int | None = ARRAY, bounds: bool = False, share: bool = False
    ) -> int:
        """An array; `bounds` writes its span, as positions need it, `share` means shares of one."""
        width = 1 if values.ndim == 1 else values.shape[1]
        raw, stride = _aligned(values, width, vertex=target == ARRAY)
        view: dict[str, Any] = {"buffer": 0, "byteOffset": self.size, "byteLength": len(raw)}
        if target is not None:
            view["target"] = target
        if stride:
            view["byteStride"] = stride
        entry: dict[str, Any] = {
            "bufferView": self._listed("bufferViews", view),
            "componentType": _KINDS[values.dtype],
            "count": len(values),
            "type": _SHAPES[width],
        }
        if share:
            entry["normalized"] = True
        if bounds:
            entry["min"], entry["max"] = values.min(axis=0).tolist(), values.max(axis=0).tolist()
        self.parts.append(raw)
        self.size += len(raw)
        return self._listed("accessors", entry)

    def material(self, colour: str, *, both_sides: bool = False) -> int:
        """A matt colour, given as #rrggbb."""
        look: dict[str, Any] = {
            "pbrMetallicRoughness": {
                "baseColorFactor": [*linear(colour), 1.0],
                "metallicFactor": 0.0,
                "roughnessFactor": 1.0,
            }
        }
        if both_sides:
            look["doubleSided"] = True
        return self._listed("materials", look)

    def mesh(self, name: str, primitives: list[dict[str, Any]]) -> int:
        """A mesh of primitives."""
        return self._listed("meshes", {"name": name, "primitives": primitives})

    def node(self, **entries: Any) -> int:
        """A node of the scene."""
        return self._listed("nodes", entries)

    def extension(self, name: str) -> None:
        """Say that a reader must know an extension."""
        for key in ("extensionsUsed", "extensionsRequired"):
            if name not in self.document.setdefault(key, []):
                self.document[key].append(name)

    def glb(self) -> bytes:
        """The whole file."""
        body = b"".join(self.parts)
        document = {
            "asset": {"version": "2.0", "generator": "Ringwise"},
            "scene": 0,
            "scenes": [{"nodes": list(range(len(self.document.get("nodes", []))))}],
            **self.document,
            "buffers": [{"byteLength": len(body)}],
        }
        head = json.dumps(document, separators=(",", ":")).encode()
        head += b" " * (-len(head) % 4)
        total = 12 + 8 + len(head) + 8 + len(body)
        return b"".join(
            [
                struct.pack("<III", MAGIC, VERSION, total),
                struct.pack("<II", len(head), JSON_CHUNK),
                head,
                struct.pack("<II", len(body), BIN_CHUNK),
                body,
            ]
        )


def _aligned(values: NDArray[Any], width: int, *, vertex: bool) -> tuple[bytes, int]:
    """Bytes of an array, each vertex on a multiple of four; the stride where it is not the plain one."""
    item = values.dtype.itemsize * width
    padded = -(-item // 4) * 4
    if vertex and padded != item:
        rows = np.zeros((len(values), padded // values.dtype.itemsize), values.dtype)
        rows[:, :width] = values.reshape(len(values), width)
        return rows.tobytes(), padded
    raw = np.ascontiguousarray(values).tobytes()
    return raw + b"\0" * (-len(raw) % 4), 0


def upright(values: NDArray[Any]) -> NDArray[Any]:
    """Places or directions with +Z up turned to +Y up.

    Parameters
    ----------
    values : (n, 3) array
        x right, y back, z up.

    Returns
    -------
    (n, 3) array
        x right, y up, z towards the viewer.

    Source
    ------
    own: a turn by a quarter about x; triangles keep their sense.

    Examples
    --------
    >>> upright(np.array([[1.0, 2.0, 3.0]])).tolist()
    [[1.0, 3.0, -2.0]]
    """
    return np.stack([values[:, 0], values[:, 2], -values[:, 1]], axis=1)


def linear(colour: str) -> tuple[float, float, float]:
    """A colour of the screen as glTF wants it.

    Parameters
    ----------
    colour : str
        As #rrggbb.

    Returns
    -------
    tuple of float
        Red, green, blue, linear, 0 to 1.

    Source
    ------
    own: the transfer curve of sRGB (IEC 61966-2-1, recalled).

    Examples
    --------
    >>> linear("#ff0080")[0], round(linear("#ff0080")[2], 4)
    (1.0, 0.2159)
    """
    shares = (int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5))
    red, green, blue = (
        share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares
    )
    return red, green, blue


def packed_places(places: FloatArray | NDArray[np.float32]) -> tuple[NDArray[np.uint16], dict[str, Any]]:
    """Places as whole numbers of 16 bits, and the shift and scale of the node that brings them back.

    Parameters
    ----------
    places : (n, 3) float
        In metres.

    Returns
    -------
    (n, 3) uint16, dict
        Steps from the lowest corner; `translation` and `scale`.

    Source
    ------
    own: one step is 1/65535 of the longest side, 0.015 mm for a tree of a metre.

    Examples
    --------
    >>> steps, node = packed_places(np.array([[0.0, 0.0, 0.0], [1.0, 0.5, 0.0]]))
    >>> steps.tolist()[1], node["scale"][0] * 65535
    ([65535, 32768, 0], 1.0)
    """
    low = places.min(axis=0).astype(np.float64)
    step = max(float((places.max(axis=0) - low).max()), 1e-9) / 65535.0
    steps = np.round((places - low) / step).astype(np.uint16)
    return steps, {"translation": low.tolist(), "scale": [step] * 3}
