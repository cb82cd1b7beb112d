"""What trees of one kind share in a forecast: model days in all weather years, days between stages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ringwise.kit.days import GrowingYear
from ringwise.kit.tables import Parameter
from ringwise.kit.types import FloatArray
from ringwise.phenology.choice import (
    Choice,
    Luck,
    drawn_parameters,
    entity,
    mirrored,
    named_choice,
    spring_choice,
)
from ringwise.phenology.models import model
from ringwise.phenology.seen import spread_of
from ringwise.phenology.spacing import (
    AUTUMN_PHASES,
    SPRING_PHASES,
    autumn_gaps,
    paced_steps,
    phase_days,
    spacing_rows,
    spring_gaps,
)
from ringwise.phenology.stages import AUTUMN, SPRING, codes_of
from ringwise.phenology.sums import DailyMeans, daily_means
from ringwise.records.taxa import Taxon, lookup_keys
from ringwise.weather.series import WeatherSeries
from ringwise.weather.years import WeatherMembers, lived


@dataclass(frozen=True)
class YardWeather:
    """Daily means of the weather years to come, and of the past growing years as lived, at one place."""

    year: GrowingYear
    now: DailyMeans
    past: DailyMeans
    labels: tuple[int, ...]
    members: WeatherMembers

    def on(self, members: WeatherMembers) -> YardWeather:
        """The same past with other weather years to come, those of another issue day."""
        return replace(self, now=_ahead(members, self.now.latitude_deg), members=members)


def yard_weather(
    series: WeatherSeries, members: WeatherMembers, *, latitude_deg: float | None = None
) -> YardWeather:
    """The weather that every forecast of a yard, or of one place in it, stands on.

    Parameters
    ----------
    series : WeatherSeries
        The series of the place.
    members : WeatherMembers
        Weather years made from it.
    latitude_deg : float, optional
        South negative; without it no model that reads the length of the day is used.

    Returns
    -------
    YardWeather
        Past years reach back to the start of the series; days without a mean are NaN.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.weather.series import series_of
    >>> from ringwise.weather.years import members
    >>> warm = series_of(date(2010, 11, 1), {"tmean_degC": np.full(4 * 366, 8.0)})
    >>> yard_weather(warm, members(warm, issue=date(2014, 3, 1), year=GrowingYear(2014))).labels
    (2011, 2012, 2013)
    """
    year = members.year
    labels = [
        k for k in range(series.first.year, year.label) if GrowingYear(k, year.south).end >= series.first
    ]
    past = daily_means(
        _as_lived(series, labels, year, "tmean_degC"),
        first_index=year.day_index(year.start),
        year=year,
        latitude_deg=latitude_deg,
        tmin_degC=_as_lived(series, labels, year, "tmin_degC"),
        tmax_degC=_as_lived(series, labels, year, "tmax_degC"),
    )
    return YardWeather(year, _ahead(members, latitude_deg), past, tuple(labels), members)


def _as_lived(series: WeatherSeries, labels: Sequence[int], year: GrowingYear, measure: str) -> FloatArray:
    """A measure of past growing years, a row each; NaN where the series has none."""
    rows = [lived(series, GrowingYear(label, year.south), measure=measure) for label in labels]
    longest = max((row.size for row in rows), default=1)
    past = np.full((max(len(rows), 1), longest), np.nan)
    for k, row in enumerate(rows):
        past[k, : row.size] = row
    return past


def _ahead(members: WeatherMembers, latitude_deg: float | None) -> DailyMeans:
    return daily_means(
        members.tmean_degC,
        first_index=members.first_index,
        year=members.year,
        latitude_deg=latitude_deg,
        tmin_degC=members.tmin_degC,
        tmax_degC=members.tmax_degC,
    )


@dataclass(frozen=True)
class Clock:
    """One clock of a kind of tree: days of its anchor stage, and days from the anchor to its other stages.

    `now` is (members, draws); `past` holds (draws,) by label of the growing year, NaN where not reached;
    `gaps` is (members x draws, codes).
    """

    codes: tuple[str, ...]
    choice: Choice
    now: FloatArray
    past: Mapping[int, FloatArray]
    gaps: FloatArray
    spacing: tuple[Parameter, ...]

    @cached_property
    def gap_days(self) -> FloatArray:
        """Mean days from the anchor to each stage."""
        mean: FloatArray = self.gaps.mean(axis=0)
        return mean

    @cached_property
    def gap_variance(self) -> FloatArray:
        """Variance of the days from the anchor to each stage, in square days."""
        variance: FloatArray = self.gaps.var(axis=0)
        return variance


@dataclass(frozen=True)
class SpeciesDays:
    """What trees of one kind share in one yard and growing year; evergreens have no autumn clock."""

    taxon: Taxon
    weather: YardWeather
    luck: Luck
    codes: tuple[str, ...]
    spring: Clock
    autumn: Clock | None

    @property
    def samples(self) -> int:
        """Members times draws."""
        return self.weather.members.n * self.luck.draws


def species_days(taxon: Taxon, weather: YardWeather, luck: Luck) -> SpeciesDays:
    """Run the models of a kind of tree once, for all its trees in the yard.

    Parameters
    ----------
    taxon : Taxon
        The kind; any tree of groups G1 to G7 has at least its group's row.
    weather : YardWeather
        From `yard_weather`.
    luck : Luck
        Seed and number of parameter draws.

    Returns
    -------
    SpeciesDays
        To be handed to `forecast.stage_forecast` for each of its trees.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.records.taxa import taxon
    >>> from ringwise.weather.series import series_of
    >>> from ringwise.weather.years import members
    >>> warm = series_of(date(2010, 11, 1), {"tmean_degC": np.full(4 * 366, 8.0)})
    >>> yard = yard_weather(warm, members(warm, issue=date(2014, 3, 1), year=GrowingYear(2014)))
    >>> species_days(taxon("acer_palmatum"), yard, Luck(7, 4)).spring.now.shape
    (3, 4)
    """
    keys = lookup_keys(taxon.key)
    codes = codes_of(taxon.group, taxon.leaf_habit)
    rows = spacing_rows(keys)
    spring_rows, autumn_rows = rows[: len(SPRING_PHASES)], rows[len(SPRING_PHASES) :]
    steps = _steps(taxon, weather, luck)
    choice = spring_choice(keys, leaf_habit=taxon.leaf_habit)
    gaps = spring_gaps(phase_days(spring_rows, steps[:, : len(SPRING_PHASES)]))
    spring = _clock(SPRING, choice, gaps, weather, luck, spacing=spring_rows)
    autumn = None
    if codes[-1] in AUTUMN:
        late = named_choice("cool_run", "any", "half_fall")
        late_gaps = autumn_gaps(phase_days(autumn_rows, steps[:, len(SPRING_PHASES) :]))
        autumn = _clock(AUTUMN, late, late_gaps, weather, luck, spacing=autumn_rows)
    return SpeciesDays(taxon, weather, luck, codes, spring, autumn)


def _steps(taxon: Taxon, weather: YardWeather, luck: Luck) -> FloatArray:
    phases = len(SPRING_PHASES) + len(AUTUMN_PHASES)
    samples = weather.members.n * luck.draws
    return paced_steps(luck.seed, samples, phases, entity(taxon.key), year=weather.year.label)


def _clock(
    codes: tuple[str, ...],
    choice: Choice,
    gaps: FloatArray,
    weather: YardWeather,
    luck: Luck,
    *,
    spacing: tuple[Parameter, ...],
) -> Clock:
    form, parameters = model(choice.model), drawn_parameters(choice, luck)
    lent = np.zeros(luck.draws)
    if choice.basis == "transferred" and choice.code in SPRING:
        lent = spread_of("transfer_sd") * mirrored(luck, f"lent.{choice.key}")
    now = form.run(parameters, weather.now) + lent
    past = form.run(parameters, weather.past) + lent
    anchored = gaps - gaps[:, [codes.index(choice.code)]]
    by_label = {label: past[k] for k, label in enumerate(weather.labels)}
    return Clock(codes, choice, now, by_label, anchored, spacing)
