"""Each format of a weather service: units, flags, marks for missing and days as its documentation has them.

The files in `data` are invented; `data/README.md` names the documentation of each layout. Expected values are
worked out by hand from the text of the file and the documented unit.
"""

from __future__ import annotations

import math
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from ringwise.kit.errors import UnitError
from ringwise.weather.file_units import wind_factor
from ringwise.weather.formats.found import WeatherRead, Wish
from ringwise.weather.formats.sniff import measured_part, read_weather
from ringwise.weather.humidity import Humidity, actual_vapour, saturation_kPa

DATA = Path(__file__).parent / "data"
GAP = None


def read(name: str, *, today: date | None = None, columns: str | None = None) -> WeatherRead:
    wish = Wish("any.name", station="yard", today=today)  # the name tells nothing
    return read_weather((DATA / name).read_bytes(), wish, columns=columns)


def told(found: WeatherRead, column: str, first: date, days: int) -> list[float | None]:
    values = (found.series.day(first + timedelta(days=k))[column] for k in range(days))
    return [value if value is None else round(value, 3) for value in values]


def reasons(found: WeatherRead) -> list[tuple[date, str, str]]:
    return [(each.day, each.column, each.reason) for each in found.rejected]


FEB_26 = date(2024, 2, 26)
FORMATS = {
    "ghcn.dly": "ghcn_dly",
    "ghcn_by_station.csv": "ghcn_by_station",
    "ghcn_tenths.csv": "ghcn_daily_summaries",
    "ghcn_metric.csv": "ghcn_daily_summaries",
    "ghcn_fahrenheit.csv": "ghcn_daily_summaries",
    "gsod.csv": "gsod",
    "dwd_kl.txt": "dwd_daily_kl",
    "open_meteo.json": "open_meteo_json",
    "open_meteo.csv": "open_meteo_csv",
}


@pytest.mark.parametrize(("name", "form"), FORMATS.items())
def test_the_format_is_told_by_the_content_and_not_by_the_name(name: str, form: str) -> None:
    found = read(name)
    assert found.format == form
    assert found.series.station == "yard"
    assert found.series.source == "any.name"
    assert not found.series.invented


@pytest.mark.parametrize("name", FORMATS)
def test_a_byte_order_mark_and_windows_line_ends_change_nothing(name: str) -> None:
    plain = read(name)
    data = b"\xef\xbb\xbf" + (DATA / name).read_bytes().replace(b"\n", b"\r\n")
    other = read_weather(data, Wish("any.name", station="yard"))
    assert np.array_equal(plain.series.tmax_degC, other.series.tmax_degC, equal_nan=True)
    assert plain.rejected == other.rejected


def test_dly_is_in_tenths_and_drops_flagged_values() -> None:
    found = read("ghcn.dly")  # GHCN-Daily readme: tenths of degC, of mm, of m/s; T is a trace (recalled)
    assert told(found, "tmax_degC", FEB_26, 6) == [8.1, 9.5, 11.2, 10.8, 10.4, 9.9]  # 29 February bridged
    assert told(found, "tmin_degC", FEB_26, 6) == [-1.2, 0.5, 2.1, 3.3, 4.0, 1.8]
    assert told(found, "rain_mm", FEB_26, 6) == [0.0, 12.3, 0.0, GAP, GAP, GAP]  # rain is never bridged
    assert found.series.filled.tolist() == [False, False, False, True, False, False]
    assert reasons(found) == [
        (date(2024, 2, 29), "PRCP", "measurement flag P: missing, presumed zero"),
        (date(2024, 2, 29), "TMAX", "quality flag I"),
    ]
    assert any("1 trace of rain counts as 0 mm" in note for note in found.notes)
    assert any("no times of reading" in note for note in found.notes)
    assert "Not used: SNWD." in found.notes


