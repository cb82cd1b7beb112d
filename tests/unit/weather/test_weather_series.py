"""A weather series: means, short gaps, checks."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from ringwise.kit.errors import MissingFieldError, RangeError, UnknownNameError
from ringwise.weather.series import bridge, series_of

START = date(2024, 2, 27)
NAN = np.nan


def test_mean_is_middle_of_extremes_only_where_it_was_not_measured() -> None:
    series = series_of(
        START,
        {
            "tmin_degC": np.array([0.0, 2.0]),
            "tmax_degC": np.array([10.0, 12.0]),
            "tmean_degC": np.array([4.0, NAN]),
        },
    )
    assert series.tmean_degC.tolist() == [4.0, 7.0]
    assert not series.filled.any()


def test_three_days_are_bridged_and_four_are_not() -> None:
    three, marked = bridge(np.array([1.0, NAN, NAN, NAN, 5.0]))
    assert three.tolist() == [1.0, 2.0, 3.0, 4.0, 5.0]
    assert marked.tolist() == [False, True, True, True, False]
    four, marked = bridge(np.array([1.0, NAN, NAN, NAN, NAN, 6.0]))
    assert np.isnan(four[1:5]).all()
    assert not marked.any()


def test_gaps_at_the_ends_stay_open() -> None:
    values, marked = bridge(np.array([NAN, 1.0, 2.0, NAN]))
    assert np.isnan(values[[0, 3]]).all()
    assert not marked.any()


def test_bridging_does_not_touch_its_input() -> None:
    values = np.array([1.0, NAN, 3.0])
    bridge(values)
    assert np.isnan(values[1])


def test_rain_is_never_invented() -> None:
    series = series_of(START, {"rain_mm": np.array([1.0, NAN, 3.0]), "tmean_degC": np.array([1.0, NAN, 3.0])})
    assert np.isnan(series.rain_mm[1])
    assert series.tmean_degC[1] == 2.0
    assert series.filled.tolist() == [False, True, False]


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        ({"tmin_degC": [5.0, 6.0], "tmax_degC": [9.0, 4.0]}, "2024-02-28: tmax_degC 4 is below tmin_degC 6"),
        ({"rh_min_pct": [80.0], "rh_max_pct": [60.0]}, "2024-02-27: rh_max_pct 60 is below rh_min_pct 80"),
        ({"tmean_degC": [5.0, 31.0]}, "2024-02-28: tmean_degC jumps by 26.0 degC"),
        ({"tmean_degC": [5.0, -9999.0]}, "tmean_degC is -9999; accepted: -90 to 60 degC"),
        ({"rain_mm": [-0.1]}, "rain_mm is -0.1; accepted: 0 to 2000 mm"),
        ({"sunshine_h": [24.5]}, "sunshine_h is 24.5; accepted: 0 to 24 h"),
        ({"tmean_degC": [np.inf]}, "tmean_degC is inf"),
    ],
)
def test_what_cannot_be_is_named_by_day(columns: dict[str, list[float]], words: str) -> None:
    with pytest.raises(RangeError) as wrong:
        series_of(START, {name: np.array(values) for name, values in columns.items()})
    assert words in str(wrong.value)


def test_a_jump_of_25_degrees_passes() -> None:
    assert series_of(START, {"tmean_degC": np.array([-10.0, 15.0])}).n == 2


def test_the_earliest_fault_is_named() -> None:
    with pytest.raises(RangeError) as wrong:
        series_of(START, {"rain_mm": np.array([0.0, 0.0, -1.0]), "tmean_degC": np.array([0.0, 99.0, 0.0])})
    assert str(wrong.value).startswith("2024-02-28")


def test_days_are_found_over_a_leap_day() -> None:
    series = series_of(START, {"tmean_degC": np.arange(5.0)}, station="yard")
    assert series.last == date(2024, 3, 2)
    assert series.day(date(2024, 2, 29))["tmean_degC"] == 2.0
    assert series.day(date(2024, 2, 29))["rain_mm"] is None
    part = series.cut(date(2024, 2, 29), date(2024, 12, 31))
    assert (part.first, part.last) == (date(2024, 2, 29), date(2024, 3, 2))
    assert part.tmean_degC.tolist() == [2.0, 3.0, 4.0]
    with pytest.raises(
        MissingFieldError, match="yard runs from 2024-02-27 to 2024-03-02, without 2024-03-03"
    ):
        series.day(date(2024, 3, 3))
    with pytest.raises(MissingFieldError):
        series.cut(date(2025, 1, 1), date(2025, 2, 1))


def test_unknown_and_empty_columns_are_refused() -> None:
    with pytest.raises(UnknownNameError, match="tmean_degC"):
        series_of(START, {"tmean": np.zeros(1)})
    with pytest.raises(MissingFieldError):
        series_of(START, {"tmean_degC": np.zeros(0)})
