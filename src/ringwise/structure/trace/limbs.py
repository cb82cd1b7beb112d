"""Radius along each traced branch: as seen where it is clear, filled in at forks, reckoned where it is thin.

Where a branch is hidden its radius comes from both clean sides; towards its base from its taper, never
thicker than its parent; and where it is thinner than a photo tells reliably from the pipe rule: its
cross-section lessens with the length of wood it still carries.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d, median_filter

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.structure.measured import How
from ringwise.structure.trace.axes import Axis, distances, nearest_on
from ringwise.structure.trace.rules import TraceRules

_ROUND = 0.25 * np.pi
_NEIGHBOURS = 21  # places that a radius is held against
_STEADY = 9  # places over which clean radii are steadied
_SLOPE_PLACES = 40  # clean places that tell the taper towards the base
_THINNER_PCT = 25.0  # of the ends: wood behind an end can only widen it
_FEWEST = 3  # clean places that a branch needs to count as seen


@dataclass(frozen=True)
class Limb:
    """A branch with a radius at every place of its axis, from `foot_mm` on its parent's axis on.

    `along_parent_mm` says where on the parent's axis it begins; places before `exit` lie inside the parent.
    `carried_mm` is the length of traced wood beyond each place.
    """

    id: str
    parent: int
    order: int
    axis: Axis
    along_parent_mm: float
    foot_mm: FloatArray
    exit: int
    radius_mm: FloatArray
    radius_sd_mm: FloatArray
    how: NDArray[np.uint8]
    carried_mm: FloatArray


def limb_of(id: str, axis: Axis, parent: int, limbs: Sequence[Limb], rules: TraceRules) -> Limb:
    """A branch with radii where they were seen, NaN where nothing tells them yet.

    Parameters
    ----------
    id : str
        Of the branch.
    axis : Axis
        Its line and clean widths.
    parent : int
        Its parent among `limbs`, -1 for the trunk.
    limbs : sequence of Limb
        Those before it.
    rules : TraceRules
        From the table.

    Returns
    -------
    Limb
        Radii finite between and around clean places.

    Source
    ------
    own.

    Examples
    --------
    >>> limb_of.__name__
    'limb_of'
    """
    points = axis.points_mm
    radius = axis.radius_mm.copy()
    collar = np.zeros(len(points), dtype=bool)
    foot, along_parent, leaves, most_mm = np.zeros(3), 0.0, 0, np.inf
    if parent >= 0:
        above = limbs[parent]
        along_parent, foot, _gap = _leaving(above, axis)
        own = np.nan_to_num(np.nanmedian(radius) if np.isfinite(radius).any() else 0.0)
        far = distances(above.axis.points_mm, above.radius_mm, points)
        leaves = min(_first(far > 1.0), len(points) - 2)
        clear = _first(far > rules.collar_ratio)
        collar = np.arange(len(points)) < clear
        at_fork = float(np.interp(along_parent, above.axis.along_mm, above.radius_mm))
        most_mm = rules.most_of_parent_frac * at_fork
        radius[collar] = np.nan
        if own > most_mm:
            radius[:] = np.nan
    valid = _steady_ones(radius, rules)
    shown, how = _filled(axis, radius, valid, collar, most_mm, rules)
    sd = _spread(shown, how, axis.radius_sd_mm, rules)
    order = 0 if parent < 0 else limbs[parent].order + 1
    carried = axis.along_mm[-1] - axis.along_mm
    return Limb(id, parent, order, axis, along_parent, foot, leaves, shown, sd, how, carried)


def _leaving(above: Limb, axis: Axis) -> tuple[float, FloatArray, float]:
    """Where on its parent's axis a branch begins: next to its first place, on a piece of the parent."""
    return nearest_on(above.axis.points_mm, axis.points_mm[0])


def _first(mask: BoolArray) -> int:
    return int(np.argmax(mask)) if mask.any() else len(mask)


def _steady_ones(radius: FloatArray, rules: TraceRules) -> BoolArray:
    """Clean radii that follow those around them."""
    valid = np.isfinite(radius)
    if valid.sum() < _FEWEST:
        return np.zeros(len(radius), dtype=bool)
    rows = np.nonzero(valid)[0]
    around = median_filter(radius[rows], size=min(_NEIGHBOURS, len(rows)), mode="nearest")
    good = np.abs(radius[rows] - around) <= rules.trend_frac * around
    out = np.zeros(len(radius), dtype=bool)
    out[rows[good]] = True
    return out


