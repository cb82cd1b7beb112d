"""Rings of layers: how wide, where along the trunk they can be set, and why not elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ringwise.kit.show import length
from ringwise.kit.tables import load_table
from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.kit.words import _
from ringwise.structure.cut_plane import CutPlane, cut_plane
from ringwise.structure.measured import MeasuredTree
from ringwise.structure.measures import branch_feet
from ringwise.structure.orders import gravelius_order
from ringwise.structure.table import Flag

FEASIBLE, NO_TRUNK, IN_SOIL, UNION, KNOT, WOUND, DEAD_WOOD, NO_GREEN, NO_BUDS = range(9)


@lru_cache(maxsize=32)
def ring_number(parameter: str, key: str = "ring") -> float:
    """A number of the table `rings`.

    Parameters
    ----------
    parameter, key : str
        Its name and that of its row.

    Returns
    -------
    float
        Its middle value.

    Source
    ------
    practice: table `rings`.

    Examples
    --------
    >>> ring_number("most")
    50.0
    """
    return load_table("ringwise.operations", "rings").get(key, parameter).number


def thick_stem_mm() -> float:
    """From which thickness on wood roots less often.

    Returns
    -------
    float
        In mm; the row that runs take it from.

    Source
    ------
    own: effects.csv, layer thick_stem.

    Examples
    --------
    >>> thick_stem_mm()
    40.0
    """
    return load_table("ringwise.operations", "effects").get("layer", "thick_stem").number


def ring_width_mm(diameter_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The least and the most width of a ring that heals over too late to bridge.

    Parameters
    ----------
    diameter_mm : (n,) float
        Thickness of the wood to girdle.

    Returns
    -------
    tuple of (n,) float
        Least and most width in mm.

    Source
    ------
    practice: one to two times the thickness of thin wood, one to one and a half times that of thicker wood,
    never more than about 50 mm (table `rings`).

    Examples
    --------
    >>> [each.tolist() for each in ring_width_mm(np.array([10.0, 40.0, 90.0]))]
    [[10.0, 40.0, 50.0], [20.0, 50.0, 50.0]]
    """
    wood = np.asarray(diameter_mm, dtype=np.float64)
    thin = wood <= ring_number("thin_to")
    least = np.where(thin, ring_number("thin_least_ratio"), ring_number("thick_least_ratio")) * wood
    most = np.where(thin, ring_number("thin_most_ratio"), ring_number("thick_most_ratio")) * wood
    widest = ring_number("most")
    return np.minimum(least, widest), np.minimum(most, widest)


@dataclass(frozen=True)
class Trunk:
    """A trunk (or a branch) with what a ring on it meets; ways are along it, from its foot, in mm.

    `leaf_below_cm2`, `buds_below` and `branches_below` count what is borne below the k-th node, the last
    entry being the whole. Each bump is a place on the trunk that a ring must keep off by its `clear_mm`.
    """

    plane: CutPlane
    leaf_below_cm2: FloatArray
    buds_below: FloatArray
    branches_below: IntArray
    bump_mm: FloatArray
    bump_clear_mm: FloatArray
    bump_why: IntArray
    clone: IntArray

    def at(self, height_mm: float) -> float:
        """The way along it at which it first reaches a height above the soil; NaN where it never does."""
        z = self.plane.place_mm[:, 2]
        over = np.nonzero(z >= height_mm)[0]
        if len(over) == 0:
            return float("nan")
        last = int(over[0])
        if last == 0:
            return 0.0
        share = (height_mm - z[last - 1]) / (z[last] - z[last - 1])
        along = self.plane.along_mm
        return float(along[last - 1] + share * (along[last] - along[last - 1]))

    def below(self, along_mm: FloatArray) -> IntArray:
        """How many nodes lie below each cut."""
        return np.asarray(np.searchsorted(self.plane.along_mm, along_mm, side="left"), dtype=np.int64)


