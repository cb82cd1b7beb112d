"""A mesh as Wavefront OBJ text: millimetres, +Z up, one group for the wood and one for the leaves."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.structure.mesh.leaves import Leaves
from ringwise.structure.mesh.parts import written_out
from ringwise.structure.mesh.tubes import TreeMesh


def obj(mesh: TreeMesh, leaves: Leaves | None = None) -> bytes:
    """OBJ text of the wood, and of the leaves where there are any.

    Parameters
    ----------
    mesh : TreeMesh
        The wood.
    leaves : Leaves, optional
        What stands on the twigs.

    Returns
    -------
    bytes
        Vertices to a thousandth of a millimetre, normals and triangles, in mm, +Z up.

    Source
    ------
    own; the format is public, its keywords v, vn, f and g recalled.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.mesh.tree_mesh import tree_mesh
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0))
    >>> obj(tree_mesh(stem, skin=False)).count(b"f ")
    24
    """
    parts = ["# millimetres, +Z up\n", _part("wood", mesh, 1)]
    if leaves is not None:
        blades = written_out(leaves, np.arange(leaves.n))
        parts.append(_part("leaves", blades, 1 + len(mesh.positions)))
    return "".join(parts).encode()


def _part(name: str, mesh: TreeMesh, first: int) -> str:
    faces = mesh.triangles.astype(np.int64) + first
    return "".join(
        [
            f"g {name}\n",
            _rows("v %.3f %.3f %.3f\n", mesh.positions),
            _rows("vn %.3f %.3f %.3f\n", mesh.normals),
            _rows("f %d//%d %d//%d %d//%d\n", np.repeat(faces, 2, axis=1)),
        ]
    )


def _rows(pattern: str, values: NDArray[Any]) -> str:
    return (pattern * len(values)) % tuple(values.ravel().tolist())
