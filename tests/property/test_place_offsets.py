"""Laws of places: a true line is found, more readings say more, a shift shifts, minima stay below maxima."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ringwise.kit.types import FloatArray
from ringwise.weather.microsite import (
    KINDS,
    MicrositeOffset,
    PlaceLine,
    microsite_prior,
    moved_days,
)
from ringwise.weather.place_readings import PlaceReadings, learned, line_learned
from ringwise.weather.series import WeatherSeries, series_of

FIRST = date(2027, 1, 1)
SEEDS = st.integers(0, 2**32 - 1)


def station(n_days: int, seed: int) -> WeatherSeries:
    draws = np.random.default_rng(seed)
    low = draws.uniform(-8.0, 12.0, n_days)
    return series_of(FIRST, {"tmin_degC": low, "tmax_degC": low + draws.uniform(2.0, 7.0, n_days)})


@given(st.floats(-3.0, 3.0), st.floats(0.7, 1.1), SEEDS)
def test_a_true_line_is_found_within_its_spread(offset: float, slope: float, seed: int) -> None:
    series = station(400, seed)
    prior = microsite_prior("open_bench")
    centre = prior.nights.centre_degC
    noise = np.random.default_rng(seed + 1).normal(0.0, 1.0, 400)
    low = series.tmin_degC + offset + (slope - 1.0) * (series.tmin_degC - centre) + noise
    got = learned(PlaceReadings(FIRST, low, np.full(400, np.nan)), series, prior).offset.nights
    assert got.readings == 400
    # five spreads: a failure in a million draws
    assert abs(got.offset_degC - offset) < 5.0 * got.offset_sd_degC
    assert abs(got.slope_ratio - slope) < 5.0 * got.slope_sd_ratio
    assert got.offset_sd_degC < 0.2


@given(st.sampled_from(KINDS), st.integers(1, 30), st.integers(1, 30), SEEDS)
def test_more_readings_say_more(kind: str, n_first: int, n_more: int, seed: int) -> None:
    draws = np.random.default_rng(seed)
    here = draws.uniform(-8.0, 12.0, n_first + n_more)
    prior = microsite_prior(kind).nights
    # on the prior's own line: nothing surprises, so that the spread of single readings does not grow
    there = here + prior.lift_degC(here)
    few, many = (
        line_learned(here[:n], there[:n], prior, weights=np.ones(n)) for n in (n_first, n_first + n_more)
    )
    for at in (-10.0, 0.0, 10.0):
        assert many.sd_degC(at) < few.sd_degC(at) < prior.sd_degC(at)
    assert np.isclose(many.offset_degC, prior.offset_degC)
    assert np.isclose(many.slope_ratio, prior.slope_ratio)


@given(st.floats(-2.0, 2.0), st.integers(1, 40), SEEDS)
def test_a_shift_of_readings_and_prior_shifts_what_is_learned(shift: float, n: int, seed: int) -> None:
    draws = np.random.default_rng(seed)
    here = draws.uniform(-8.0, 12.0, n)
    there = here + draws.normal(1.0, 1.0, n)
    prior = microsite_prior("wall").nights
    weights = np.ones(n)
    one = line_learned(here, there, prior, weights=weights)
    moved_prior = replace(prior, offset_degC=prior.offset_degC + shift)
    other = line_learned(here, there + shift, moved_prior, weights=weights)
    assert np.isclose(other.offset_degC, one.offset_degC + shift)
    assert np.isclose(other.slope_ratio, one.slope_ratio)
    assert np.isclose(other.offset_sd_degC, one.offset_sd_degC)


@given(SEEDS, st.integers(2, 40))
def test_the_order_of_readings_says_nothing(seed: int, n: int) -> None:
    draws = np.random.default_rng(seed)
    here, there = draws.uniform(-8.0, 12.0, n), draws.uniform(-8.0, 12.0, n)
    prior = microsite_prior("shed").days
    order = draws.permutation(n)
    one = line_learned(here, there, prior, weights=np.ones(n))
    other = line_learned(here[order], there[order], prior, weights=np.ones(n))
    assert np.isclose(one.offset_degC, other.offset_degC)
    assert np.isclose(one.residual_degC, other.residual_degC)


def _days(seed: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    draws = np.random.default_rng(seed)
    low = draws.uniform(-30.0, 25.0, (3, 20))
    high = low + draws.uniform(0.0, 20.0, (3, 20))
    mean = low + draws.uniform(0.0, 1.0, (3, 20)) * (high - low)
    hidden = draws.random((3, 20)) < 0.1
    return np.where(hidden, np.nan, low), high, mean


@given(SEEDS, st.floats(-8.0, 8.0), st.floats(0.2, 1.3), st.floats(-8.0, 8.0), st.floats(0.2, 1.3))
def test_minima_stay_below_means_below_maxima(
    seed: int, night: float, night_slope: float, day: float, day_slope: float
) -> None:
    offset = MicrositeOffset(
        "shed",
        PlaceLine(2.0, night, night_slope, 1.0, 0.1, 1.0),
        PlaceLine(12.0, day, day_slope, 1.0, 0.1, 1.0),
    )
    low, high, mean = _days(seed)
    low_there, high_there, mean_there = moved_days(low, high, mean, offset)
    known = ~np.isnan(low)
    assert np.array_equal(np.isnan(low_there), np.isnan(low))
    assert (low_there <= high_there)[known].all()
    assert (low_there <= mean_there)[known].all()
    assert (mean_there <= high_there)[known].all()


@given(SEEDS, st.floats(-5.0, 5.0))
def test_a_level_lift_shifts_all_three_alike(seed: int, lift: float) -> None:
    line = PlaceLine(0.0, lift, 1.0, 1.0, 0.1, 1.0)
    low, high, mean = _days(seed)
    for before, after in zip(
        (low, high, mean), moved_days(low, high, mean, MicrositeOffset("wall", line, line)), strict=True
    ):
        assert np.allclose(after, before + lift, equal_nan=True)
