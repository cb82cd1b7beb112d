"""The cutting-plane scan: what every height of a trunk would give if it were layered or cut there, now.

For every place along the trunk both sides are told from sums over its nodes, without cutting anything: the
tree above, the stump below, the ring between them, the chance of roots, and why a ring cannot be set there.
A front of good compromises is marked; no place is called the best.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ringwise.futures.rings import (
    NOTHING_KNOWN,
    Lives,
    Rings,
    Trunk,
    ring_number,
    rings_at,
    thick_stem_mm,
    trunk_of,
)
from ringwise.growth.biology import Biology
from ringwise.growth.odds import odds_quantile, odds_table, shifted_prob
from ringwise.kit.tables import load_table
from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.structure.measured import MeasuredTree
from ringwise.structure.measures import proportions

STEP_MM = 5.0  # places along the trunk are no farther apart; a ring is set no more exactly
MOST_PLACES = 400
_LEVELS = np.array([0.1, 0.5, 0.9])
FRONT_MEASURES = ("top_off_proportion", "stump_off_proportion", "fewer_tips_n", "rooting_prob")


@dataclass(frozen=True)
class Side:
    """One side of every cut: height, girth at its own base, height against base, taper, branches, tips.

    `taper_ratio` is the trunk at half the side's height against its base; NaN where nothing is left.
    """

    height_mm: FloatArray
    base_girth_mm: FloatArray
    height_to_base_ratio: FloatArray
    taper_ratio: FloatArray
    branches_n: IntArray
    tips_n: IntArray

    @property
    def sizes(self) -> tuple[str, ...]:
        """The trade's term for each size."""
        return tuple(size_term(each) for each in self.height_mm.tolist())


@dataclass(frozen=True)
class Scan:
    """All places of a trunk or branch; `along_mm` from its foot, `height_mm` above the soil.

    `rooting_low_prob`, `rooting_prob` and `rooting_high_prob` are the 10, 50 and 90 % levels of the chance
    that a ring there roots. `live_branches_n` live below the ring, the highest of them leaves the trunk at
    `leader_mm` (NaN without one). `lost_branches_n` come off with the bark of the ring.
    """

    along_mm: FloatArray
    height_mm: FloatArray
    above: Side
    below: Side
    rings: Rings
    rooting_low_prob: FloatArray
    rooting_prob: FloatArray
    rooting_high_prob: FloatArray
    live_branches_n: IntArray
    lost_branches_n: IntArray
    leader_mm: FloatArray
    stump_leaf_cm2: FloatArray
    front: BoolArray
    trunk: Trunk


def size_term(height_mm: float) -> str:
    """The trade's term for a tree of a height.

    Parameters
    ----------
    height_mm : float
        Above the soil.

    Returns
    -------
    str
        Key of the table `sizes`; "over" beyond the tallest.

    Source
    ------
    practice: table `sizes`; groups draw the lines differently.

    Examples
    --------
    >>> size_term(170.0), size_term(420.0)
    ('shohin', 'chuhin')
    """
    for key, most in _sizes():
        if height_mm <= most:
            return key
    return "over"


@lru_cache(maxsize=1)
def _sizes() -> tuple[tuple[str, float], ...]:
    rows = [(row.key, row.number) for row in load_table("ringwise.futures", "sizes")]
    return tuple(sorted(rows, key=lambda row: row[1]))


def scan(
    tree: MeasuredTree, life: Biology, lives: Lives = NOTHING_KNOWN, *, along_mm: FloatArray | None = None
) -> Scan:
    """Every place along a trunk, as if it were cut there now.

    Parameters
    ----------
    tree : MeasuredTree
        A tree, or a branch cut off as one.
    life : Biology
        Its taxon, for the odds of a layer.
    lives : Lives
        What must live below a ring.
    along_mm : (n,) float, optional
        Places along the trunk, rising; one every few mm by default.

    Returns
    -------
    Scan
        Both sides, ring, odds, reasons, and the front of good compromises.

    Source
    ------
    own: cumulative sums and extremes over the trunk's nodes, as `cut_at`; practice for rings and proportions.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> found = scan(measured_of(single_segment(length_mm=400.0, diameter_mm=20.0)), biology(("morus",)))
    >>> float(found.height_mm[0]), bool(found.rings.feasible.any())
    (5.0, False)
    """
    trunk = trunk_of(tree)
    last = float(trunk.plane.along_mm[-1])
    if along_mm is None:
        step = max(STEP_MM, last / MOST_PLACES)
        along_mm = np.arange(step, last, step)
    at_mm = np.asarray(along_mm, dtype=np.float64)
    plane = trunk.plane
    height = np.interp(at_mm, plane.along_mm, plane.place_mm[:, 2])
    rings = rings_at(trunk, at_mm, lives)
    low, middle, high = _rooting(life, rings.diameter_mm)
    below_ring = trunk.below(np.maximum(rings.lower_mm, 0.0))
    branches = trunk.branches_below
    above, below = _above(trunk, at_mm, height), _below(trunk, at_mm, height)
    return Scan(
        along_mm=at_mm,
        height_mm=height,
        above=above,
        below=below,
        rings=rings,
        rooting_low_prob=low,
        rooting_prob=middle,
        rooting_high_prob=high,
        live_branches_n=branches[below_ring],
        lost_branches_n=branches[trunk.below(at_mm)] - branches[below_ring],
        leader_mm=_leader_mm(trunk, below_ring),
        stump_leaf_cm2=trunk.leaf_below_cm2[below_ring],
        front=front_of(above, below, middle, rings),
        trunk=trunk,
    )


