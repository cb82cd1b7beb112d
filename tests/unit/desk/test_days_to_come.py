"""A forecast among the stored weather: what is kept of a file, which days count, and what is said of them."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from ringwise.desk.almanac_making import almanac_key
from ringwise.desk.calibration import calibration
from ringwise.desk.climate import ClimateGiven, describe_climate
from ringwise.desk.days_to_come import days_to_come
from ringwise.desk.deeds import action
from ringwise.desk.settings import write_settings
from ringwise.desk.weather import import_weather, rows_of, show_weather
from ringwise.desk.weather_file import bring_weather
from ringwise.desk.weather_strip import YardSky, weather_strip
from ringwise.desk.weather_under import weather_notes, yard_series
from ringwise.desk.why_weather import yard_trace
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.desk.yard_forecast import yard_forecast
from ringwise.kit.errors import RingwiseError
from ringwise.kit.trace import Trace
from ringwise.records.dates import exact_day
from ringwise.records.model import Entry, Tree
from ringwise.weather.forecast_days import lead_weight
from ringwise.weather.series import series_of

TODAY = date(2027, 3, 7)
DAY = timedelta(days=1)


def opened(folder: Path, on: date = TODAY) -> Workspace:
    return open_workspace(folder, on=on.isoformat())


def measured(workspace: Workspace, *, years: int = 4, last: date = TODAY - DAY) -> None:
    """Store some years of weather up to a day, another warmth each year."""
    first = date(TODAY.year - years, 6, 1)
    days = [first + k * DAY for k in range((last - first).days + 1)]
    mean = np.array([8.0 + day.year % 4 + day.day / 31.0 for day in days])
    series = series_of(first, {"tmin_degC": mean - 4, "tmax_degC": mean + 4}, station="yard")
    workspace.store.weather_put(action(workspace, None, "weather import"), rows_of(series))


def ahead_file(
    folder: Path, first: date, days: int, *, mean: float = 2.0, before: int = 0, name: str = "ahead.json"
) -> Path:
    """A forecast in JSON, with some measured days before its first."""
    times = [first + k * DAY for k in range(-before, days)]
    told = {
        "utc_offset_seconds": 0,
        "daily_units": {"time": "iso8601", "temperature_2m_max": "°C", "temperature_2m_min": "°C"},
        "daily": {
            "time": [day.isoformat() for day in times],
            "temperature_2m_max": [mean + 3.0] * len(times),
            "temperature_2m_min": [mean - 3.0] * len(times),
        },
    }
    file = folder / name
    file.write_text(json.dumps(told))
    return file


def bring(workspace: Workspace, file: Path, *, preview: bool = False) -> dict[str, object]:
    return import_weather(workspace, file, columns=None, station="yard", preview=preview)


def test_days_to_come_are_kept_and_one_undo_takes_both_back(tmp_path: Path) -> None:
    workspace = opened(tmp_path / "yard")
    told = bring(workspace, ahead_file(tmp_path, TODAY, 10, before=5))
    assert (told["new_days"], told["new_forecast_days"], told["days"]) == (5, 10, 5)
    assert (told["last"], told["forecast_from"], told["forecast_to"]) == (
        "2027-03-06",
        "2027-03-07",
        "2027-03-16",
    )
    assert yard_series(workspace).last == TODAY - DAY
    to_come = days_to_come(workspace)
    assert to_come is not None
    assert (to_come.issue, to_come.first, to_come.n) == (TODAY, TODAY, 10)
    assert to_come.lead_days.tolist() == list(range(10))
    workspace.store.undo("Ida", action(workspace, None, "undo").at)
    assert workspace.store.weather_stations() == workspace.store.weather_stations(role="forecast") == []
    assert days_to_come(opened(tmp_path / "yard")) is None


def test_a_preview_tells_both_and_stores_nothing(tmp_path: Path) -> None:
    workspace = opened(tmp_path / "yard")
    told = bring(workspace, ahead_file(tmp_path, TODAY, 10, before=5), preview=True)
    assert (told["days"], told["new_days"], told["new_forecast_days"]) == (5, None, None)
    lines = "\n".join(told["lines"])  # type: ignore[arg-type]
    assert "yard: 5 days from" in lines
    assert "10 days are still to come, kept as a forecast up to 16 Mar 2027" in lines
    assert workspace.store.latest_step() == 0


def test_a_file_of_days_to_come_alone_works(tmp_path: Path) -> None:
    workspace = opened(tmp_path / "yard")
    measured(workspace)
    told = bring(workspace, ahead_file(tmp_path, TODAY + 2 * DAY, 7))
    assert (told["first"], told["days"], told["new_days"], told["new_forecast_days"]) == (None, 0, 0, 7)
    assert bring(workspace, tmp_path / "ahead.json")["new_forecast_days"] == 0
    done = bring_weather(workspace, ahead_file(tmp_path, TODAY, 3, mean=4.0), "ahead.json")
    assert "no measured day" in done["line"]


def test_days_that_no_forecast_can_tell_are_not_kept(tmp_path: Path) -> None:
    workspace = opened(tmp_path / "yard")
    told = bring(workspace, ahead_file(tmp_path, TODAY, 30))
    assert (told["forecast_days"], told["new_forecast_days"]) == (30, 17)
    assert told["forecast_to"] == (TODAY + 16 * DAY).isoformat()
    assert any("beyond it no forecast can tell" in line for line in told["lines"])  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text[:-5],
        lambda text: text.replace("5.0", '"warm"', 1),
        lambda text: text.replace("-1.0", "null").replace("5.0", "null"),
        lambda text: text.replace("-1.0", "null"),
    ],
    ids=["cut off", "a word", "empty", "one extreme"],
)
def test_a_bad_forecast_stores_nothing(tmp_path: Path, change: object) -> None:
    workspace = opened(tmp_path / "yard")
    measured(workspace)
    before = workspace.store.latest_step()
    file = ahead_file(tmp_path, TODAY + DAY, 5)
    file.write_text(change(file.read_text()))  # type: ignore[operator]
    with pytest.raises(RingwiseError) as wrong:
        bring(workspace, file)
    assert len(str(wrong.value).splitlines()) == 1
    assert "ahead.json" in str(wrong.value) or "2027-03-0" in str(wrong.value)
    assert workspace.store.latest_step() == before


def test_a_value_that_is_no_weather_opens_its_day_alone(tmp_path: Path) -> None:
    workspace = opened(tmp_path / "yard")
    file = ahead_file(tmp_path, TODAY, 5)
    file.write_text(file.read_text().replace("5.0", "99.0", 1))
    told = bring(workspace, file)
    assert len(told["rejected"]) == 1  # type: ignore[arg-type]
    to_come = days_to_come(workspace)
    assert to_come is not None
    assert to_come.first == TODAY + DAY


def test_far_days_alone_are_refused(tmp_path: Path) -> None:
    workspace = opened(tmp_path / "yard")
    with pytest.raises(RingwiseError, match="none within 16 days"):
        bring(workspace, ahead_file(tmp_path, TODAY + 20 * DAY, 5))
    assert workspace.store.latest_step() == 0


def test_a_later_forecast_counts_day_by_day_and_a_measured_day_wins(tmp_path: Path) -> None:
    folder = tmp_path / "yard"
    measured(opened(folder))
    bring(opened(folder), ahead_file(tmp_path, TODAY, 14, mean=2.0))
    later = TODAY + 3 * DAY
    bring(opened(folder, later), ahead_file(tmp_path, later, 5, mean=6.0))
    to_come = days_to_come(opened(folder, later))
    assert to_come is not None
    assert (to_come.issue, to_come.first, to_come.n) == (later, TODAY, 14)
    assert to_come.tmean_degC.tolist() == [2.0] * 3 + [6.0] * 5 + [2.0] * 6
    assert to_come.lead_days.tolist() == [0, 1, 2, 0, 1, 2, 3, 4, 8, 9, 10, 11, 12, 13]
    made = yard_forecast(opened(folder, later)).members
    on = made.column(TODAY - DAY)
    assert made.observed[on]
    assert not made.forecast[on]
    # A passed day without a measurement is a forecast still: the years differ on it.
    assert made.forecast[on + 1 : on + 15].all()
    assert not made.observed[on + 1 :].any()
    assert np.ptp(made.tmean_degC[:, on + 1]) > 0.0
    # Once it is measured, the forecast of that day is forgotten.
    measured(opened(folder, later), last=TODAY + DAY)
    again = yard_forecast(opened(folder, later)).members
    assert again.observed[on + 2]
    assert np.ptp(again.tmean_degC[:, on + 2]) == 0.0


def test_outlook_and_strip_lean_on_it(tmp_path: Path) -> None:
    folder = tmp_path / "yard"
    measured(opened(folder))
    plain = yard_forecast(opened(folder)).members
    key = almanac_key(opened(folder))
    strip = weather_strip(opened(folder))
    bring(opened(folder), ahead_file(tmp_path, TODAY, 10))
    workspace = opened(folder)
    drawn = yard_forecast(workspace).members
    at = plain.column(TODAY + 4 * DAY)
    weight = float(lead_weight(np.array([4]))[0])
    before = plain.tmean_degC[:, at]
    assert drawn.tmean_degC[:, at] == pytest.approx(
        before.mean() + weight * (2.0 - before.mean()) + np.sqrt(1 - weight**2) * (before - before.mean())
    )
    assert almanac_key(workspace) != key
    ahead = weather_strip(workspace)
    sky = YardSky(workspace)
    assert sky.forecast_of(TODAY + DAY) == TODAY
    assert sky.forecast_of(TODAY + 11 * DAY) is None
    values = [day["tmin_degC"]["value"] for day in ahead["days"] if day["day"] == "2027-03-08"]
    assert values < [day["tmin_degC"]["value"] for day in strip["days"] if day["day"] == "2027-03-08"]
    assert "drawn towards the forecast of 7 Mar up to 16 Mar" in ahead["sentence"]
    assert "not a forecast" in strip["sentence"]
    (note,) = [n for n in weather_notes(workspace, yard_series(workspace)) if "forecast" in n]
    assert "16 Mar" in note
    trace = yard_trace(workspace, ("yard", "weather", "2027-03-08", "tmin"))
    assert "forecast of 7 Mar 2027" in trace.inputs[0].formula


def test_what_was_not_known_yet_is_not_used(tmp_path: Path) -> None:
    folder = tmp_path / "yard"
    measured(opened(folder))
    bring(opened(folder), ahead_file(tmp_path, TODAY, 10))
    assert days_to_come(opened(folder, TODAY - DAY)) is None
    assert not yard_forecast(opened(folder, TODAY - 5 * DAY)).members.forecast.any()
    as_known = opened(folder).store.weather_stations(TODAY - DAY, "forecast")
    assert as_known == []


def test_an_old_forecast_is_not_used_and_said_to_be(tmp_path: Path) -> None:
    folder = tmp_path / "yard"
    measured(opened(folder))
    bring(opened(folder), ahead_file(tmp_path, TODAY, 17))
    last = days_to_come(opened(folder, TODAY + 16 * DAY))
    assert last is not None
    told = show_weather(opened(folder, TODAY + 16 * DAY))
    assert told["forecast"]["passed_days"] == 16
    assert any("16 days of the forecast have passed without a measurement" in line for line in told["lines"])
    old = opened(folder, TODAY + 17 * DAY)
    assert days_to_come(old) is None
    told = show_weather(old)
    assert told["forecast"]["used"] is False
    assert any("the forecast of 7 Mar 2027 is more than 16 days old" in line for line in told["lines"])
    assert not [note for note in weather_notes(old, yard_series(old)) if "forecast" in note]


def test_show_names_the_forecast(tmp_path: Path) -> None:
    workspace = opened(tmp_path / "yard")
    measured(workspace)
    assert show_weather(workspace)["forecast"] is None
    bring(workspace, ahead_file(tmp_path, TODAY, 10))
    told = show_weather(workspace)
    assert told["forecast"] == {
        "issue": "2027-03-07",
        "first": "2027-03-07",
        "last": "2027-03-16",
        "used": True,
        "passed_days": 0,
    }
    assert "forecast of 7 Mar 2027, to 16 Mar 2027" in told["lines"]


def test_without_a_measured_day_the_forecast_is_shown_alone(tmp_path: Path) -> None:
    workspace = opened(tmp_path / "yard")
    bring(workspace, ahead_file(tmp_path, TODAY, 10))
    told = show_weather(workspace)
    assert (told["station"], told["days"], told["first"]) == ("yard", 0, None)
    assert told["forecast"]["last"] == "2027-03-16"


def test_described_years_take_a_forecast_too(tmp_path: Path) -> None:
    (tmp_path / "yard").mkdir()
    write_settings(tmp_path / "yard", {"latitude_deg": 52.4})
    workspace = opened(tmp_path / "yard")
    describe_climate(workspace, ClimateGiven("1 C", "19 C"))
    bring(workspace, ahead_file(tmp_path, TODAY, 10))
    made = yard_forecast(opened(tmp_path / "yard")).members
    assert made.forecast.sum() == 10
    assert not made.observed.any()
    told = show_weather(opened(tmp_path / "yard"))
    assert told["source"] == "described"
    assert told["forecast"]["used"] is True


def test_a_forecast_of_another_station_is_left_aside(tmp_path: Path) -> None:
    workspace = opened(tmp_path / "yard")
    measured(workspace)
    import_weather(workspace, ahead_file(tmp_path, TODAY, 10), columns=None, station="roof")
    assert days_to_come(workspace) is None
    assert days_to_come(workspace, "roof") is not None


def test_own_readings_are_no_forecast(tmp_path: Path) -> None:
    workspace = opened(tmp_path / "yard")
    measured(workspace)
    series = series_of(TODAY, {"tmin_degC": np.array([1.0])}, station="yard")
    rows = replace(rows_of(series), role="place")
    workspace.store.weather_put(action(workspace, None, "readings"), rows)
    assert days_to_come(workspace) is None
    assert yard_series(workspace).last == TODAY - DAY


def with_a_tree(folder: Path) -> Workspace:
    """A yard with one tree that was seen in two springs, and four years of weather."""
    workspace = opened(folder)
    measured(workspace)
    seen = [
        Entry("", "T01", "stage", exact_day(day), {"code": "07", "extent": "first"})
        for day in (date(2025, 4, 2), date(2026, 4, 6))
    ]
    tree = Tree("T01", "Gatepost", "Carpinus betulus")
    workspace.store.save(action(workspace, None, "first evening"), [tree, *seen])
    return opened(folder)


def test_the_chain_tells_observed_forecast_and_past_years(tmp_path: Path) -> None:
    folder = tmp_path / "yard"
    plain = yard_forecast(with_a_tree(folder)).trees["T01"].trace
    bring(opened(folder), ahead_file(tmp_path, TODAY, 10))
    drawn = yard_forecast(opened(folder)).trees["T01"].trace

    def weather(trace: Trace) -> Trace:
        (found,) = [link for link in trace.inputs if link.room == "weather.years"]
        return found

    observed = (TODAY - DAY - date(2026, 11, 1)).days + 1
    assert weather(plain).value == f"{observed} days observed, then 3 past years"
    assert weather(drawn).value == (
        f"{observed} days observed, 10 by the forecast of 7 Mar 2027, then 3 past years"
    )


def test_past_forecasts_are_scored_without_it(tmp_path: Path) -> None:
    folder = tmp_path / "yard"
    before = calibration(with_a_tree(folder))
    assert before["sightings_scored"] > 0
    later = TODAY + 2 * DAY
    bring(opened(folder), ahead_file(tmp_path, TODAY, 10, mean=20.0))
    assert calibration(opened(folder)) == before
    # Not even where the forecast has passed without a measurement.
    assert calibration(opened(folder, later))["scores"] == before["scores"]
