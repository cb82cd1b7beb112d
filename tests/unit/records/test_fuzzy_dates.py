"""Fuzzy dates: what each form means, in both hemispheres, and what is refused."""

from __future__ import annotations

from datetime import date

import pytest

from ringwise.kit.errors import DateError
from ringwise.records.dates import exact_day, parse_fuzzy_date

NORTH = [
    ("2021-03-14", "2021-03-14", "2021-03-14", "day"),
    ("14 March 2021", "2021-03-14", "2021-03-14", "day"),
    ("14th Mar 2021", "2021-03-14", "2021-03-14", "day"),
    ("March 14, 2021", "2021-03-14", "2021-03-14", "day"),
    ("March 2021", "2021-03-01", "2021-03-31", "month"),
    ("2021-03", "2021-03-01", "2021-03-31", "month"),
    ("feb 2024", "2024-02-01", "2024-02-29", "month"),
    ("spring 2021", "2021-03-01", "2021-05-31", "season"),
    ("spring 21", "2021-03-01", "2021-05-31", "season"),
    ("Spring '21", "2021-03-01", "2021-05-31", "season"),
    ("summer 2021", "2021-06-01", "2021-08-31", "season"),
    ("autumn 19", "2019-09-01", "2019-11-30", "season"),
    ("fall 2019", "2019-09-01", "2019-11-30", "season"),
    ("winter 2023", "2023-12-01", "2024-02-29", "season"),
    ("winter 2020/21", "2020-12-01", "2021-02-28", "season"),
    ("spring 98", "1998-03-01", "1998-05-31", "season"),
    ("2021", "2021-01-01", "2021-12-31", "year"),
    ("'21", "2021-01-01", "2021-12-31", "year"),
    ("about 1990", "1988-01-01", "1992-12-31", "circa"),
    ("c. 1990", "1988-01-01", "1992-12-31", "circa"),
    ("~1990", "1988-01-01", "1992-12-31", "circa"),
    ("before 2019", None, "2018-12-31", "before"),
    ("before spring 2019", None, "2019-02-28", "before"),
    ("after 2019", "2020-01-01", None, "after"),
    ("since March 2019", "2019-03-01", None, "after"),
    ("unknown", None, None, "unknown"),
    ("no idea", None, None, "unknown"),
    ("?", None, None, "unknown"),
]
SOUTH = [
    ("spring 2021", "2021-09-01", "2021-11-30"),
    ("summer 2021", "2021-12-01", "2022-02-28"),
    ("summer 2021/22", "2021-12-01", "2022-02-28"),
    ("autumn 19", "2019-03-01", "2019-05-31"),
    ("winter 2021", "2021-06-01", "2021-08-31"),
]
REFUSED = [
    ("2026-02-30", "no day of the calendar"),
    ("30 February 2026", "no day of the calendar"),
    ("2021-13", "no day of the calendar"),
    ("March 21", "a day or a year"),
    ("21", "no date"),
    ("", "no date"),
    ("03/04/2021", "no date"),
    ("Smarch 2021", "no month or season"),
    ("about March 2021", "goes with a year"),
    ("spring 2020/21", "does not span"),
    ("winter 2020/22", "does not span"),
    ("March 2020/21", "only a season"),
    ("before no idea", "no date"),
]


def _iso(when: date | None) -> str | None:
    return None if when is None else when.isoformat()


@pytest.mark.parametrize(("typed", "earliest", "latest", "precision"), NORTH)
def test_forms_in_the_north(typed: str, earliest: str | None, latest: str | None, precision: str) -> None:
    found = parse_fuzzy_date(f"  {typed} ", field="repotted")
    assert found.typed == typed
    assert (_iso(found.earliest), _iso(found.latest), found.precision) == (earliest, latest, precision)


@pytest.mark.parametrize(("typed", "earliest", "latest"), SOUTH)
def test_seasons_shift_in_the_south(typed: str, earliest: str, latest: str) -> None:
    found = parse_fuzzy_date(typed, field="repotted", south=True)
    assert (_iso(found.earliest), _iso(found.latest)) == (earliest, latest)


@pytest.mark.parametrize(("typed", "reason"), REFUSED)
def test_refused_in_one_clear_line(typed: str, reason: str) -> None:
    with pytest.raises(DateError, match=reason) as caught:
        parse_fuzzy_date(typed, field="repotted")
    assert str(caught.value).startswith(f'repotted is "{typed}"')
    assert "\n" not in str(caught.value)


def test_unknown_stays_unknown() -> None:
    found = parse_fuzzy_date("No idea", field="repotted")
    assert not found.known
    assert found.middle is None
    assert found.by is None
    assert found.typed == "No idea"


def test_an_open_end_has_no_middle_but_a_day_by_which() -> None:
    before, after = (parse_fuzzy_date(f"{word} 2019", field="repotted") for word in ("before", "after"))
    assert before.middle is None
    assert before.by == date(2018, 12, 31)
    assert after.by == date(2020, 1, 1)


def test_middle_of_a_season() -> None:
    assert parse_fuzzy_date("spring 2021", field="repotted").middle == date(2021, 4, 15)


def test_exact_day() -> None:
    assert exact_day(date(2027, 3, 7)) == parse_fuzzy_date("2027-03-07", field="day")