def _rooting(life: Biology, diameter_mm: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Levels of the chance of roots: the taxon's odds, lower on thick wood."""
    known = odds_quantile(life.layer, _LEVELS)
    thick = shifted_prob(known, odds_table().get("shift", "thick_stem").number)
    rows = np.where((np.asarray(diameter_mm) > thick_stem_mm())[:, None], thick, known)
    return rows[:, 0], rows[:, 1], rows[:, 2]


def _side(
    trunk: Trunk,
    height_mm: FloatArray,
    girth_mm: FloatArray,
    middle_mm: FloatArray,
    counts: tuple[IntArray, ...],
) -> Side:
    base_mm = girth_mm / np.pi
    half_mm = np.pi * _diameter_at(trunk, middle_mm)
    with np.errstate(divide="ignore", invalid="ignore"):
        return Side(
            height_mm=height_mm,
            base_girth_mm=girth_mm,
            height_to_base_ratio=np.where(base_mm > 0, height_mm / base_mm, np.nan),
            taper_ratio=np.where(girth_mm > 0, half_mm / girth_mm, np.nan),
            branches_n=counts[0],
            tips_n=counts[1],
        )


def _diameter_at(trunk: Trunk, height_mm: FloatArray) -> FloatArray:
    """Thickness of the trunk where it first reaches heights above the soil; that of its end beyond."""
    plane = trunk.plane
    rising = np.maximum.accumulate(plane.place_mm[:, 2])
    first = np.concatenate([[True], np.diff(rising) > 0])
    return np.asarray(np.interp(height_mm, rising[first], plane.diameter_mm[first]))


def _above(trunk: Trunk, at_mm: FloatArray, height: FloatArray) -> Side:
    plane = trunk.plane
    highest = np.fmax(plane.place_mm[:, 2], plane.top_mm)
    top = np.maximum.accumulate(highest[::-1])[::-1]
    inside = trunk.below(at_mm)
    over = np.maximum(top[np.minimum(inside, len(top) - 1)], height)
    girth = np.interp(at_mm, plane.along_mm, plane.girth_mm)
    tips = np.concatenate([[0], np.cumsum(plane.tips)])
    counts = (
        trunk.branches_below[-1] - trunk.branches_below[inside],
        tips[-1] - tips[inside],
    )
    return _side(trunk, over - height, girth, (over + height) / 2.0, counts)


def _below(trunk: Trunk, at_mm: FloatArray, height: FloatArray) -> Side:
    plane = trunk.plane
    highest = np.maximum.accumulate(np.fmax(plane.place_mm[:, 2], plane.top_mm))
    inside = trunk.below(at_mm)
    over = np.maximum(np.where(inside > 0, highest[np.maximum(inside - 1, 0)], 0.0), height)
    girth = np.full(len(at_mm), plane.base_girth_mm)
    tips = np.concatenate([[0], np.cumsum(plane.tips)])
    # A stump that ends below half of a high branch is as thick at its half as at its cut.
    counts = (trunk.branches_below[inside], tips[inside])
    return _side(trunk, over, girth, np.minimum(over / 2.0, height), counts)


def _leader_mm(trunk: Trunk, below_ring: IntArray) -> FloatArray:
    """Height at which the highest branch below each ring leaves the trunk; NaN without one."""
    count = np.diff(trunk.branches_below)
    z = np.where(count > 0, trunk.plane.place_mm[:, 2], np.nan)
    best = np.concatenate([[np.nan], np.fmax.accumulate(z)])
    return np.asarray(best[below_ring])


def front_measures(above: Side, below: Side, rooting: FloatArray) -> FloatArray:
    """What the front weighs, every column so that less is better, in the order of `FRONT_MEASURES`.

    Parameters
    ----------
    above, below : Side
        Both sides.
    rooting : (n,) float
        Chance of roots.

    Returns
    -------
    (n, 4) float
        How far top and stump lie from the usual proportion (in factors of two, to a tenth), tips of the
        side that has fewer, the chance to a hundredth; counts and chances are negative.

    Source
    ------
    own; practice: table `proportions` for height against base.

    Examples
    --------
    >>> len(FRONT_MEASURES)
    4
    """
    usual = next(
        row.number for row in proportions() if (row.key, row.parameter) == ("height_to_base", "ratio")
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        off = [np.abs(np.log2(side.height_to_base_ratio / usual)).round(1) for side in (above, below)]
    fewer = np.minimum(above.tips_n, below.tips_n)
    return np.stack([*off, -fewer.astype(np.float64), -rooting.round(2)], axis=1)


def front_of(above: Side, below: Side, rooting: FloatArray, rings: Rings) -> BoolArray:
    """Which feasible places no other feasible one beats in every measure of the front.

    Parameters
    ----------
    above, below, rooting
        As given to `front_measures`.
    rings : Rings
        Where one can be set.

    Returns
    -------
    (n,) bool
        None where no ring can be set or the top would be no tree; of places that are alike the lowest
        stands for all.

    Source
    ------
    own: Pareto dominance.

    Examples
    --------
    >>> FRONT_MEASURES[-1]
    'rooting_prob'
    """
    cost = front_measures(above, below, rooting)
    is_tree = above.height_mm >= ring_number("least_height", "top")
    places = np.nonzero(rings.feasible & is_tree & np.isfinite(cost).all(axis=1))[0]
    of = cost[places]
    no_worse = (of[:, None, :] <= of[None, :, :]).all(axis=2)
    better = no_worse & (of[:, None, :] < of[None, :, :]).any(axis=2)
    alike = no_worse & no_worse.T
    earlier = np.triu(alike, 1)  # a lower place that is alike
    keep = ~(better | earlier).any(axis=0)
    out = np.zeros(len(rooting), dtype=bool)
    out[places[keep]] = True
    return out