def _filled(
    axis: Axis, radius: FloatArray, valid: BoolArray, collar: BoolArray, most_mm: float, rules: TraceRules
) -> tuple[FloatArray, NDArray[np.uint8]]:
    """Radii at all places up to the last clean one, and what each rests on; NaN beyond and where none is."""
    along = axis.along_mm
    how = np.full(len(along), int(How.OVERLAPPED), dtype=np.uint8)
    if valid.sum() < _FEWEST:
        return np.full(len(along), np.nan), how
    rows = np.nonzero(valid)[0]
    own = radius[rows]
    steady = median_filter(own, size=min(_STEADY, len(own)), mode="nearest")
    steady = gaussian_filter1d(steady, 1.5, mode="nearest")
    shown = np.interp(along, along[rows], steady)
    sure = np.nonzero(valid & (axis.sure | _lone(axis, radius, valid, rules)))[0]
    if len(sure) > 0:
        near = np.abs(along[:, None] - along[sure][None, :]).min(axis=1)
        how[_gaps(along, sure) <= rules.fork_gap_ratio * 2.0 * shown] = int(How.FILLED)
        how[near <= 0.5 * rules.closest_mm] = int(How.TRACED)
    first, last = rows[0], rows[-1]
    slope = _taper_towards_base(along[rows], steady, rules)
    below = np.arange(len(along)) < first
    shown[below] = steady[0] + slope * (along[first] - along[below])
    how[below & collar] = int(How.FILLED)
    shown = np.minimum(shown, most_mm)
    shown[np.arange(len(along)) > last] = np.nan
    return shown, how


def _lone(axis: Axis, radius: FloatArray, valid: BoolArray, rules: TraceRules) -> BoolArray:
    """Widths from one of two photos that can be believed: thick wood, or like what both show nearby."""
    both = np.nonzero(valid & axis.sure)[0]
    thick = 2.0 * radius >= rules.lone_mm
    if len(both) == 0:
        return np.asarray(thick)
    likely = np.interp(axis.along_mm, axis.along_mm[both], radius[both])
    return np.asarray(thick | (np.abs(radius - likely) <= rules.trend_frac * likely))


def _gaps(along: FloatArray, rows: NDArray[np.int64]) -> FloatArray:
    """Length of the gap between clean places in which each place lies; infinite before and after them."""
    before = np.searchsorted(along[rows], along, side="right") - 1
    inside = (before >= 0) & (before < len(rows) - 1)
    low = along[rows][np.clip(before, 0, len(rows) - 1)]
    high = along[rows][np.clip(before + 1, 0, len(rows) - 1)]
    return np.where(inside, high - low, np.inf)


def _taper_towards_base(along: FloatArray, radius: FloatArray, rules: TraceRules) -> float:
    n = min(len(along), _SLOPE_PLACES)
    if n < _FEWEST + 1 or along[n - 1] - along[0] <= 0.0:
        return 0.0
    slope = -float(np.polyfit(along[:n], radius[:n], 1)[0])
    return float(np.clip(slope, 0.0, rules.steepest_taper_ratio))


def _spread(radius: FloatArray, how: NDArray[np.uint8], seen_sd: FloatArray, rules: TraceRules) -> FloatArray:
    share = np.select(
        [how == How.TRACED, how == How.FILLED, how == How.PIPE],
        [0.0, rules.filled_sd_frac, rules.pipe_sd_frac],
        rules.overlapped_sd_frac,
    )
    base = np.where(np.isfinite(seen_sd), seen_sd, 0.0)
    return np.hypot(share * radius, base)


def with_pipes(limbs: Sequence[Limb], tip_mm: float, rules: TraceRules) -> list[Limb]:
    """All branches with a radius everywhere: the thin and hidden ends reckoned by the pipe rule.

    Parameters
    ----------
    limbs : sequence of Limb
        Parents first.
    tip_mm : float
        Diameter of a tip of the species; this tree's own where its tips are seen to be thicker.
    rules : TraceRules
        Below which thickness it is reckoned, and its spread.

    Returns
    -------
    list of Limb
        Finite radii; `How.PIPE` where reckoned.

    Source
    ------
    shinozaki1964: the cross-section goes with what is carried; here with the length of traced wood beyond.

    Examples
    --------
    >>> from ringwise.structure.trace.rules import trace_rules
    >>> with_pipes([], 1.3, trace_rules())
    []
    """
    loaded = _with_loads(limbs)
    tip_mm2 = _ROUND * max(tip_mm, _own_tip_mm(loaded)) ** 2
    usual = _area_per_length(loaded, tip_mm2, rules)
    done: list[Limb] = []
    for limb in loaded:
        most_mm = np.inf
        if limb.parent >= 0:
            above = done[limb.parent]
            at_fork = float(np.interp(limb.along_parent_mm, above.axis.along_mm, above.radius_mm))
            most_mm = rules.most_of_parent_frac * at_fork
        done.append(_piped(limb, tip_mm2, usual, most_mm, rules))
    return done