def test_wind_of_a_station_comes_down_from_10_m_to_2_m() -> None:
    # Allen et al. 1998 (FAO-56), example 18: 10 km/h at 10 m are 2.078 m/s at 2 m, as printed.
    assert 10 / 3.6 * wind_factor(10.0) == pytest.approx(2.078, abs=5e-4)
    found = read("ghcn.dly")
    assert told(found, "wind_2m_m_s", FEB_26, 3) == [
        pytest.approx(2.8 * 0.748, abs=2e-3),
        pytest.approx(3.1 * 0.748, abs=2e-3),
        GAP,
    ]


def test_a_morning_observer_s_maximum_belongs_to_the_day_before() -> None:
    found = read("ghcn_by_station.csv")  # readme-by_station.txt: OBS-TIME 0700 is 7 in the morning
    assert found.series.first == date(2024, 2, 25)
    # Read on 26, 27, 28 at 7: the maxima of 25, 26, 27. Read at 24 on 1 March: of 1 March.
    assert told(found, "tmax_degC", date(2024, 2, 25), 6) == [8.1, 9.5, 11.2, *BRIDGED, 10.4]
    assert told(found, "tmin_degC", date(2024, 2, 25), 6) == [GAP, -1.2, 0.5, 2.1, 3.3, 4.0]  # stays
    assert told(found, "rain_mm", date(2024, 2, 25), 3) == [GAP, 0.0, 12.3]  # stays on the day of reading
    assert any("3 maxima were read in the morning" in note for note in found.notes)
    assert reasons(found) == [(date(2024, 2, 29), "TMAX", "quality flag I")]
    assert "Not used: WSFG." in found.notes


BRIDGED = [round(11.2 + (10.4 - 11.2) * k / 3, 3) for k in (1, 2)]


def test_a_change_of_the_time_of_reading_keeps_the_value_that_stands_on_its_day() -> None:
    rows = (
        "XX000000001,20240301,TMAX,100,,,S,1800\n"
        "XX000000001,20240302,TMAX,101,,,S,0700\n"
        "XX000000001,20240303,TMAX,120,,,S,0700\n"
    )
    found = read_weather(rows.encode(), Wish("a"))
    assert told(found, "tmax_degC", date(2024, 3, 1), 2) == [10.0, 12.0]
    assert reasons(found) == [
        (date(2024, 3, 2), "TMAX", "read in the morning, but the day before has a maximum of its own")
    ]


@pytest.mark.parametrize(("time", "day"), [("0000", 1), ("1159", 1), ("1200", 2), ("2400", 2), ("", 2)])
def test_only_a_reading_before_noon_moves(time: str, day: int) -> None:
    found = read_weather(f"XX000000001,20240302,TMAX,100,,,S,{time}\n".encode(), Wish("a"))
    assert found.series.first == date(2024, 3, day)


def test_daily_summaries_in_tenths() -> None:
    found = read("ghcn_tenths.csv")
    assert told(found, "tmax_degC", date(2024, 2, 25), 2) == [8.1, 19.5]  # read at 7 the morning after
    assert told(found, "tmin_degC", FEB_26, 4) == [-1.2, 0.5, 2.1, 3.3]
    assert told(found, "rain_mm", FEB_26, 4) == [0.0, 12.3, 0.0, 0.4]
    assert reasons(found) == [(date(2024, 2, 28), "TMAX", "quality flag X")]
    assert any("only tenths_degC fits" in note for note in found.notes)
    assert any("no mean wind" in note for note in found.notes)  # WSF2 is the fastest two minutes


def test_daily_summaries_in_degrees_celsius() -> None:
    found = read("ghcn_metric.csv")
    assert told(found, "tmax_degC", FEB_26, 3) == [8.1, 9.5, 11.2]
    assert told(found, "rain_mm", FEB_26, 3) == [0.0, 12.3, GAP]
    assert any("only degC fits" in note for note in found.notes)


