"""A second station lends years to a yard that has few: what windows, notes and the strip then say."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from ringwise.desk.calibration import calibration
from ringwise.desk.climate import ClimateGiven, describe_climate
from ringwise.desk.deeds import action
from ringwise.desk.outlook import outlook
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.weather import rows_of, show_weather
from ringwise.desk.weather_file import station_for
from ringwise.desk.weather_strip import weather_strip
from ringwise.desk.weather_under import (
    station_of,
    teaching_series,
    weather_notes,
    weather_state,
    yard_loan,
    yard_series,
)
from ringwise.desk.why import why
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.desk.yard_forecast import yard_forecast
from ringwise.kit.errors import InputError, MissingFieldError, NotFoundError
from ringwise.kit.reading import reading
from ringwise.records.dates import exact_day
from ringwise.records.model import Entry
from ringwise.weather.described import ClimateWords, described_years
from ringwise.weather.series import WeatherSeries

TODAY = date(2027, 3, 7)
EVE = TODAY - timedelta(days=1)
COLDER_DEGC = -1.2


def opened(folder: Path, on: date = TODAY) -> Workspace:
    return open_workspace(folder, on=on.isoformat())


def town(first: date = date(2004, 9, 1), last: date = EVE) -> WeatherSeries:
    """Twenty-two years that count as measured here."""
    made = described_years(ClimateWords(52.4, 1.0, 18.0), first=first, last=last, seed=11)
    return replace(made, station="town", source="town.csv")


def roof(first: date, last: date = EVE) -> WeatherSeries:
    """The yard: as the town, but colder."""
    there = town().cut(first, last)
    return replace(
        there,
        station="roof",
        source="roof.csv",
        tmin_degC=there.tmin_degC + COLDER_DEGC,
        tmax_degC=there.tmax_degC + COLDER_DEGC,
        tmean_degC=there.tmean_degC + COLDER_DEGC,
    )


def yard(folder: Path, *series: WeatherSeries, settings: str = 'borrowed_station = "town"\n') -> Path:
    folder.mkdir(exist_ok=True)
    (folder / "collection.toml").write_text("latitude_deg = 52.4\n" + settings)
    workspace = opened(folder)
    for each in series:
        workspace.store.weather_put(action(workspace, None, "weather import"), rows_of(each))
    add_tree(opened(folder), NewTree("Old Elm", "Ulmus procera"))
    return folder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A roof station of a year and a half beside a town station of twenty-two."""
    return yard(tmp_path / "yard", town(), roof(date(2025, 9, 1)))


def test_windows_stand_on_twenty_years_of_which_most_are_lent(folder: Path) -> None:
    workspace = opened(folder)
    series = yard_series(workspace)
    made = yard_forecast(workspace)
    assert made.members.n == 20
    assert made.members.labels == tuple(range(2007, 2027))
    (said,) = [note for note in weather_notes(workspace, series) if "weather years are lent" in note]
    assert said == (
        "19 of 20 weather years are lent by town and made 1.2 °C colder in winter "
        "and 1.2 °C colder in summer "
        "(552 days in common)."
    )
    assert said in outlook(workspace, [])["notes"]
    assert series.station == "roof"
    # What is lent is the town's day made colder, and what the roof measured stays.
    assert np.allclose(series.tmean_degC, town().tmean_degC + COLDER_DEGC, atol=0.05)
    assert series.lent_days.sum() == series.n - roof(date(2025, 9, 1)).n


def test_the_chain_of_a_window_names_the_lender(folder: Path, tmp_path: Path) -> None:
    chain = why(opened(folder), "T01:stage:07")["chain"]
    (link,) = [each for each in chain if each["label"] == "lent by town, shifted to the yard"]
    assert link["value"] == "19 of 20 past years, and 0 days of this year"
    assert link["basis"] == "transferred"
    late = yard(tmp_path / "late", town(), roof(date(2026, 12, 1)))
    chain = why(opened(late), "T01:stage:07")["chain"]
    (link,) = [each for each in chain if each["label"] == "lent by town, shifted to the yard"]
    assert link["value"] == "20 of 20 past years, and 30 days of this year"  # November
    own = yard(tmp_path / "own", roof(date(2015, 9, 1)), settings="")
    assert not any("lent by" in each["label"] for each in why(opened(own), "T01:stage:07")["chain"])


def test_without_the_setting_nothing_is_lent(tmp_path: Path) -> None:
    made = yard(tmp_path / "plain", town(), roof(date(2025, 9, 1)), settings='station = "roof"\n')
    workspace = opened(made)
    assert yard_series(workspace).lent is None
    assert yard_loan(workspace) is None
    assert show_weather(workspace)["borrowed"] is None


