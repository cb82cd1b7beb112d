"""Cylinder models of trees, as forestry makes them from scanned clouds, turned into a measured tree.

Each cylinder becomes a segment. A cylinder that begins beside its parent parts the parent there; what gap
is left is bridged by a segment of its own, marked as assumed, so that every cylinder stays where it was.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from ringwise.kit.errors import FileFormatError, out_of_range
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray, IntArray
from ringwise.kit.words import _
from ringwise.structure.measured import How, MeasuredTree, checked_measured
from ringwise.structure.table import Flag, SegmentTable

MM3_PER_CM3 = 1000.0  # exact
BREAST_HEIGHT_MM = 1300.0  # where forestry measures a stem


@dataclass(frozen=True)
class Cylinders:
    """A cylinder model in mm: lower ends, upper ends, radii, parent rows (-1 at the root), orders if told."""

    start_mm: FloatArray  # (n, 3)
    end_mm: FloatArray  # (n, 3)
    radius_mm: FloatArray
    parent: IntArray
    order: IntArray | None = None

    @property
    def n(self) -> int:
        """How many cylinders there are."""
        return len(self.parent)


@dataclass(frozen=True)
class CylinderReport:
    """What a cylinder model says of itself, and what had to be added; sizes from the cylinders alone.

    `breast_diameter_mm` is that of the stem 1.3 m along it.
    `gap_at` is the cylinder, counted from 1, that begins furthest from its parent.
    """

    cylinders: int
    bridges: int
    widest_gap_mm: float
    gap_at: int
    height_mm: float
    breast_diameter_mm: float | None
    volume_cm3: float


def tree_from_cylinders(model: Cylinders) -> tuple[MeasuredTree, CylinderReport]:
    """A tree and a report from a cylinder model.

    Parameters
    ----------
    model : Cylinders
        In any row order.

    Returns
    -------
    MeasuredTree, CylinderReport
        The root's lower end is the origin; segments are marked as imported, bridges as assumed.

    Raises
    ------
    FileFormatError
        For a cylinder without size or place, several roots, or parents that go in a circle.

    Source
    ------
    treeqsm: what its cylinders mean; parting and bridging are own reasoning.

    Examples
    --------
    >>> ends = np.array([[0.0, 0.0, 500.0], [80.0, 0.0, 300.0]])
    >>> starts = np.array([[0.0, 0.0, 0.0], [30.0, 0.0, 300.0]])
    >>> tree, told = tree_from_cylinders(Cylinders(starts, ends, np.array([30.0, 5.0]), np.array([-1, 0])))
    >>> tree.n, told.bridges, told.widest_gap_mm
    (6, 1, 30.0)
    """
    _check(model)
    rows, parent, order = _in_order(model)
    joined = _Joined(model.start_mm[rows], model.end_mm[rows], model.radius_mm[rows], parent, order)
    joined.build()
    gaps = np.array(joined.gap_mm)
    widest = int(np.argmax(gaps))
    origin = model.start_mm[rows[0]]
    tree = _tree(joined, (float(origin[0]), float(origin[1]), float(origin[2])))
    return tree, CylinderReport(
        cylinders=model.n,
        bridges=joined.how.count(int(How.ASSUMED)),
        widest_gap_mm=float(gaps[widest]),
        gap_at=int(rows[widest]) + 1,
        height_mm=_height_mm(model),
        breast_diameter_mm=stem_diameter_mm(model, BREAST_HEIGHT_MM),
        volume_cm3=float(
            np.sum(np.pi * model.radius_mm**2 * np.linalg.norm(model.end_mm - model.start_mm, axis=1))
            / MM3_PER_CM3
        ),
    )


def _check(model: Cylinders) -> None:
    places = np.isfinite(model.start_mm).all(axis=1) & np.isfinite(model.end_mm).all(axis=1)
    _refuse(~places, _("its place is no number"))
    _refuse(~(np.isfinite(model.radius_mm) & (model.radius_mm > 0)), _("its radius is not above 0"))
    _refuse(~(np.linalg.norm(model.end_mm - model.start_mm, axis=1) > 0), _("its length is not above 0"))
    _refuse((model.parent < -1) | (model.parent >= model.n), _("its parent is none of the cylinders"))
    _refuse(model.parent == np.arange(model.n), _("it is its own parent"))
    roots = np.nonzero(model.parent < 0)[0]
    if len(roots) == 0:
        raise FileFormatError(_("no cylinder is the root: one must have no parent"))
    if len(roots) > 1:
        listed = ", ".join(str(each + 1) for each in roots[:5])
        raise FileFormatError(
            _(
                "{n} cylinders have no parent ({listed}); a model of one tree has one root. Split the file."
            ).format(n=len(roots), listed=listed)
        )


def _refuse(bad: Any, why: str) -> None:
    if bad.any():
        raise FileFormatError(why, where=_("cylinder {number}").format(number=int(np.argmax(bad)) + 1))


def _root_first(parent: IntArray) -> IntArray:
    """Rows in an order in which each follows its parent."""
    borne: list[list[int]] = [[] for _each in parent]
    found: list[int] = []
    for row, above in enumerate(parent.tolist()):
        (borne[above] if above >= 0 else found).append(row)
    for row in found:  # it grows while it is walked
        found.extend(borne[row])
    if len(found) < len(parent):
        lost = int(np.setdiff1d(np.arange(len(parent)), found)[0]) + 1
        raise FileFormatError(
            _("its parents go in a circle"), where=_("cylinder {number}").format(number=lost)
        )
    return np.array(found, np.int64)


def _in_order(model: Cylinders) -> tuple[IntArray, IntArray, IntArray]:
    """Rows of the model, root first; and in that order the parents' places and the orders, the stem's 0."""
    rows = _root_first(model.parent)
    place = np.argsort(rows)
    above = model.parent[rows]
    parent = np.where(above >= 0, place[above], -1)
    order = _orders(model, rows, parent) if model.order is None else model.order[rows]
    return rows, parent, order - order[0]  # some count the stem as 1


def _orders(model: Cylinders, rows: IntArray, parent: IntArray) -> IntArray:
    """Orders where the model tells none: the thickest child goes on, the others are one more."""
    radius = model.radius_mm[rows]
    order = np.zeros(len(rows), np.int64)
    goes_on: dict[int, int] = {}
    for row in range(1, len(rows)):
        best = goes_on.get(int(parent[row]))
        if best is None or radius[row] > radius[best]:
            goes_on[int(parent[row])] = row
    for row in range(1, len(rows)):
        order[row] = order[parent[row]] + (goes_on[int(parent[row])] != row)
    return order


@dataclass
class _Joined:
    """Cylinders, root first, while they are joined to a tree without gaps."""

    start: FloatArray
    end: FloatArray
    radius: FloatArray
    parent: IntArray
    order: IntArray
    above: list[int] = field(default_factory=list)
    top: list[FloatArray] = field(default_factory=list)
    thick: list[float] = field(default_factory=list)
    orders: list[int] = field(default_factory=list)
    how: list[int] = field(default_factory=list)
    gap_mm: list[float] = field(default_factory=list)

    def _add(self, above: int, top: FloatArray, cylinder: int, how: How) -> int:
        self.above.append(above)
        self.top.append(top)
        self.thick.append(float(self.radius[cylinder]))
        self.orders.append(int(self.order[cylinder]))
        self.how.append(int(how))
        return len(self.above) - 1

    def build(self) -> None:
        """Lay every cylinder down, parted where others begin beside it.

        A segment tapers to what follows it. So that a cylinder keeps its thickness, only a last short piece
        of it leads over to the next.
        """
        rule = load_table("ringwise.structure", "mesh").of("cylinder")
        closed_ratio, least_frac = rule["closed_ratio"].number, rule["least_frac"].number
        step_frac = rule["step_frac"].number
        shares = self._shares(least_frac)
        borne: list[list[int]] = [[] for _each in self.parent]
        for row in range(1, len(self.parent)):
            borne[self.parent[row]].append(row)
        attached = np.full(len(self.parent), -1, np.int64)
        for row in range(len(self.parent)):
            foot = self.start[0] if row == 0 else self.top[attached[row]]
            gap = float(np.linalg.norm(self.start[row] - foot))
            self.gap_mm.append(gap)
            at = int(attached[row])
            if gap > closed_ratio * self.radius[row]:
                at = self._add(at, self.start[row], row, How.ASSUMED)
            ends = sorted({float(shares[child]) for child in borne[row]} | {1.0})
            for below, share in zip([0.0, *ends], ends, strict=False):
                stops = [share] if share < 1.0 else [1.0 - step_frac * (1.0 - below), 1.0]
                for stop in stops:
                    way = stop * (self.end[row] - self.start[row])
                    at = self._add(at, self.start[row] + way, row, How.IMPORTED)
                for child in borne[row]:
                    if shares[child] == share:
                        attached[child] = at

    def _shares(self, least_frac: float) -> FloatArray:
        """How far along its parent each cylinder begins; 1 at the upper end or beyond."""
        out = np.ones(len(self.parent))
        way = self.end - self.start
        for row in range(1, len(self.parent)):
            parent = int(self.parent[row])
            share = float((self.start[row] - self.start[parent]) @ way[parent] / (way[parent] @ way[parent]))
            out[row] = 1.0 if share > 1.0 - least_frac else round(max(share, least_frac), 6)
        return out


def _tree(joined: _Joined, origin_mm: tuple[float, float, float]) -> MeasuredTree:
    n = len(joined.above)
    parent = np.array(joined.above)
    top = np.array(joined.top) - joined.start[0]
    steps = top - np.where((parent >= 0)[:, None], top[parent], 0.0)
    length = np.maximum(np.linalg.norm(steps, axis=1), 1e-3)
    wood = np.pi * np.array(joined.thick) ** 2
    order = np.array(joined.orders)
    table = SegmentTable(
        parent=parent,
        order=order,
        born=np.zeros(n),
        length_mm=length,
        direction=steps / length[:, None],
        wood_mm2=wood,
        sapwood_mm2=wood,
        leaf_cm2=np.zeros(n),
        buds=np.zeros(n),
        clone=np.zeros(n),
        flags=np.where(order == 0, int(Flag.TRUNK), 0),
        basis="imported",
    )
    how = np.array(joined.how)
    return checked_measured(MeasuredTree(table, np.full(n, np.nan), np.full(n, np.nan), how, (), origin_mm))


def _height_mm(model: Cylinders) -> float:
    ends = np.concatenate([model.start_mm[:, 2], model.end_mm[:, 2]])
    return float(ends.max() - ends.min())


def stem_diameter_mm(model: Cylinders, at_mm: float) -> float | None:
    """Diameter of the cylinder of the stem at a way from its foot.

    Parameters
    ----------
    model : Cylinders
        A model, root first or not.
    at_mm : float
        Way along the stem, over its cylinders.

    Returns
    -------
    float or None
        None where the stem is not so long.

    Raises
    ------
    RangeError
        For a way that is negative.

    Source
    ------
    treeqsm: the stem's first cylinder by whose end the lengths come to the way, as its tree data have it.

    Examples
    --------
    >>> pole = Cylinders(np.zeros((1, 3)), np.array([[0.0, 0.0, 2e3]]), np.array([50.0]), np.array([-1]))
    >>> stem_diameter_mm(pole, 1300.0)
    100.0
    """
    if not at_mm >= 0 or math.isinf(at_mm):
        raise out_of_range(_("height"), f"{at_mm:g} mm", _("0 mm or more"))
    rows, _parent, order = _in_order(model)
    stem = rows[order == 0]
    along = np.cumsum(np.linalg.norm(model.end_mm[stem] - model.start_mm[stem], axis=1))
    if along[-1] < at_mm:
        return None
    return 2.0 * float(model.radius_mm[stem[np.searchsorted(along, at_mm)]])


def numbered_parents(ids: Sequence[int], parents: Sequence[int]) -> IntArray:
    """Parent rows from the numbers that a file gives its cylinders.

    Parameters
    ----------
    ids : sequence of int
        Number of each cylinder.
    parents : sequence of int
        Number of the cylinder that each grows from; 0 or below, and no cylinder, is a root.

    Returns
    -------
    (n,) int
        Rows, -1 at a root.

    Raises
    ------
    FileFormatError
        For a number that is given twice, or a parent that is none of them.

    Source
    ------
    own.

    Examples
    --------
    >>> numbered_parents([1, 2, 3], [0, 1, 1]).tolist()
    [-1, 0, 0]
    """
    row_of: dict[int, int] = {}
    for row, number in enumerate(ids):
        if number in row_of:
            raise FileFormatError(_("number {number} is given twice").format(number=number))
        row_of[number] = row
    out = np.empty(len(row_of), np.int64)
    for row, number in enumerate(parents):
        if number in row_of:
            out[row] = row_of[number]
        elif number <= 0:
            out[row] = -1
        else:
            raise FileFormatError(
                _("its parent {number} is none of the cylinders").format(number=number),
                where=_("cylinder {number}").format(number=row + 1),
            )
    return out
