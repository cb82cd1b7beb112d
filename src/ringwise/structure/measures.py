"""What a tree measures: size, taper, where its branches begin, and the trade's usual proportions beside it.

Measures are facts about a table. Proportions are common practice and only say where a measure lies
against a usual range; nothing here scores a tree.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.structure.measuring_data import measuring
from ringwise.structure.orders import axes_of, gravelius_order, strahler_order
from ringwise.structure.table import Flag, SegmentTable
from ringwise.structure.topology import levels, tip_count

HEADING_SEGMENTS = 2  # a branch's angle is read over these at least


@dataclass(frozen=True)
class Measures:
    """The size and shape of a tree; `taper` is the diameter at half height against that of the base."""

    height_mm: float
    spread_mm: float
    spread_front_mm: float
    base_diameter_mm: float
    base_girth_mm: float
    half_height_diameter_mm: float
    taper_ratio: float
    height_to_base_ratio: float
    first_branch_frac: float | None
    movement_frac: float
    tips: int
    strahler: int
    segments: int
    wood_cm3: float
    leaf_cm2: float
    root_sectors_filled: int | None


def measures(table: SegmentTable, *, root_sectors: Sequence[bool] | None = None) -> Measures:
    """All measures of a tree.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    root_sectors : sequence of bool, optional
        For each hour from 1 to 12 whether a surface root is seen.

    Returns
    -------
    Measures
        `first_branch_frac` is None without branches, `root_sectors_filled` where nobody looked.

    Source
    ------
    own: plain geometry; girth of a round trunk, which a tape reads as long as it is convex.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> small = measures(single_segment(length_mm=40.0, diameter_mm=4.0))
    >>> round(small.height_to_base_ratio, 6), small.first_branch_frac
    (10.0, None)
    """
    ends = np.vstack([np.zeros(3), table.end_mm])
    height_mm = float(ends[:, 2].max())
    base_mm = float(table.diameter_mm[base_row(table)])
    half_mm = trunk_diameter_at(table, height_mm / 2.0)
    lowest = lowest_branch(table)
    line = np.vstack([np.zeros(3), table.end_mm[trunk_mask(table)]])
    return Measures(
        height_mm=height_mm,
        spread_mm=_spread_mm(ends[:, :2]),
        spread_front_mm=float(np.ptp(ends[:, 0])),
        base_diameter_mm=base_mm,
        base_girth_mm=math.pi * base_mm,
        half_height_diameter_mm=half_mm,
        taper_ratio=half_mm / base_mm,
        height_to_base_ratio=height_mm / base_mm,
        first_branch_frac=None if lowest is None else float(table.start_mm[lowest, 2]) / height_mm,
        movement_frac=_offset_mm(line) / height_mm,
        tips=int(tip_count(table)[0]),
        strahler=int(strahler_order(table)[0]),
        segments=table.n,
        wood_cm3=float(wood_mm3(table).sum() / 1000.0),
        leaf_cm2=float(table.leaf_cm2.sum(dtype=np.float64)),
        root_sectors_filled=None if root_sectors is None else sum(map(bool, root_sectors)),
    )


def base_row(table: SegmentTable) -> int:
    """The lowest trunk segment above the flare, where a trunk's thickness is read.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    int
        Row; 0 where no flare is known.

    Source
    ------
    practice: a trunk is measured above the flare.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> base_row(single_segment(length_mm=40.0, diameter_mm=4.0))
    0
    """
    row = 0
    while table.flags[row] & Flag.FLARE and table.continued_by[row] >= 0:
        row = int(table.continued_by[row])
    return row


def trunk_mask(table: SegmentTable) -> BoolArray:
    """Which segments make up the trunk line: the thickest way up from the root.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    (n,) bool
        True along the trunk.

    Source
    ------
    gravelius1914: the line of order 0.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> trunk_mask(single_segment(length_mm=40.0, diameter_mm=4.0)).tolist()
    [True]
    """
    mask: BoolArray = gravelius_order(table) == 0
    return mask


def trunk_diameter_at(table: SegmentTable, height_mm: float) -> float:
    """Diameter of the trunk line at a height, between the nodes in proportion.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    height_mm : float
        Above the soil.

    Returns
    -------
    float
        In mm; that of the end beyond the trunk's top.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> round(trunk_diameter_at(single_segment(length_mm=40.0, diameter_mm=4.0), 0.0), 6)
    4.0
    """
    rows = np.nonzero(trunk_mask(table))[0]
    heights = np.append(table.start_mm[rows, 2], table.end_mm[rows[-1], 2])
    widths = np.append(table.diameter_mm[rows], table.end_diameter_mm[rows[-1]])
    first = int(np.argmax(heights >= height_mm)) if (heights >= height_mm).any() else len(heights) - 1
    if first == 0:
        return float(widths[0])
    return float(np.interp(height_mm, heights[first - 1 : first + 1], widths[first - 1 : first + 1]))


def branch_feet(table: SegmentTable, *, twigs: bool = False) -> IntArray:
    """The lowest segment of every branch that is thick enough to be called so.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    twigs : bool
        Also what is thinner than a branch.

    Returns
    -------
    (k,) int
        Rows, in the order of the table.

    Source
    ------
    gravelius1914 for the axes; the least thickness against the trunk's base is own (table `measuring`).

    Examples
    --------
    >>> from ringwise.structure.surgery import attach
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=4.0)
    >>> branch_feet(attach(attach(stem, stem, 0), stem, 0)).tolist()
    [2]
    """
    least_mm = 0.0 if twigs else measuring("branch", "least_frac") * table.diameter_mm[base_row(table)]
    foot = (axes_of(table) == np.arange(table.n)) & (gravelius_order(table) > 0)
    return np.asarray(np.nonzero(foot & (table.diameter_mm >= least_mm))[0], dtype=np.int64)


def lowest_branch(table: SegmentTable) -> int | None:
    """The lowest branch of the trunk.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    int or None
        Its lowest segment; None where the trunk bears no branch.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> lowest_branch(single_segment(length_mm=40.0, diameter_mm=4.0)) is None
    True
    """
    feet = branch_feet(table)
    mains = feet[gravelius_order(table)[feet] == 1]
    return int(mains[np.argmin(table.start_mm[mains, 2])]) if len(mains) else None


def proportions() -> tuple[Parameter, ...]:
    """The trade's usual proportions with their ranges, to be shown beside measures as common practice.

    Returns
    -------
    tuple of Parameter
        Rows of the table, each with basis "practice".

    Source
    ------
    practice: table `proportions`.

    Examples
    --------
    >>> {row.basis for row in proportions()}
    {'practice'}
    """
    return tuple(load_table("ringwise.structure", "proportions"))


def axis_length_mm(table: SegmentTable) -> FloatArray:
    """For each segment the way along the wood from its lower end to the end of its axis: a branch's length.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    (n,) float
        In mm; that of a side shoot does not count for the branch that bears it.

    Source
    ------
    gravelius1914: an axis goes on along its thickest line; among equally thick lines along the longest.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> axis_length_mm(single_segment(length_mm=40.0, diameter_mm=4.0)).tolist()
    [40.0]
    """
    length = table.length_mm.astype(np.float64)
    onward, parent = length.copy(), table.parent.astype(np.int64)
    goes_on = table.continued_by[parent] == np.arange(table.n)
    for rows in levels(parent):
        upper = rows[goes_on[rows]]
        onward[parent[upper]] += onward[upper]
    return onward


def heading(table: SegmentTable, head: int) -> FloatArray:
    """Which way a branch goes near its base: from its foot over a few of its own thicknesses or a few cm.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    head : int
        The branch's first segment.

    Returns
    -------
    (3,) float
        From its foot, in mm; not of unit length.

    Source
    ------
    own: as by a protractor, whose arm lies along the branch, over the longer of table `measuring`, rows
    `branch`, so that a thin branch is not read inside the wood that bears it; two segments at least.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> heading(single_segment(length_mm=40.0, diameter_mm=4.0), 0).tolist()
    [0.0, 0.0, 40.0]
    """
    own_mm = measuring("branch", "heading_ratio") * float(table.diameter_mm[head])
    over_mm = max(own_mm, measuring("branch", "heading_mm"))
    row, way_mm, pieces = head, float(table.length_mm[head]), 1
    while (way_mm < over_mm or pieces < HEADING_SEGMENTS) and table.continued_by[row] >= 0:
        row = int(table.continued_by[row])
        way_mm, pieces = way_mm + float(table.length_mm[row]), pieces + 1
    return np.asarray(table.end_mm[row] - table.start_mm[head])


def _offset_mm(line: FloatArray) -> float:
    """Largest distance of the trunk line from the straight line between its ends."""
    span = line[-1] - line[0]
    away = line - line[0]
    along = away @ span / float(span @ span)
    return float(np.linalg.norm(away - np.outer(along, span), axis=1).max())


def _spread_mm(points: FloatArray) -> float:
    """Largest width of the crown in any level direction, to a degree or two of turn."""
    angles = np.linspace(0.0, math.pi, 90, endpoint=False)
    across = points @ np.stack([np.cos(angles), np.sin(angles)])
    return float(np.ptp(across, axis=0).max())


def wood_mm3(table: SegmentTable) -> FloatArray:
    """Volume of wood of each segment: a frustum from its own area to the next.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    (n,) float
        In mm3.

    Source
    ------
    own: solid geometry.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> round(float(wood_mm3(single_segment(length_mm=30.0, diameter_mm=2.0))[0] / np.pi), 4)
    19.6
    """
    low, high = table.diameter_mm / 2.0, table.end_diameter_mm / 2.0
    return np.asarray(math.pi / 3.0 * table.length_mm * (low**2 + low * high + high**2))