def test_daily_summaries_in_degrees_fahrenheit_and_inches() -> None:
    found = read("ghcn_fahrenheit.csv")
    assert told(found, "tmax_degC", date(2024, 7, 1), 3) == [30.0, 25.0, 20.0]
    assert told(found, "tmin_degC", date(2024, 7, 1), 3) == [15.0, 16.111, 10.0]
    assert told(found, "rain_mm", date(2024, 7, 1), 3) == [0.0, 12.7, GAP]
    assert [each.unit for each in found.understood] == ["degF", "degF", "in"]


WIDE = "STATION,DATE,PRCP,TMAX,TMIN\n"
UNCLEAR = {
    "no temperature": "X,2024-01-01,10,,\n",
    "tenths or Fahrenheit": "X,2024-01-01,0,70,40\nX,2024-01-02,0,68,39\n",
    "Celsius or Fahrenheit": "X,2024-01-01,0,30,18\nX,2024-01-02,0,31,19\n",
    "none of the three": "X,2024-01-01,0,812.5,400.1\n",
}


@pytest.mark.parametrize("rows", UNCLEAR.values(), ids=UNCLEAR)
def test_a_unit_that_cannot_be_told_is_asked_for(rows: str) -> None:
    with pytest.raises(UnitError, match="names no unit") as wrong:
        read_weather((WIDE + rows).encode(), Wish("a.csv"))
    assert "Say it in a mapping" in str(wrong.value)


def test_a_mapping_settles_the_unit() -> None:
    text = (WIDE + UNCLEAR["Celsius or Fahrenheit"]).encode()
    columns = "date=DATE,tmax_degC=TMAX:degF,tmin_degC=TMIN:degF"
    found = read_weather(text, Wish("a.csv"), columns=columns)
    assert told(found, "tmax_degC", date(2024, 1, 1), 1) == [round((30 - 32) / 1.8, 3)]


def test_gsod_is_in_fahrenheit_knots_and_inches_with_nines_for_missing() -> None:
    found = read("gsod.csv")
    assert told(found, "tmax_degC", FEB_26, 4) == [15.0, 14.0, 15.0, 16.0]  # the 28th bridged
    assert found.series.filled.tolist() == [False, True, True, False]  # the wind of the 27th, all of the 28th
    assert told(found, "tmean_degC", FEB_26, 2) == [10.0, 9.0]
    assert told(found, "rain_mm", FEB_26, 4) == [12.7, GAP, GAP, GAP]
    wind = told(found, "wind_2m_m_s", FEB_26, 2)[0]
    assert wind == pytest.approx(10 * 1852 / 3600 * 0.748, abs=5e-3)  # WDSP, not MXSPD 15.9
    assert reasons(found) == [
        (date(2024, 2, 28), "PRCP", "rain flag I: no rain reported at all"),
        (date(2024, 2, 29), "PRCP", "rain flag A: reports of only a part of the day"),
    ]
    assert any("universal time" in note for note in found.notes)
    assert any("extremes of 1 day" in note for note in found.notes)


def test_gsod_dew_point_gives_a_humidity_that_gives_the_vapour_back() -> None:
    found = read("gsod.csv")
    day = found.series.day(FEB_26)
    low, high = day["rh_min_pct"], day["rh_max_pct"]
    assert low is not None
    assert high is not None
    assert high == pytest.approx(100.0)  # dew point 41 degF is the minimum of that day
    humidity = Humidity(rh_min_pct=low, rh_max_pct=high)
    vapour = actual_vapour(day["tmin_degC"] or math.nan, day["tmax_degC"] or math.nan, humidity)
    assert float(vapour.actual_kPa) == pytest.approx(float(saturation_kPa(5.0)), rel=1e-9)


