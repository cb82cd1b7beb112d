"""When the stages of one tree will come, as samples: weather years x parameter draws x offset x season."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np

from ringwise.kit import show
from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import unknown_name
from ringwise.kit.ranged import DateBand
from ringwise.kit.trace import Trace
from ringwise.kit.types import FloatArray, IntArray
from ringwise.kit.words import _
from ringwise.phenology.chain import forecast_chain
from ringwise.phenology.clock import Shared, Spread, clock_samples
from ringwise.phenology.offsets import Prior
from ringwise.phenology.seen import HALF_DAY, TreeRecord, known_by, spread_of
from ringwise.phenology.species import Clock, SpeciesDays
from ringwise.phenology.stages import AUTUMN, SPRING, place, stage
from ringwise.phenology.usual import Usual, to_leaf, usual_leaf

BAND_PCT = (10.0, 50.0, 90.0)


@dataclass(frozen=True)
class StageForecast:
    """Samples (n, codes) of the day index of each leaf stage, never decreasing along `codes`.

    A stage not reached within the weather years stands on `horizon_index`, the day after their last.
    `own_seasons` counts the past springs of this very tree that taught; `basis` is that of the rows
    which decide the day. `member` (n,) is the weather year in which each sample's spring runs, so that a
    frost and a stage of the same year can be held against each other; empty where it is not known. `model` is
    the one with the largest share. `usual` is the mean day of past leaf unfoldings, the benchmark. `before`
    is the forecast of the year before, where its autumn still matters: a rest begins with its leaf fall.
    """

    year: GrowingYear
    codes: tuple[str, ...]
    days: FloatArray
    model: str
    own_seasons: int
    basis: str
    trace: Trace
    horizon_index: int
    weather_years: int
    member: IntArray = field(default_factory=lambda: np.zeros(0, dtype=np.int64), repr=False, compare=False)
    usual: Usual | None = None
    before: StageForecast | None = field(default=None, repr=False, compare=False)

    @property
    def usual_day(self) -> date | None:
        """The usual day of leaf unfolding, in this growing year; None where none was dated in the past."""
        return None if self.usual is None else self.year.day_at(self.usual.day_index)

    @property
    def usual_seasons(self) -> int:
        """How many past seasons the usual day is the mean of."""
        return 0 if self.usual is None else self.usual.seasons

    def samples(self, code: str) -> FloatArray:
        """Day index of a stage in each sample."""
        samples: FloatArray = self.days[:, self._column(code)]
        return samples

    def band(self, code: str) -> DateBand:
        """The 10th, 50th and 90th percentile of a stage's day, as dates."""
        low, median, high = np.percentile(self.samples(code), BAND_PCT)
        return DateBand(*(self.year.day_at(float(each)) for each in (low, median, high)))

    def prob_reached(self, code: str, when: date) -> float:
        """The share of samples in which a stage has come by the end of a day."""
        by = min(self.year.day_index(when) + HALF_DAY, self.horizon_index - HALF_DAY)
        return float((self.samples(code) <= by).mean())

    def prob_never(self, code: str) -> float:
        """The share of samples in which a stage is not reached within the weather years."""
        return float((self.samples(code) >= self.horizon_index).mean())

    def why(self, code: str) -> Trace:
        """The chain behind a stage's median day."""
        band = self.band(code)
        name = _("stage {code} ({words}), median").format(code=code, words=stage(code).words)
        return replace(self.trace, label=name, value=show.day(band.median, year=True))

    def _column(self, code: str) -> int:
        if code not in self.codes:
            place(code)  # a code that no tree has is named as such
            raise unknown_name(_("stage of this kind of tree"), code, self.codes)
        return self.codes.index(code)


def alone() -> Shared:
    """What is known of a place before any of its trees was watched.

    Returns
    -------
    Shared
        No offset, with the spread of places.

    Source
    ------
    own reasoning; the spread's row names its own.

    Examples
    --------
    >>> alone().site_days
    0.0
    """
    return Shared(0.0, spread_of("site_sd"))


def spring_spread(shared: Shared) -> Spread:
    """The spread of a tree's spring clock: its place and itself, and each season.

    Parameters
    ----------
    shared : Shared
        The place's offset as the other trees tell it.

    Returns
    -------
    Spread
        In days.

    Source
    ------
    own reasoning; the rows name their own.

    Examples
    --------
    >>> round(spring_spread(alone()).prior.sd_days, 2)
    4.33
    """
    sd_days = float(np.hypot(shared.site_sd_days, spread_of("tree_sd")))
    return Spread(Prior(shared.site_days, sd_days), spread_of("season_sd"))


