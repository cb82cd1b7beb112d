"""The invented weather of the demo yard keeps the normals that the scenario states."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from ringwise.desk.demo.collection import demo_values
from ringwise.desk.demo.weather import FIRST_DAY, demo_weather
from ringwise.kit.types import FloatArray, IntArray
from ringwise.weather.series import MEASURES, WeatherSeries

TODAY = date(2027, 3, 7)
WHOLE_YEARS = range(2006, 2027)


@pytest.fixture(scope="module")
def series() -> WeatherSeries:
    return demo_weather(TODAY)


def _calendar(series: WeatherSeries) -> tuple[IntArray, IntArray]:
    days = np.arange(np.datetime64(series.first), np.datetime64(series.last) + 1)
    years = days.astype("datetime64[Y]")
    return years.astype(np.int64) + 1970, (days - years.astype("datetime64[D]")).astype(np.int64) + 1


def _frosts(series: WeatherSeries, *, autumn: bool) -> FloatArray:
    years, of_year = _calendar(series)
    frost = series.tmin_degC < 0
    half = of_year > 200 if autumn else of_year <= 200
    pick = np.min if autumn else np.max
    return np.array([pick(of_year[(years == year) & frost & half]) for year in WHOLE_YEARS], dtype=np.float64)


def test_series_covers_the_years_and_says_that_it_is_invented(series: WeatherSeries) -> None:
    assert (series.first, series.last) == (FIRST_DAY, TODAY)
    assert series.first == date(2005, 11, 1)
    assert series.invented
    assert series.source == "invented"
    assert not series.filled.any()
    for name in MEASURES:
        if name != "radiation_mj_m2":
            assert not np.isnan(series.column(name)).any(), name


def test_same_every_time(series: WeatherSeries) -> None:
    again = demo_weather(TODAY)
    for name in MEASURES:
        np.testing.assert_array_equal(again.column(name), series.column(name))


def test_a_longer_series_holds_the_shorter_one(series: WeatherSeries) -> None:
    shorter = demo_weather(date(2015, 6, 30), first=date(2012, 1, 1))
    same = series.cut(shorter.first, shorter.last)
    for name in MEASURES:
        np.testing.assert_allclose(shorter.column(name), same.column(name), atol=1e-9)


def test_rain_near_740_mm_a_year(series: WeatherSeries) -> None:
    years, _of_year = _calendar(series)
    sums = np.array([series.rain_mm[years == year].sum() for year in WHOLE_YEARS])
    assert sums.mean() == pytest.approx(740.0, rel=0.15)
    assert sums.std() > 30.0, "years differ"


def test_last_air_frost_around_6_may(series: WeatherSeries) -> None:
    """Median 6 May (day 126) and one year in ten after 20 May (day 140), within eight days."""
    last = _frosts(series, autumn=False)
    assert np.median(last) == pytest.approx(126, abs=8)
    assert np.percentile(last, 90) == pytest.approx(140, abs=8)


def test_first_autumn_frost_around_20_october(series: WeatherSeries) -> None:
    """Median 20 October (day 293) and one year in ten before 5 October (day 278), within eight days."""
    first = _frosts(series, autumn=True)
    assert np.median(first) == pytest.approx(293, abs=8)
    assert np.percentile(first, 10) == pytest.approx(278, abs=8)


def test_days_are_plausible(series: WeatherSeries) -> None:
    span = series.tmax_degC - series.tmin_degC
    assert span.min() > 1.0
    assert 6.0 < span.mean() < 11.0
    assert -16.0 < series.tmin_degC.min() < -6.0
    assert 24.0 < series.tmax_degC.max() < 36.0
    persistence = np.corrcoef(series.tmean_degC[1:], series.tmean_degC[:-1])[0, 1]
    assert 0.85 < persistence < 0.98
    assert (series.rh_max_pct >= series.rh_min_pct).all()
    assert 0.35 < (series.rain_mm > 0).mean() < 0.55
    _years, of_year = _calendar(series)
    assert series.sunshine_h[of_year == 172].mean() > 1.5 * series.sunshine_h[of_year == 355].mean()


def _tips_heat(series: WeatherSeries, day: date) -> float:
    """Heat above 4 degC from the first of February to a day: a plain sum, no model of this package."""
    cut = series.cut(date(day.year, 2, 1), day)
    return float(np.clip(cut.tmean_degC - 4.0, 0.0, None).sum())


def test_springs_fit_the_days_on_which_tips_were_seen(series: WeatherSeries) -> None:
    """Heat on a fixed day: 2024 early, 2023 late, 2025 and 2026 between, as in the yard's notes."""
    heat = {year: _tips_heat(series, date(year, 3, 27)) for year in (2023, 2024, 2025, 2026)}
    assert heat[2023] < heat[2025] < heat[2024]
    assert heat[2023] < heat[2026] < heat[2024]


def test_one_need_of_heat_explains_each_trees_notes_within_a_week(series: WeatherSeries) -> None:
    notes: dict[str, list[date]] = {}
    for entry in demo_values().entries:
        if entry.kind == "stage" and entry.note != "weak" and entry.on.latest is not None:
            notes.setdefault(str(entry.tree), []).append(entry.on.latest)
    misses = []
    for days in notes.values():
        need = float(np.mean([_tips_heat(series, day) for day in days]))
        for day in days:
            reached = next(d for d in range(20, 150) if _tips_heat(series, _of(day.year, d)) >= need)
            misses.append(reached - (day - date(day.year, 1, 1)).days)
    assert float(np.sqrt(np.mean(np.square(misses)))) < 3.5
    assert max(abs(miss) for miss in misses) <= 9


def _of(year: int, day: int) -> date:
    return date.fromordinal(date(year, 1, 1).toordinal() + max(day, 31))


def test_mild_week_of_february_2027(series: WeatherSeries) -> None:
    week = series.cut(date(2027, 2, 21), date(2027, 2, 27))
    assert week.tmax_degC.max() == 13.0
    assert series.day(date(2027, 2, 24))["tmax_degC"] == 13.0
    assert week.tmin_degC.min() > 5.0
    before = series.cut(date(2027, 2, 7), date(2027, 2, 20))
    assert week.tmean_degC.mean() > before.tmean_degC.mean() + 4.0
