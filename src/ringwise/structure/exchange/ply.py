"""A mesh as binary PLY: millimetres, +Z up, normals, and the row of the table at each vertex."""

from __future__ import annotations

import numpy as np

from ringwise.structure.mesh.leaves import Leaves
from ringwise.structure.mesh.parts import written_out
from ringwise.structure.mesh.tubes import TreeMesh, joined

_VERTEX = np.dtype([("place", "<f4", 3), ("normal", "<f4", 3), ("segment", "<u4")])
_FACE = np.dtype([("count", "u1"), ("corners", "<u4", 3)])


def ply(mesh: TreeMesh, leaves: Leaves | None = None) -> bytes:
    """Binary PLY of the wood, and of the leaves where there are any.

    Parameters
    ----------
    mesh : TreeMesh
        The wood.
    leaves : Leaves, optional
        What stands on the twigs.

    Returns
    -------
    bytes
        Little-endian; vertex properties x y z nx ny nz segment.

    Source
    ------
    own; the format is public, its header recalled.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.mesh.tree_mesh import tree_mesh
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0))
    >>> ply(tree_mesh(stem, skin=False)).split(b"\\n")[3]
    b'element vertex 14'
    """
    whole = mesh if leaves is None else joined([mesh, written_out(leaves, np.arange(leaves.n))])
    vertices = np.empty(len(whole.positions), _VERTEX)
    vertices["place"], vertices["normal"], vertices["segment"] = whole.positions, whole.normals, whole.segment
    faces = np.empty(len(whole.triangles), _FACE)
    faces["count"], faces["corners"] = 3, whole.triangles
    head = ["ply", "format binary_little_endian 1.0", "comment millimetres, +Z up"]
    head += [f"element vertex {len(vertices)}"]
    head += [f"property float {name}" for name in ("x", "y", "z", "nx", "ny", "nz")]
    head += ["property uint segment", f"element face {len(faces)}"]
    head += ["property list uchar uint vertex_indices", "end_header", ""]
    return "\n".join(head).encode() + vertices.tobytes() + faces.tobytes()