def trunk_of(tree: MeasuredTree) -> Trunk:
    """The trunk of a tree as rings meet it.

    Parameters
    ----------
    tree : MeasuredTree
        A tree, or a branch cut off as one.

    Returns
    -------
    Trunk
        Its nodes, sums and bumps.

    Source
    ------
    practice: no ring at a knot, a wound, dead wood or a graft union.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> trunk = trunk_of(measured_of(single_segment(length_mm=400.0, diameter_mm=30.0)))
    >>> trunk.at(100.0), len(trunk.bump_mm)
    (100.0, 0)
    """
    table = tree.table
    plane = cut_plane(tree)
    borne = plane.node.copy()
    borne[plane.trunk_rows] += 1  # leaves and buds of a trunk's segment sit at its upper end
    feet = branch_feet(table)
    feet = feet[gravelius_order(table)[feet] == 1]
    size = len(plane.along_mm)
    sums = [
        np.concatenate([[0.0], np.cumsum(np.bincount(borne, values, size))])
        for values in (table.leaf_cm2.astype(np.float64), table.buds.astype(np.float64))
    ]
    branches = np.concatenate([[0], np.cumsum(np.bincount(plane.node[feet], minlength=size))])
    bumps = _bumps(tree, plane, feet)
    return Trunk(plane, sums[0], sums[1], branches, *bumps, table.clone[plane.trunk_rows].astype(np.int64))


def _bumps(tree: MeasuredTree, plane: CutPlane, feet: IntArray) -> tuple[FloatArray, FloatArray, IntArray]:
    table, along, rows = tree.table, plane.along_mm, plane.trunk_rows
    flags = table.flags[rows]
    where: list[FloatArray] = []
    clear: list[FloatArray] = []
    why: list[IntArray] = []

    def add(at_mm: FloatArray, clear_mm: FloatArray, code: int) -> None:
        where.append(at_mm)
        clear.append(clear_mm)
        why.append(np.full(len(at_mm), code, dtype=np.int64))

    foot_mm = table.diameter_mm[feet]
    thick = foot_mm > ring_number("knot_ratio") * plane.diameter_mm[plane.node[feet]]
    add(along[plane.node[feet[thick]]], foot_mm[thick] / 2.0, KNOT)
    joined = np.nonzero(flags & Flag.JOINED)[0]
    add(along[joined], np.maximum(ring_number("union_clear"), plane.diameter_mm[joined] / 2.0), UNION)
    cut = np.nonzero(flags & Flag.CUT_END)[0]
    cut = cut[cut < len(rows) - 1]  # the cut that ends the trunk is no place for a ring anyway
    add(along[cut + 1], plane.diameter_mm[cut + 1] / 2.0, WOUND)
    dead = np.nonzero(flags & Flag.DEAD)[0]
    add((along[dead] + along[dead + 1]) / 2.0, (along[dead + 1] - along[dead]) / 2.0, DEAD_WOOD)
    return np.concatenate(where), np.concatenate(clear), np.concatenate(why)


@dataclass(frozen=True)
class Lives:
    """What must live below a ring: `green` for a conifer; `buds` if dormant buds were seen there.

    `spared` where the part below is given up (the base of a ground layer) or lives on by itself (a branch).
    """

    green: bool = False
    buds: bool = False
    spared: bool = False


NOTHING_KNOWN = Lives()


@dataclass(frozen=True)
class Rings:
    """Rings at many places: their upper edges, the wood there, least and most width, and why not.

    `why` is 0 where a ring can be set. `lower_mm` is the lower edge of the narrowest ring, the height of the
    stump that is left.
    """

    upper_mm: FloatArray
    diameter_mm: FloatArray
    least_mm: FloatArray
    most_mm: FloatArray
    why: IntArray

    @property
    def lower_mm(self) -> FloatArray:
        """Lower edges of the narrowest rings."""
        return self.upper_mm - self.least_mm

    @property
    def feasible(self) -> BoolArray:
        """Where a ring can be set."""
        return np.asarray(self.why == FEASIBLE)


