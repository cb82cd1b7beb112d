"""A described climate carries windows until weather is measured, says so, and can be taken back."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from ringwise.desk.climate import (
    ClimateGiven,
    climate,
    describe_climate,
    described_series,
    month_and_day,
    stated_climate,
)
from ringwise.desk.entries import undo_last
from ringwise.desk.outlook import outlook
from ringwise.desk.today import today_page
from ringwise.desk.trees import NewTree, action, add_tree
from ringwise.desk.weather import rows_of
from ringwise.desk.weather_strip import weather_strip
from ringwise.desk.weather_under import weather_state, yard_series
from ringwise.desk.why import why
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.desk.yard_forecast import yard_forecast
from ringwise.kit.errors import DateError, InputError, MissingFieldError, RangeError, UnitError
from ringwise.records.dates import exact_day
from ringwise.records.model import Entry
from ringwise.weather.series import WeatherSeries, series_of

TODAY = date(2027, 3, 7)


def opened(folder: Path, on: date = TODAY) -> Workspace:
    return open_workspace(folder, on=on.isoformat())


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A yard with a place, a described climate and one tree."""
    made = tmp_path / "yard"
    made.mkdir()
    (made / "collection.toml").write_text("latitude_deg = 52.4\n")
    describe_climate(opened(made), ClimateGiven("1 C", "66.2 F", "20 Apr"))
    add_tree(opened(made), NewTree("Old Elm", "Ulmus procera"))
    return made


def measured(first: date, last: date, *, level_degC: float = 9.0) -> WeatherSeries:
    """A plain measured wave, coldest in mid-January."""
    days = np.arange((last - first).days + 1)
    phase = 2 * np.pi * (days + (first - date(first.year, 1, 15)).days) / 365.25
    mean = level_degC - 8 * np.cos(phase)
    return series_of(
        first,
        {"tmin_degC": mean - 4, "tmax_degC": mean + 4, "rain_mm": np.full(days.size, 2.0)},
        station="roof",
        source="roof.csv",
    )


def store(folder: Path, series: WeatherSeries) -> None:
    workspace = opened(folder)
    workspace.store.weather_put(action(workspace, None, "weather import"), rows_of(series))


def test_fahrenheit_and_a_day_without_a_year_are_read(folder: Path) -> None:
    words = stated_climate(opened(folder))
    assert words is not None
    assert words.warmest_month_degC == pytest.approx(19.0)  # 66.2 F: (66.2 - 32) * 5 / 9
    assert words.last_frost is not None
    assert (words.last_frost.month, words.last_frost.day) == (4, 20)


@pytest.mark.parametrize("typed", ["10 Apr", "Apr 10", "10 April", "04-10", "10th apr"])
def test_a_day_of_any_year_reads(typed: str) -> None:
    day = month_and_day(typed, field="last frost")
    assert day is not None
    assert (day.month, day.day) == (4, 10)


@pytest.mark.parametrize("typed", ["31 Feb", "spring", "April", "13-40", "10 Apr 2020 C"])
def test_what_is_no_day_of_the_year_is_refused(typed: str) -> None:
    with pytest.raises(DateError, match="last frost"):
        month_and_day(typed, field="last frost")


@pytest.mark.parametrize(
    ("given", "error"),
    [
        (ClimateGiven("", "19 C"), MissingFieldError),
        (ClimateGiven("one", "19 C"), UnitError),
        (ClimateGiven("1 kg", "19 C"), UnitError),
        (ClimateGiven("20 C", "19 C"), RangeError),
        (ClimateGiven("1 C", "190 C"), RangeError),
        (ClimateGiven("1 C", "19 C", "soon"), DateError),
    ],
)
def test_bad_words_store_nothing(folder: Path, given: ClimateGiven, error: type[InputError]) -> None:
    before = opened(folder).store.settings()
    with pytest.raises(error):
        describe_climate(opened(folder), given)
    assert opened(folder).store.settings() == before


def test_without_a_latitude_the_error_tells_the_way_out(tmp_path: Path) -> None:
    with pytest.raises(MissingFieldError, match=r"latitude_deg = .* into .*collection\.toml"):
        describe_climate(opened(tmp_path / "bare"), ClimateGiven("1 C", "19 C"))


def test_windows_stand_on_the_description_and_say_so(folder: Path) -> None:
    answer = outlook(opened(folder), [])
    (window,) = answer["windows"]
    assert window["opens_low"] < window["opens_high"]
    wanted = "windows stand on your description of the climate, and are wide"
    assert any(wanted in note for note in answer["notes"])
    assert any(wanted in note for note in today_page(opened(folder))["notes"])
    assert not any("days old" in note for note in answer["notes"])
    chain = why(opened(folder), "T01:stage:07")["chain"]
    (link,) = [each for each in chain if "described climate" in each["label"]]
    assert link["basis"] == "assumed"
    assert "none of it measured" in link["value"]


