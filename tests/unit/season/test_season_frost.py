"""How many weather years bring frost in the nights after root work."""

from __future__ import annotations

from datetime import date

import numpy as np

from ringwise.kit.days import GrowingYear
from ringwise.season.frost import frost_after, frost_words
from ringwise.weather.years import WeatherMembers


def test_counts_years_with_a_night_below_zero_within_fourteen_nights() -> None:
    mild = np.full((4, 60), 3.0)
    mild[0, 14] = -0.1  # the fourteenth night after the first day
    mild[1, 15] = -5.0  # the fifteenth: too late to count
    mild[2, 3] = 0.0  # not below
    mild[3, 0] = -5.0  # the night before the work
    weather = WeatherMembers(
        first=date(2027, 3, 1),
        tmin_degC=mild,
        tmax_degC=mild + 8,
        tmean_degC=mild + 4,
        labels=(2020, 2021, 2022, 2023),
        observed=np.zeros(60, dtype=np.bool_),
        year=GrowingYear(2027),
    )
    found = frost_after(weather, date(2027, 3, 1))
    assert (found.years, found.of_years) == (1, 4)
    assert frost_words(found) == "frost within 14 nights in 1 of 4 weather years"
