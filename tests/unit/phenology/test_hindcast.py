"""Forecasts of the past know nothing of what came after, in either half of the earth."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear, growing_year
from ringwise.phenology.choice import Luck
from ringwise.phenology.hindcast import LEADS_DAYS, season_scores, targets
from ringwise.phenology.scores import Score
from ringwise.phenology.seen import SeenStage, TreeRecord
from ringwise.phenology.species import yard_weather
from ringwise.phenology.yard import one_place, yard_forecast
from ringwise.records.taxa import taxon
from ringwise.weather.series import WeatherSeries, series_of
from ringwise.weather.years import members

LUCK = Luck(7, 8)
MAPLE = taxon("acer_palmatum")


def weather(*, south: bool = False, last: date = date(2027, 12, 31)) -> WeatherSeries:
    first = date(2016, 5, 1) if south else date(2015, 11, 1)
    days = np.arange((last - first).days + 1)
    rough = np.random.default_rng(5).normal(0, 3, days.size)
    return series_of(first, {"tmean_degC": 9 - 10 * np.cos(2 * np.pi * (days - 76) / 365.25) + rough})


def seen(day: date, code: str = "07", *, south: bool = False, **more: object) -> SeenStage:
    before = day - timedelta(days=3)
    return SeenStage(code, growing_year(day, south=south), day, before, **more)  # type: ignore[arg-type]


SPRINGS = tuple(seen(date(year, 3, day)) for year, day in ((2024, 28), (2025, 24), (2026, 30), (2027, 25)))
RECORD = TreeRecord(1, MAPLE, SPRINGS)


def scores(
    records: list[TreeRecord], series: WeatherSeries, year: GrowingYear | None = None
) -> tuple[Score, ...]:
    year = year or GrowingYear(2027)
    return season_scores(records, series, year, luck=LUCK, most_years=10)


def test_what_came_after_changes_nothing() -> None:
    """Later weather, later sightings of this and other trees: the forecasts of 2026 stay the same."""
    year, end = GrowingYear(2026), date(2026, 3, 30)
    other = TreeRecord(2, taxon("acer_buergerianum"), (seen(date(2026, 4, 2)), seen(date(2027, 4, 1))))
    then = [replace(RECORD, seen=SPRINGS[:3])]
    cut = weather().cut(weather().first, end)
    now = [each for each in scores([RECORD, other], weather(), year) if each.tree == 1]
    assert now == list(scores(then, cut, year))
    assert [each.lead_days for each in sorted(now, key=lambda s: s.lead_days)] == list(LEADS_DAYS)


def test_the_sighting_itself_is_not_known_even_on_its_day() -> None:
    """Seen a month later by the same weather, the forecast of a day is the same one."""
    late = replace(RECORD, seen=(*SPRINGS[:3], seen(date(2027, 4, 24))))
    (soon,) = [each for each in scores([RECORD], weather()) if each.lead_days == 0]
    (later,) = [each for each in scores([late], weather()) if each.lead_days == 30]
    assert (soon.median_index, soon.low_index) == (later.median_index, later.low_index)
    assert later.seen_index - soon.seen_index == 30


def test_it_is_the_forecast_that_the_yard_would_have_had() -> None:
    issue, year = SPRINGS[3].latest - timedelta(days=14), GrowingYear(2027)  # type: ignore[operator]
    ahead = members(weather(), issue=issue, year=year, most=10)
    made = yard_forecast([RECORD], one_place(yard_weather(weather(), ahead)), today=issue, luck=LUCK)[1]
    (score,) = [each for each in scores([RECORD], weather()) if each.lead_days == 14]
    low, median, high = np.percentile(made.samples("07"), (10, 50, 90))
    assert (score.low_index, score.median_index, score.high_index) == (low, median, high)


def test_the_own_mean_is_of_earlier_seasons() -> None:
    first = scores([RECORD], weather(), GrowingYear(2024))
    last = scores([RECORD], weather())
    assert {each.mean_index for each in first} == {None}
    # Three days between the visits: the middle is a day and a half before the end of the day it was seen.
    days = [88, 83, 89]  # 28 March of a leap year, 24 and 30 March of others, as day of the year
    assert [each.mean_index for each in last] == [pytest.approx(np.mean(days) - 1.0)] * len(LEADS_DAYS)


def test_only_what_can_be_scored() -> None:
    day = date(2027, 3, 25)
    loose = SeenStage("07", GrowingYear(2027), day, day - timedelta(days=40))
    others = [
        seen(day, weak=True),
        seen(day, extent="late_branch"),
        SeenStage("07", GrowingYear(2027), None, day),
        loose,
        seen(day, "61"),
    ]
    assert targets([TreeRecord(1, MAPLE, tuple(others))]) == ()
    assert len(targets([RECORD])) == 4


def test_without_a_past_year_of_weather_nothing_is_made_up() -> None:
    short = weather().cut(date(2026, 6, 1), date(2027, 12, 31))
    assert scores([RECORD], short) == ()


def test_south_of_the_equator() -> None:
    south = weather(south=True, last=date(2027, 12, 31))
    springs = tuple(seen(date(year, 9, 20), south=True) for year in (2025, 2026, 2027))
    found = scores([TreeRecord(1, MAPLE, springs)], south, GrowingYear(2027, south=True))
    assert len(found) == len(LEADS_DAYS)
    assert all(abs(each.error_days) < 40 for each in found)
