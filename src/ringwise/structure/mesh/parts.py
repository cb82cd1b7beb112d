"""Wood and leaves as parts of a binary glTF file: plain, instanced, or packed for a quick answer."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.types import IntArray
from ringwise.structure.mesh.gltf import INDICES, LINES, M_PER_MM, Gltf, packed_places, upright
from ringwise.structure.mesh.leaves import Leaves
from ringwise.structure.mesh.tubes import Lines, TreeMesh

SEGMENT = "_SEGMENT"  # attribute that says which row of the table a vertex belongs to
INSTANCED, QUANTISED = "EXT_mesh_gpu_instancing", "KHR_mesh_quantization"
WOOD, LEAVES, THIN = "wood", "leaves", "thin wood"  # names of the nodes
MOST_SHORT = 65535


def _indices(gltf: Gltf, corners: NDArray[Any], vertices: int) -> int:
    kind = np.uint16 if vertices <= MOST_SHORT else np.uint32
    return gltf.accessor(corners.astype(kind).ravel(), target=INDICES)


def add_wood(gltf: Gltf, mesh: TreeMesh, colour: str, *, packed: bool = False) -> None:
    """Add the wood as one indexed mesh.

    Parameters
    ----------
    gltf : Gltf
        The file.
    mesh : TreeMesh
        In mm, z up.
    colour : str
        Of the bark.
    packed : bool
        Whether places and normals are written in fewer bits, which a reader must know.

    Source
    ------
    own; the format is glTF 2.0, the packed form its extension KHR_mesh_quantization (both recalled).

    Examples
    --------
    >>> from ringwise.structure.mesh.tubes import tube_mesh
    >>> rod = Lines(np.array([0, 2]), np.array([[0.0, 0, 0], [0, 0, 10]]), np.ones(2), np.zeros(2, int))
    >>> file = Gltf()
    >>> add_wood(file, tube_mesh(rod, np.array([6])), "#6b6258")
    >>> file.document["nodes"]
    [{'name': 'wood', 'mesh': 0}]
    """
    places = upright(mesh.positions).astype(np.float32) * np.float32(M_PER_MM)
    normals = upright(mesh.normals).astype(np.float32)
    node: dict[str, Any] = {"name": WOOD}
    attributes: dict[str, int] = {}
    if packed:
        gltf.extension(QUANTISED)
        steps, shift = packed_places(places)
        node.update(shift)
        attributes["POSITION"] = gltf.accessor(steps, bounds=True)
        shares = np.clip(np.round(normals * 127.0), -127, 127).astype(np.int8)
        attributes["NORMAL"] = gltf.accessor(shares, share=True)
    else:
        attributes["POSITION"] = gltf.accessor(places, bounds=True)
        attributes["NORMAL"] = gltf.accessor(normals)
    attributes[SEGMENT] = gltf.accessor(mesh.segment.astype(np.float32))
    primitive = {
        "attributes": attributes,
        "indices": _indices(gltf, mesh.triangles, len(places)),
        "material": gltf.material(colour),
    }
    gltf.node(**{**node, "mesh": gltf.mesh(WOOD, [primitive])})


def add_thin(gltf: Gltf, lines: Lines, colour: str) -> None:
    """Add thin wood as one set of lines.

    Parameters
    ----------
    gltf : Gltf
        The file.
    lines : Lines
        Through the middle of the wood, in mm, z up.
    colour : str
        Of the bark.

    Source
    ------
    own.

    Examples
    --------
    >>> rod = Lines(np.array([0, 2]), np.array([[0.0, 0, 0], [0, 0, 10]]), np.ones(2), np.zeros(2, int))
    >>> file = Gltf()
    >>> add_thin(file, rod, "#6b6258")
    >>> file.document["meshes"][0]["primitives"][0]["mode"]
    1
    """
    low = np.delete(np.arange(len(lines.rows)), lines.first[1:] - 1)  # from a last node no piece goes on
    attributes = {
        "POSITION": gltf.accessor((upright(lines.nodes_mm) * M_PER_MM).astype(np.float32), bounds=True),
        SEGMENT: gltf.accessor(lines.rows.astype(np.float32)),
    }
    primitive = {
        "attributes": attributes,
        "indices": _indices(gltf, np.stack([low, low + 1], axis=1), len(lines.rows)),
        "mode": LINES,
        "material": gltf.material(colour),
    }
    gltf.node(name=THIN, mesh=gltf.mesh(THIN, [primitive]))


def add_leaves(gltf: Gltf, leaves: Leaves, *, instanced: bool) -> None:
    """Add leaves, one node for each tone: one blade set many times, or every blade written out.

    Parameters
    ----------
    gltf : Gltf
        The file.
    leaves : Leaves
        Where they are.
    instanced : bool
        Whether a reader must know EXT_mesh_gpu_instancing; without it every program can show them.

    Source
    ------
    own; the extension's attributes TRANSLATION, ROTATION (x y z w) and SCALE as published with it.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.mesh.leaves import leaves_of
    >>> from ringwise.structure.table import single_segment
    >>> seedling = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0, leaf_cm2=20.0))
    >>> file = Gltf()
    >>> add_leaves(file, leaves_of(seedling, stage="spring"), instanced=True)
    >>> file.document["extensionsRequired"]
    ['EXT_mesh_gpu_instancing']
    """
    for tone, colour in enumerate(leaves.tones):
        which = np.nonzero(leaves.tone == tone)[0]
        if len(which) == 0:
            continue
        name = LEAVES if tone == 0 else f"{LEAVES} {tone + 1}"
        material = gltf.material(colour, both_sides=True)
        if instanced:
            _add_instances(gltf, leaves, which, name, material)
        else:
            _add_written_out(gltf, leaves, which, name, material)


def _add_instances(gltf: Gltf, leaves: Leaves, which: IntArray, name: str, material: int) -> None:
    gltf.extension(INSTANCED)
    shape = leaves.blade
    primitive = {
        "attributes": {
            "POSITION": gltf.accessor(upright(shape.points).astype(np.float32), bounds=True),
            "NORMAL": gltf.accessor(upright(shape.normals).astype(np.float32)),
        },
        "indices": _indices(gltf, shape.triangles, len(shape.points)),
        "material": material,
    }
    x, y, z, w = leaves.turns[which].T
    width, length, thick = leaves.sizes_mm[which].T * np.float32(M_PER_MM)
    places = (upright(leaves.places_mm[which]) * M_PER_MM).astype(np.float32)
    attributes = {
        "TRANSLATION": gltf.accessor(places, target=None),
        "ROTATION": gltf.accessor(np.stack([x, z, -y, w], axis=1).astype(np.float32), target=None),
        "SCALE": gltf.accessor(np.stack([width, thick, length], axis=1).astype(np.float32), target=None),
        SEGMENT: gltf.accessor(leaves.segment[which].astype(np.float32), target=None),
    }
    instances = {INSTANCED: {"attributes": attributes}}
    gltf.node(name=name, mesh=gltf.mesh(name, [primitive]), extensions=instances)


def written_out(leaves: Leaves, which: IntArray) -> TreeMesh:
    """Every blade as triangles of its own.

    Parameters
    ----------
    leaves : Leaves
        Where they are.
    which : (k,) int
        Which of them.

    Returns
    -------
    TreeMesh
        In mm, z up.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.mesh.leaves import leaves_of
    >>> from ringwise.structure.table import single_segment
    >>> seedling = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0, leaf_cm2=20.0))
    >>> written_out(leaves_of(seedling, stage="spring"), np.array([0])).triangles.shape
    (2, 3)
    """
    shape = leaves.blade
    q = leaves.turns[which].astype(np.float64)
    vector, w = q[:, None, :3], q[:, None, 3:]
    scaled = shape.points[None] * leaves.sizes_mm[which][:, None]
    # A stretched blade's normals are squeezed the other way.
    squeezed = shape.normals[None] / np.maximum(leaves.sizes_mm[which][:, None], 1e-9)
    squeezed = squeezed / np.maximum(np.linalg.norm(squeezed, axis=2, keepdims=True), 1e-12)

    def turned(values: NDArray[Any]) -> NDArray[Any]:
        across = np.cross(np.broadcast_to(vector, values.shape), values)
        out: NDArray[Any] = values + 2.0 * (
            w * across + np.cross(np.broadcast_to(vector, values.shape), across)
        )
        return out

    points = turned(scaled) + leaves.places_mm[which][:, None]
    k = len(shape.points)
    faces = shape.triangles.astype(np.int64)[None] + (np.arange(len(which)) * k)[:, None, None]
    return TreeMesh(
        points.reshape(-1, 3).astype(np.float32),
        turned(squeezed).reshape(-1, 3).astype(np.float32),
        faces.reshape(-1, 3).astype(np.uint32),
        np.repeat(leaves.segment[which], k),
    )


def _add_written_out(gltf: Gltf, leaves: Leaves, which: IntArray, name: str, material: int) -> None:
    mesh = written_out(leaves, which)
    attributes = {
        "POSITION": gltf.accessor((upright(mesh.positions) * M_PER_MM).astype(np.float32), bounds=True),
        "NORMAL": gltf.accessor(upright(mesh.normals).astype(np.float32)),
        SEGMENT: gltf.accessor(mesh.segment.astype(np.float32)),
    }
    primitive = {
        "attributes": attributes,
        "indices": _indices(gltf, mesh.triangles, len(mesh.positions)),
        "material": material,
    }
    gltf.node(name=name, mesh=gltf.mesh(name, [primitive]))
