"""What a saw, a layer or a graft does to the table: cut off, part in two, join, put in order.

Every function takes a table and gives a new one; rows keep their relative order, so a parent stays
before its child.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ringwise.kit.errors import StructureError
from ringwise.kit.types import BoolArray, IntArray
from ringwise.kit.words import _
from ringwise.structure.table import Flag, SegmentTable
from ringwise.structure.topology import depth, known_row, subtree_mask


@dataclass(frozen=True)
class Parted:
    """Both parts of a split: what stays on its roots, and the part above, as a tree of its own."""

    rest: SegmentTable | None
    part: SegmentTable
    rest_rows: IntArray
    part_rows: IntArray


def kept(table: SegmentTable, keep: BoolArray) -> SegmentTable:
    """The table without the rows that are not kept; a kept row needs a kept parent.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    keep : (n,) bool
        Which rows stay.

    Returns
    -------
    SegmentTable
        Fewer rows, re-numbered.

    Raises
    ------
    StructureError
        If a kept segment would hang in the air, or nothing is kept.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> kept(attach(stem, stem, 0), np.array([True, False])).n
    1
    """
    rows = np.nonzero(keep)[0]
    if len(rows) == 0:
        raise StructureError(_("nothing would be left of the tree"))
    parent = table.parent[rows].astype(np.int64)
    loose = (parent >= 0) & ~keep[parent]
    if loose.any():
        row = int(rows[np.argmax(loose)])
        raise StructureError(
            _("its parent is removed but it is kept"),
            where=_("segment {row} of {n}").format(row=row, n=table.n),
        )
    new_index = np.cumsum(keep) - 1
    return table.taken(rows, np.where(parent >= 0, new_index[parent], -1))


def split_off(table: SegmentTable, row: int) -> Parted:
    """Both parts of a tree that is parted at the foot of a segment, as a layer does.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    row : int
        The lowest segment of the upper part.

    Returns
    -------
    Parted
        The rest (None when `row` is the root) and the part, which stands upon its own origin; orders
        in the part count from its own foot.

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
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> parted = split_off(attach(stem, stem, 0), 1)
    >>> parted.rest.n, parted.part.n
    (1, 1)
    """
    inside = subtree_mask(table, row)
    part_rows, rest_rows = np.nonzero(inside)[0], np.nonzero(~inside)[0]
    new_index = np.cumsum(inside) - 1
    parent = np.where(part_rows == row, -1, new_index[table.parent[part_rows]])
    part = replace(table.taken(part_rows, parent), order=table.order[part_rows] - table.order[row])
    if row == 0:
        return Parted(None, part, rest_rows, part_rows)
    flags = table.flags.copy()
    flags[table.parent[row]] |= Flag.CUT_END
    return Parted(kept(replace(table, flags=flags), ~inside), part, rest_rows, part_rows)


def attach(table: SegmentTable, part: SegmentTable, row: int) -> SegmentTable:
    """A tree with another one joined to the upper end of a segment, as a graft does.

    Parameters
    ----------
    table, part : SegmentTable
        The stock and what is set upon it; clone numbers and directions are kept as they are.
    row : int
        The segment of the stock that carries the part.

    Returns
    -------
    SegmentTable
        The stock's rows, then the part's; the part's foot is marked as joined and one order higher.

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
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> float(attach(stem, stem, 0).end_mm[1, 2])
    80.0
    """
    known_row(table, row)
    names = ("born", "length_mm", "direction", "wood_mm2", "sapwood_mm2", "leaf_cm2", "buds", "clone")
    columns = {name: np.concatenate([getattr(table, name), getattr(part, name)]) for name in names}
    parent = np.where(part.parent >= 0, part.parent.astype(np.int64) + table.n, row)
    columns["parent"] = np.concatenate([table.parent, parent])
    columns["order"] = np.concatenate([table.order, part.order - part.order[0] + table.order[row] + 1])
    flags = part.flags & ~np.uint16(Flag.TRUNK)
    flags[0] |= Flag.JOINED
    columns["flags"] = np.concatenate([table.flags, flags])
    return SegmentTable(basis=table.basis, **columns)


def reordered(table: SegmentTable) -> SegmentTable:
    """The same tree with every parent before its child, for tables from outside.

    Parameters
    ----------
    table : SegmentTable
        Rows in any order, one root.

    Returns
    -------
    SegmentTable
        Sorted by depth, rows of equal depth in their old order.

    Raises
    ------
    StructureError
        If the parents go in a circle or there is not exactly one root.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> two = attach(*(single_segment(length_mm=9.0, diameter_mm=3.0),) * 2, 0)
    >>> reordered(two.taken(np.array([1, 0]), np.array([1, -1]))).parent.tolist()
    [-1, 0]
    """
    rows = root_first_rows(table)
    place = np.empty(table.n, dtype=np.int64)
    place[rows] = np.arange(table.n)
    above = table.parent[rows].astype(np.int64)
    return table.taken(rows, np.where(above >= 0, place[above], -1))


def root_first_rows(table: SegmentTable) -> IntArray:
    """The order of rows that puts every parent before its child.

    Parameters
    ----------
    table : SegmentTable
        Rows in any order, one root.

    Returns
    -------
    (n,) int
        Old rows in their new order: by depth, rows of equal depth as they were.

    Raises
    ------
    StructureError
        If the parents go in a circle or there is not exactly one root.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> two = attach(*(single_segment(length_mm=9.0, diameter_mm=3.0),) * 2, 0)
    >>> root_first_rows(two.taken(np.array([1, 0]), np.array([1, -1]))).tolist()
    [1, 0]
    """
    parent = table.parent.astype(np.int64)
    if (parent >= table.n).any() or int((parent < 0).sum()) != 1:
        raise StructureError(_("a tree has exactly one root and parents inside the table"))
    _refuse_circle(parent)
    return np.argsort(depth(parent), kind="stable")


def _refuse_circle(parent: IntArray) -> None:
    above = parent.copy()
    for _round in range(int(np.ceil(np.log2(len(parent)))) + 1):
        above = np.where(above >= 0, above[above], -1)
    if (above >= 0).any():
        row = int(np.argmax(above >= 0))
        raise StructureError(
            _("its parents go in a circle"), where=_("segment {row} of {n}").format(row=row, n=len(parent))
        )
