"""Orders of branching by Strahler (from the tips) and Gravelius (from the trunk), and the axes of a tree."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import IntArray
from ringwise.structure.table import SegmentTable, sum_to_root
from ringwise.structure.topology import depth, levels


def strahler_order(table: SegmentTable) -> IntArray:
    """Strahler's order of each segment: 1 at a tip, one more where two equal highest orders meet.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    (n,) int
        Orders; the root's is the order of the tree.

    Source
    ------
    strahler1957: the ordering rule, from memory.

    Examples
    --------
    >>> from ringwise.structure.surgery import attach
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> strahler_order(attach(attach(stem, stem, 0), stem, 0)).tolist()
    [2, 1, 1]
    """
    order = np.ones(table.n, dtype=np.int64)
    highest = np.zeros(table.n, dtype=np.int64)
    times = np.zeros(table.n, dtype=np.int64)
    parent = table.parent.astype(np.int64)
    for rows in [*levels(parent), np.array([0])]:
        bearing = rows[highest[rows] > 0]
        order[bearing] = highest[bearing] + (times[bearing] >= 2)
        above = parent[rows]
        rows, above = rows[above >= 0], above[above >= 0]
        np.maximum.at(highest, above, order[rows])
        np.add.at(times, above, order[rows] == highest[above])
    return order


def gravelius_order(table: SegmentTable) -> IntArray:
    """Order by axis: 0 on the trunk line, one more at each branching off from the thickest line.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    (n,) int
        Orders, counted from the foot.

    Source
    ------
    gravelius1914: main stems keep their order, from memory; thickness decides which line is main.

    Examples
    --------
    >>> from ringwise.structure.surgery import attach
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> gravelius_order(attach(attach(stem, stem, 0), stem, 0)).tolist()
    [0, 0, 1]
    """
    parent = table.parent.astype(np.int64)
    continues = table.continued_by[parent] == np.arange(table.n)
    aside = np.where((parent >= 0) & ~continues, 1.0, 0.0)
    return sum_to_root(parent, aside).astype(np.int64)


def axes_of(table: SegmentTable) -> IntArray:
    """For each segment the first row of the axis it belongs to: the trunk, or a branch from its base on.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    (n,) int
        Row of the axis' foot.

    Source
    ------
    gravelius1914: an axis goes on along its thickest line.

    Examples
    --------
    >>> from ringwise.structure.surgery import attach
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> axes_of(attach(attach(stem, stem, 0), stem, 0)).tolist()
    [0, 0, 2]
    """
    parent = table.parent.astype(np.int64)
    rows = np.arange(table.n)
    goes_on = (parent >= 0) & (table.continued_by[parent] == rows)
    above = np.where(goes_on, parent, -1)
    foot = rows.copy()
    while (above >= 0).any():
        inner = np.nonzero(above >= 0)[0]
        foot[inner] = foot[above[inner]]
        above[inner] = above[above[inner]]
    return foot


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
    gravelius1914: an axis goes on along its thickest line.

    Examples
    --------
    >>> from ringwise.structure.surgery import attach
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> lines = axes(attach(attach(stem, stem, 0), stem, 0))
    >>> lines.of(0).tolist(), lines.of(1).tolist()
    ([0, 1], [2])
    """
    foot = axes_of(table)
    rows = np.lexsort((depth(table.parent), foot))
    starts = np.nonzero(foot[rows] == rows)[0]
    return Axes(np.append(starts, table.n).astype(np.int64), rows.astype(np.int64))
