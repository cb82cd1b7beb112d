"""The hemisphere mirror end to end: a yard moved half a year and to the mirrored latitude, window by window.

Weather, sightings and the day of asking all move by the days from 1 January to 1 July of the growing year,
181, or 182 in a leap year. Where no 29 February lies in either yard's days every window agrees exactly, but
for the few samples that a form of daylength times: the sun is not quite as far south on 1 July as north on
1 January. Where one does, past years, laid over by calendar day, are a day apart in one of the two.
"""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from ringwise.desk.outlook import tree_window
from ringwise.desk.settings import write_settings
from ringwise.desk.weather import rows_of
from ringwise.desk.workspace import open_workspace
from ringwise.desk.yard_forecast import yard_forecast
from ringwise.kit.days import GrowingYear, growing_year
from ringwise.kit.types import FloatArray
from ringwise.operations.registry import OPERATIONS
from ringwise.records.dates import exact_day
from ringwise.records.model import Action, Entry, Tree
from ringwise.records.store import open_store
from ringwise.season.window import Window
from ringwise.weather.series import series_of

KINDS = (
    "larix_decidua",
    "acer_palmatum",
    "quercus_robur",
    "ulmus_parvifolia",
    "pinus_sylvestris",
    "prunus_mume",
)
WORKS = tuple(key for key in OPERATIONS if key != "leave")
LATITUDE_DEG = 47.5
LEAPLESS = (2026, 1)  # a growing year and how many past ones: no 29 February in them, north or south
DAYLENGTH_FRAC, DAYLENGTH_DAYS = 0.5, 3.0  # samples that a form of daylength may time, and how far apart
AUTUMN_INDEX = 182.0  # day index from which on such forms count for every kind
BY_THE_HOUR = ("prunus_mume",)  # spring by the hour too, and hours are made from the length of the day
MIDDLE_BENT_DAYS, END_BENT_DAYS = 2, 6  # by a leap day: of a median, and of the ends of a band of few years
SEEN_INDEX = {"larix_decidua": 75, "acer_palmatum": 92}  # a spring of two trees, seen a year ago
IN_THE_YEAR = {  # day index
    "just past the turn": -55,
    "dead of winter": 12,
    "buds swell": 72,
    "summer": 190,
    "leaves turn": 285,
}


@dataclass(frozen=True)
class Half:
    """One yard, north or south, with every window of every tree."""

    year: GrowingYear
    windows: dict[tuple[str, str], Window]


def shift_of(label: int) -> timedelta:
    return date(label, 7, 1) - date(label, 1, 1)


@lru_cache(maxsize=32)
def weather(seed: int, days: int) -> FloatArray:
    """A wave of a year with spells of warm and cold, coldest in the middle of January."""
    place = np.arange(days)
    luck = np.random.default_rng(seed).normal(0.0, 6.0, days + 9)
    rough = np.convolve(luck, np.full(10, 0.1), mode="valid")
    level = np.random.default_rng(seed + 1).uniform(10.0, 15.0)
    return np.asarray(level - 10.5 * np.cos(2 * np.pi * (place - 76) / 365.25) + rough)


def half(seed: int, label: int, today_index: int, *, south: bool, back: int = 4) -> Half:
    """The yard on a day of a growing year, with the weather up to that day."""
    move = shift_of(label) if south else timedelta(0)
    first = GrowingYear(label - back).start
    today = GrowingYear(label).day_at(today_index)
    mean = weather(seed, (today - first).days + 1)
    columns = {"tmin_degC": mean - 5.0, "tmax_degC": mean + 5.0, "tmean_degC": mean}
    trees = [Tree(f"T{n}", key, key) for n, key in enumerate(KINDS, 1)]
    sightings = [
        Entry(
            "", tree.id, "stage", exact_day(GrowingYear(label - 1).day_at(SEEN_INDEX[tree.species]) + move),
            {"code": "07", "extent": "first"},
        )
        for tree in trees
        if tree.species in SEEN_INDEX
    ]  # fmt: skip
    folder = Path(tempfile.mkdtemp()) / "yard"
    try:
        write_settings(folder, {"latitude_deg": -LATITUDE_DEG if south else LATITUDE_DEG})
        with open_store(folder) as store:
            written = Action("grower", "log", datetime(label, 1, 5, 12, tzinfo=UTC))
            store.save(written, [*trees, *sightings])
            store.weather_put(written, rows_of(series_of(first + move, columns, station="yard")))
        workspace = open_workspace(folder, on=(today + move).isoformat())
        made = yard_forecast(workspace)
        windows = {
            (tree.species, work): tree_window(workspace, tree.id, work, made)
            for tree in trees
            for work in WORKS
        }
        workspace.store.close()
    finally:
        shutil.rmtree(folder.parent)
    return Half(workspace.year, windows)


