"""A tree as it was measured: the segment table with how sure each thickness and place is, and from what.

`SegmentTable` itself knows only the tree. What a measurement adds (the spread of every radius and
position, what it rests on, the outline of the trunk at a few heights) stands beside it, row by row, and
is kept in step by every operation here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import IntEnum
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwise.kit.errors import StructureError
from ringwise.kit.types import IntArray
from ringwise.kit.words import _
from ringwise.structure import surgery
from ringwise.structure.orders import gravelius_order
from ringwise.structure.section import Section as Section
from ringwise.structure.section import check_section
from ringwise.structure.table import SegmentTable, checked


class How(IntEnum):
    """What a segment's thickness rests on."""

    ASSUMED = 0
    PIPE = 1  # reckoned from the tips it carries
    TAPE = 2
    CALLIPER = 3
    TRACED = 4  # both flanks seen clear of other wood in a photo
    OVERLAPPED = 5  # traced, but a flank lies over other wood
    IMAGE = 6  # edges in many views
    FILLED = 7  # from both sides of a fork, or from the branch's taper
    IMPORTED = 8
    GROWN = 9


@dataclass(frozen=True)
class MeasuredTree:
    """A table with what only its measurement knows; side columns follow the table's rows.

    `radius_sd_mm` is the spread of the radius at the lower end, `position_sd_mm` that of the upper end's
    place (one axis), NaN where nobody can say; `how` holds `How`. `origin_mm` is where the root lies in the
    world that the measurement was made in; the table itself starts at 0.
    """

    table: SegmentTable
    radius_sd_mm: NDArray[Any]
    position_sd_mm: NDArray[Any]
    how: NDArray[Any]
    sections: tuple[Section, ...] = ()
    origin_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)

    def __post_init__(self) -> None:
        n = self.table.n
        object.__setattr__(self, "radius_sd_mm", _column(self.radius_sd_mm, np.float32, n))
        object.__setattr__(self, "position_sd_mm", _column(self.position_sd_mm, np.float32, n))
        object.__setattr__(self, "how", _column(self.how, np.uint8, n))
        x, y, z = (float(each) for each in self.origin_mm)
        object.__setattr__(self, "origin_mm", (x, y, z))
        ordered = tuple(sorted(self.sections, key=lambda each: each.height_mm))
        object.__setattr__(self, "sections", ordered)

    @property
    def n(self) -> int:
        """How many segments there are."""
        return self.table.n


@dataclass(frozen=True)
class MeasuredParted:
    """Both parts of a split: what stays on its roots (None where all went), and the part above."""

    rest: MeasuredTree | None
    part: MeasuredTree
    rest_rows: IntArray
    part_rows: IntArray


def _column(values: Any, kind: Any, n: int) -> NDArray[Any]:
    given = np.asarray(values)
    if given.shape == ():
        given = np.full(n, given)
    out = np.array(given, dtype=kind, order="C")
    out.flags.writeable = False
    return out


def measured_of(
    table: SegmentTable,
    *,
    radius_sd_mm: ArrayLike = np.nan,
    position_sd_mm: ArrayLike = np.nan,
    how: ArrayLike = How.ASSUMED,
) -> MeasuredTree:
    """A table with side columns, each one value for all rows or one a row.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    radius_sd_mm, position_sd_mm : float or (n,) float
        Spread of radii and positions in mm; NaN where nobody can say.
    how : How or (n,) int
        What the thickness rests on.

    Returns
    -------
    MeasuredTree
        Checked, without sections.

    Raises
    ------
    StructureError
        For a table that is no tree, or side columns that do not fit it.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0), radius_sd_mm=0.1, how=How.TAPE)
    >>> stem.n, How(stem.how[0]).name
    (1, 'TAPE')
    """
    return checked_measured(
        MeasuredTree(table, np.asarray(radius_sd_mm), np.asarray(position_sd_mm), np.asarray(how))
    )


def checked_measured(measured: MeasuredTree) -> MeasuredTree:
    """The tree itself when its table is a tree and every side column fits it, else an error that says where.

    Parameters
    ----------
    measured : MeasuredTree
        Any.

    Returns
    -------
    MeasuredTree
        The same object.

    Raises
    ------
    StructureError
        Naming the segment or section and why.

    Source
    ------
    own: what every other room relies on.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> checked_measured(MeasuredTree(stem, -1.0, 0.1, 0))
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.StructureError: segment 0 of 1: the spread of its radius is negative or infinite
    """
    checked(measured.table)
    n = measured.n
    for name in ("radius_sd_mm", "position_sd_mm", "how"):
        shape = getattr(measured, name).shape
        if shape != (n,):
            raise StructureError(
                _("{name} has shape {shape}; {wanted} was expected").format(
                    name=name, shape=shape, wanted=(n,)
                )
            )
    _complain(measured.radius_sd_mm, _("the spread of its radius is negative or infinite"))
    _complain(measured.position_sd_mm, _("the spread of its place is negative or infinite"))
    unknown = measured.how > max(How)
    if unknown.any():
        row = int(np.argmax(unknown))
        raise StructureError(
            _("what its thickness rests on is {how}; 0 to {last} are known").format(
                how=int(measured.how[row]), last=int(max(How))
            ),
            where=_("segment {row} of {n}").format(row=row, n=n),
        )
    for section in measured.sections:
        check_section(section)
    return measured