def test_ten_own_years_are_enough(tmp_path: Path) -> None:
    made = yard(tmp_path / "old", town(), roof(date(2015, 9, 1)))
    workspace = opened(made)
    assert yard_series(workspace).lent is None
    assert not any("lent" in note for note in weather_notes(workspace, yard_series(workspace)))
    shown = show_weather(workspace)
    assert (shown["borrowed"]["kind"], shown["borrowed"]["own_years"]) == (None, 10)
    assert shown["lines"][-1] == "town lends nothing: 10 past years of your own are enough."


def test_lent_days_never_count_as_measured_in_the_strip(tmp_path: Path) -> None:
    """The roof began in December; November is the town's, and the strip does not show it as measured."""
    made = yard(tmp_path / "new", town(), roof(date(2026, 12, 1)))
    workspace = opened(made)
    assert yard_series(workspace).lent_days[-30:].sum() == 0
    states = [day["state"] for day in weather_strip(workspace, days_back=120)["days"]]
    began = (TODAY - date(2026, 12, 1)).days
    assert states[120 - began : 120] == ["measured"] * began
    assert "measured" not in states[: 120 - began]
    notes = weather_notes(workspace, yard_series(workspace))
    assert "30 days of this growing year are lent as well." in notes  # November


def test_stages_teach_only_where_the_shift_is_known_well(tmp_path: Path) -> None:
    seen = Entry("", "T01", "stage", exact_day(date(2024, 4, 20)), {"code": "07", "extent": "first"})
    taught = []
    for name, begins in (("long", date(2025, 9, 1)), ("short", date(2027, 1, 20))):
        made = yard(tmp_path / name, town(), roof(begins))
        opened(made).store.save(action(opened(made), None, "log T01 stage"), [seen])
        workspace = opened(made)
        series = yard_series(workspace)
        taught.append(yard_forecast(workspace).trees["T01"].own_seasons)
        lent_means = teaching_series(series).tmean_degC[series.lent_days]
        assert np.isnan(lent_means).all() == (name == "short")
        own_means = teaching_series(series).tmean_degC[~series.lent_days]
        assert not np.isnan(own_means).any()
        told = any("do not teach" in note for note in weather_notes(workspace, series))
        assert told == (name == "short")
    assert taught == [1, 0]


def test_past_forecasts_are_scored_on_lent_days_only_where_the_shift_is_known(tmp_path: Path) -> None:
    seen = Entry("", "T01", "stage", exact_day(date(2024, 4, 20)), {"code": "07", "extent": "first"})
    scored = []
    for name, begins in (("long", date(2025, 9, 1)), ("short", date(2027, 1, 20))):
        made = yard(tmp_path / name, town(), roof(begins))
        opened(made).store.save(action(opened(made), None, "log T01 stage"), [seen])
        scored.append(calibration(opened(made))["sightings_scored"])
    assert scored == [1, 0]


def test_no_day_in_common_is_said_and_the_elevation_helps(tmp_path: Path) -> None:
    apart = town(last=date(2026, 5, 31))
    made = yard(tmp_path / "apart", apart, roof(date(2026, 6, 1)))
    workspace = opened(made)
    with pytest.raises(MissingFieldError, match=r"0 days in common.*yard_above_borrowed_m"):
        yard_series(workspace)
    assert weather_state(workspace) == "none"
    high = yard(
        tmp_path / "high",
        apart,
        roof(date(2026, 6, 1)),
        settings='borrowed_station = "town"\nyard_above_borrowed_m = 200\n',
    )
    workspace = opened(high)
    series = yard_series(workspace)
    notes = weather_notes(workspace, series)
    assert any("1.3 °C colder for the difference in elevation, which is assumed" in note for note in notes)
    assert np.allclose(series.cut(apart.first, apart.last).tmean_degC, apart.tmean_degC - 1.3)
    assert series.lent is not None
    assert not series.lent.teaches


def test_with_own_years_a_refusal_is_a_note_only(tmp_path: Path) -> None:
    made = yard(tmp_path / "yard", town(last=date(2012, 1, 31)), roof(date(2022, 9, 1)))
    workspace = opened(made)
    series = yard_series(workspace)
    assert series.lent is None
    assert any("0 days in common" in note for note in weather_notes(workspace, series))
    assert any("0 days in common" in line for line in show_weather(workspace)["lines"])


