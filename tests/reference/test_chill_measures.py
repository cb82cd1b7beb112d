"""Chill and heat over hours, against what chillR 0.77 gives in R.

Every expected value was computed by that program, not by this one: constant temperatures, a daily wave, a
warm third of the day, and the Seattle record of vega_datasets 0.9.0 at 47.45 degrees north.
"""

from __future__ import annotations

import math
from datetime import date

import numpy as np
import pytest
from seattle_days import LATITUDE_DEG, seattle_series

from ringwise.kit.types import FloatArray
from ringwise.phenology.chill import chill_hours, chill_portions, utah_units
from ringwise.phenology.heat import growing_degree_hours
from ringwise.weather.hourly import hourly_temperature


def wave() -> FloatArray:
    """T(h) = 8 + 5 sin(2 pi (h - 9) / 24) for sixty days."""
    return np.array([8 + 5 * math.sin(2 * math.pi * (hour - 9) / 24) for hour in range(1440)])


@pytest.mark.parametrize(
    ("temperature_degC", "portions"),
    [
        (-2, 0.30042),
        (0, 5.94129),
        (2, 31.76966),
        (4, 35.91906),
        (6, 41.04438),
        (8, 41.68563),
        (10, 38.51719),
        (12, 30.00185),
        (13, 0.0),
    ],
)
def test_portions_of_1200_hours_alike(temperature_degC: float, portions: float) -> None:
    # Source: chillR 0.77 in R. 1,199 hours count; counting all 1,200 would give 31.8087 at 2 degC.
    assert chill_portions(np.full(1200, temperature_degC))[-1] == pytest.approx(portions, abs=1e-4)


def test_portions_of_the_hour_that_is_booked_next() -> None:
    # Source: the same sheet: 31.8087 at 2 degC once the 1,200th hour counts.
    assert chill_portions(np.full(1201, 2.0))[-1] == pytest.approx(31.8087, abs=1e-4)


def test_sixty_days_of_a_wave() -> None:
    # Source: chillR 0.77 in R.
    hours = wave()
    assert chill_portions(hours)[-1] == pytest.approx(43.74027, abs=1e-4)
    assert utah_units(hours).sum() == 1020
    assert chill_hours(hours).sum() == 660
    assert growing_degree_hours(hours).sum() == pytest.approx(4296.266, abs=1e-3)


def test_warm_afternoons_undo_no_portion_but_slow_the_next() -> None:
    # Source: chillR 0.77 in R; 16 hours at 6 and 8 hours at 15 degC, fifty days.
    hours = np.tile(np.r_[np.full(16, 6.0), np.full(8, 15.0)], 50)
    assert chill_portions(hours)[-1] == pytest.approx(35.98029, abs=1e-4)


@pytest.mark.parametrize(
    ("temperature_degC", "growing"),
    [(10, 3.953357), (15, 11.28467), (20, 18.19704), (25, 21.0), (30, 7.247925), (35, 0.2137497)],
)
def test_growing_degree_hours_of_an_hour(temperature_degC: float, growing: float) -> None:
    # Source: chillR 0.77 in R.
    assert growing_degree_hours(np.array(float(temperature_degC))) == pytest.approx(growing, abs=1e-5)


@pytest.fixture(scope="module")
def hours() -> FloatArray:
    series = seattle_series()
    return hourly_temperature(
        series.tmin_degC, series.tmax_degC, first=series.first, latitude_deg=LATITUDE_DEG
    )


def cut(hours: FloatArray, first: date, last: date) -> FloatArray:
    begin = seattle_series().position(first)
    return hours[begin : begin + (last - first).days + 1].ravel()


@pytest.mark.parametrize(
    ("year", "mean_degC", "portions", "utah", "cold", "growing"),
    [
        (2013, 5.521163, 89.44943, 2192, 1756, 6381.39),
        (2014, 5.880069, 87.9253, 2059, 1491, 6887.673),
        (2015, 7.404215, 87.6518, 1929, 1147, 7756.842),
    ],
)
def test_three_winters_of_seattle(
    hours: FloatArray, year: int, mean_degC: float, portions: float, utah: int, cold: int, growing: float
) -> None:
    # Source: chillR 0.77 in R; 1 November to 28 February, growing degree hours of March and April.
    winter = cut(hours, date(year - 1, 11, 1), date(year, 2, 28))
    spring = cut(hours, date(year, 3, 1), date(year, 4, 30))
    assert winter.mean() == pytest.approx(mean_degC, abs=1e-3)
    assert chill_portions(winter)[-1] == pytest.approx(portions, abs=1e-3)
    assert utah_units(winter).sum() == utah
    assert chill_hours(winter).sum() == cold
    assert growing_degree_hours(spring).sum() == pytest.approx(growing, abs=1e-3)


def test_hours_of_a_january_day(hours: FloatArray) -> None:
    # Source: chillR 0.77 in R; the seventh hour lies before sunrise, the eighth after it.
    day = cut(hours, date(2014, 1, 15), date(2014, 1, 15))
    expected = {0: 6.610581, 7: 5.551016, 8: 6.168817, 12: 10.455253, 14: 11.1, 23: 5.966413}
    assert {hour: day[hour] for hour in expected} == pytest.approx(expected, abs=1e-5)
