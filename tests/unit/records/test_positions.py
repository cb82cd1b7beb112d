"""Positions by the clock, and the question that compass words raise."""

from __future__ import annotations

import pytest

from ringwise.kit.errors import InputError, RangeError
from ringwise.records.positions import checked_clock, parse_clock, seen_from_new_front


@pytest.mark.parametrize(
    ("typed", "hour"), [("1", 1), ("12", 12), ("6 o'clock", 6), ("7:30", 7.5), ("12:30", 12.5), (" 3 h", 3)]
)
def test_hours(typed: str, hour: float) -> None:
    assert parse_clock(typed, field="branch") == hour


@pytest.mark.parametrize(
    "typed", ["E side", "W", "north", "NNW", "south-east", "South West", "northern side", "east of the trunk"]
)
def test_compass_words_become_a_question(typed: str) -> None:
    with pytest.raises(InputError, match=r"compass word.*at which hour is it.*\?$"):
        parse_clock(typed, field="root")


@pytest.mark.parametrize("typed", ["0", "13", "-1", "6.2", "7:15", "noon", "", "nose"])
def test_no_hour(typed: str) -> None:
    with pytest.raises(RangeError, match="1 to 12 on the clock"):
        parse_clock(typed, field="branch")


@pytest.mark.parametrize("hour", [0.9, 13.0, float("nan")])
def test_hours_off_the_clock(hour: float) -> None:
    with pytest.raises(RangeError):
        checked_clock(hour, field="branch")


def test_a_new_front_maps_old_records() -> None:
    assert seen_from_new_front(9.0, 9.0) == 6.0
    assert seen_from_new_front(3.0, 9.0) == 12.0
    assert seen_from_new_front(7.0, 12.0) == 1.0
    hours = [float(hour) for hour in range(1, 13)]
    assert sorted(seen_from_new_front(hour, 4.0) for hour in hours) == hours