def test_a_description_stands_in_where_lending_fails(tmp_path: Path) -> None:
    made = yard(tmp_path / "yard", town(last=date(2012, 1, 31)), roof(date(2026, 12, 1)))
    describe_climate(opened(made), ClimateGiven("1 C", "18 C"))
    assert weather_state(opened(made)) == "described"


def test_lent_years_win_over_a_description(folder: Path) -> None:
    describe_climate(opened(folder), ClimateGiven("1 C", "18 C"))
    assert weather_state(opened(folder)) == "measured"
    assert yard_series(opened(folder)).lent is not None


def test_a_yard_that_only_borrows_needs_the_elevation(tmp_path: Path) -> None:
    made = yard(tmp_path / "yard", town())
    workspace = opened(made)
    assert weather_state(workspace) == "none"
    with pytest.raises(MissingFieldError, match="the yard's own yet, only that of town"):
        station_of(workspace)
    (made / "collection.toml").write_text(
        'latitude_deg = 52.4\nborrowed_station = "town"\nyard_above_borrowed_m = -100\n'
    )
    workspace = opened(made)
    series = yard_series(workspace)
    assert series.lent_days.all()
    assert np.allclose(series.tmean_degC, town().tmean_degC + 0.65)
    assert outlook(workspace, [])["windows"]
    shown = show_weather(workspace)
    assert shown["borrowed"]["lent_years"] == 20
    assert all(day["state"] != "measured" for day in weather_strip(workspace)["days"])


def test_show_tells_the_fit(folder: Path) -> None:
    shown = show_weather(opened(folder))
    told = shown["borrowed"]
    assert (told["station"], told["kind"], told["days_in_common"]) == ("town", "seasonal", 552)
    assert (told["own_years"], told["lent_years"], told["weather_years"]) == (1, 19, 20)
    assert [each["column"] for each in told["shifts"]] == ["tmin_degC", "tmax_degC", "tmean_degC"]
    for each in told["shifts"]:
        assert each["winter_degC"] == pytest.approx(COLDER_DEGC, abs=0.02)
        assert each["summer_degC"] == pytest.approx(COLDER_DEGC, abs=0.02)
    assert told["teaches"]
    assert "weather years are lent by town" in " ".join(shown["lines"])
    assert show_weather(opened(folder), station="town")["borrowed"] is None


def test_the_other_station_is_never_taken_for_the_yards_own(folder: Path, tmp_path: Path) -> None:
    assert station_of(opened(folder)) == "roof"
    assert station_for(opened(folder), "more.csv") == "roof"
    fresh = yard(tmp_path / "fresh", town())
    assert station_for(opened(fresh), "shed.csv") == "shed"


def test_a_station_that_is_not_there_or_its_own_is_refused(tmp_path: Path) -> None:
    made = yard(tmp_path / "yard", roof(date(2025, 9, 1)), settings='borrowed_station = "hill"\n')
    with pytest.raises(NotFoundError, match='no weather series "hill"'):
        yard_series(opened(made))
    (made / "collection.toml").write_text('station = "roof"\nborrowed_station = "roof"\n')
    with pytest.raises(InputError, match="are both"):
        yard_series(opened(made))


def test_a_loan_is_made_once_until_something_it_stands_on_changes(folder: Path) -> None:
    workspace = opened(folder)
    first = yard_series(workspace)
    assert yard_series(workspace) is first
    warmer = town()
    warmer = replace(warmer, tmean_degC=warmer.tmean_degC + 2.0, tmax_degC=warmer.tmax_degC + 2.0)
    workspace.store.weather_put(action(workspace, None, "weather import"), rows_of(warmer))
    second = yard_series(workspace)
    assert second is not first
    assert np.allclose(second.tmean_degC, first.tmean_degC, atol=0.05)  # the fit takes it off again


def test_in_the_south_winter_is_the_yards_own(tmp_path: Path) -> None:
    made = yard(tmp_path / "yard", town(), roof(date(2025, 3, 1)))
    (made / "collection.toml").write_text('latitude_deg = -37\nborrowed_station = "town"\n')
    assert any("weather years are lent" in n for n in weather_notes(opened(made), yard_series(opened(made))))


def test_inches_tell_the_step_in_fahrenheit(folder: Path) -> None:
    (folder / "collection.toml").write_text(
        'latitude_deg = 52.4\nborrowed_station = "town"\nunits = "inch"\n'
    )
    workspace = opened(folder)
    with reading(workspace.settings.reading):
        notes = weather_notes(workspace, yard_series(workspace))
    assert any("2.2 °F colder in winter" in note for note in notes)  # 1.2 degC x 9/5 = 2.16