def ends(window: Window) -> list[tuple[date, bool]]:
    """The dates that a window tells, and which of them are medians."""
    return [
        (day, day is band.median)
        for band in (window.opens, window.closes, window.last)
        if band is not None
        for day in (band.low, band.median, band.high)
    ]


def compare(north: Half, south: Half, move: timedelta) -> int:
    """Hold the days that every window tells against its mirror; how many told days."""
    dated = 0
    assert north.windows.keys() == south.windows.keys()
    for named, one in north.windows.items():
        other = south.windows[named]
        assert other.year == GrowingYear(one.year.label, south=True), named
        assert (one.blocked_by, one.sign) == (other.blocked_by, other.sign), named
        here, there = ends(one), ends(other)
        assert len(there) == len(here), named
        dated += bool(here)
        for (near, median), (far, _median) in zip(here, there, strict=True):
            most = MIDDLE_BENT_DAYS if median else END_BENT_DAYS
            assert abs((far - near - move).days) <= most, (named, near, far)
    return dated


def compare_samples(north: Half, south: Half, move: timedelta) -> int:
    """Hold every sample of every window against its mirror; how many windows agree exactly."""
    exact = 0
    for named, one in north.windows.items():
        other = south.windows[named]
        apart = [
            far - near
            for near, far in ((one.opens_days, other.opens_days), (one.closes_days, other.closes_days))
            if near is not None and far is not None
        ]
        if not any(np.any(each) for each in apart):
            exact += bool(apart)
            assert [far for far, _m in ends(other)] == [near + move for near, _m in ends(one)], named
            assert one.state == other.state, named
            assert np.isclose(one.open_prob, other.open_prob, rtol=0, atol=1e-12, equal_nan=True), named
            continue
        assert one.closes_days is not None
        assert named[0] in BY_THE_HOUR or one.closes_days.max() > AUTUMN_INDEX, named
        for each in apart:
            assert np.mean(each != 0.0) <= DAYLENGTH_FRAC, named
            assert np.abs(each).max() <= DAYLENGTH_DAYS, named
    return exact


@settings(max_examples=3, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(st.integers(0, 10_000), st.integers(1, 300))
def test_windows_are_mirrored_to_the_day(seed: int, today_index: int) -> None:
    label, back = LEAPLESS
    north, south = (half(seed, label, today_index, south=side, back=back) for side in (False, True))
    assert shift_of(label).days == 181
    assert compare(north, south, shift_of(label)) > len(KINDS) * len(WORKS) / 2
    assert compare_samples(north, south, shift_of(label)) > len(KINDS) * len(WORKS) / 3


@pytest.mark.parametrize(
    ("season", "label"), [*((each, 2028) for each in sorted(IN_THE_YEAR)), ("leaves turn", 2027)]
)
def test_across_leap_years_windows_are_mirrored_to_a_day_or_two(season: str, label: int) -> None:
    north, south = (half(11, label, IN_THE_YEAR[season], south=side) for side in (False, True))
    assert shift_of(label).days == (182 if label == 2028 else 181)
    assert compare(north, south, shift_of(label)) > len(KINDS) * len(WORKS) / 2


def test_a_window_that_is_over_is_followed_by_that_of_the_next_year_in_both_halves() -> None:
    north, south = (half(5, 2027, IN_THE_YEAR["leaves turn"], south=side) for side in (False, True))
    named = ("larix_decidua", "repot")
    assert north.year.label == south.year.label == 2027
    assert north.windows[named].year == GrowingYear(2028)
    assert south.windows[named].year == GrowingYear(2028, south=True)


@given(st.dates(date(1900, 1, 1), date(2100, 12, 31)), st.booleans())
def test_every_day_lies_in_one_growing_year_and_keeps_its_index(when: date, south: bool) -> None:
    year = growing_year(when, south=south)
    assert year.start <= when <= year.end
    assert year.day_at(year.day_index(when)) == when
    assert year.end + timedelta(days=1) == GrowingYear(year.label + 1, south).start
    assert year.day_index(year.start) == -60
    assert (year.length_days == 366) == (
        date(year.label + south, 3, 1) - date(year.label + south, 2, 28) > timedelta(1)
    )
