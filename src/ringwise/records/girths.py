"""Which girths of a tree were taken at one place of its trunk, and so make one line through the years."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cache

from ringwise.kit.tables import load_table
from ringwise.records.model import Entry


@dataclass(frozen=True)
class GirthRead:
    """A girth that an entry says, the day and the height above the soil to which it belongs."""

    entry: Entry
    on: date
    girth_mm: float
    at_mm: float


@cache
def height_apart_mm() -> float:
    """How far apart in height two girths may be taken and still be of one place.

    Returns
    -------
    float
        In mm, from the table of girths.

    Source
    ------
    own: table `girths`, assumed.

    Examples
    --------
    >>> height_apart_mm()
    25.0
    """
    return load_table("ringwise.records", "girths").get("one_line", "height_apart_mm").number


def girth_of(entry: Entry) -> float | None:
    """The girth that an entry says, in mm: typed, or pi times the width of the trunk.

    Parameters
    ----------
    entry : Entry
        Any entry.

    Returns
    -------
    float or None
        None where it says none.

    Examples
    --------
    >>> from ringwise.records.dates import UNKNOWN
    >>> round(girth_of(Entry("E1", "T01", "trunk", UNKNOWN, {"diameter_mm": 40.0})), 2)
    125.66
    """
    if entry.kind == "girth":
        return float(str(entry.data["girth_mm"]))
    if entry.kind == "trunk":
        return math.pi * float(str(entry.data["diameter_mm"]))
    return None


def girths_of_one_line(entries: Iterable[Entry]) -> tuple[GirthRead, ...]:
    """The girths at the height where a tree was measured most often, a trunk's width as its girth.

    Parameters
    ----------
    entries : iterable of Entry
        Of one tree. A girth without a height counts as taken at the soil.

    Returns
    -------
    tuple of GirthRead
        In the order of the entries; those without a known day are left out. Of heights measured equally
        often the lowest counts.

    Examples
    --------
    >>> from ringwise.records.dates import exact_day
    >>> def girth(name, year, at_mm):
    ...     day = exact_day(date(year, 11, 5))
    ...     return Entry(name, "T01", "girth", day, {"girth_mm": 150.0, "at_mm": at_mm})
    >>> entries = [girth("E1", 2024, 30.0), girth("E2", 2025, 400.0), girth("E3", 2026, 50.0)]
    >>> [read.entry.id for read in girths_of_one_line(entries)]
    ['E1', 'E3']
    """
    found: list[GirthRead] = []
    for entry in entries:
        girth_mm = girth_of(entry)
        if girth_mm is not None and entry.on.middle is not None:
            height = entry.data.get("at_mm")
            at_mm = float(height) if isinstance(height, int | float) else 0.0
            found.append(GirthRead(entry, entry.on.middle, girth_mm, at_mm))
    if not found:
        return ()
    near_mm = height_apart_mm()
    heights = [each.at_mm for each in found]
    most = max(heights, key=lambda h: (sum(abs(h - other) <= near_mm for other in heights), -h))
    return tuple(each for each in found if abs(each.at_mm - most) <= near_mm)