def autumn_spread(clock: Clock) -> Spread:
    """The spread of a tree's autumn clock.

    Parameters
    ----------
    clock : Clock
        Of its kind.

    Returns
    -------
    Spread
        Narrower once own autumns of the kind have set its middle.

    Source
    ------
    own reasoning; the rows name their own.

    Examples
    --------
    >>> bare = Clock((), (), np.zeros((1, 0)), {}, np.zeros((1, 0)), (), np.zeros((1, 0)))
    >>> autumn_spread(bare).prior.sd_days, autumn_spread(replace(bare, taught=100)).prior.sd_days < 3
    (8.0, True)
    """
    season_sd_days = spread_of("autumn_season_sd")
    if not clock.taught:
        return Spread(Prior(0.0, spread_of("autumn_site_sd")), season_sd_days)
    mean_sd_days = season_sd_days / math.sqrt(clock.taught)
    return Spread(Prior(0.0, float(np.hypot(mean_sd_days, spread_of("tree_sd")))), season_sd_days)


def beside(clock: Clock, shared: Shared) -> Shared:
    """What the other trees say beside a spring clock: nothing of the place once its own kind has taught it.

    Parameters
    ----------
    clock : Clock
        Of a kind.
    shared : Shared
        What the other trees say of one of its trees.

    Returns
    -------
    Shared
        Where own seasons have moved the models and shared out the draws, they are not counted once more: what
        is left of the place is how far the mean of those seasons may lie from it.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> bare = Clock((), (), np.zeros((1, 0)), {}, np.zeros((1, 0)), (), np.zeros((1, 0)), taught=16)
    >>> beside(bare, Shared(4.0, 2.0)).site_days, beside(bare, Shared(4.0, 2.0)).site_sd_days
    (0.0, 1.15)
    """
    if not clock.taught:
        return shared
    return Shared(0.0, spread_of("season_sd") / math.sqrt(clock.taught), shared.group_days)


def stage_forecast(
    record: TreeRecord,
    species: SpeciesDays,
    *,
    today: date,
    shared: Shared | None = None,
    kin_usual: Usual | None = None,
) -> StageForecast:
    """When the stages of one tree will come in the growing year of its weather.

    Parameters
    ----------
    record : TreeRecord
        The tree and every stage seen on it; sightings after `today` are left aside.
    species : SpeciesDays
        Of its kind, from `species.species_days`; shared by all trees of the kind.
    today : date
        The day of the outlook.
    shared : Shared, optional
        What the other trees of the yard say; by default nothing.
    kin_usual : Usual, optional
        The usual day of its kind in the yard, shown where the tree has none of its own.

    Returns
    -------
    StageForecast
        Samples that agree with what was seen this year.

    Source
    ------
    own reasoning: ensemble of past years (taylor2020), normal offsets in closed form.

    Examples
    --------
    >>> from ringwise.phenology.choice import Luck
    >>> from ringwise.phenology.species import species_days, yard_weather
    >>> from ringwise.records.taxa import taxon
    >>> from ringwise.weather.series import series_of
    >>> from ringwise.weather.years import members
    >>> warm = series_of(date(2010, 11, 1), {"tmean_degC": np.full(4 * 366, 8.0)})
    >>> issue = date(2014, 3, 1)
    >>> yard = yard_weather(warm, members(warm, issue=issue, year=GrowingYear(2014)))
    >>> kind = species_days(taxon("acer_palmatum"), yard, Luck(7, 4))
    >>> forecast = stage_forecast(TreeRecord(3, kind.taxon), kind, today=issue)
    >>> bool((np.diff(forecast.days, axis=1) >= 0).all()), forecast.own_seasons
    (True, 0)
    """
    told = known_by(record.seen, today)
    others = beside(species.spring, shared or alone())
    key = (species.luck.seed, record.tree)
    year = species.weather.year
    spring = clock_samples(species.spring, told, year, spring_spread(others), key=key, shared=others)
    leading = species.spring.members[int(np.argmax(spring.shares))]
    parts = {code: spring.days[:, k] for k, code in enumerate(SPRING)}
    if species.autumn is not None:
        spread = autumn_spread(species.autumn)
        autumn = clock_samples(species.autumn, told, year, spread, key=key, shared=Shared(0.0, 0.0))
        parts |= {code: autumn.days[:, k] for k, code in enumerate(AUTUMN)}
    members = species.weather.members
    horizon = members.first_index + members.tmean_degC.shape[1]
    return StageForecast(
        year=year,
        codes=species.codes,
        days=_ordered(parts, species.codes, float(year.day_index(year.start)), float(horizon)),
        model=leading.name,
        own_seasons=spring.learned.seasons,
        basis=leading.basis,
        trace=forecast_chain(species, told, spring, others),
        horizon_index=horizon,
        weather_years=members.n,
        member=spring.member,
        usual=usual_leaf([told], year, to_leaf(species.spring), own=True) or kin_usual,
    )


def _ordered(
    parts: dict[str, FloatArray], codes: tuple[str, ...], start_index: float, horizon_index: float
) -> FloatArray:
    """Columns in stage order, none before the year's start or an earlier stage, cut at the horizon."""
    count = next(iter(parts.values())).size
    columns = [np.full(count, start_index) if code == "00" else parts[code] for code in codes]
    days = np.stack(columns, axis=1)
    bounded = np.clip(np.where(np.isnan(days), horizon_index, days), start_index, horizon_index)
    ordered: FloatArray = np.maximum.accumulate(bounded, axis=1)
    return ordered
