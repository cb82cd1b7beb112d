"""The axes of a tree: each a line of segments from where it leaves its parent to its tip, by thickness."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import FloatArray, IntArray
from ringwise.structure.table import SegmentTable
from ringwise.structure.topology import depth


@dataclass(frozen=True)
class Axes:
    """Rows of every axis from its foot up, packed: those of axis i are `rows[first[i]:first[i + 1]]`.

    The first axis is the trunk's.
    """

    first: IntArray
    rows: IntArray

    @property
    def n(self) -> int:
        """How many axes there are."""
        return len(self.first) - 1

    @property
    def heads(self) -> IntArray:
        """The lowest row of each axis."""
        return self.rows[self.first[:-1]]

    def of(self, axis: int) -> IntArray:
        """The rows of one axis, from its foot up."""
        return self.rows[self.first[axis] : self.first[axis + 1]]


def axes(table: SegmentTable) -> Axes:
    """All axes of a tree; the thickest child goes on its parent's axis.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    Axes
        Sorted by the row of their lowest segment.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.surgery import attach
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> lines = axes(attach(attach(stem, stem, 0), stem, 0))
    >>> lines.of(0).tolist(), lines.of(1).tolist()
    ([0, 1], [2])
    """
    index = np.arange(table.n)
    parent = table.parent.astype(np.int64)
    goes_on = (parent >= 0) & (table.continued_by[parent] == index)
    foot = np.where(goes_on, parent, index)
    while True:
        lower = foot[foot]
        if np.array_equal(lower, foot):
            break
        foot = lower
    rows = np.lexsort((depth(parent), foot))
    starts = np.nonzero(~goes_on[rows])[0]
    return Axes(np.append(starts, table.n).astype(np.int64), rows.astype(np.int64))


def upper_radius_mm(table: SegmentTable) -> FloatArray:
    """Radius at the upper end of each segment as drawn: that of the segment that goes on, else its own end.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    (n,) float
        Radii, in mm.

    Source
    ------
    own: an axis has one radius at each of its nodes, so that no step is drawn.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> upper_radius_mm(single_segment(length_mm=40.0, diameter_mm=3.0)).round(3).tolist()
    [0.9]
    """
    child = table.continued_by
    own = table.diameter_mm
    out: FloatArray = np.where(child >= 0, own[child], table.end_diameter_mm) / 2.0
    return out
