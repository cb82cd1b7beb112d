"""When the stages of one tree will come, as samples: weather years x parameter draws x offset x season."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np

from ringwise.kit import show
from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import unknown_name
from ringwise.kit.ranged import DateBand
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.types import FloatArray, IntArray
from ringwise.kit.words import _, counted
from ringwise.phenology.clock import ClockSamples, Shared, Spread, clock_samples
from ringwise.phenology.offsets import Offset, Prior
from ringwise.phenology.seen import HALF_DAY, SeenStage, TreeRecord, known_by, spread_of, variation
from ringwise.phenology.species import Clock, SpeciesDays
from ringwise.phenology.stages import AUTUMN, SPRING, place, stage
from ringwise.weather.described import described_trace, is_described

BAND_PCT = (10.0, 50.0, 90.0)


@dataclass(frozen=True)
class StageForecast:
    """Samples (n, codes) of the day index of each leaf stage, never decreasing along `codes`.

    A stage not reached within the weather years stands on `horizon_index`, the day after their last.
    `own_seasons` counts the past springs of this very tree that taught; `basis` is that of the rows
    which decide the day. `member` (n,) is the weather year in which each sample's spring runs, so that a
    frost and a stage of the same year can be held against each other; empty where it is not known.
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


def stage_forecast(
    record: TreeRecord, species: SpeciesDays, *, today: date, shared: Shared | None = None
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
    others = shared or alone()
    key = (species.luck.seed, record.tree)
    year = species.weather.year
    spring = clock_samples(species.spring, told, year, spring_spread(others), key=key, shared=others)
    parts = {code: spring.days[:, k] for k, code in enumerate(SPRING)}
    if species.autumn is not None:
        spread = Spread(Prior(0.0, spread_of("autumn_site_sd")), spread_of("autumn_season_sd"))
        autumn = clock_samples(species.autumn, told, year, spread, key=key, shared=Shared(0.0, 0.0))
        parts |= {code: autumn.days[:, k] for k, code in enumerate(AUTUMN)}
    members = species.weather.members
    horizon = members.first_index + members.tmean_degC.shape[1]
    return StageForecast(
        year=year,
        codes=species.codes,
        days=_ordered(parts, species.codes, float(year.day_index(year.start)), float(horizon)),
        model=species.spring.choice.model,
        own_seasons=spring.learned.seasons,
        basis=species.spring.choice.basis,
        trace=_trace(species, told, spring, others),
        horizon_index=horizon,
        weather_years=members.n,
        member=spring.member,
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


def _trace(species: SpeciesDays, told: tuple[SeenStage, ...], spring: ClockSamples, shared: Shared) -> Trace:
    """The chain: model and its rows, weather, own seasons, this year's sightings, days between stages."""
    clock, year = species.spring, species.weather.year
    inputs = [_model_trace(clock, year), _weather_trace(species), _offset_trace(spring.learned, shared)]
    inputs += [_seen_trace(each) for each in told if each.year == year]
    inputs += [trace_parameter(row) for row in clock.spacing]
    return Trace(
        label=_("stage forecast"),
        value=_("{n} samples").format(n=species.samples),
        room="phenology.forecast",
        formula=_("day of the model + own offset + days between stages"),
        source="own",
        basis=clock.choice.basis,
        inputs=tuple(inputs),
    )


def _model_trace(clock: Clock, year: GrowingYear) -> Trace:
    known = clock.now[~np.isnan(clock.now)]
    middle = (
        _("not reached") if known.size == 0 else show.day(year.day_at(float(np.median(known))), year=True)
    )
    return Trace(
        label=_("day of the model, median over the weather years"),
        value=middle,
        room="phenology.models",
        formula=f"{clock.choice.model}, {clock.choice.event} = {clock.choice.code}",
        source="own",
        basis=clock.choice.basis,
        inputs=tuple(trace_parameter(row) for row in clock.choice.rows.values()),
    )


def _weather_trace(species: SpeciesDays) -> Trace:
    members = species.weather.members
    if is_described(members.source):
        return described_trace(members.n)
    observed = int(members.observed.sum())
    invented = _(" (invented)") if members.invented else ""
    return Trace(
        label=_("weather of {station}{invented}").format(station=members.station, invented=invented),
        value=_("{days} days observed, then {years}").format(
            days=observed, years=counted("{n} past year", "{n} past years", members.n)
        ),
        room="weather.years",
        formula=_("past growing years, same calendar days"),
        source="taylor2020",
        basis="assumed" if members.invented or members.few else "measured",
    )


def _offset_trace(learned: Offset, shared: Shared) -> Trace:
    rows = [variation().get("any", name) for name in ("tree_sd", "site_sd", "season_sd")]
    days = show.number(float(learned.mean.mean()), 2)
    return Trace(
        label=_("own offset from {seasons}").format(
            seasons=counted("{n} own season", "{n} own seasons", learned.seasons)
        ),
        value=_("{days} days, spread {sd} days").format(days=days, sd=show.number(learned.sd_days, 2)),
        room="phenology.offsets",
        formula=_("sum of residuals shrunk towards the place's {site} days").format(
            site=show.number(float(np.mean(shared.site_days)), 2)
        ),
        source="own",
        basis="fitted" if learned.seasons else "assumed",
        inputs=tuple(trace_parameter(row) for row in rows),
    )


def _seen_trace(seen: SeenStage) -> Trace:
    if seen.latest is None:
        value = _("not yet on {day}").format(day=show.day(seen.earliest, year=True))
    else:
        value = _("seen {day}, not yet {before}").format(
            day=show.day(seen.latest, year=True), before=show.day(seen.earliest)
        )
    return Trace(
        label=_("stage {code} this year").format(code=seen.code),
        value=value,
        room="phenology.seen",
        formula=_("samples kept inside the interval"),
        source="own",
        basis="measured",
    )
