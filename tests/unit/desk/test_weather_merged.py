"""A second file beside what is stored: it adds and corrects, and never erases what another one measured."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from ringwise.desk.weather import import_weather
from ringwise.desk.weather_under import yard_series
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import RangeError
from ringwise.weather.borrowed import borrowed_series, fit_borrowing
from ringwise.weather.microsite import microsite_prior
from ringwise.weather.place_readings import PlaceReadings, learned
from ringwise.weather.series import WeatherSeries, series_of

HEADER = "date,tmin_degC,tmax_degC,rain_mm,wind_2m_m_s\n"


def opened(folder: Path, on: str = "2024-03-06") -> Workspace:
    return open_workspace(folder, on=on)


def taken(folder: Path, rows: str, on: str = "2024-03-06") -> dict[str, object]:
    file = folder / "in.csv"
    file.write_text(HEADER + rows)
    return import_weather(opened(folder, on), file, columns=None, station="yard")


def stored(folder: Path) -> WeatherSeries:
    return yard_series(opened(folder))


FIRST = "2024-02-01,0,6,3,2\n2024-02-02,-9,5,3,2\n2024-02-03,1,7,3,2\n2024-02-04,2,8,3,2\n"


def test_empty_cells_and_bridged_days_leave_what_was_measured(tmp_path: Path) -> None:
    taken(tmp_path, FIRST)
    taken(tmp_path, "2024-02-01,0,6,,\n2024-02-02,,,,\n2024-02-03,1.5,7,,\n2024-02-04,2,8,,\n")
    now = stored(tmp_path)
    np.testing.assert_array_equal(now.tmin_degC, [0, -9, 1.5, 2])  # corrected where the file speaks
    np.testing.assert_array_equal(now.rain_mm, [3, 3, 3, 3])
    assert not now.filled.any()


def test_a_file_of_rain_alone_leaves_the_temperatures(tmp_path: Path) -> None:
    taken(tmp_path, FIRST)
    taken(tmp_path, "2024-02-01,,,9,\n2024-02-02,,,0,\n")
    now = stored(tmp_path)
    np.testing.assert_array_equal(now.rain_mm, [9, 0, 3, 3])
    np.testing.assert_array_equal(now.tmin_degC, [0, -9, 1, 2])


def test_halves_of_a_day_that_contradict_each_other_are_refused(tmp_path: Path) -> None:
    taken(tmp_path, "2024-02-01,0,6,,\n2024-02-02,-9,5,,\n")
    with pytest.raises(RangeError, match="2024-02-02"):
        taken(tmp_path, "2024-02-02,7,,,\n")
    np.testing.assert_array_equal(stored(tmp_path).tmin_degC, [0, -9])


def test_a_gap_is_bridged_when_read_and_filled_by_a_later_file(tmp_path: Path) -> None:
    taken(tmp_path, "2024-02-01,0,6,,\n2024-02-02,,,,\n2024-02-03,2,8,,\n")
    before = stored(tmp_path)
    assert before.filled.tolist() == [False, True, False]
    assert before.tmin_degC[1] == 1.0
    taken(tmp_path, "2024-02-02,-9,5,,\n")
    now = stored(tmp_path)
    assert (now.tmin_degC[1], now.filled.any()) == (-9.0, False)


def test_last_measured_nights_are_kept_where_another_column_is_bridged_into_the_forecast(
    tmp_path: Path,
) -> None:
    rows = "".join(f"2024-03-0{day},-{day},5,0,{2 if day != 5 and day != 6 else ''}\n" for day in range(1, 9))
    told = taken(tmp_path, rows)  # today is 6 March
    assert (told["last"], told["forecast_from"]) == ("2024-03-06", "2024-03-07")
    assert stored(tmp_path).tmin_degC[-1] == -6.0


def plain(days: int, **more: np.ndarray) -> WeatherSeries:
    low = np.arange(days) % 7.0
    return series_of(date(2024, 1, 1), {"tmin_degC": low, "tmax_degC": low + 8, **more}, station="yard")


def test_a_missing_hour_of_sun_hides_no_temperature() -> None:
    sun = np.where(np.arange(20) % 2 == 1, np.nan, 4.0)
    series = plain(20, sunshine_h=sun)
    assert series.filled[1]
    read = PlaceReadings(series.first, series.tmin_degC + 1.0, np.full(20, np.nan))
    told = learned(read, series, microsite_prior("open_bench"))
    assert (told.offset.nights.readings, told.left_out) == (20, ())
    other = replace(plain(20), station="town")
    fit = fit_borrowing(series, other)
    assert fit.shifts["tmin_degC"].days == 20


def test_own_rain_stays_on_a_day_whose_temperature_is_lent() -> None:
    rain = np.where(np.arange(40) == 30, 12.0, 0.0)
    own = plain(40, rain_mm=rain)
    gone = np.arange(40) >= 28
    own = replace(
        own,
        **{n: np.where(gone, np.nan, own.column(n)) for n in ("tmin_degC", "tmax_degC", "tmean_degC")},
        bridged={},
    )
    other = replace(plain(40), station="town")
    joined = borrowed_series(own, other, fit_borrowing(own, other))
    assert joined.lent_days[30]
    assert joined.rain_mm[30] == 12.0
