"""Blades of leaves as a few triangles, one unit long, along +y from the stalk, facing +z; drawing only."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.errors import unknown_name
from ringwise.kit.types import FloatArray

FOLD = 0.12  # how far the flanks stand above the midrib
LOBES = {"palmate": 5, "lobed": 7}


@dataclass(frozen=True)
class Blade:
    """A blade's triangles, and its area for a length of one."""

    points: NDArray[np.float32]  # (k, 3)
    normals: NDArray[np.float32]  # (k, 3)
    triangles: NDArray[np.uint16]  # (t, 3)

    @property
    def area_ratio(self) -> float:
        """Area against the square of the length."""
        corner = self.points[self.triangles].astype(np.float64)
        across = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
        return float(np.linalg.norm(across, axis=1).sum() / 2.0)


def _kite(width_ratio: float, *, foot: FloatArray, way: FloatArray, length_ratio: float = 1.0) -> FloatArray:
    """Foot, right flank, tip, left flank of a folded blade that points along `way` in the plane z = 0."""
    right = np.array([way[1], -way[0], 0.0])
    up = np.array([0.0, 0.0, FOLD * width_ratio])
    middle = foot + 0.45 * length_ratio * way
    return np.array(
        [
            foot,
            middle + right * width_ratio / 2 + up,
            foot + length_ratio * way,
            middle - right * width_ratio / 2 + up,
        ]
    )


def _kites(parts: list[FloatArray]) -> tuple[FloatArray, list[Any]]:
    faces = [
        (4 * n + a, 4 * n + b, 4 * n + c) for n in range(len(parts)) for a, b, c in ((0, 1, 2), (0, 2, 3))
    ]
    return np.concatenate(parts), faces


def _fan(points: list[tuple[float, float]]) -> tuple[FloatArray, list[Any]]:
    """A blade round its foot, from right to left."""
    flat = np.array([(0.0, 0.0), *points])
    height = FOLD * np.abs(flat[:, 0])
    faces = [(0, n, n + 1) for n in range(1, len(points))]
    return np.column_stack([flat, height]), faces


def _palm(lobes: int) -> tuple[FloatArray, list[Any]]:
    """Lobes round the end of the stalk, the middle one the longest."""
    spread = math.radians(105.0)
    points = []
    for step in range(2 * lobes - 1):
        turn = spread * (1.0 - step / (lobes - 1.0))
        long = 1.0 - 0.42 * abs(turn) / spread if step % 2 == 0 else 0.42
        points.append((long * math.sin(turn), long * math.cos(turn)))
    return _fan(points)


def _oak() -> tuple[FloatArray, list[Any]]:
    """Rounded lobes along both flanks."""
    right = [(0.06, 0.12), (0.2, 0.28), (0.13, 0.4), (0.28, 0.56), (0.17, 0.66), (0.26, 0.8), (0.1, 0.94)]
    return _fan([*right, (0.0, 1.0), *((-x, y) for x, y in reversed(right))])


def _along(width_ratio: float, pairs: int, length_ratio: float) -> tuple[FloatArray, list[Any]]:
    """Leaflets or needles in pairs along a midrib, and one at its end."""
    parts = []
    for pair in range(pairs):
        foot = np.array([0.0, 0.15 + 0.7 * pair / max(pairs - 1, 1), 0.0])
        for side in (1.0, -1.0):
            way = np.array([side * math.sin(1.05), math.cos(1.05), 0.0])
            parts.append(_kite(width_ratio, foot=foot, way=way, length_ratio=length_ratio))
    parts.append(
        _kite(
            width_ratio,
            foot=np.array([0.0, 0.85, 0.0]),
            way=np.array([0.0, 1.0, 0.0]),
            length_ratio=length_ratio,
        )
    )
    return _kites(parts)


def _tuft(count: int, width_ratio: float, open_rad: float) -> tuple[FloatArray, list[Any]]:
    """Needles that spread from one place."""
    parts = []
    for number in range(count):
        turn = 2.0 * math.pi * number / count
        lean = open_rad * (0.55 + 0.45 * (number % 2))
        way = np.array([math.sin(lean) * math.cos(turn), math.cos(lean), math.sin(lean) * math.sin(turn)])
        across = np.cross(way, np.array([0.0, 1.0, 0.0]))
        across = across / np.linalg.norm(across) * width_ratio / 2.0
        parts.append(np.array([-across, across, way, 0.5 * way - across]))
    return _kites(parts)


def _bud() -> tuple[FloatArray, list[Any]]:
    """A spindle of four flanks."""
    ring = [(0.22, 0.38, 0.0), (0.0, 0.38, 0.22), (-0.22, 0.38, 0.0), (0.0, 0.38, -0.22)]
    points = np.array([(0.0, 0.0, 0.0), *ring, (0.0, 1.0, 0.0)])
    faces = []
    for n in range(4):
        one, two = 1 + n, 1 + (n + 1) % 4
        faces += [(0, one, two), (5, two, one)]
    return points, faces


def blade(name: str) -> Blade:
    """One blade by its name, or "bud".

    Parameters
    ----------
    name : str
        One of the blades of `look`, or "bud".

    Returns
    -------
    Blade
        One unit long.

    Raises
    ------
    UnknownNameError
        For any other name.

    Source
    ------
    own: drawing only.

    Examples
    --------
    >>> blade("ovate").points.shape, round(blade("ovate").area_ratio, 2)
    ((4, 3), 0.31)
    """
    upward = np.array([0.0, 1.0, 0.0])
    makers: dict[str, Any] = {
        "ovate": lambda: _kites([_kite(0.6, foot=np.zeros(3), way=upward)]),
        "lance": lambda: _kites([_kite(0.26, foot=np.zeros(3), way=upward)]),
        "palmate": lambda: _palm(LOBES["palmate"]),
        "lobed": _oak,
        "fan": lambda: _fan([(math.sin(t), math.cos(t)) for t in np.linspace(1.1, -1.1, 7)]),
        "pinnate": lambda: _along(0.14, 4, 0.36),
        "comb": lambda: _along(0.06, 7, 0.42),
        "tuft": lambda: _tuft(10, 0.035, 0.95),
        "spray": lambda: _tuft(6, 0.16, 0.7),
        "bud": _bud,
    }
    if name not in makers:
        raise unknown_name("blade", name, makers)
    points, faces = makers[name]()
    triangles = np.array(faces)
    normals = np.zeros_like(points)
    corner = points[triangles]
    across = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    for side in range(3):
        np.add.at(normals, triangles[:, side], across)
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    return Blade(points.astype(np.float32), normals.astype(np.float32), triangles.astype(np.uint16))
