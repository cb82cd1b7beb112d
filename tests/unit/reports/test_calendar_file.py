"""The calendar file, read back by a reader that others wrote (icalendar), and its bytes against RFC 5545."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from ringwise.desk.calendar_feed import Feed
from ringwise.desk.calendar_memory import FeedEvent
from ringwise.faces.reports.calendar_file import calendar_file, escaped, folded

CHANGED = datetime(2028, 2, 1, 9, 30, tzinfo=UTC)
EVENT = FeedEvent(
    uid="T03-repot-2028@2f0c6a3e-8f5a-4c8f-9d0f-1d7b7f1f0a11",
    first=date(2028, 2, 28),
    end=date(2028, 3, 1),
    summary="Repot: Old Ferry (T03)",
    description="Acer palmatum\nlook for: buds, swelling; not \\ open",
    categories=("Repot, bare", "Acer palmatum"),
    status="TENTATIVE",
    sequence=3,
    changed=CHANGED,
)


def feed(*events: FeedEvent) -> Feed:
    return Feed("Yard; north, east", "en", events, changed=1, undated=0)


def test_reads_back_as_it_was_given() -> None:
    calendar = Calendar.from_ical(calendar_file(feed(EVENT)))
    assert calendar["version"] == "2.0"
    assert b"\r\nNAME:Yard\\; north\\, east\r\n" in calendar_file(feed(EVENT))  # a TEXT, RFC 7986, 5.1
    (event,) = calendar.walk("VEVENT")
    assert event["uid"] == EVENT.uid
    assert int(event["sequence"]) == 3
    assert event["dtstamp"].dt == event["last-modified"].dt == CHANGED
    assert str(event["summary"]) == EVENT.summary
    assert str(event["description"]) == EVENT.description
    assert [str(each) for each in event["categories"].cats] == list(EVENT.categories)
    assert (event["status"], event["transp"]) == ("TENTATIVE", "TRANSPARENT")


def test_days_are_dates_and_the_end_is_the_day_after() -> None:
    """28 and 29 February of a leap year: RFC 5545, 3.6.1, the end of an all-day event is not in it."""
    (event,) = Calendar.from_ical(calendar_file(feed(EVENT))).walk("VEVENT")
    assert type(event["dtstart"].dt) is date
    assert (event["dtstart"].dt, event["dtend"].dt) == (date(2028, 2, 28), date(2028, 3, 1))
    assert (event["dtend"].dt - event["dtstart"].dt).days == 2
    assert b"DTSTART;VALUE=DATE:20280228\r\n" in calendar_file(feed(EVENT))


def test_what_a_component_needs_stands_once() -> None:
    """RFC 5545, 3.6 and 3.6.1: PRODID and VERSION of a calendar, UID and DTSTAMP of an event."""
    rows = calendar_file(feed(EVENT)).decode().split("\r\n")
    for needed in ("PRODID:", "VERSION:", "UID:", "DTSTAMP:", "SEQUENCE:", "STATUS:"):
        assert sum(row.startswith(needed) for row in rows) == 1, needed
    assert (rows[0], rows[-2], rows[-1]) == ("BEGIN:VCALENDAR", "END:VCALENDAR", "")


def test_marks_of_a_text_are_escaped() -> None:
    # The example of RFC 5545, 3.3.11, as it stands there.
    text = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    assert escaped(text) == "Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared."
    assert escaped("a;b,c\\d\r\ne\rf\x07") == "a\\;b\\,c\\\\d\\ne\\nf"


@pytest.mark.parametrize("length", [74, 75, 76, 149, 150])
def test_no_line_is_longer_than_75_octets(length: int) -> None:
    parts = folded("x" * length).split("\r\n ")
    assert "".join(parts) == "x" * length
    assert len(parts) == 1 + (length > 75) + (length > 149)


@given(st.text(alphabet=st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp")), max_size=300))
def test_any_text_survives_folding_and_escaping(text: str) -> None:
    from dataclasses import replace

    content = calendar_file(feed(replace(EVENT, summary="s" + text, description="d" + text)))
    assert all(len(row) <= 75 for row in content.split(b"\r\n"))
    assert b"\n" not in content.replace(b"\r\n", b"")
    for row in content.split(b"\r\n"):
        row.decode("utf-8")  # no letter is cut apart
    (event,) = Calendar.from_ical(content).walk("VEVENT")
    assert str(event["summary"]) == "s" + text
    assert str(event["description"]) == "d" + text
