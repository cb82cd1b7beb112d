"""Weather years to come, in both hemispheres and over leap days; frost counted over them."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import MissingFieldError, RangeError
from ringwise.weather.frost import first_autumn_frost, frost_years
from ringwise.weather.series import WeatherSeries, series_of
from ringwise.weather.years import lived, members


def coded(first: date, last: date) -> WeatherSeries:
    """A series whose mean tells the day: its year's last digit, its month and day as y.mmdd."""
    days = [first + timedelta(days=k) for k in range((last - first).days + 1)]
    mean = np.array([day.year % 10 + day.month / 100 + day.day / 10000 for day in days])
    return series_of(first, {"tmin_degC": mean - 3, "tmax_degC": mean + 3})


def test_observed_to_the_issue_day_then_the_same_days_of_past_years() -> None:
    series = coded(date(2012, 1, 1), date(2016, 3, 20))
    weather = members(series, issue=date(2016, 3, 7), year=GrowingYear(2016))
    assert weather.labels == (2012, 2013, 2014, 2015)
    assert (weather.first, weather.lead_days) == (date(2015, 8, 23), 70)
    at_issue = weather.column(date(2016, 3, 7))
    assert weather.tmean_degC[:, at_issue].tolist() == pytest.approx([6.0307] * 4)
    assert weather.tmean_degC[:, at_issue + 1].tolist() == pytest.approx([2.0308, 3.0308, 4.0308, 5.0308])
    assert weather.observed.sum() == at_issue + 1
    assert weather.tmean_degC[:, -1].tolist() == pytest.approx([2.1231, 3.1231, 4.1231, 5.1231])


def test_a_year_without_29_february_lends_its_28th() -> None:
    series = coded(date(2012, 1, 1), date(2016, 3, 20))
    weather = members(series, issue=date(2016, 2, 20), year=GrowingYear(2016))
    leap = weather.column(date(2016, 2, 29))
    assert weather.labels == (2012, 2013, 2014, 2015)
    assert weather.tmean_degC[:, leap].tolist() == pytest.approx([2.0229, 3.0228, 4.0228, 5.0228])
    assert weather.tmean_degC[1, leap + 1] == pytest.approx(3.0301)


def test_a_leap_day_of_the_past_is_left_out() -> None:
    series = coded(date(2012, 1, 1), date(2015, 3, 1))
    weather = members(series, issue=date(2015, 2, 10), year=GrowingYear(2015))
    place = weather.column(date(2015, 2, 28))
    assert weather.tmean_degC[0, place : place + 2].tolist() == pytest.approx([2.0228, 2.0301])


def test_a_single_past_year_stands_from_the_first_day_of_the_next_one() -> None:
    series = coded(date(2024, 11, 1), date(2025, 11, 15))
    weather = members(series, issue=date(2025, 11, 15), year=GrowingYear(2026))
    assert weather.labels == (2025,)
    days = [date(2026, 10, 31), date(2026, 11, 15), date(2026, 11, 16), date(2026, 12, 31)]
    told = [weather.tmean_degC[0, weather.column(day)] for day in days]
    assert told == pytest.approx([5.1031, 5.1115, 4.1116, 4.1231])  # what 2025 has not lived yet, 2024 lends


def test_the_newest_past_year_is_not_lost_for_the_days_it_has_not_lived_yet() -> None:
    series = coded(date(2019, 5, 1), date(2025, 5, 10))
    south = members(series, issue=date(2025, 5, 10), year=GrowingYear(2025, south=True))
    assert south.labels[-1] == 2024


def test_south_of_the_equator() -> None:
    series = coded(date(2012, 5, 1), date(2016, 9, 20))
    year = GrowingYear(2016, south=True)
    weather = members(series, issue=date(2016, 9, 7), year=year)
    assert weather.first == date(2016, 2, 21)
    assert weather.labels == (2012, 2013, 2014, 2015)
    after = weather.column(date(2017, 1, 15))
    assert weather.tmean_degC[:, after].tolist() == pytest.approx([3.0115, 4.0115, 5.0115, 6.0115])


def test_nothing_after_the_issue_day_is_looked_at() -> None:
    long = coded(date(2012, 1, 1), date(2016, 12, 31))
    short = long.cut(date(2012, 1, 1), date(2016, 3, 7))
    a = members(long, issue=date(2016, 3, 7), year=GrowingYear(2016))
    b = members(short, issue=date(2016, 3, 7), year=GrowingYear(2016))
    np.testing.assert_array_equal(a.tmean_degC, b.tmean_degC)
    assert a.labels == b.labels


def test_stale_weather_is_continued_from_its_last_day() -> None:
    series = coded(date(2012, 1, 1), date(2016, 2, 1))
    weather = members(series, issue=date(2016, 3, 7), year=GrowingYear(2016))
    assert weather.tmean_degC[0, weather.column(date(2016, 2, 2))] == pytest.approx(2.0202)


