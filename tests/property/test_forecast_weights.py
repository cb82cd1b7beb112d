"""A forecast among past years, over random weights and yards in both hemispheres."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as npst

from ringwise.kit.days import GrowingYear
from ringwise.weather.forecast_days import DaysToCome, between, drawn_to
from ringwise.weather.series import series_of
from ringwise.weather.years import members

DEGREES = st.floats(-40.0, 45.0, width=32)
YEARS = npst.arrays(np.float64, st.tuples(st.integers(1, 6), st.just(4)), elements=DEGREES)
DAYS = npst.arrays(np.float64, 4, elements=DEGREES)
WEIGHTS = npst.arrays(np.float64, 4, elements=st.floats(0.0, 1.0))


@given(YEARS, DAYS, WEIGHTS)
def test_the_mean_lies_between_and_the_spread_never_grows(
    years: np.ndarray, forecast: np.ndarray, weight: np.ndarray
) -> None:
    drawn = between(years, forecast, weight)
    before, after = years.mean(axis=0), drawn.mean(axis=0)
    assert (after >= np.minimum(before, forecast) - 1e-9).all()
    assert (after <= np.maximum(before, forecast) + 1e-9).all()
    assert (drawn.std(axis=0) <= years.std(axis=0) + 1e-9).all()


@given(YEARS, DAYS)
def test_full_weight_is_exactly_the_forecast(years: np.ndarray, forecast: np.ndarray) -> None:
    assert (between(years, forecast, np.ones(4)) == forecast).all()


@given(YEARS, DAYS, st.floats(0.0, 12.0), st.floats(0.0, 12.0), st.integers(0, 20))
def test_lowest_mean_and_highest_keep_their_order(
    years: np.ndarray, forecast: np.ndarray, half: float, wide: float, lead: int
) -> None:
    issue = date(2027, 3, 7)
    to_come = DaysToCome(
        issue,
        issue + timedelta(days=lead),
        np.arange(4) + lead,
        forecast - half,
        forecast + half,
        forecast,
        np.full(4, np.nan),
    )
    past = {
        "tmin_degC": years - wide,
        "tmax_degC": years + wide,
        "tmean_degC": years,
        "wind_2m_m_s": np.full_like(years, np.nan),
    }
    found = drawn_to(past, to_come, np.arange(4))
    assert (found["tmin_degC"] <= found["tmean_degC"]).all()
    assert (found["tmean_degC"] <= found["tmax_degC"]).all()


@given(st.integers(0, 2**32 - 1), st.integers(-3, 12), st.integers(1, 16))
def test_half_a_year_on_at_the_mirrored_place_all_is_the_same(seed: int, begins: int, days: int) -> None:
    """The same weather from 1 November in the north and from 1 May in the south: the same members."""
    luck = np.random.default_rng(seed)
    length = 3 * 365 + 130  # no leap day lies in any of the growing years looked at, north or south
    mean = luck.uniform(0.0, 16.0, length)
    columns = {"tmin_degC": mean - 3, "tmax_degC": mean + 4, "tmean_degC": mean}
    values = luck.normal(6.0, 3.0, days)
    found = []
    for south in (False, True):
        year = GrowingYear(2031, south)
        first = GrowingYear(2029, south).start
        issue = year.start + timedelta(days=120)
        to_come = DaysToCome(
            issue,
            issue + timedelta(days=begins),
            np.maximum(np.arange(days) + begins, 0),
            values - 2,
            values + 3,
            values,
            np.full(days, np.nan),
        )
        weather = members(
            series_of(first, columns), issue=issue, year=year, to_come=to_come, tail_days=0, lead_days=0
        )
        found.append((weather, weather.tmean_degC[:, :300]))
    (north, there), (south_, here) = found
    assert north.labels == south_.labels == (2029, 2030)
    np.testing.assert_array_equal(there, here)
    np.testing.assert_array_equal(north.forecast[:300], south_.forecast[:300])
    last = min(begins + days - 1, 16)  # the table ends on the sixteenth day
    assert north.forecast.sum() == max(last - max(begins, 1) + 1, 0)
