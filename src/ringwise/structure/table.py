"""The tree as a table of segments: a parent index and a few numbers for each piece of wood.

A segment is a straight piece of wood between two nodes. Its wood area is that of its lower (start)
end; its upper end takes the area of the child that continues it, so that a chain of segments tapers
without steps although each row holds one area. The root segment is row 0, starts at the origin on the
finished soil surface and has parent -1; every other row comes after its parent.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from enum import IntFlag
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.errors import StructureError
from ringwise.kit.types import FloatArray, IntArray
from ringwise.kit.words import _

UNIT_TOLERANCE = 1e-3  # float32 directions, renormalised once a step, drift by far less
SAPWOOD_TOLERANCE_FRAC = 1e-4  # float32 rounding of an area that is all sapwood
TIP_END_FRAC = 0.6  # drawn end of a tip against its start: a bud is thinner than its shoot; form only

_TYPES: dict[str, Any] = {
    "parent": np.int32,
    "order": np.int16,
    "born": np.int16,
    "length_mm": np.float32,
    "direction": np.float32,
    "wood_mm2": np.float32,
    "sapwood_mm2": np.float32,
    "leaf_cm2": np.float32,
    "buds": np.uint8,
    "clone": np.uint8,
    "flags": np.uint16,
}


class Flag(IntFlag):
    """Bits of `SegmentTable.flags`; bits from 256 up are free for the room that grows the table."""

    TRUNK = 1  # belongs to the trunk line
    CUT_END = 2  # its upper end was cut off
    SHORT_SHOOT = 4
    JOINED = 8  # a graft union at its lower end
    LAYERED = 16  # its lower end is the upper edge of a layer's ring
    MEASURED = 32  # thickness from a tape or calliper, not from the pipe rule
    DEAD = 64
    FLARE = 128  # trunk below the lowest girth, widened towards the roots: not the trunk's thickness


@dataclass(frozen=True)
class SegmentTable:
    """A tree as arrays, one row a segment, read-only; directions are unit vectors, x right, y back, z up.

    Lengths in mm, cross sections in mm2 at the lower end, leaf area in cm2. `basis` says where the
    table comes from: "tape", "basics", "grown", "traced" or "invented". Any numbers may be handed in; they
    are kept as the types in `_TYPES`, about 40 bytes a row.
    """

    parent: NDArray[Any]
    order: NDArray[Any]
    born: NDArray[Any]
    length_mm: NDArray[Any]
    direction: NDArray[Any]
    wood_mm2: NDArray[Any]
    sapwood_mm2: NDArray[Any]
    leaf_cm2: NDArray[Any]
    buds: NDArray[Any]
    clone: NDArray[Any]
    flags: NDArray[Any]
    basis: str = "tape"

    def __post_init__(self) -> None:
        for name, kind in _TYPES.items():
            given = np.asarray(getattr(self, name))
            if given.dtype != kind or given.flags.writeable or not given.flags.c_contiguous:
                given = np.array(given, dtype=kind, order="C")
                given.flags.writeable = False
            object.__setattr__(self, name, given)

    @property
    def n(self) -> int:
        """How many segments there are."""
        return len(self.parent)

    @cached_property
    def diameter_mm(self) -> FloatArray:
        """Diameter at the lower end of each segment."""
        return _frozen(np.sqrt(self.wood_mm2.astype(np.float64) * (4.0 / np.pi)))

    @cached_property
    def continued_by(self) -> IntArray:
        """The child that goes on along each segment, -1 at a tip: the thickest, of equals the longest."""
        return _frozen_index(_continuations(self))

    @cached_property
    def end_diameter_mm(self) -> FloatArray:
        """Diameter at the upper end: the continuing child's, never more than the segment's own."""
        child = self.continued_by
        own = self.diameter_mm
        upper = np.where(child >= 0, own[child], own * TIP_END_FRAC)
        return _frozen(np.minimum(upper, own))

    @cached_property
    def end_mm(self) -> FloatArray:
        """Upper end of each segment, (n, 3)."""
        steps = self.direction.astype(np.float64) * self.length_mm.astype(np.float64)[:, None]
        return _frozen(sum_to_root(self.parent, steps))

    @cached_property
    def start_mm(self) -> FloatArray:
        """Lower end of each segment, (n, 3)."""
        ends = self.end_mm
        start = np.where((self.parent >= 0)[:, None], ends[self.parent], 0.0)
        return _frozen(start)

    def taken(self, rows: NDArray[Any], parent: NDArray[Any]) -> SegmentTable:
        """A table of the given rows, in that order, with new parent indices."""
        columns = {name: getattr(self, name)[rows] for name in _TYPES if name != "parent"}
        return replace(self, parent=parent, **columns)


def _frozen(values: NDArray[Any]) -> FloatArray:
    out = np.ascontiguousarray(values, dtype=np.float64)
    out.flags.writeable = False
    return out


def _frozen_index(values: NDArray[Any]) -> IntArray:
    out = np.ascontiguousarray(values, dtype=np.int64)
    out.flags.writeable = False
    return out


def _continuations(table: SegmentTable) -> NDArray[Any]:
    rows = np.nonzero(table.parent >= 0)[0]
    # Sorted so that for each parent the child that goes on is written last; the first among full equals.
    rows = rows[np.lexsort((-rows, _reach_mm(table)[rows], table.wood_mm2[rows]))]
    child = np.full(table.n, -1, dtype=np.int64)
    child[table.parent[rows]] = rows
    return child


def _reach_mm(table: SegmentTable) -> FloatArray:
    """The way from each lower end to its farthest tip; zeros where no two siblings are equally thick."""
    rows = np.lexsort((table.wood_mm2, table.parent))
    same_below, same_wood = np.diff(table.parent[rows]) == 0, np.diff(table.wood_mm2[rows]) == 0
    if not np.any(same_below & same_wood):
        return np.zeros(table.n)
    parent, reach = table.parent.tolist(), table.length_mm.astype(np.float64).tolist()
    length = list(reach)
    for row in range(table.n - 1, 0, -1):
        below = parent[row]
        reach[below] = max(reach[below], length[below] + reach[row])
    return np.asarray(reach)


def sum_to_root(parent: NDArray[Any], values: FloatArray) -> FloatArray:
    """For each segment the sum of a value over itself and all segments below it.

    Parameters
    ----------
    parent : (n,) int
        Parent index, -1 at the root.
    values : (n,) or (n, k) float
        A value or a vector for each segment.

    Returns
    -------
    (n,) or (n, k) float
        Sums from the root up to and with each segment.

    Source
    ------
    own: pointer doubling, exact but for rounding.

    Examples
    --------
    >>> sum_to_root(np.array([-1, 0, 1, 1]), np.array([1.0, 2.0, 3.0, 4.0]))
    array([1., 3., 6., 7.])
    """
    total = np.array(values, dtype=np.float64)
    above = np.asarray(parent, dtype=np.int64).copy()
    while True:
        rows = np.nonzero(above >= 0)[0]
        if len(rows) == 0:
            return total
        total[rows] += total[above[rows]]
        above[rows] = above[above[rows]]


def _complain(table: SegmentTable, bad: NDArray[np.bool_], why: str) -> None:
    if bad.any():
        row = int(np.argmax(bad))
        raise StructureError(why, where=_("segment {row} of {n}").format(row=row, n=table.n))


def _check_shapes(table: SegmentTable) -> None:
    if table.n == 0:
        raise StructureError(_("the table has no segments; a tree needs at least one"))
    for each in fields(table):
        if each.name == "basis":
            continue
        shape = getattr(table, each.name).shape
        wanted = (table.n, 3) if each.name == "direction" else (table.n,)
        if shape != wanted:
            raise StructureError(
                _("{name} has shape {shape}; {wanted} was expected").format(
                    name=each.name, shape=shape, wanted=wanted
                )
            )


def checked(table: SegmentTable) -> SegmentTable:
    """The table itself when it is a tree, else an error that names the first bad segment and why.

    Parameters
    ----------
    table : SegmentTable
        Any table.

    Returns
    -------
    SegmentTable
        The same object.

    Raises
    ------
    StructureError
        For a parent at or after its child, a second root, a length or area that is not positive and
        finite, a direction that is no unit vector, more sapwood than wood, or negative leaf area.

    Source
    ------
    own: what every other room relies on.

    Examples
    --------
    >>> checked(single_segment(length_mm=40.0, diameter_mm=3.0)).n
    1
    """
    _check_shapes(table)
    index = np.arange(table.n)
    wood, sapwood = table.wood_mm2, table.sapwood_mm2
    norm = np.linalg.norm(table.direction.astype(np.float64), axis=1)
    _complain(table, table.parent >= index, _("its parent does not come before it"))
    _complain(table, table.parent < -1, _("its parent index is below -1"))
    _complain(table, (table.parent == -1) != (index == 0), _("only the first segment is the root"))
    _complain(table, ~(np.isfinite(table.length_mm) & (table.length_mm > 0)), _("its length is not positive"))
    _complain(table, ~(np.isfinite(wood) & (wood > 0)), _("its wood area is not positive"))
    _complain(table, ~(np.abs(norm - 1.0) <= UNIT_TOLERANCE), _("its direction is no unit vector"))
    too_much = ~((sapwood >= 0) & (sapwood <= wood * (1 + SAPWOOD_TOLERANCE_FRAC)))
    _complain(table, too_much, _("its sapwood is negative or more than its wood"))
    _complain(table, ~(np.isfinite(table.leaf_cm2) & (table.leaf_cm2 >= 0)), _("its leaf area is negative"))
    return table


def single_segment(
    *, length_mm: float, diameter_mm: float, leaf_cm2: float = 0.0, born: int = 0, basis: str = "basics"
) -> SegmentTable:
    """A seedling: one upright segment.

    Parameters
    ----------
    length_mm, diameter_mm : float
        Size of the stem, in mm.
    leaf_cm2 : float
        Leaf area on it, in cm2.
    born : int
        Growing year it was made in.
    basis : str
        Where it comes from.

    Returns
    -------
    SegmentTable
        One row.

    Source
    ------
    own.

    Examples
    --------
    >>> float(single_segment(length_mm=40.0, diameter_mm=3.0).end_mm[0, 2])
    40.0
    """
    wood_mm2 = np.pi * diameter_mm**2 / 4.0
    return SegmentTable(
        parent=np.array([-1]),
        order=np.array([0]),
        born=np.array([born]),
        length_mm=np.array([length_mm]),
        direction=np.array([[0.0, 0.0, 1.0]]),
        wood_mm2=np.array([wood_mm2]),
        sapwood_mm2=np.array([wood_mm2]),
        leaf_cm2=np.array([leaf_cm2]),
        buds=np.array([1]),
        clone=np.array([0]),
        flags=np.array([int(Flag.TRUNK)]),
        basis=basis,
    )
