"""Which girths make one line: those of the height measured most often, near heights together."""

from __future__ import annotations

import math

import pytest

from ringwise.records.dates import parse_fuzzy_date
from ringwise.records.girths import girth_of, girths_of_one_line, height_apart_mm
from ringwise.records.model import Entry, JsonValue


def girth(name: str, when: str, girth_mm: float, at_mm: float | None = None) -> Entry:
    data: dict[str, JsonValue] = {"girth_mm": girth_mm}
    if at_mm is not None:
        data["at_mm"] = at_mm
    return Entry(name, "T01", "girth", parse_fuzzy_date(when, field="on"), data)


def names(entries: list[Entry]) -> list[str]:
    return [read.entry.id for read in girths_of_one_line(entries)]


def test_the_height_measured_most_often_is_the_line() -> None:
    entries = [
        girth("E1", "2020-11-05", 90.0, 400.0),
        girth("E2", "2021-11-05", 150.0, 30.0),
        girth("E3", "2022-11-05", 160.0, 40.0),
    ]
    assert names(entries) == ["E2", "E3"]
    entries += [girth("E4", "2023-11-05", 95.0, 400.0), girth("E5", "2024-11-05", 98.0, 410.0)]
    assert names(entries) == ["E1", "E4", "E5"]


def test_of_heights_measured_equally_often_the_lowest_counts() -> None:
    assert names([girth("E1", "2021", 90.0, 400.0), girth("E2", "2022", 150.0, 30.0)]) == ["E2"]


def test_heights_are_near_up_to_the_number_of_the_table_and_no_further() -> None:
    near, far = 100.0 + height_apart_mm(), 100.0 + height_apart_mm() + 1.0
    first = girth("E1", "2021", 150.0, 100.0)
    assert names([first, girth("E2", "2022", 160.0, near)]) == ["E1", "E2"]
    assert names([first, girth("E2", "2022", 160.0, far)]) == ["E1"]


def test_without_a_height_it_is_that_of_the_soil() -> None:
    entries = [girth("E1", "2021", 150.0), girth("E2", "2022", 160.0, 20.0), girth("E3", "2023", 90.0, 300.0)]
    assert [(read.entry.id, read.at_mm) for read in girths_of_one_line(entries)] == [
        ("E1", 0.0),
        ("E2", 20.0),
    ]


def test_a_trunk_counts_as_its_girth_and_what_has_no_day_or_no_girth_does_not_count() -> None:
    day = parse_fuzzy_date("2024-11-05", field="on")
    trunk = Entry("E1", "T01", "trunk", day, {"diameter_mm": 40.0})
    assert girth_of(trunk) == pytest.approx(math.pi * 40.0)
    note = Entry("E2", "T01", "note", day, {}, note="girth 9 cm")
    assert girth_of(note) is None
    (read,) = girths_of_one_line([trunk, note, girth("E3", "unknown", 90.0)])
    assert (read.entry.id, read.on.isoformat()) == ("E1", "2024-11-05")
    assert girths_of_one_line([note]) == ()
