"""The tree's wood as a mesh: one smooth skin for trunk and joints, closed tubes for all that is thinner."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ringwise.kit.types import IntArray
from ringwise.structure.measured import MeasuredTree
from ringwise.structure.mesh.node_radius import upper_radius_mm
from ringwise.structure.mesh.skin import Skin, skin_mesh, skin_of
from ringwise.structure.mesh.tubes import Lines, TreeMesh, joined, tube_mesh, usual_sides
from ringwise.structure.orders import Axes, axes
from ringwise.structure.table import SegmentTable


def tree_mesh(
    measured: MeasuredTree,
    *,
    skin: bool = True,
    drawn_roots: bool = False,
    root_sectors: Sequence[bool] | None = None,
) -> TreeMesh:
    """The wood of a tree as triangles.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    skin : bool
        Whether trunk and joints are one smooth surface; without it every axis is a tube with flat caps.
    drawn_roots : bool
        Whether surface roots are drawn at the foot of the skin. No table holds them: drawing only.
    root_sectors : sequence of bool, optional
        For each hour from 1 to 12 whether a root is seen; without it they are drawn all round.

    Returns
    -------
    TreeMesh
        In mm, z up. Closed surfaces that overlap: volumes are reckoned from the table, never from this.

    Source
    ------
    own: see docs/science/shape.md.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0))
    >>> tree_mesh(stem, skin=False).positions.shape
    (14, 3)
    """
    table = measured.table
    lines = axes(table)
    if not skin:
        return _tubes(axis_lines(table, lines, {}))
    whole = skin_of(table, lines, root_sectors=root_sectors, drawn_roots=drawn_roots)
    if not whole.strands:
        return _tubes(axis_lines(table, lines, {}))
    parts = [skin_mesh(whole, measured.sections)]
    rest = axis_lines(table, lines, whole.reach_mm)
    return joined([*parts, _tubes(rest)]) if rest.n else parts[0]


def _tubes(lines: Lines) -> TreeMesh:
    thickest = np.maximum.reduceat(lines.radius_mm, lines.first[:-1])
    return tube_mesh(lines, usual_sides().of(thickest))


def axis_lines(table: SegmentTable, lines: Axes, taken_mm: dict[int, float]) -> Lines:
    """Every axis as a line of nodes, without the length at its foot that is drawn otherwise.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    lines : Axes
        Its axes.
    taken_mm : dict of int to float
        For some axes the length at the foot that is left out.

    Returns
    -------
    Lines
        Nodes, radii, and the segment that starts at each node.

    Source
    ------
    own: a branch begins on its parent's axis, inside the wood.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> axis_lines(stem, axes(stem), {0: 10.0}).nodes_mm[:, 2].tolist()
    [10.0, 40.0]
    """
    keep = np.ones(table.n, dtype=np.bool_)
    cut: dict[int, float] = {}
    for axis, along_mm in taken_mm.items():
        low, high = int(lines.first[axis]), int(lines.first[axis + 1])
        ends = np.cumsum(table.length_mm[lines.rows[low:high]].astype(np.float64))
        gone = int(np.searchsorted(ends, along_mm + 1e-6, side="right"))
        keep[low : low + gone] = False
        if gone < high - low:
            before_mm = float(ends[gone - 1]) if gone else 0.0
            cut[low + gone] = (along_mm - before_mm) / float(table.length_mm[lines.rows[low + gone]])
    return _lines_of(table, lines, keep, cut)


def _lines_of(table: SegmentTable, lines: Axes, keep: IntArray | np.ndarray, cut: dict[int, float]) -> Lines:
    axis = np.repeat(np.arange(lines.n), np.diff(lines.first))
    places = np.nonzero(keep)[0]
    rows, of = lines.rows[places], axis[places]
    last = np.append(of[1:] != of[:-1], True) if len(of) else np.zeros(0, np.bool_)
    # One node where each segment starts, and one more where the last of an axis ends.
    node = np.arange(len(rows)) + np.concatenate([[0], np.cumsum(last)[:-1]]) if len(rows) else rows
    total = len(rows) + int(last.sum())
    nodes, radius, segment = np.empty((total, 3)), np.empty(total), np.empty(total, np.int64)
    upper = upper_radius_mm(table)
    start, lower = table.start_mm[rows], table.diameter_mm[rows] / 2.0
    for place, share in cut.items():
        at = int(np.searchsorted(places, place))
        row = int(lines.rows[place])
        start[at] += share * (table.end_mm[row] - table.start_mm[row])
        lower[at] += share * (upper[row] - lower[at])
    nodes[node], radius[node], segment[node] = start, lower, rows
    end = node[last] + 1
    nodes[end], radius[end], segment[end] = table.end_mm[rows[last]], upper[rows[last]], rows[last]
    return Lines(np.append(0, end + 1).astype(np.int64), nodes, radius, segment)


__all__ = ["Skin", "TreeMesh", "axis_lines", "tree_mesh"]
