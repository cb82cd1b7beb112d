"""When a pot wants water: where its balance begins, how the band is said, days of an absence."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from ringwise.desk.watering_away import parse_away
from ringwise.desk.watering_start import ASSUMED, LOGGED, RAIN, WEIGHED, FullDay, full_day
from ringwise.desk.watering_words import band_words, moment_words
from ringwise.kit.errors import DateError
from ringwise.records.dates import exact_day
from ringwise.records.facts import TreeFacts, tree_facts
from ringwise.records.model import Entry, Tree

TODAY = date(2027, 7, 20)


def entry(number: int, kind: str, days_ago: int, data: dict[str, Any], hour: int = 9) -> Entry:
    day = TODAY - timedelta(days=days_ago)
    written = datetime(day.year, day.month, day.day, hour, tzinfo=UTC)
    return Entry(f"E{number}", "T01", kind, exact_day(day), data, recorded_at=written)


def facts(*entries: Entry) -> TreeFacts:
    return tree_facts(Tree("T01", "Lane", "morus_alba"), entries=entries, pots=[], places=[], on=TODAY)


def begins(*entries: Entry, rains: tuple[tuple[date, float], ...] = ()) -> FullDay:
    return full_day(facts(*entries), TODAY, rains=rains, trusted_days=10, soak_mm=10)


def test_without_a_word_the_pot_was_full_yesterday_and_it_is_said() -> None:
    found = begins()
    assert (found.day, found.how) == (TODAY - timedelta(days=1), ASSUMED)
    assert "assumed" in found.words


def test_the_newest_full_day_counts() -> None:
    found = begins(
        entry(1, "watered", 4, {}), entry(2, "weight", 2, {"mass_g": 9.0, "moment": "after_10_min"})
    )
    assert (found.day, found.how) == (TODAY - timedelta(days=2), WEIGHED)


def test_a_weight_before_watering_fills_nothing() -> None:
    found = begins(
        entry(1, "watered", 4, {}), entry(2, "weight", 2, {"mass_g": 9.0, "moment": "before_watering"})
    )
    assert (found.day, found.how) == (TODAY - timedelta(days=4), LOGGED)


def test_what_is_written_down_in_the_evening_counts_from_the_next_morning() -> None:
    assert begins(entry(1, "watered", 1, {}, hour=19)).day == TODAY
    assert begins(entry(1, "watered", 1, {}, hour=8)).day == TODAY - timedelta(days=1)


def test_a_watering_of_long_ago_is_not_the_last() -> None:
    assert begins(entry(1, "watered", 11, {})).how == ASSUMED


def test_a_soaking_rain_counts_where_nothing_is_written_down() -> None:
    rain = ((TODAY - timedelta(days=2), 14.0), (TODAY - timedelta(days=1), 3.0))
    found = begins(rains=rain)
    assert (found.day, found.how) == (TODAY - timedelta(days=1), RAIN)


def test_water_that_did_not_run_through_is_kept_beside_the_full_day() -> None:
    found = begins(
        entry(1, "watered", 6, {"water_cm3": 100.0}),
        entry(2, "watered", 4, {}),
        entry(3, "watered", 2, {"water_cm3": 400.0}),
    )
    assert [(each.day, each.water_cm3) for each in found.since] == [(TODAY - timedelta(days=2), 400.0)]


def test_a_volume_is_kept_also_where_no_full_day_is_written_down() -> None:
    found = begins(entry(1, "watered", 3, {"water_cm3": 100.0}), entry(2, "watered", 0, {"water_cm3": 50.0}))
    assert found.how == ASSUMED
    assert [(each.day, each.water_cm3) for each in found.since] == [(TODAY, 50.0)]


def test_a_day_that_is_not_exact_fills_nothing() -> None:
    from ringwise.records.dates import parse_fuzzy_date

    vague = replace(entry(1, "watered", 3, {}), on=parse_fuzzy_date("July 2027", field="date"))
    assert begins(vague).how == ASSUMED


def said(low: float, high: float) -> str:
    return band_words(low, high, TODAY, evening_frac=0.5, horizon_days=21)


def test_every_forecast_says_check() -> None:
    for low in (-3.0, 0.2, 0.8, 1.3, 4.0, 12.0):
        for high in (low, low + 0.5, low + 6.0, math.inf):
            assert said(low, high).startswith("check"), (low, high)


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (1.7, 2.4, "check, then water between tomorrow evening and Thursday"),
        (-0.5, 0.3, "check, then water today"),
        (0.6, 0.9, "check, then water this evening"),
        (2.0, math.inf, "check from Thursday on; in some weathers it needs no water for 21 days"),
        (math.inf, math.inf, ""),
    ],
)
def test_bands_as_one_would_say_them(low: float, high: float, words: str) -> None:
    assert said(low, high) == words


def test_a_week_on_days_are_dates() -> None:
    assert moment_words(6.9, TODAY, 0.5) == "Monday"
    assert moment_words(7.0, TODAY, 0.5) == "27 Jul"


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("8-15 Aug", date(2027, 8, 8), date(2027, 8, 15)),
        ("28 Jul - 4 Aug", date(2027, 7, 28), date(2027, 8, 4)),
        ("2027-08-08..2027-08-15", date(2027, 8, 8), date(2027, 8, 15)),
        ("28 Dec - 4 Jan", date(2027, 12, 28), date(2028, 1, 4)),
        ("3-5 Mar", date(2028, 3, 3), date(2028, 3, 5)),
    ],
)
def test_days_of_an_absence(text: str, first: date, last: date) -> None:
    assert parse_away(text, TODAY, south=False) == (first, last)


@pytest.mark.parametrize("text", ["soon", "15-8 Aug 2027", "Aug", "8 Aug", "1 Jan - 30 Jun", ""])
def test_days_that_do_not_read(text: str) -> None:
    with pytest.raises(DateError, match="--away"):
        parse_away(text, TODAY, south=False)
