"""What holds for hours made from days, and for chill and heat over them, whatever the weather."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringwise.kit.types import FloatArray
from ringwise.phenology.chill import chill_hours, chill_portions, utah_units
from ringwise.phenology.heat import growing_degree_hours, mean_degree_days, sine_degree_days
from ringwise.weather.hourly import hourly_temperature

SEEDS = st.integers(0, 100_000)
LATITUDES = st.floats(-90, 90)
FIRSTS = st.dates(date(1950, 1, 1), date(2050, 12, 31))


def extremes(seed: int, days: int = 40) -> tuple[FloatArray, FloatArray]:
    """Rough days about a level of their own."""
    rng = np.random.default_rng(seed)
    middle = rng.uniform(-10, 25) + rng.normal(0, 4, days)
    half = rng.uniform(0, 10, days)
    return middle - half, middle + half


@given(SEEDS, FIRSTS, LATITUDES)
def test_hours_stay_within_a_degree_of_the_days_about_them(seed: int, first: date, latitude: float) -> None:
    low, high = extremes(seed)
    hours = hourly_temperature(low, high, first=first, latitude_deg=latitude)
    assert not np.isnan(hours).any()
    for day in range(1, len(low) - 1):
        about = slice(day - 1, day + 2)
        assert low[about].min() - 1.0 <= hours[day].min() + 1e-9
        assert hours[day].max() - 1e-9 <= high[about].max() + 1.0


@given(SEEDS, FIRSTS, st.floats(-55, 55))
def test_the_highest_comes_at_two_in_the_afternoon(seed: int, first: date, latitude: float) -> None:
    low, high = extremes(seed)
    hours = hourly_temperature(low, high, first=first, latitude_deg=latitude)
    np.testing.assert_allclose(hours[:, 14], high, atol=1e-9)


@given(SEEDS, FIRSTS, LATITUDES, st.integers(2, 37))
def test_a_missing_day_leaves_its_hours_and_the_nights_beside_it_out(
    seed: int, first: date, latitude: float, gone: int
) -> None:
    low, high = extremes(seed)
    whole = hourly_temperature(low, high, first=first, latitude_deg=latitude)
    low, high = low.copy(), high.copy()
    low[gone] = high[gone] = np.nan
    holed = hourly_temperature(low, high, first=first, latitude_deg=latitude)
    assert np.isnan(holed[gone]).all()
    others = np.ones(len(low), dtype=bool)
    others[gone - 1 : gone + 2] = False
    np.testing.assert_array_equal(holed[others], whole[others])
    known = ~np.isnan(holed)
    np.testing.assert_array_equal(holed[known], whole[known])


@given(SEEDS, st.integers(0, 3000), st.floats(-60, 60))
def test_the_same_days_of_a_year_that_begins_later(seed: int, shift: int, latitude: float) -> None:
    """Hours know the day of the year alone: the same dates of two common years are alike, off New Year."""
    low, high = extremes(seed)
    first = date(2001, 1, 1) + timedelta(days=1 + shift % 320)
    later = first.replace(year=2003)
    np.testing.assert_array_equal(
        hourly_temperature(low, high, first=first, latitude_deg=latitude),
        hourly_temperature(low, high, first=later, latitude_deg=latitude),
    )


@given(SEEDS, st.integers(0, 180), st.floats(0, 60))
def test_the_other_half_of_the_earth_half_a_year_later(seed: int, shift: int, latitude: float) -> None:
    """The orbit is no circle, so the day is not quite as long; within half a degree hours are alike."""
    low, high = extremes(seed)
    first = date(2001, 1, 1) + timedelta(days=shift)
    north = hourly_temperature(low, high, first=first, latitude_deg=latitude)
    south = hourly_temperature(low, high, first=first + timedelta(days=182), latitude_deg=-latitude)
    # An hour near sunrise may pass from night to day, so the bulk is compared.
    assert np.quantile(np.abs(north - south), 0.95) < 0.5
    assert chill_hours(north).sum() == pytest.approx(chill_hours(south).sum(), abs=0.03 * north.size)


@given(SEEDS)
def test_portions_never_fall(seed: int) -> None:
    rng = np.random.default_rng(seed)
    hours = rng.uniform(-30, 40, 24 * 60) * rng.uniform(0, 1)
    booked = chill_portions(hours)
    steps = np.diff(booked)
    assert booked[0] == 0
    assert steps.min() >= 0
    assert not np.isnan(booked).any()


@given(SEEDS, st.integers(24, 24 * 50))
def test_portions_look_only_back(seed: int, end: int) -> None:
    hours = np.random.default_rng(seed).uniform(-5, 15, 24 * 60)
    np.testing.assert_array_equal(chill_portions(hours)[:end], chill_portions(hours[:end]))


@given(SEEDS, st.integers(1, 1000))
def test_an_unknown_hour_makes_the_portions_after_it_unknown(seed: int, gone: int) -> None:
    hours = np.random.default_rng(seed).uniform(-5, 15, 1100)
    hours[gone] = np.nan
    booked = chill_portions(hours)
    assert not np.isnan(booked[: gone + 1]).any()
    assert np.isnan(booked[gone + 1 :]).all()


@given(SEEDS, st.integers(1, 39))
def test_sums_of_parts_are_the_sum(seed: int, at: int) -> None:
    low, high = extremes(seed)
    hours = hourly_temperature(low, high, first=date(2013, 1, 1), latitude_deg=50.0)
    for measure in (chill_hours, utah_units, growing_degree_hours):
        whole = measure(hours).sum()
        assert whole == pytest.approx(measure(hours[:at]).sum() + measure(hours[at:]).sum(), abs=1e-9)


@given(SEEDS, st.floats(-10, 30))
def test_a_sine_finds_no_less_heat_than_the_mean(seed: int, base_degC: float) -> None:
    low, high = extremes(seed)
    by_sine = sine_degree_days(low, high, base_degC=base_degC)
    by_mean = mean_degree_days((low + high) / 2, base_degC=base_degC)
    assert (by_sine >= by_mean - 1e-9).all()
    assert (by_sine <= np.maximum(high - base_degC, 0) + 1e-9).all()