def test_dwd_is_metric_with_999_for_missing() -> None:
    found = read("dwd_kl.txt")
    assert told(found, "tmin_degC", FEB_26, 3) == [5.0, 1.9, 0.2]  # TNK, not the grass minimum TGK
    assert told(found, "tmax_degC", FEB_26, 3) == [10.0, 9.4, GAP]
    assert told(found, "tmean_degC", FEB_26, 3) == [6.2, 5.9, 5.0]
    assert told(found, "rain_mm", FEB_26, 3) == [0.4, GAP, 0.0]
    assert told(found, "sunshine_h", FEB_26, 3) == [2.5, 4.8, 7.1]  # the middle one bridged
    wind = told(found, "wind_2m_m_s", FEB_26, 1)[0]
    assert wind == pytest.approx(3.1 * 0.748, abs=2e-3)  # FM, not the gust FX 10.3
    assert found.series.day(FEB_26)["rh_max_pct"] == pytest.approx(100.0, abs=0.1)  # 8.72 hPa at 5 degC
    assert any("TGK" in note for note in found.notes)


def test_open_meteo_marks_days_to_come_and_leaves_the_highest_wind_out() -> None:
    found = read("open_meteo.json", today=date(2024, 3, 1))
    assert found.forecast_from == date(2024, 3, 1)
    assert found.forecast_days == 1  # the null of 2 March is no day at all
    assert found.series.last == date(2024, 3, 1)
    wind = told(found, "wind_2m_m_s", FEB_26, 1)[0]
    assert wind == pytest.approx(2.078, abs=1e-3)  # 10 km/h at 10 m, FAO-56 example 18
    assert told(found, "sunshine_h", FEB_26, 2) == [2.5, 0.0]
    assert told(found, "radiation_mj_m2", FEB_26, 1) == [7.2]
    assert any("Ask for wind_speed_10m_mean" in note for note in found.notes)
    kept = measured_part(found)
    assert kept.series.last == date(2024, 2, 29)
    assert kept.forecast_from == date(2024, 3, 1)


def test_an_archive_has_nothing_to_come() -> None:
    assert read("open_meteo.json", today=date(2026, 1, 1)).forecast_from is None


def test_open_meteo_in_other_units_as_csv() -> None:
    found = read("open_meteo.csv")
    assert found.series.n == 2  # nulls at the end are no days
    assert told(found, "tmax_degC", FEB_26, 2) == [8.0, 10.0]
    assert told(found, "rain_mm", FEB_26, 2) == [0.0, 12.7]
    assert told(found, "wind_2m_m_s", FEB_26, 1) == [GAP]


def test_open_meteo_days_as_seconds_count_from_the_place_s_own_midnight() -> None:
    start = 1_709_247_600  # 2024-02-29 23:00 UTC is 1 March 00:00 at +01:00
    text = (
        '{"utc_offset_seconds": 3600, "daily_units": {"time": "unixtime", "temperature_2m_max": "°C"},'
        f'"daily": {{"time": [{start}], "temperature_2m_max": [9]}}}}'
    )
    assert read_weather(text.encode(), Wish("a")).series.first == date(2024, 3, 1)


def test_nulls_within_a_forecast_never_reach_what_is_stored() -> None:
    text = (
        '{"daily_units": {"temperature_2m_max": "°C"}, "daily": {"time": ["2024-03-01", "2024-03-02",'
        ' "2024-03-03"], "temperature_2m_max": [9.0, null, 11.0]}}'
    )
    found = read_weather(text.encode(), Wish("a", today=date(2024, 3, 3)))
    assert measured_part(found).series.last == date(2024, 3, 1)  # 2 March was bridged towards the forecast


MAPPED = {
    "unit and mark": ("tmin_degC=T:degF:missing=-99", ["50", "-99", "41"], [10.0, 7.5, 5.0]),
    "several marks": ("rain_mm=T:missing=-99|x", ["1", "-99.0", "x"], [1.0, GAP, GAP]),
    "tenths": ("rain_mm=T:tenths_mm", ["15", "0", "7"], [1.5, 0.0, 0.7]),
    "plain": ("tmean_degC=T", ["1,5", "2", ""], [1.5, 2.0, GAP]),
    "wind": ("wind_2m_m_s=T:km/h:height=10", ["36", "0", "18"], [7.48, 0.0, 3.74]),
    "radiation": ("radiation_mj_m2=T:W/m2", ["100", "0", "200"], [8.64, 0.0, 17.28]),
    "sun": ("sunshine_h=T:min", ["90", "0", "60"], [1.5, 0.0, 1.0]),
}