def rings_at(trunk: Trunk, along_mm: FloatArray, lives: Lives = NOTHING_KNOWN) -> Rings:
    """Rings with their upper edges at places along a trunk.

    Parameters
    ----------
    trunk : Trunk
        Of a tree.
    along_mm : (n,) float
        Ways along it; NaN for a place that it does not reach.
    lives : Lives
        What must live below.

    Returns
    -------
    Rings
        Width, and the first reason against each.

    Source
    ------
    practice: a conifer dies below a ring without live green there, a broadleaf without a live branch or
    buds that were seen; no ring on a wound, dead wood or union, no upper edge at a knot (what grows within
    the ring comes off with the bark).

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> trunk = trunk_of(measured_of(single_segment(length_mm=400.0, diameter_mm=20.0)))
    >>> rings_at(trunk, np.array([10.0, 200.0, np.nan]), Lives(spared=True)).why.tolist() == [0, 0, NO_TRUNK]
    True
    >>> rings_at(trunk, np.array([10.0, 200.0])).why.tolist() == [IN_SOIL, NO_BUDS]
    True
    """
    plane = trunk.plane
    upper = np.asarray(along_mm, dtype=np.float64)
    inside = (upper > 0.0) & (upper < plane.along_mm[-1])
    at_mm = np.where(inside, upper, 0.0)
    wood = np.interp(at_mm, plane.along_mm, plane.diameter_mm)
    least, most = ring_width_mm(wood)
    lower = at_mm - least
    why = np.zeros(len(upper), dtype=np.int64)
    below = trunk.below(np.maximum(lower, 0.0))
    if not lives.spared:
        leaf, buds = trunk.leaf_below_cm2[below] > 0.0, trunk.buds_below[below] > 0.0
        why[~leaf & ~(lives.buds & buds)] = NO_BUDS
        if lives.green:
            why[~leaf] = NO_GREEN
        why[lower <= 0.0] = IN_SOIL
    # Roots come from the upper edge: that keeps off a knot, the whole ring keeps off all else.
    reach = np.where(trunk.bump_why == KNOT, at_mm[:, None], lower[:, None])
    near = (trunk.bump_mm + trunk.bump_clear_mm > reach) & (
        trunk.bump_mm - trunk.bump_clear_mm < at_mm[:, None]
    )
    hit = near.any(axis=1)
    if hit.any():
        why[hit] = trunk.bump_why[np.argmax(near, axis=1)[hit]]
    why[~inside] = NO_TRUNK
    return Rings(upper, wood, least, most, why)


def why_words(why: int, height_mm: float) -> str:
    """Why a ring cannot be set at a height, in one line.

    Parameters
    ----------
    why : int
        A code of this module.
    height_mm : float
        Of its upper edge.

    Returns
    -------
    str
        Empty where it can be set.

    Source
    ------
    own.

    Examples
    --------
    >>> why_words(NO_TRUNK, 3000.0)
    'a ring at 3 m does not meet the trunk'
    """
    words = {
        FEASIBLE: "",
        NO_TRUNK: _("a ring at {height} does not meet the trunk"),
        IN_SOIL: _("the lower edge of a ring at {height} lies in the soil; take a ground layer"),
        UNION: _("a ring at {height} would lie on a graft union"),
        KNOT: _("a ring at {height} has its upper edge at a knot: a thick branch grows there"),
        WOUND: _("a ring at {height} would lie on a wound"),
        DEAD_WOOD: _("a ring at {height} would lie on dead wood"),
        NO_GREEN: _("a layer at {height} leaves no live green below it; the stump of a conifer would die"),
        NO_BUDS: _("a layer at {height} leaves no live branch below it, and no dormant bud there is known"),
    }
    return words[why].format(height=length(height_mm))
