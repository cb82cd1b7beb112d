"""A calendar of windows as an iCalendar file (RFC 5545): all-day events with an exclusive end."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime

from ringwise import __version__
from ringwise.desk.calendar_feed import Feed
from ringwise.desk.calendar_memory import FeedEvent

LINE_OCTETS = 75  # RFC 5545, 3.1: of a line without its break; a line that goes on begins with a blank
BREAK = "\r\n"
# RFC 5545, 3.3.11: what has a meaning of its own in a text, and how it is written.
ESCAPED = {"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"}


def calendar_file(feed: Feed) -> bytes:
    """The calendar as UTF-8; the same feed gives the same bytes."""
    return "".join(folded(line) + BREAK for line in _lines(feed)).encode("utf-8")


def _lines(feed: Feed) -> Iterator[str]:
    yield "BEGIN:VCALENDAR"
    yield "VERSION:2.0"
    yield f"PRODID:-//Ringwise//Ringwise {__version__}//{feed.language.upper()}"
    yield "CALSCALE:GREGORIAN"
    yield f"NAME:{escaped(feed.name)}"  # RFC 7986, 5.1
    for event in feed.events:
        yield from _event(event, feed.language)
    yield "END:VCALENDAR"


def _event(event: FeedEvent, language: str) -> Iterator[str]:
    moment = _moment(event.changed)
    yield "BEGIN:VEVENT"
    yield f"UID:{escaped(event.uid)}"
    yield f"DTSTAMP:{moment}"  # without a METHOD this is when the event was last revised (3.8.7.2)
    yield f"LAST-MODIFIED:{moment}"
    yield f"SEQUENCE:{event.sequence}"
    yield f"DTSTART;VALUE=DATE:{_day(event.first)}"
    yield f"DTEND;VALUE=DATE:{_day(event.end)}"
    yield f"SUMMARY;LANGUAGE={language}:{escaped(event.summary)}"
    yield f"DESCRIPTION;LANGUAGE={language}:{escaped(event.description)}"
    yield f"CATEGORIES;LANGUAGE={language}:" + ",".join(escaped(each) for each in event.categories)
    yield f"STATUS:{event.status}"
    yield "TRANSP:TRANSPARENT"  # a window does not keep its whole days busy
    yield "END:VEVENT"


def _day(when: date) -> str:
    return when.strftime("%Y%m%d")


def _moment(when: datetime) -> str:
    return when.strftime("%Y%m%dT%H%M%SZ")


def escaped(text: str) -> str:
    """A text as a value: marks escaped, breaks as "\\n", other control characters left out."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(
        ESCAPED.get(sign, sign) for sign in plain if sign in "\n\t" or (ord(sign) >= 32 and ord(sign) != 127)
    )


def folded(line: str) -> str:
    """A line cut so that no part is longer than 75 octets and no letter is cut apart."""
    parts, part, size = [], "", 0
    for sign in line:
        octets = len(sign.encode("utf-8"))
        if size + octets > LINE_OCTETS:
            parts.append(part)
            part, size = " ", 1
        part += sign
        size += octets
    return BREAK.join([*parts, part])