@pytest.mark.parametrize(("mapping", "cells", "expected"), MAPPED.values(), ids=MAPPED)
def test_a_mapping_declares_unit_and_mark(
    mapping: str, cells: list[str], expected: list[float | None]
) -> None:
    rows = "".join(f"{day}.03.2024;{cell}\n" for day, cell in enumerate(cells, 1))
    columns = f"date=D:DD.MM.YYYY,{mapping}"
    found = read_weather(("D;T\n" + rows).encode(), Wish("a.csv"), columns=columns)
    (column,) = found.understood
    values = told(found, column.ours, date(2024, 3, 1), 3)
    assert values == [value if value is None else pytest.approx(value, abs=5e-3) for value in expected]
    assert found.format == "mapping"


def test_a_column_whose_name_has_a_colon_is_taken_by_that_name() -> None:
    text = b"date,T:degF\n2024-03-01,5\n"
    found = read_weather(text, Wish("a.csv"), columns="tmean_degC=T:degF")
    assert found.series.tmean_degC.tolist() == [5.0]
    both = read_weather(text, Wish("a.csv"), columns="tmean_degC=T:degF:degF")
    assert both.series.tmean_degC.tolist() == [-15.0]  # the last part is the unit: 5 degF


def test_a_value_that_cannot_be_is_rejected_and_told() -> None:
    rows = ["XX000000001,202403{:02d},TMAX,{},,,S,", "XX000000001,202403{:02d},TMIN,{},,,S,"]
    highs = [100, 110, 990, 120, 115, 118, 450, 116, 114, 112, 111, 110]
    lows = [10, 20, 30, 20, 130, 10, 12, 11, 10, 9, 8, 7]
    text = "\n".join(
        row.format(day, value)
        for row, column in zip(rows, (highs, lows), strict=True)
        for day, value in enumerate(column, 1)
    )
    found = read_weather(text.encode(), Wish("a"))
    assert reasons(found) == [
        (date(2024, 3, 3), "TMAX", "outside -90 to 60 degC"),
        (date(2024, 3, 5), "TMAX", "the minimum is above the maximum"),
        (date(2024, 3, 5), "TMIN", "the minimum is above the maximum"),
        (date(2024, 3, 7), "TMAX", "jumps by more than 25 degC from the day before"),
    ]
    assert [each.text for each in found.rejected] == [
        "990 tenths_degC",
        "115 tenths_degC",
        "130 tenths_degC",
        "450 tenths_degC",
    ]
    assert found.series.filled.tolist() == [k in {2, 4, 6} for k in range(12)]


def test_a_gap_beyond_three_days_stays_open() -> None:
    days = [1, 5, 10]
    text = "".join(f"XX000000001,202403{day:02d},TMAX,{100 + day},,,S,\n" for day in days)
    found = read_weather(text.encode(), Wish("a"))
    assert found.series.filled.tolist() == [False, True, True, True] + [False] * 6
    assert np.isnan(found.series.tmax_degC[5:9]).all()


def test_a_bridge_that_would_cross_a_measured_value_stays_open() -> None:
    values = {"TMIN": (("01", 50), ("03", 50)), "TMAX": (("01", 100), ("02", 30), ("03", 100))}
    text = "".join(
        f"XX000000001,202403{day},{element},{value},,,S,\n"
        for element, cells in values.items()
        for day, value in cells
    )
    found = read_weather(text.encode(), Wish("a"))
    assert told(found, "tmin_degC", date(2024, 3, 1), 3) == [5.0, GAP, 5.0]
    assert told(found, "tmean_degC", date(2024, 3, 1), 3) == [7.5, 7.5, 7.5]  # of the means on both sides
    assert found.series.filled.tolist() == [False, True, False]
