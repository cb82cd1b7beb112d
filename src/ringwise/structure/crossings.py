"""Where wood of different branches touches or crosses."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.spatial import cKDTree

from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.structure.table import SegmentTable

COLLAR_RATIO = 1.0  # of the thickness of the wood that bears it: half lies within, half is the collar
PIECES_PER_WIDTH = 1.0  # points on a segment: one each of its own thickness


def crossings(
    table: SegmentTable, heads: Sequence[int], *, gap_mm: float, least_mm: float
) -> tuple[tuple[int, int], ...]:
    """Pairs of segments of different branches that touch, the nearest pair of each two branches.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    heads : sequence of int
        First segments of the branches that are held against each other.
    gap_mm : float
        Wood nearer than this touches.
    least_mm : float
        Thinner wood is left out.

    Returns
    -------
    tuple of (int, int)
        Rows, one pair for each two branches that meet.

    Source
    ------
    own: points along the wood, nearest neighbours.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> crossings(single_segment(length_mm=40.0, diameter_mm=4.0), [], gap_mm=1.0, least_mm=0.0)
    ()
    """
    owner = _owners(table, heads)
    rows = np.nonzero((owner >= 0) & (table.diameter_mm >= least_mm))[0]
    if len(rows) == 0:
        return ()
    points, of_row = _points(table, rows)
    clear = _clear_of_trunk(table, np.asarray(heads, dtype=np.int64)[owner[of_row]], points)
    points, of_row = points[clear], of_row[clear]
    if len(points) == 0:
        return ()
    radius = table.diameter_mm[of_row] / 2.0
    tree = cKDTree(points)
    found = tree.query_pairs(2.0 * float(radius.max()) + gap_mm, output_type="ndarray")
    one, other = found[:, 0], found[:, 1]
    apart = np.linalg.norm(points[one] - points[other], axis=1) - radius[one] - radius[other]
    meets = (owner[of_row[one]] != owner[of_row[other]]) & (apart <= gap_mm)
    one, other, apart = of_row[one[meets]], of_row[other[meets]], apart[meets]
    nearest: dict[tuple[int, int], tuple[int, int]] = {}
    for place in np.argsort(apart, kind="stable").tolist():
        a, b = int(one[place]), int(other[place])
        if owner[a] > owner[b]:
            a, b = b, a
        nearest.setdefault((int(owner[a]), int(owner[b])), (a, b))
    return tuple(nearest[key] for key in sorted(nearest))


def _owners(table: SegmentTable, heads: Sequence[int]) -> IntArray:
    """For each segment the number of the branch it belongs to, -1 for none."""
    owner = np.full(table.n, -1, dtype=np.int64)
    owner[np.asarray(heads, dtype=np.int64)] = np.arange(len(heads))
    above = table.parent.astype(np.int64).copy()
    while True:
        rows = np.nonzero((owner < 0) & (above >= 0))[0]
        if len(rows) == 0:
            return owner
        owner[rows] = owner[above[rows]]
        above[rows] = above[above[rows]]


def _clear_of_trunk(table: SegmentTable, head: IntArray, points: FloatArray) -> BoolArray:
    """Which points lie beyond the collar of their branch: bases of neighbours meet in the trunk."""
    below = np.maximum(table.parent[head].astype(np.int64), 0)
    collar_mm = COLLAR_RATIO * table.diameter_mm[below]
    return np.asarray(np.linalg.norm(points - table.start_mm[head], axis=1) > collar_mm)


def _points(table: SegmentTable, rows: IntArray) -> tuple[FloatArray, IntArray]:
    width = np.maximum(table.diameter_mm[rows], 1e-3)
    count = np.ceil(table.length_mm[rows] / width * PIECES_PER_WIDTH).astype(np.int64) + 1
    place = np.repeat(np.arange(len(rows)), count)
    number = np.arange(int(count.sum())) - np.repeat(np.cumsum(count) - count, count)
    share = number / (count[place] - 1)
    of_row = rows[place]
    start, end = table.start_mm[of_row], table.end_mm[of_row]
    return np.asarray(start + (end - start) * share[:, None]), of_row
