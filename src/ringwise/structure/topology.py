"""Who grows from whom: children, depth, sums along the tree, subtrees, tips.

Sums towards the root and towards the tips are what most questions about a tree come down to; both run
on whole arrays, without a loop over segments.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.errors import out_of_range
from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.kit.words import _
from ringwise.structure.table import SegmentTable, sum_to_root


@dataclass(frozen=True)
class Children:
    """Child rows of every segment, packed: those of row i are `rows[first[i]:first[i + 1]]`."""

    first: IntArray
    rows: IntArray

    def of(self, row: int) -> IntArray:
        """The children of one segment, in row order."""
        return self.rows[self.first[row] : self.first[row + 1]]

    @property
    def count(self) -> IntArray:
        """How many children each segment has."""
        return np.diff(self.first)


def children(table: SegmentTable) -> Children:
    """The children of every segment.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    Children
        Packed lists.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.surgery import attach
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> children(attach(stem, stem, 0)).of(0).tolist()
    [1]
    """
    parent = table.parent.astype(np.int64)
    rows = np.argsort(parent, kind="stable")[int((parent < 0).sum()) :]
    count = np.bincount(parent[parent >= 0], minlength=table.n)
    return Children(np.concatenate([[0], np.cumsum(count)]), rows)


def known_row(table: SegmentTable, row: int) -> None:
    """Nothing when the tree has such a segment, else an error that says which there are.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    row : int
        A row index.

    Raises
    ------
    RangeError
        If there is no such segment.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> known_row(single_segment(length_mm=40.0, diameter_mm=3.0), 0)
    """
    if not 0 <= row < table.n:
        raise out_of_range(_("segment"), str(row), _("0 to {last}").format(last=table.n - 1))


def depth(parent: NDArray[Any]) -> IntArray:
    """How many segments lie below each one; 0 at the root.

    Parameters
    ----------
    parent : (n,) int
        Parent index, -1 at the root, in any row order that has no circle.

    Returns
    -------
    (n,) int
        Depth.

    Source
    ------
    own.

    Examples
    --------
    >>> depth(np.array([-1, 0, 1, 1, 0])).tolist()
    [0, 1, 2, 2, 1]
    """
    ones = np.ones(len(parent))
    return sum_to_root(parent, ones).astype(np.int64) - 1


def sum_to_tips(parent: NDArray[Any], values: FloatArray) -> FloatArray:
    """For each segment the sum of a value over itself and everything that grows from it.

    Parameters
    ----------
    parent : (n,) int
        Parent index.
    values : (n,) float
        A value for each segment.

    Returns
    -------
    (n,) float
        Sums over each subtree.

    Source
    ------
    own.

    Examples
    --------
    >>> sum_to_tips(np.array([-1, 0, 1, 1]), np.array([1.0, 2.0, 3.0, 4.0]))
    array([10.,  9.,  3.,  4.])
    """
    total = np.array(values, dtype=np.float64)
    for rows in levels(parent):
        np.add.at(total, np.asarray(parent)[rows], total[rows])
    return total


def levels(parent: NDArray[Any]) -> list[IntArray]:
    """Rows of equal depth, the deepest first, without the root's own.

    Parameters
    ----------
    parent : (n,) int
        Parent index.

    Returns
    -------
    list of (k,) int
        Row indices, level by level.

    Source
    ------
    own.

    Examples
    --------
    >>> [rows.tolist() for rows in levels(np.array([-1, 0, 1, 1]))]
    [[2, 3], [1]]
    """
    deep = depth(parent)
    rows = np.argsort(deep, kind="stable")
    cuts = np.searchsorted(deep[rows], np.arange(1, int(deep.max()) + 1))
    return list(np.split(rows, cuts))[:0:-1] if len(cuts) else []


def subtree_mask(table: SegmentTable, row: int) -> BoolArray:
    """Which segments are the given one or grow from it.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    row : int
        The segment at the foot of the subtree.

    Returns
    -------
    (n,) bool
        True inside the subtree.

    Raises
    ------
    RangeError
        If there is no such segment.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.surgery import attach
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> subtree_mask(attach(stem, stem, 0), 1).tolist()
    [False, True]
    """
    known_row(table, row)
    inside = np.zeros(table.n, dtype=np.bool_)
    inside[row] = True
    above = table.parent.astype(np.int64).copy()
    while (above >= 0).any():
        rows = np.nonzero(above >= 0)[0]
        inside[rows] |= inside[above[rows]]
        above[rows] = above[above[rows]]
    return inside


def tip_count(table: SegmentTable) -> IntArray:
    """How many tips grow from each segment; 1 at a tip itself.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    (n,) int
        Tips of each subtree.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.surgery import attach
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> tip_count(attach(attach(stem, stem, 0), stem, 0)).tolist()
    [2, 1, 1]
    """
    tips = np.asarray(table.continued_by < 0, dtype=np.float64)
    return sum_to_tips(table.parent, tips).round().astype(np.int64)
