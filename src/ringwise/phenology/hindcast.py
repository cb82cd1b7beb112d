"""Forecasts as they would have been issued before each stage seen, with what was known by then."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import MissingFieldError
from ringwise.phenology.choice import Luck
from ringwise.phenology.forecast import BAND_PCT, StageForecast
from ringwise.phenology.scores import Score, crps
from ringwise.phenology.seen import SeenStage, TreeRecord, interval, known_by
from ringwise.phenology.species import YardWeather, yard_weather
from ringwise.phenology.stages import ORDER
from ringwise.phenology.yard import one_place, yard_forecast
from ringwise.weather.series import WeatherSeries
from ringwise.weather.years import members

LEADS_DAYS = (0, 7, 14, 30)
WIDEST_DAYS = 14.0  # a stage known less sharply than that cannot tell a good forecast from a poor one


@dataclass(frozen=True)
class Target:
    """A sighting to be foretold, by the tree's number."""

    tree: int
    seen: SeenStage
    latest: date


def targets(records: Sequence[TreeRecord]) -> tuple[Target, ...]:
    """The sightings that forecasts can be held against.

    Parameters
    ----------
    records : sequence of TreeRecord
        Every tree with what was seen on it.

    Returns
    -------
    tuple of Target
        Leaf stages of healthy trees, known to within a fortnight.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> targets([])
    ()
    """
    return tuple(
        Target(record.tree, seen, seen.latest)
        for record in records
        for seen in known_by(record.seen, date.max)
        if seen.latest is not None and seen.teaches and seen.code in ORDER[1:] and _sharp(seen)
    )


def _sharp(seen: SeenStage) -> bool:
    told = interval(seen)
    return told.high_index - told.low_index <= WIDEST_DAYS


def season_scores(
    records: Sequence[TreeRecord],
    series: WeatherSeries,
    year: GrowingYear,
    *,
    luck: Luck,
    most_years: int,
    latitude_deg: float | None = None,
) -> tuple[Score, ...]:
    """Scores of the forecasts of one growing year, at every lead.

    Parameters
    ----------
    records : sequence of TreeRecord
        Every tree with what was seen on it, in any year.
    series : WeatherSeries
        The yard's weather, as measured.
    year : GrowingYear
        The year whose sightings are to be foretold.
    luck : Luck
        Seed and number of parameter draws.
    most_years : int
        How many past years at most stand for the weather to come.
    latitude_deg : float, optional
        Of the yard, south negative, for models that read the length of the day.

    Returns
    -------
    tuple of Score
        None for a forecast that could not have been made: no past year of weather was there yet.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.weather.series import series_of
    >>> warm = series_of(date(2010, 11, 1), {"tmean_degC": np.full(4 * 366, 8.0)})
    >>> season_scores([], warm, GrowingYear(2014), luck=Luck(7, 4), most_years=20)
    ()
    """
    wanted: dict[tuple[date, date, int], list[Target]] = defaultdict(list)
    every = targets(records)
    for each in every:
        if each.seen.year == year:
            for lead_days in LEADS_DAYS:
                issue = each.latest - timedelta(days=lead_days)
                # What the visit itself told is not known to the forecast it is held against.
                wanted[issue, min(issue, each.latest - timedelta(days=1)), lead_days].append(each)
    found: list[Score] = []
    base: YardWeather | None = None
    for (issue, until, lead_days), those in sorted(wanted.items(), key=lambda item: item[0]):
        weather = _weather(series, year, issue, most_years, base, latitude_deg)
        if weather is None:
            continue
        base = weather
        asked = {each.tree for each in those}
        forecasts = yard_forecast(_known(records, until, asked), one_place(weather), today=until, luck=luck)
        for each in those:
            found += _score(each, forecasts[each.tree], lead_days, every)
    return tuple(found)


def _weather(
    series: WeatherSeries,
    year: GrowingYear,
    issue: date,
    most_years: int,
    base: YardWeather | None,
    latitude_deg: float | None,
) -> YardWeather | None:
    """The weather as known on a day; past growing years are the same on every day of one year."""
    try:
        ahead = members(series, issue=issue, year=year, most=most_years)
    except MissingFieldError:
        return None
    return yard_weather(series, ahead, latitude_deg=latitude_deg) if base is None else base.on(ahead)


def _known(records: Sequence[TreeRecord], until: date, asked: set[int]) -> list[TreeRecord]:
    """Each tree with what was seen by a day; trees that can tell nothing are left out.

    The visit before a later sighting is part of that sighting: known beforehand, "not there yet" would
    say that the stage is about to come.
    """
    told = [replace(each, seen=known_by(each.seen, until)) for each in records]
    return [each for each in told if each.seen or each.tree in asked]


def _score(target: Target, forecast: StageForecast, lead_days: int, every: Sequence[Target]) -> list[Score]:
    code = target.seen.code
    if code not in forecast.codes:
        return []
    samples = forecast.samples(code)
    low, median, high = (float(day) for day in np.percentile(samples, BAND_PCT))
    seen_index = interval(target.seen).middle_index
    earlier = [
        interval(each.seen).middle_index
        for each in every
        if each.tree == target.tree and each.seen.code == code and each.seen.year.label < forecast.year.label
    ]
    return [
        Score(
            tree=target.tree,
            code=code,
            label=forecast.year.label,
            lead_days=lead_days,
            seen_index=seen_index,
            low_index=low,
            median_index=median,
            high_index=high,
            crps_days=crps(samples, seen_index),
            mean_index=float(np.mean(earlier)) if earlier else None,
        )
    ]
