"""One clock of one tree: what past seasons teach, what this season rules out, samples of its stages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ringwise.kit.chance import Purpose, normal, uniform
from ringwise.kit.days import GrowingYear
from ringwise.kit.types import FloatArray, IntArray
from ringwise.phenology.offsets import Offset, Prior, inside, offset, resampled, tempered
from ringwise.phenology.seen import Interval, SeenStage, conditions, interval
from ringwise.phenology.species import Clock

_ERROR, _CUT = 101, 102  # sub-draws of Purpose.FORECAST; part of stored results, never renumbered


@dataclass(frozen=True)
class Shared:
    """What the other trees say: the place's offset, this season's of the group, weights of the kind.

    `site_days` (one for all parameter draws or one a draw) and `site_sd_days` are the prior of the place's
    lasting offset, `group_days` this season's shift of the group, `kin_weight_log` how well each parameter
    draw fits the other trees of the kind.
    """

    site_days: float | FloatArray
    site_sd_days: float
    group_days: float = 0.0
    kin_weight_log: FloatArray | None = None


@dataclass(frozen=True)
class Spread:
    """How uncertain a clock is: its lasting offset's prior, and what is left in each season, in days."""

    prior: Prior
    season_sd_days: float


@dataclass(frozen=True)
class ClockSamples:
    """Samples (n, codes) of the days of a clock's stages, and the offset learned.

    `member` (n,) is the weather year of each sample, `shares` how much of the draws each of the clock's
    members has after own seasons were weighed.
    """

    days: FloatArray
    learned: Offset
    member: IntArray
    shares: FloatArray


def learned_offset(clock: Clock, seen: Sequence[SeenStage], year: GrowingYear, spread: Spread) -> Offset:
    """The lasting offset of one tree from its past seasons, one sighting a season.

    Parameters
    ----------
    clock : Clock
        Of its kind.
    seen : sequence of SeenStage
        Of the tree, any year; weak seasons and branches out of step are left aside.
    year : GrowingYear
        The year of the forecast; earlier ones teach.
    spread : Spread
        Prior of the offset and spread of a season.

    Returns
    -------
    Offset
        The prior itself where no season teaches.

    Source
    ------
    own reasoning (conjugate normal).

    Examples
    --------
    >>> from ringwise.phenology.mixture import Member
    >>> one = Member(None, "11", 1.0, draws=1)
    >>> oak = Clock(("07", "11"), (one,), np.full((1, 1), 110.0), {2026: np.array([108.0])},
    ...             np.array([[0.0, 7.0]]), ("11",), np.array([[7.0]]))
    >>> from datetime import date
    >>> late = SeenStage("11", GrowingYear(2026), date(2026, 4, 25), date(2026, 4, 24))
    >>> round(float(learned_offset(oak, [late], GrowingYear(2027), Spread(Prior(0.0, 3.0), 3.0)).mean[0]), 1)
    3.5
    """
    taught = [_residual(clock, told) for told in best_by_year(clock, seen, year)]
    draws = clock.now.shape[1]
    if not taught:
        return Offset(np.zeros(draws) + spread.prior.mean_days, spread.prior.sd_days, np.zeros(draws), 0)
    residuals = np.stack([each for each, _variance in taught])
    variances = np.array([variance for _each, variance in taught]) + spread.season_sd_days**2
    learned = offset(residuals, variances, spread.prior)
    # Where own seasons have shared out the draws already, they do not weigh them once more.
    return replace(learned, weight_log=np.zeros(draws)) if clock.taught else learned


@dataclass(frozen=True)
class Told:
    """A past season's sighting: its growing year and the interval it lies in."""

    label: int
    interval: Interval


def best_by_year(clock: Clock, seen: Sequence[SeenStage], year: GrowingYear) -> list[Told]:
    """The sighting of each past season that says most of a clock.

    Parameters
    ----------
    clock : Clock
        Of the kind.
    seen : sequence of SeenStage
        Of one tree, any year; weak seasons and branches out of step are left aside.
    year : GrowingYear
        The year of the forecast; earlier ones teach.

    Returns
    -------
    list of Told
        In the order of years; none of a season that the clock cannot time.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.phenology.species import Clock
    >>> bare = Clock(("07",), (), np.zeros((1, 0)), {}, np.zeros((1, 1)), ("07",), np.zeros((1, 1)))
    >>> best_by_year(bare, [], GrowingYear(2027))
    []
    """
    best: dict[int, Told] = {}
    for each in seen:
        label = each.year.label
        if label >= year.label or not each.teaches or each.code not in clock.codes:
            continue
        if label not in clock.past or bool(np.isnan(clock.past[label]).any()):
            continue
        told = Told(label, interval(each))
        if label not in best or _noise(clock, told.interval) < _noise(clock, best[label].interval):
            best[label] = told
    return [best[label] for label in sorted(best)]


def _noise(clock: Clock, told: Interval) -> float:
    """Variance of a sighting around the anchor's day: the days between them and the days between visits."""
    return float(clock.gap_variance[clock.column(told.code)]) + told.variance


def _residual(clock: Clock, told: Told) -> tuple[FloatArray, float]:
    gap = clock.gap_days[:, clock.column(told.interval.code)]
    return told.interval.middle_index - gap - clock.past[told.label], _noise(clock, told.interval)


