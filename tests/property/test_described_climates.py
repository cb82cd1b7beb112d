"""Whatever climate is stated, its years pass the checks of a series and hold to their own seed."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ringwise.weather.described import ClimateWords, described_years

MEANS = st.tuples(st.floats(-50, 38), st.floats(-50, 38)).map(sorted)


@given(MEANS, st.floats(-90, 90), st.integers(0, 2**63 - 1), st.dates(date(1700, 1, 1), date(2199, 1, 1)))
def test_any_climate_gives_weather_that_can_be(
    means: list[float], latitude_deg: float, seed: int, first: date
) -> None:
    words = ClimateWords(latitude_deg, *means)
    series = described_years(words, first=first, last=first + timedelta(days=800), seed=seed)
    assert (series.tmin_degC < series.tmax_degC).all()
    assert np.allclose(series.tmean_degC, (series.tmin_degC + series.tmax_degC) / 2)
    assert np.isfinite(series.tmean_degC).all()
    assert not series.filled.any()


@given(st.integers(0, 1000), st.integers(0, 600), st.integers(0, 600))
def test_a_longer_span_keeps_every_earlier_day(seed: int, begin_days: int, more_days: int) -> None:
    words = ClimateWords(52.4, 1.0, 19.0)
    first = date(2001, 1, 1) + timedelta(days=begin_days)
    short = described_years(words, first=first, last=first + timedelta(days=30), seed=seed)
    long = described_years(
        words, first=date(2001, 1, 1), last=first + timedelta(days=30 + more_days), seed=seed
    )
    assert np.array_equal(short.tmin_degC, long.tmin_degC[begin_days : begin_days + 31])


@given(MEANS, st.integers(0, 1000))
def test_a_warmer_climate_is_warmer_on_every_day(means: list[float], seed: int) -> None:
    cold, warm = (value - 3.0 for value in means)
    span = {"first": date(2003, 1, 1), "last": date(2004, 1, 1)}
    below = described_years(ClimateWords(45.0, max(cold, -50.0), max(warm, -50.0)), seed=seed, **span)
    above = described_years(ClimateWords(45.0, *means), seed=seed, **span)
    if cold >= -50.0:
        assert np.allclose(above.tmean_degC - below.tmean_degC, 3.0)
