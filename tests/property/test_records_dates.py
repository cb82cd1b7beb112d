"""Fuzzy dates for any day, month, season and year: the interval holds its middle and grows no more exact."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from ringwise.kit.errors import DateError
from ringwise.records.dates import PRECISIONS, exact_day, parse_fuzzy_date

DAYS = st.dates(date(1700, 1, 1), date(2500, 12, 31))
MONTHS = (
    "Jan",
    "February",
    "mar",
    "April",
    "May",
    "June",
    "JULY",
    "Aug",
    "Sept",
    "October",
    "Nov",
    "December",
)
SEASONS = ("spring", "Summer", "autumn", "fall", "winter")
CLOSED = (
    lambda day: day.isoformat(),
    lambda day: f"{day.day} {MONTHS[day.month - 1]} {day.year}",
    lambda day: f"{MONTHS[day.month - 1]} {day.year}",
    lambda day: f"{day.year}-{day.month:02}",
    lambda day: f"{SEASONS[day.toordinal() % 5]} {day.year}",
    lambda day: f"{day.year}",
    lambda day: f"about {day.year}",
)
FORMS = st.sampled_from(CLOSED)


@given(DAYS, FORMS, st.booleans())
def test_an_interval_holds_its_middle(day: date, form: object, south: bool) -> None:
    typed = form(day)  # type: ignore[operator]
    found = parse_fuzzy_date(typed, field="on", south=south)
    assert found.earliest is not None
    assert found.middle is not None
    assert found.latest is not None
    assert found.earliest <= found.middle <= found.latest
    assert (found.middle - found.earliest) <= (found.latest - found.middle)
    assert found.typed == typed
    assert found.precision in PRECISIONS


@given(DAYS)
def test_each_coarser_form_of_a_day_holds_the_day(day: date) -> None:
    for form in (*CLOSED[:4], *CLOSED[5:]):
        found = parse_fuzzy_date(form(day), field="on")
        assert found.earliest is not None
        assert found.latest is not None
        assert found.earliest <= day <= found.latest


@given(DAYS, st.booleans())
def test_the_four_seasons_of_a_year_join_without_gap(day: date, south: bool) -> None:
    names = ("autumn", "winter", "spring", "summer") if south else ("spring", "summer", "autumn", "winter")
    seasons = [parse_fuzzy_date(f"{name} {day.year}", field="on", south=south) for name in names]
    for before, after in pairwise(seasons):
        assert before.latest is not None
        assert after.earliest == before.latest + timedelta(days=1)


@given(DAYS, FORMS)
def test_before_and_after_leave_the_interval_out(day: date, form: object) -> None:
    typed = form(day)  # type: ignore[operator]
    if typed.startswith("about"):
        return
    middle = parse_fuzzy_date(typed, field="on")
    before, after, since = (
        parse_fuzzy_date(f"{word} {typed}", field="on") for word in ("before", "after", "since")
    )
    assert middle.earliest is not None
    assert middle.latest is not None
    assert (before.earliest, before.latest) == (None, middle.earliest - timedelta(days=1))
    assert (after.earliest, after.latest) == (middle.latest + timedelta(days=1), None)
    assert (since.earliest, since.latest) == (middle.earliest, None)


@given(st.text(max_size=30))
def test_any_text_is_a_date_or_one_clear_line(text: str) -> None:
    try:
        found = parse_fuzzy_date(text, field="on")
    except DateError as error:
        lines = str(error).splitlines()
    else:
        lines = [found.typed]
        assert found.typed == text.strip()
    assert len(lines) <= 1


@given(DAYS)
def test_exact_days_read_back(day: date) -> None:
    assert parse_fuzzy_date(exact_day(day).typed, field="on") == exact_day(day)
