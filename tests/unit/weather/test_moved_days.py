"""Calendar days carried into other years, against the plain calendar of the standard library."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ringwise.weather.years import _moved


def plain(day: date, years: int) -> date:
    """The same day of the calendar; where there is no 29 February, the 28th."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return day.replace(year=day.year + years, day=28)


@given(st.dates(date(1850, 1, 1), date(2150, 1, 1)), st.integers(-60, 60))
def test_a_span_of_days_moves_as_single_days_do(first: date, years: int) -> None:
    days = [first + timedelta(days=n) for n in range(450)]
    moved = _moved(np.array(days, dtype="datetime64[D]"), years)
    assert moved.tolist() == [plain(day, years) for day in days]


def test_a_leap_day_becomes_the_last_of_february() -> None:
    leap = np.array([date(2024, 2, 29), date(2024, 3, 1)], dtype="datetime64[D]")
    assert _moved(leap, -1).tolist() == [date(2023, 2, 28), date(2023, 3, 1)]
    assert _moved(leap, -4).tolist() == [date(2020, 2, 29), date(2020, 3, 1)]