def test_no_described_day_counts_as_observed_so_windows_stay_wide(folder: Path) -> None:
    yard = yard_forecast(opened(folder, date(2027, 4, 20)))
    assert not yard.members.observed.any()
    assert yard.members.n == 20
    assert len({float(value) for value in yard.members.tmean_degC[:, 30]}) == 20


def test_past_sightings_do_not_teach_from_invented_days(folder: Path) -> None:
    before = yard_forecast(opened(folder)).trees["T01"]
    seen = Entry("", "T01", "stage", exact_day(date(2026, 5, 20)), {"code": "07", "extent": "first"})
    opened(folder).store.save(action(opened(folder), None, "log T01 stage"), [seen])
    after = yard_forecast(opened(folder)).trees["T01"]
    assert after.own_seasons == 0
    assert np.array_equal(before.days, after.days)
    assert any("teach" in note for note in outlook(opened(folder), [])["notes"])


def test_the_next_growing_year_can_be_told_too(folder: Path) -> None:
    (window,) = outlook(opened(folder, date(2027, 9, 1)), [])["windows"]
    assert window["opens_median"].startswith("2028")


def test_the_south_has_its_spring_in_september(tmp_path: Path) -> None:
    made = tmp_path / "south"
    made.mkdir()
    (made / "collection.toml").write_text("latitude_deg = -42.9\n")
    describe_climate(opened(made), ClimateGiven("3 C", "17 C"))
    add_tree(opened(made), NewTree("Old Elm", "Ulmus procera"))
    band = yard_forecast(opened(made)).trees["T01"].band("07")
    assert band.median.month in {9, 10, 11}


def test_measured_weather_replaces_the_description_at_once(folder: Path) -> None:
    store(folder, measured(date(2024, 9, 1), TODAY - timedelta(days=1)))
    workspace = opened(folder)
    assert yard_series(workspace).source == "roof.csv"
    assert weather_state(workspace) == "measured"
    assert not any("description" in note for note in outlook(workspace, [])["notes"])


def test_weather_too_short_for_a_window_leaves_the_description_in_place(folder: Path) -> None:
    store(folder, measured(TODAY - timedelta(days=20), TODAY - timedelta(days=1)))
    workspace = opened(folder)
    assert weather_state(workspace) == "described"
    notes = outlook(workspace, [])["notes"]
    assert any("holds no full past year" in note for note in notes)
    strip = weather_strip(workspace)
    assert [day["state"] for day in strip["days"][:7]] == ["measured"] * 7


def test_undo_takes_the_description_back(folder: Path) -> None:
    undo_last(opened(folder))  # the tree
    undo_last(opened(folder))  # the description
    assert stated_climate(opened(folder)) is None
    assert weather_state(opened(folder)) == "none"
    assert not climate(opened(folder))["described"]


def test_a_correction_holds_and_the_older_one_comes_back(folder: Path) -> None:
    describe_climate(opened(folder), ClimateGiven("-4 C", "21 C"))
    assert climate(opened(folder))["coldest_month_degC"] == -4.0
    undo_last(opened(folder))
    assert climate(opened(folder))["coldest_month_degC"] == 1.0


def test_answers_that_contradict_are_told(folder: Path) -> None:
    assert climate(opened(folder))["contradictions"] == []
    answer = describe_climate(opened(folder), ClimateGiven("1 C", "19 C", "10 Jul", "1 Aug"))
    assert len(answer["contradictions"]) == 2
    assert "10 Jul" in answer["contradictions"][0]


def test_the_form_starts_from_the_latitude(tmp_path: Path) -> None:
    made = tmp_path / "yard"
    made.mkdir()
    assert climate(opened(made))["guess"] is None
    (made / "collection.toml").write_text("latitude_deg = 52.4\n")
    guess = climate(opened(made))["guess"]
    assert guess["coldest_month_degC"] < guess["warmest_month_degC"]
    assert "correct it" in guess["line"]


def test_the_same_seed_describes_the_same_years(folder: Path) -> None:
    words = stated_climate(opened(folder))
    assert words is not None
    one, later = (described_series(opened(folder, on), words) for on in (TODAY, date(2028, 3, 7)))
    shared = one.cut(later.first, one.last)
    assert np.array_equal(shared.tmin_degC, later.cut(later.first, one.last).tmin_degC)


def test_a_kept_series_gives_way_to_an_import_and_to_its_undo(folder: Path) -> None:
    workspace = opened(folder)
    put = action(workspace, None, "weather import")
    workspace.store.weather_put(put, rows_of(measured(date(2024, 9, 1), TODAY)))
    first = yard_series(workspace)
    assert yard_series(workspace) is first  # read once
    workspace.store.weather_put(put, rows_of(measured(date(2024, 9, 1), TODAY, level_degC=12.0)))
    second = yard_series(workspace)
    assert second.tmean_degC.mean() == pytest.approx(first.tmean_degC.mean() + 3.0)
    undo_last(workspace)
    assert yard_series(workspace).tmean_degC.mean() == pytest.approx(first.tmean_degC.mean())
