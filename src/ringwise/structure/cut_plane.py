"""A cut that slides along the trunk: what lies on either side of it, prepared as a few numbers a trunk node.

A cut is named by its way along the trunk from the soil. What leaves the trunk at or beyond it comes off with
it; what leaves below stays, however high it reaches. From the arrays kept here both sides of every cut can be
told without the tree itself, by sums and extremes over the nodes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.errors import out_of_range
from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.kit.words import _
from ringwise.structure.measured import MeasuredTree
from ringwise.structure.measures import base_row, trunk_diameter_at, trunk_mask
from ringwise.structure.measuring_data import measuring
from ringwise.structure.table import SegmentTable, sum_to_root


@dataclass(frozen=True)
class CutPlane:
    """The trunk by its nodes, from the soil up, and what leaves it at each.

    `tips`, `top_mm`, `left_mm` and `right_mm` are of what leaves the trunk at a node (NaN where nothing
    does); the last node's tip is the trunk's own. `trunk_rows` are the trunk's segments in order, the k-th
    between node k and node k + 1; `node` is for each segment the node from which it comes; `base_girth_mm`
    is read above the flare, as everywhere.
    """

    along_mm: FloatArray
    place_mm: FloatArray
    diameter_mm: FloatArray
    girth_mm: FloatArray
    tips: IntArray
    top_mm: FloatArray
    left_mm: FloatArray
    right_mm: FloatArray
    trunk_rows: IntArray
    node: IntArray
    base_girth_mm: float


@dataclass(frozen=True)
class CutSide:
    """One side of a cut: its height above its own lower end, girth there, width from the front, tips."""

    height_mm: float
    girth_mm: float
    width_mm: float
    tips: int


@dataclass(frozen=True)
class Cut:
    """Both sides of a cut and its own place."""

    height_mm: float
    diameter_mm: float
    girth_mm: float
    above: CutSide
    below: CutSide


def cut_plane(measured: MeasuredTree) -> CutPlane:
    """What is needed to tell both sides of any cut through the trunk.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.

    Returns
    -------
    CutPlane
        One value a trunk node.

    Source
    ------
    own: sums and extremes over what leaves the trunk at each node.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.surgery import attach
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=4.0)
    >>> plane = cut_plane(measured_of(attach(attach(stem, stem, 0), stem, 0)))
    >>> plane.along_mm.tolist(), plane.tips.tolist(), plane.node.tolist()
    ([0.0, 40.0, 80.0], [0, 1, 1], [0, 1, 1])
    """
    table = measured.table
    is_trunk = trunk_mask(table)
    rows = np.nonzero(is_trunk)[0]
    along = np.concatenate([[0.0], np.cumsum(table.length_mm[rows].astype(np.float64))])
    place = np.vstack([np.zeros(3), table.end_mm[rows]])
    diameter = np.append(table.diameter_mm[rows], table.end_diameter_mm[rows[-1]])
    girth = _girths(measured, place[:, 2], diameter)
    node = _nodes(table, is_trunk, rows)
    aside = np.nonzero(~is_trunk)[0]
    tips = np.zeros(len(along), dtype=np.int64)
    np.add.at(tips, node[aside], (table.continued_by[aside] < 0).astype(np.int64))
    tips[-1] += 1
    x, z = table.end_mm[aside, 0], table.end_mm[aside, 2]
    return CutPlane(
        along_mm=along,
        place_mm=place,
        diameter_mm=diameter,
        girth_mm=girth,
        tips=tips,
        top_mm=_extreme(node[aside], z, len(along), np.fmax),
        left_mm=_extreme(node[aside], x, len(along), np.fmin),
        right_mm=_extreme(node[aside], x, len(along), np.fmax),
        trunk_rows=rows,
        node=node,
        base_girth_mm=float(girth[np.searchsorted(rows, base_row(table))]),
    )


def girth_sds_mm(measured: MeasuredTree, plane: CutPlane) -> FloatArray:
    """How sure the girth is at each node of the trunk.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    plane : CutPlane
        Of the same tree.

    Returns
    -------
    (nodes,) float
        Standard deviation in mm: that of the outlines near which they were seen, else of a round trunk;
        NaN where nobody can say.

    Source
    ------
    own: as `girth_at` of the trunk's profile.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=4.0), radius_sd_mm=0.5)
    >>> girth_sds_mm(stem, cut_plane(stem)).round(3).tolist()
    [3.142, 3.142]
    """
    rows = plane.trunk_rows
    round_sd = 2.0 * np.pi * measured.radius_sd_mm[np.append(rows, rows[-1])].astype(np.float64)
    sections = measured.sections
    if not sections:
        return np.asarray(round_sd)
    height_mm = plane.place_mm[:, 2]
    heights = [each.height_mm for each in sections]
    seen_sd = np.interp(height_mm, heights, [each.girth_sd_mm for each in sections])
    near_mm = measuring("flare", "to_diameter_ratio") * plane.diameter_mm
    near = (height_mm >= heights[0] - near_mm) & (height_mm <= heights[-1] + near_mm)
    return np.where(near & np.isfinite(seen_sd), seen_sd, round_sd)


def cut_at(plane: CutPlane, along_mm: float) -> Cut:
    """Both sides of a cut.

    Parameters
    ----------
    plane : CutPlane
        Of a tree.
    along_mm : float
        Way along the trunk from the soil.

    Returns
    -------
    Cut
        Between nodes in proportion.

    Raises
    ------
    RangeError
        If the trunk is shorter.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> plane = cut_plane(measured_of(single_segment(length_mm=40.0, diameter_mm=4.0)))
    >>> cut = cut_at(plane, 10.0)
    >>> cut.height_mm, cut.above.height_mm, cut.below.height_mm, cut.below.tips
    (10.0, 30.0, 10.0, 0)
    """
    along = plane.along_mm
    if not 0.0 <= along_mm <= along[-1]:
        raise out_of_range(
            _("way along the trunk"),
            f"{along_mm:.4g} mm",
            _("0 to {last} mm").format(last=f"{along[-1]:.4g}"),
        )
    x, height = (float(np.interp(along_mm, along, plane.place_mm[:, axis])) for axis in (0, 2))
    girth = float(np.interp(along_mm, along, plane.girth_mm))
    stays = along < along_mm
    below = _side(plane, stays, (x, height), plane.base_girth_mm)
    above = _side(plane, ~stays, (x, height), girth)
    return Cut(
        height_mm=height,
        diameter_mm=float(np.interp(along_mm, along, plane.diameter_mm)),
        girth_mm=girth,
        below=below,
        above=CutSide(above.height_mm - height, above.girth_mm, above.width_mm, above.tips),
    )


def _side(plane: CutPlane, has: BoolArray, end: tuple[float, float], girth_mm: float) -> CutSide:
    x, z = end
    place = plane.place_mm[has]
    return CutSide(
        height_mm=float(np.nanmax([z, *place[:, 2], *plane.top_mm[has]])),
        girth_mm=girth_mm,
        width_mm=float(
            np.nanmax([x, *place[:, 0], *plane.right_mm[has]])
            - np.nanmin([x, *place[:, 0], *plane.left_mm[has]])
        ),
        tips=int(plane.tips[has].sum()),
    )


def _girths(measured: MeasuredTree, height_mm: FloatArray, diameter_mm: FloatArray) -> FloatArray:
    """Girth of a tape at the nodes: round, and wider by as much as the outlines near by are."""
    sections = measured.sections
    if not sections:
        return np.pi * diameter_mm
    heights = np.array([each.height_mm for each in sections])
    round_mm = np.array([np.pi * trunk_diameter_at(measured.table, each) for each in heights])
    more = np.array([each.girth_mm for each in sections]) / round_mm
    return np.asarray(np.pi * diameter_mm * np.interp(height_mm, heights, more), dtype=np.float64)


def _nodes(table: SegmentTable, is_trunk: BoolArray, rows: IntArray) -> IntArray:
    """For each segment the trunk node from which it comes: of the trunk its lower one."""
    upper = np.zeros(table.n, dtype=np.int64)
    upper[rows] = np.arange(1, len(rows) + 1)
    parent = table.parent.astype(np.int64)
    leaves = ~is_trunk & is_trunk[parent]
    start = np.where(leaves, upper[parent], 0).astype(np.float64)
    node = np.rint(sum_to_root(parent, start)).astype(np.int64)
    node[rows] = np.arange(len(rows))
    return node


def _extreme(node: IntArray, values: FloatArray, count: int, pick: np.ufunc) -> FloatArray:
    out = np.full(count, np.nan)
    pick.at(out, node, values)
    return out