def test_a_gap_this_winter_is_lent_by_past_years() -> None:
    series = coded(date(2012, 11, 1), date(2016, 3, 20))
    mean = series.tmean_degC.copy()
    gap = series.position(date(2016, 1, 10))
    mean[gap : gap + 6] = np.nan
    holed = series_of(series.first, {"tmean_degC": mean})
    weather = members(holed, issue=date(2016, 3, 7), year=GrowingYear(2016))
    column = weather.column(date(2016, 1, 12))
    assert not weather.observed[column]
    assert weather.tmean_degC[:, column].tolist() == pytest.approx([3.0112, 4.0112, 5.0112])


def test_a_past_year_with_a_gap_lends_nothing() -> None:
    series = coded(date(2012, 11, 1), date(2016, 3, 20))
    mean = series.tmean_degC.copy()
    gap = series.position(date(2014, 6, 10))
    mean[gap : gap + 6] = np.nan
    holed = series_of(series.first, {"tmean_degC": mean})
    assert members(holed, issue=date(2016, 3, 7), year=GrowingYear(2016)).labels == (2013, 2015)


def test_few_years_are_used_and_told_and_none_is_an_error() -> None:
    series = coded(date(2014, 11, 1), date(2016, 3, 20))
    weather = members(series, issue=date(2016, 3, 7), year=GrowingYear(2016))
    assert (weather.labels, weather.few) == ((2015,), True)
    with pytest.raises(MissingFieldError, match="Import at least one full earlier year"):
        members(coded(date(2015, 11, 1), date(2016, 3, 20)), issue=date(2016, 3, 7), year=GrowingYear(2016))


def test_most_years_keeps_the_nearest() -> None:
    series = coded(date(2008, 1, 1), date(2016, 3, 20))
    assert members(series, issue=date(2016, 3, 7), year=GrowingYear(2016), most=3).labels == (
        2013,
        2014,
        2015,
    )


def test_a_year_as_lived_is_nan_outside_the_series() -> None:
    row = lived(coded(date(2013, 2, 1), date(2013, 2, 3)), GrowingYear(2013))
    assert row.size == 365 + 61
    assert np.flatnonzero(~np.isnan(row)).tolist() == [92, 93, 94]


def frosty(nights: dict[date, float]) -> WeatherSeries:
    """Mild weather with some cold nights."""
    first = date(2010, 1, 1)
    tmin = np.full(2300, 4.0)
    for night, value in nights.items():
        tmin[(night - first).days] = value
    return series_of(first, {"tmin_degC": tmin, "tmax_degC": np.full(2300, 12.0)})


def test_frost_counts_years_not_nights() -> None:
    nights = {
        date(2012, 3, 21): -1.0,
        date(2012, 3, 22): -3.0,
        date(2014, 4, 3): -0.5,
        date(2015, 4, 4): -2.0,
    }
    weather = members(frosty(nights), issue=date(2016, 3, 7), year=GrowingYear(2016))
    assert weather.labels == (2010, 2011, 2012, 2013, 2014, 2015)
    found = frost_years(weather, after=date(2016, 3, 20), within_days=14, below_degC=0.0)
    assert (found.years, found.of_years) == (2, 6)  # 4 April lies beyond the 14 nights
    assert found.nights_days == pytest.approx(3 / 6)
    assert found.coldest_degC == -3.0
    assert found.prob == pytest.approx(2 / 6)
    sheltered = frost_years(
        weather, after=date(2016, 3, 20), within_days=14, below_degC=0.0, core_lift_degC=2.0
    )
    assert sheltered.years == 1


def test_the_night_of_the_work_day_itself_is_past() -> None:
    weather = members(frosty({date(2012, 3, 20): -1.0}), issue=date(2016, 3, 7), year=GrowingYear(2016))
    assert frost_years(weather, after=date(2016, 3, 20), within_days=14, below_degC=0.0).years == 0
    assert frost_years(weather, after=date(2016, 3, 19), within_days=1, below_degC=0.0).years == 1


def test_frost_needs_minima_and_days() -> None:
    only_means = series_of(date(2010, 1, 1), {"tmean_degC": np.full(2300, 4.0)})
    weather = members(only_means, issue=date(2016, 3, 7), year=GrowingYear(2016))
    with pytest.raises(MissingFieldError, match="tmin_degC"):
        frost_years(weather, after=date(2016, 3, 20), within_days=14, below_degC=0.0)
    with pytest.raises(MissingFieldError):
        frost_years(weather, after=date(2018, 3, 20), within_days=14, below_degC=0.0)
    with pytest.raises(RangeError):
        frost_years(weather, after=date(2016, 3, 20), within_days=0, below_degC=0.0)


def test_first_autumn_frost_ignores_spring_and_names_no_day_where_none_comes() -> None:
    nights = {date(2012, 4, 21): -1.0, date(2012, 10, 2): -1.0, date(2012, 11, 20): -2.0}
    weather = members(frosty(nights), issue=date(2016, 3, 7), year=GrowingYear(2016))
    first = first_autumn_frost(weather, below_degC=0.0)
    assert first[weather.labels.index(2012)] == GrowingYear(2016).day_index(date(2016, 10, 2))
    assert np.isnan(first[weather.labels.index(2013)])