def cut(measured: MeasuredTree, row: int) -> MeasuredTree:
    """The tree after a cut at the foot of a segment; the parent is marked as cut.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    row : int
        The lowest segment that goes.

    Returns
    -------
    MeasuredTree
        Without exactly the segments of that subtree, and without sections above a cut through the trunk.

    Raises
    ------
    StructureError
        If the root itself would go.
    RangeError
        If there is no such segment.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0))
    >>> cut(attach(stem, stem, 0), 1).n
    1
    """
    rest = split_off(measured, row).rest
    if rest is None:
        raise StructureError(_("a cut at the root would leave no tree"))
    return rest


def split_off(measured: MeasuredTree, row: int) -> MeasuredParted:
    """Both parts of a tree that is parted at the foot of a segment, as a layer does.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    row : int
        The lowest segment of the upper part.

    Returns
    -------
    MeasuredParted
        The part stands upon its own origin, with the sections above the cut where it was the trunk's.

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
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0), how=How.TAPE)
    >>> parted = split_off(attach(stem, stem, 0), 1)
    >>> parted.part.origin_mm, parted.part.how.tolist()
    ((0.0, 0.0, 40.0), [2])
    """
    table = measured.table
    parted = surgery.split_off(table, row)
    foot = table.start_mm[row]
    own = measured.sections
    above: tuple[Section, ...] = ()
    if gravelius_order(table)[row] == 0:
        above = tuple(
            replace(each, height_mm=each.height_mm - float(foot[2]))
            for each in own
            if each.height_mm >= foot[2]
        )
        own = tuple(each for each in own if each.height_mm < foot[2])
    x, y, z = (float(a + b) for a, b in zip(measured.origin_mm, foot, strict=True))
    part = replace(_side_rows(measured, parted.part, parted.part_rows), sections=above, origin_mm=(x, y, z))
    rest = None if parted.rest is None else _side_rows(measured, parted.rest, parted.rest_rows)
    return MeasuredParted(
        None if rest is None else replace(rest, sections=own), part, parted.rest_rows, parted.part_rows
    )


def attach(measured: MeasuredTree, part: MeasuredTree, row: int) -> MeasuredTree:
    """A tree with another one joined to the upper end of a segment, as a graft does.

    Parameters
    ----------
    measured, part : MeasuredTree
        The stock and what is set upon it.
    row : int
        The segment of the stock that carries the part.

    Returns
    -------
    MeasuredTree
        The stock's rows, then the part's; the part's sections come along where it lengthens the trunk.

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
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0), radius_sd_mm=0.5)
    >>> attach(stem, stem, 0).radius_sd_mm.tolist()
    [0.5, 0.5]
    """
    stock = measured.table
    joined = surgery.attach(stock, part.table, row)
    sections = measured.sections
    if stock.continued_by[row] < 0 and gravelius_order(stock)[row] == 0:
        lift_mm = float(stock.end_mm[row, 2])
        sections += tuple(replace(each, height_mm=each.height_mm + lift_mm) for each in part.sections)
    return MeasuredTree(
        joined,
        np.concatenate([measured.radius_sd_mm, part.radius_sd_mm]),
        np.concatenate([measured.position_sd_mm, part.position_sd_mm]),
        np.concatenate([measured.how, part.how]),
        sections,
        measured.origin_mm,
    )


def reordered(measured: MeasuredTree) -> MeasuredTree:
    """The same tree with every parent before its child, side columns moved along.

    Parameters
    ----------
    measured : MeasuredTree
        Rows in any order, one root.

    Returns
    -------
    MeasuredTree
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
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> two = surgery.attach(stem, stem, 0).taken(np.array([1, 0]), np.array([1, -1]))
    >>> reordered(MeasuredTree(two, np.array([0.5, 0.25]), 0.0, 0)).radius_sd_mm.tolist()
    [0.25, 0.5]
    """
    rows = surgery.root_first_rows(measured.table)
    return _side_rows(measured, surgery.reordered(measured.table), rows)


def _side_rows(measured: MeasuredTree, table: SegmentTable, rows: IntArray) -> MeasuredTree:
    """Another table with the side columns of the rows it was taken from."""
    return replace(
        measured,
        table=table,
        radius_sd_mm=measured.radius_sd_mm[rows],
        position_sd_mm=measured.position_sd_mm[rows],
        how=measured.how[rows],
    )


def _complain(spread: NDArray[Any], why: str) -> None:
    bad = (spread < 0) | np.isinf(spread)
    if bad.any():
        row = int(np.argmax(bad))
        raise StructureError(why, where=_("segment {row} of {n}").format(row=row, n=len(spread)))