def _with_loads(limbs: Sequence[Limb]) -> list[Limb]:
    """Each with the length of all wood beyond each place, its branches' too."""
    carried = [limb.carried_mm.copy() for limb in limbs]
    for number in range(len(limbs) - 1, 0, -1):
        limb = limbs[number]
        before = limbs[limb.parent].axis.along_mm <= limb.along_parent_mm
        carried[limb.parent] += np.where(before, carried[number][0], 0.0)
    return [replace(limb, carried_mm=load) for limb, load in zip(limbs, carried, strict=True)]


def _own_tip_mm(limbs: Sequence[Limb]) -> float:
    """Diameter at the ends of branches that are seen clear, from the thinner ones; 0 where none is."""
    ends = [limb.axis.radius_mm[-_STEADY:] for limb in limbs]
    seen = [2.0 * float(np.nanmin(end)) for end in ends if np.isfinite(end).any()]
    return float(np.percentile(seen, _THINNER_PCT)) if len(seen) >= _FEWEST else 0.0


def _area_per_length(limbs: Sequence[Limb], tip_mm2: float, rules: TraceRules) -> float:
    """Cross-section beyond that of a tip for each mm carried, as this tree's clear thin branches have it."""
    ratios: list[float] = []
    for limb in limbs:
        clear = (limb.how == How.TRACED) & (limb.radius_mm < 2.0 * rules.thin_mm) & (limb.carried_mm > 0.0)
        area = 4.0 * _ROUND * limb.radius_mm[clear] ** 2
        ratios += ((area - tip_mm2) / limb.carried_mm[clear]).tolist()
    return max(float(np.median(ratios)), 0.0) if ratios else 0.0


def _unlikely(limb: Limb, tip_mm2: float, usual_mm: float, rules: TraceRules) -> BoolArray:
    """Radii far above what this tree's branches of that length have: other wood may lie behind them."""
    by_pipe = np.sqrt((tip_mm2 + usual_mm * limb.carried_mm) / (4.0 * _ROUND))
    with np.errstate(invalid="ignore"):
        return np.asarray((limb.how == How.TRACED) & (limb.radius_mm > rules.unlikely_ratio * by_pipe))


def _piped(limb: Limb, tip_mm2: float, usual_mm: float, most_mm: float, rules: TraceRules) -> Limb:
    radius, how = limb.radius_mm.copy(), limb.how.copy()
    thick = np.isfinite(radius) & (2.0 * radius >= rules.thin_mm)
    last = int(np.nonzero(thick)[0][-1]) if thick.any() else -1
    reckoned = ~thick & ((np.arange(len(radius)) > last) | ~np.isfinite(radius))
    if last >= 0:
        per_mm = max(4.0 * _ROUND * radius[last] ** 2 - tip_mm2, 0.0) / max(limb.carried_mm[last], 1e-6)
    else:
        per_mm = usual_mm
    by_pipe = np.sqrt((tip_mm2 + per_mm * limb.carried_mm) / (4.0 * _ROUND))
    seen = np.where(np.isfinite(radius), radius, np.inf)
    radius = np.where(reckoned, np.minimum(by_pipe, seen), radius)
    if limb.order > 0 and usual_mm > 0.0:
        how[_unlikely(limb, tip_mm2, usual_mm, rules)] = int(How.OVERLAPPED)
    how[reckoned | ~thick] = int(How.PIPE)
    radius = np.minimum(radius, most_mm)
    if limb.parent < 0 and not thick.any():
        how[:] = int(How.PIPE)
    sd = _spread(radius, how, limb.axis.radius_sd_mm, rules)
    return replace(limb, radius_mm=radius, radius_sd_mm=sd, how=how)