def season_residual(
    clock: Clock, seen: Sequence[SeenStage], learned: Offset, year: GrowingYear
) -> float | None:
    """How many days this season's latest sighting came after what was forecast for this tree.

    Parameters
    ----------
    clock : Clock
        Of its kind.
    seen : sequence of SeenStage
        Of the tree, any year.
    learned : Offset
        Its lasting offset.
    year : GrowingYear
        This year.

    Returns
    -------
    float or None
        Days; None where nothing that teaches was seen.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.phenology.mixture import Member
    >>> oak = Clock(("07", "11"), (Member(None, "11", 1.0, draws=1),), np.full((1, 1), 110.0), {},
    ...             np.array([[0.0, 7.0]]), ("11",), np.array([[7.0]]))
    >>> none = Offset(np.zeros(1), 3.0, np.zeros(1), 0)
    >>> season_residual(oak, [], none, GrowingYear(2027)) is None
    True
    """
    told = [each for each in seen if each.year == year and each.teaches and each.code in clock.codes]
    if not told:
        return None
    latest = interval(max(told, key=lambda each: clock.column(each.code)))
    days = clock.now + learned.mean + clock.gap_days[:, clock.column(latest.code)]
    return latest.middle_index - float(np.nanmedian(days[:, resampled(learned.weight_log, days.shape[1])]))


@dataclass(frozen=True)
class Middle:
    """Where each sample's anchor day is centred, and the spread around it, in days."""

    index: FloatArray
    sd_days: float


def clock_samples(
    clock: Clock,
    seen: Sequence[SeenStage],
    year: GrowingYear,
    spread: Spread,
    *,
    key: tuple[int, int],
    shared: Shared,
) -> ClockSamples:
    """Samples of the days on which a tree passes the stages of a clock.

    Parameters
    ----------
    clock : Clock
        Of its kind.
    seen : sequence of SeenStage
        Of the tree, any year.
    year : GrowingYear
        The year of the forecast.
    spread : Spread
        Prior of the offset and spread of a season.
    key : tuple of int
        The run's seed and the tree's number.
    shared : Shared
        What the other trees say.

    Returns
    -------
    ClockSamples
        Weather year x parameter draw x offset x season, kept to what was seen this year; NaN where
        a stage is never reached.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.phenology.mixture import Member
    >>> oak = Clock(("07", "11"), (Member(None, "11", 1.0, draws=1),), np.full((2, 1), 110.0), {},
    ...             np.array([[0.0, 7.0], [0.0, 8.0]]), ("11",), np.array([[7.0], [8.0]]))
    >>> clock_samples(oak, [], GrowingYear(2027), Spread(Prior(0.0, 3.0), 3.0), key=(7, 1),
    ...               shared=Shared(0.0, 3.0)).days.shape
    (2, 2)
    """
    learned = learned_offset(clock, seen, year, spread)
    weight = (
        learned.weight_log if shared.kin_weight_log is None else learned.weight_log + shared.kin_weight_log
    )
    chosen = resampled(weight, clock.now.shape[1])
    middle = (clock.now[:, chosen] + learned.mean[chosen] + shared.group_days).ravel()
    sd = float(np.hypot(learned.sd_days, spread.season_sd_days))
    numbers = np.arange(middle.size)
    anchor = middle + sd * normal(key[0], numbers, year.label, _ERROR, Purpose.FORECAST, key[1])
    gaps = clock.hung(chosen)
    kept = numbers
    told = conditions([each for each in seen if each.year == year], clock.codes)
    if told:
        luck = uniform(key[0], numbers, year.label, _CUT, Purpose.FORECAST, key[1])
        anchor, kept = _conditioned(clock, told, gaps, Middle(middle, sd), luck)
        gaps = gaps[kept]
    count = clock.now.shape[1]
    shares = np.bincount(clock.member_of[chosen], minlength=len(clock.members)) / count
    return ClockSamples(anchor[:, None] + gaps, learned, kept // count, shares)


def _conditioned(
    clock: Clock, told: Sequence[Interval], gaps: FloatArray, around: Middle, luck: FloatArray
) -> tuple[FloatArray, IntArray]:
    """Anchor days that agree with what was seen, and the sample each is of; old sightings yield to new."""
    middle, sd_days = around.index, around.sd_days
    for count in range(len(told), 0, -1):
        low, high = _bounds(clock, told[:count], gaps)
        cut = inside(middle, sd_days, low, high, luck)
        if bool(np.isfinite(cut.weight_log).any()):
            kept = resampled(tempered(cut.weight_log), middle.size)
            fresh = inside(middle[kept], sd_days, low[kept], high[kept], luck)
            return fresh.days, kept
    return middle, np.arange(middle.size)


def _bounds(clock: Clock, told: Sequence[Interval], gaps: FloatArray) -> tuple[FloatArray, FloatArray]:
    low = np.full(gaps.shape[0], -np.inf)
    high = np.full(gaps.shape[0], np.inf)
    for each in told:
        gap = gaps[:, clock.column(each.code)]
        low, high = np.maximum(low, each.low_index - gap), np.minimum(high, each.high_index - gap)
    return low, high
