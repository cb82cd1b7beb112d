"""Growing years in both hemispheres, and days that are in the calendar."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from ringwise.kit.days import GrowingYear, days_in_month, growing_year, parse_date
from ringwise.kit.errors import DateError


def test_a_northern_year_runs_from_autumn_to_autumn() -> None:
    year = GrowingYear(2027)
    assert (year.start, year.end) == (date(2026, 11, 1), date(2027, 10, 31))
    assert (year.heat_start, year.year_start) == (date(2027, 2, 1), date(2027, 1, 1))


def test_a_southern_year_is_half_a_year_away() -> None:
    year = GrowingYear(2027, south=True)
    assert (year.start, year.end) == (date(2027, 5, 1), date(2028, 4, 30))
    assert (year.heat_start, year.year_start) == (date(2027, 8, 1), date(2027, 7, 1))


def test_day_one_is_the_start_of_the_count() -> None:
    year = GrowingYear(2027)
    assert year.day_index(date(2027, 1, 1)) == 1
    assert year.day_index(date(2026, 12, 31)) == 0
    assert year.day_at(1.0) == date(2027, 1, 1)
    assert year.day_at(73.4) == date(2027, 3, 14)


@pytest.mark.parametrize("south", [False, True])
def test_a_leap_day_makes_the_year_longer(south: bool) -> None:
    lengths = {label: GrowingYear(label, south).length_days for label in range(2024, 2030)}
    leap = 2027 if south else 2028
    assert lengths[leap] == 366
    assert lengths[leap - 1] == lengths[leap + 1] == 365


def test_the_first_and_the_last_day_belong_to_the_year() -> None:
    for south in (False, True):
        year = GrowingYear(2027, south)
        assert growing_year(year.start, south=south) == year
        assert growing_year(year.end, south=south) == year
        assert growing_year(year.end + timedelta(days=1), south=south).label == 2028


@pytest.mark.parametrize("text", ["2026-02-30", "2027-13-01", "14 March", "", "2027-3-1", "0000-01-01"])
def test_no_day_of_the_calendar_is_refused(text: str) -> None:
    with pytest.raises(DateError, match=r"--on is .*Write YYYY-MM-DD"):
        parse_date(text, field="--on")


def test_a_day_reads_with_blanks_around_it() -> None:
    assert parse_date(" 2028-02-29 ", field="--on") == date(2028, 2, 29)


def test_days_in_month_know_leap_years() -> None:
    assert [days_in_month(year, 2) for year in (1900, 2000, 2027, 2028)] == [28, 29, 28, 29]


@pytest.mark.parametrize("south", [False, True])
def test_growing_year_of_the_earliest_days_of_the_calendar(south: bool) -> None:
    assert growing_year(date(2, 1, 1), south=south).label == (1 if south else 2)
    assert growing_year(date(1, 11, 1), south=south).label == (1 if south else 2)
