"""Lines of wood as closed tubes, side by side in one mesh."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray, IntArray


@dataclass(frozen=True)
class TreeMesh:
    """A tree as triangles, in mm, z up: each triangle anticlockwise from outside.

    `segment` is the row of the table that a vertex belongs to; on a tube a ring belongs to the segment that
    starts there, and the first corner of a wall's triangle lies on the lower ring.
    """

    positions: NDArray[np.float32]  # (v, 3)
    normals: NDArray[np.float32]  # (v, 3)
    triangles: NDArray[np.uint32]  # (t, 3)
    segment: NDArray[np.uint32]  # (v,)


@dataclass(frozen=True)
class Lines:
    """Lines in space to be made round: nodes of line i are `first[i]:first[i + 1]`, two or more."""

    first: IntArray
    nodes_mm: FloatArray  # (m, 3)
    radius_mm: FloatArray  # (m,)
    rows: IntArray  # (m,) segment that starts at each node; the last node repeats the one before

    @property
    def n(self) -> int:
        """How many lines there are."""
        return len(self.first) - 1


@dataclass(frozen=True)
class Sides:
    """How many corners a ring has, by the thickest radius of its line."""

    thick_mm: float
    medium_mm: float
    fine_mm: float
    thick: int
    medium: int
    thin: int
    fine: int

    def of(self, radius_mm: FloatArray) -> IntArray:
        """Corners for each radius."""
        least = np.where(radius_mm > self.fine_mm, self.thin, self.fine)
        less = np.where(radius_mm > self.medium_mm, self.medium, least)
        return np.where(radius_mm > self.thick_mm, self.thick, less).astype(np.int64)


@cache
def usual_sides() -> Sides:
    """Corners of rings as drawn in full.

    Returns
    -------
    Sides
        Values from the table of the mesh.

    Source
    ------
    own: table `mesh`, rows `tube`.

    Examples
    --------
    >>> usual_sides().of(np.array([9.0, 3.0, 1.0, 0.5])).tolist()
    [16, 10, 6, 4]
    """
    row = load_table("ringwise.structure", "mesh").of("tube")
    return Sides(
        row["thick_mm"].number,
        row["medium_mm"].number,
        row["fine_mm"].number,
        round(row["thick_sides"].number),
        round(row["medium_sides"].number),
        round(row["thin_sides"].number),
        round(row["fine_sides"].number),
    )


def tube_mesh(lines: Lines, sides: IntArray) -> TreeMesh:
    """Closed tubes along lines, with flat caps and rings of the right area.

    Parameters
    ----------
    lines : Lines
        Where, how thick, of which segment.
    sides : (k,) int
        Corners of the rings of each line, three or more.

    Returns
    -------
    TreeMesh
        The tubes one after the other; each is closed.

    Source
    ------
    own: rings carried along without twist; corners set out so that each ring has the area of its circle.

    Examples
    --------
    >>> nodes = np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 10.0]])
    >>> rod = Lines(np.array([0, 2]), nodes, np.ones(2), np.zeros(2, int))
    >>> tube_mesh(rod, np.array([6])).triangles.shape
    (24, 3)
    """
    from ringwise.structure.mesh import tube_kernels

    rings = np.diff(lines.first)
    vertices = int(np.sum(rings * sides + 2))
    faces = int(np.sum(rings * sides * 2))
    out: tuple[Any, ...] = (
        np.empty((vertices, 3), np.float32),
        np.empty((vertices, 3), np.float32),
        np.empty((faces, 3), np.uint32),
        np.empty(vertices, np.uint32),
    )
    tube_kernels.tubes(
        (np.ascontiguousarray(lines.first, np.int64), np.ascontiguousarray(sides, np.int64)),
        np.ascontiguousarray(lines.nodes_mm, np.float64),
        np.ascontiguousarray(lines.radius_mm, np.float64),
        np.ascontiguousarray(lines.rows, np.int64),
        out,
    )
    return TreeMesh(*out)


def joined(meshes: list[TreeMesh]) -> TreeMesh:
    """Several meshes as one.

    Parameters
    ----------
    meshes : list of TreeMesh
        One or more.

    Returns
    -------
    TreeMesh
        Their vertices and triangles one after the other.

    Source
    ------
    own.

    Examples
    --------
    >>> nodes = np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 10.0]])
    >>> rod = tube_mesh(Lines(np.array([0, 2]), nodes, np.ones(2), np.zeros(2, int)), np.array([6]))
    >>> joined([rod, rod]).triangles.max()
    np.uint32(27)
    """
    if len(meshes) == 1:
        return meshes[0]
    offsets = np.cumsum([0, *(len(each.positions) for each in meshes[:-1])])
    shifted = [each.triangles + np.uint32(by) for each, by in zip(meshes, offsets, strict=True)]
    return TreeMesh(
        np.concatenate([each.positions for each in meshes]),
        np.concatenate([each.normals for each in meshes]),
        np.concatenate(shifted),
        np.concatenate([each.segment for each in meshes]),
    )
