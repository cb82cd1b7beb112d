"""Whatever two stations measured: lent weather is weather, own days are untouched, and shifts move along."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringwise.kit.types import FloatArray
from ringwise.weather.borrowed import borrowed_series, fit_borrowing
from ringwise.weather.described import ClimateWords, described_years
from ringwise.weather.series import WeatherSeries

WORDS = ClimateWords(47.0, 0.0, 19.0)
LAST = date(2006, 12, 31)


def station(seed: int, first: date, name: str) -> WeatherSeries:
    return replace(described_years(WORDS, first=first, last=LAST, seed=seed), station=name, source=name)


PAIRS = st.builds(
    lambda here, there, begin, length: (
        station(here, LAST - timedelta(days=begin), "roof").cut(
            LAST - timedelta(days=begin), LAST - timedelta(days=begin - length)
        ),
        station(there, date(2002, 1, 1), "town"),
    ),
    st.integers(0, 99),
    st.integers(100, 199),
    st.integers(900, 1200),
    st.integers(12, 800),
)


@given(PAIRS)
def test_lent_weather_is_in_order_and_own_days_stay(pair: tuple[WeatherSeries, WeatherSeries]) -> None:
    own, other = pair
    joined = borrowed_series(own, other, fit_borrowing(own, other))
    assert (joined.tmin_degC <= joined.tmean_degC).all()
    assert (joined.tmean_degC <= joined.tmax_degC).all()
    at = joined.position(own.first)
    assert np.array_equal(joined.tmean_degC[at : at + own.n], own.tmean_degC)
    assert not joined.lent_days[at : at + own.n].any()
    assert joined.lent_days.sum() == joined.n - own.n


@given(PAIRS, st.floats(-8, 8))
def test_a_warmer_other_station_lends_the_same_days(
    pair: tuple[WeatherSeries, WeatherSeries], warmer_degC: float
) -> None:
    """The constant is found in full: what the other thermometer reads too much is taken off again."""
    own, other = pair

    def up(values: FloatArray) -> FloatArray:
        return values + warmer_degC

    hot = replace(
        other, tmin_degC=up(other.tmin_degC), tmax_degC=up(other.tmax_degC), tmean_degC=up(other.tmean_degC)
    )
    plain, warm = (borrowed_series(own, each, fit_borrowing(own, each)) for each in (other, hot))
    assert np.allclose(plain.tmean_degC, warm.tmean_degC, atol=1e-6)


@given(st.integers(0, 99), st.integers(100, 199), st.integers(70, 900))
def test_the_hemispheres_mirror_each_other(here: int, there: int, days: int) -> None:
    """Half a year later is half a wave on: the two terms are treated alike, so nothing else changes."""
    first, half = date(2003, 2, 1), timedelta(days=181)
    own = station(here, first, "roof").cut(first, first + timedelta(days=days))
    other = station(there, date(2002, 1, 1), "town")
    north = borrowed_series(own, other, fit_borrowing(own, other))
    own, other = replace(own, first=own.first + half), replace(other, first=other.first + half)
    south = borrowed_series(own, other, fit_borrowing(own, other))
    assert south.tmean_degC == pytest.approx(north.tmean_degC, abs=1e-6)
