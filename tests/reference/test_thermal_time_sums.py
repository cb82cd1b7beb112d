"""Degree-day sums on a smooth spring and on the Seattle record, by independent programs."""

from __future__ import annotations

import math
from datetime import date
from importlib import resources

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.kit.types import FloatArray
from ringwise.phenology.calc import StageAsk, stage_day
from ringwise.phenology.models import thermal_sums
from ringwise.phenology.sums import DailyMeans, daily_means
from ringwise.weather.reading import parse_columns, read_csv
from ringwise.weather.series import WeatherSeries, series_of


def smooth_spring() -> WeatherSeries:
    """T(J) = 10 - 12 cos(2 pi (J - 15) / 365) for J = 1..180."""
    warmth = [10 - 12 * math.cos(2 * math.pi * (day - 15) / 365) for day in range(1, 181)]
    return series_of(date(2013, 1, 1), {"tmean_degC": np.array(warmth)})


def seattle() -> WeatherSeries:
    """Daily extremes 2012 to 2015, as shipped in vega_datasets 0.9.0."""
    text = (resources.files("vega_datasets") / "_data" / "seattle-weather.csv").read_text(encoding="utf-8")
    columns = parse_columns("date=date,tmin_degC=temp_min,tmax_degC=temp_max")
    return read_csv(text, file="seattle-weather.csv", columns=columns)


def heat_above(base_degC: float, days: DailyMeans) -> FloatArray:
    """The running sum of the model of spring warming, from day 1 on."""
    values = {"start_day": 1.0, "base": base_degC, "heat": 150.0}
    return thermal_sums({name: np.array([value]) for name, value in values.items()}, days)["heat"][0, 0]


@pytest.mark.parametrize(
    ("base_degC", "at_100", "at_120", "first_150"),
    [(0.0, 206.3986, 423.8551, 94), (5.0, 36.0940, 153.5505, 120)],
)
def test_smooth_spring_sums(base_degC: float, at_100: float, at_120: float, first_150: int) -> None:
    # Source: own calculation by an independent program; sums to 1e-3, the day exact.
    series = smooth_spring()
    days = daily_means(series.tmean_degC, first_index=1, year=GrowingYear(2013))
    total = heat_above(base_degC, days)
    assert total[99] == pytest.approx(at_100, abs=1e-3)
    assert total[119] == pytest.approx(at_120, abs=1e-3)
    overrides = {"start_day": 1.0, "base": base_degC, "heat": 150.0}
    found = stage_day(series, StageAsk("thermal_time", "any", 2013, overrides=overrides))
    assert found.day_of_year == first_150


@pytest.mark.parametrize(
    ("year", "first_150", "at_120"),
    [(2012, 99, 285.30), (2013, 85, 356.35), (2014, 67, 421.95), (2015, 45, 539.20)],
)
def test_seattle_sums_above_5(year: int, first_150: int, at_120: float) -> None:
    # Source: own calculation by an independent program on (tmin + tmax) / 2, from day 1 of the year.
    series = seattle()
    one_year = series.cut(date(year, 1, 1), date(year, 12, 31))
    days = daily_means(one_year.tmean_degC, first_index=1, year=GrowingYear(year))
    total = heat_above(5.0, days)
    assert total[119] == pytest.approx(at_120, abs=0.01)
    overrides = {"start_day": 1.0, "base": 5.0, "heat": 150.0}
    found = stage_day(series, StageAsk("thermal_time", "any", year, overrides=overrides))
    assert found.day_of_year == first_150
