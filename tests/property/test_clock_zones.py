"""The clock in every sort of zone: the same instant is each zone's own civil day, with its offset.

The process is put into a zone by its rule (POSIX TZ); what it should say comes from the zone database.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from zones import ZONES, machine

from ringwise.desk import clock

zones = st.sampled_from(sorted(ZONES))
# Close to a turn of day, year, 29 February or of the clocks, in one zone or another.
NEAR = (
    datetime(2027, 12, 31, 12, tzinfo=UTC),
    datetime(2028, 2, 29, 12, tzinfo=UTC),
    datetime(2028, 3, 26, 1, tzinfo=UTC),
    datetime(2028, 10, 29, 1, tzinfo=UTC),
    datetime(2028, 4, 1, 15, tzinfo=UTC),
    datetime(2028, 11, 5, 6, tzinfo=UTC),
)
instants = st.one_of(
    st.builds(lambda near, s: near + timedelta(seconds=s), st.sampled_from(NEAR), st.integers(-90000, 90000)),
    st.integers(0, 5 * 366 * 86400).map(lambda s: datetime(2025, 1, 1, tzinfo=UTC) + timedelta(seconds=s)),
)


@pytest.fixture(autouse=True)
def _own_zone_again() -> Iterator[None]:
    yield
    time.tzset()


@given(zones, instants)
def test_now_and_today_are_those_of_the_zone(zone: str, instant: datetime) -> None:
    there = instant.astimezone(ZoneInfo(zone))
    with machine(zone, instant):
        told, today = clock.now(), clock.system_date()
    assert told == instant.replace(microsecond=0)
    assert told.utcoffset() == there.utcoffset()
    assert told.isoformat()[-6:] == there.isoformat()[-6:]
    assert today == there.date() == told.date()


@given(zones, zones, instants)
def test_one_instant_is_written_down_as_each_zones_own_day(one: str, other: str, instant: datetime) -> None:
    told = []
    for zone in (one, other):
        with machine(zone, instant):
            told.append(clock.moment(clock.system_date()))
        assert told[-1].date() == instant.astimezone(ZoneInfo(zone)).date()
    assert told[0] == told[1]


@given(zones, instants, st.integers(-400, 400).filter(bool))
def test_a_pinned_day_stays_that_day_in_every_zone(zone: str, instant: datetime, away: int) -> None:
    with machine(zone, instant):
        pinned = clock.system_date() + timedelta(days=away)
        told = clock.moment(pinned)
    assert told.date() == pinned
    assert told.utcoffset() == timedelta(0)


@pytest.mark.parametrize("zone", sorted(ZONES))
def test_a_process_of_its_own_has_the_offset_of_its_zone(zone: str) -> None:
    told = subprocess.run(
        [sys.executable, "-c", "from ringwise.desk import clock; print(clock.now().isoformat())"],
        env={**os.environ, "TZ": ZONES[zone]},
        capture_output=True,
        text=True,
        check=True,
    )
    at = datetime.fromisoformat(told.stdout.strip())
    assert at.utcoffset() == at.astimezone(ZoneInfo(zone)).utcoffset()
    assert abs(at - datetime.now(UTC)) < timedelta(minutes=5)


def test_eleven_behind_and_fourteen_ahead_are_two_days_apart() -> None:
    instant = datetime(2028, 2, 29, 10, 30, tzinfo=UTC)
    days = []
    for zone in ("Pacific/Pago_Pago", "Pacific/Kiritimati"):
        with machine(zone, instant):
            days.append(clock.system_date())
    assert days == [date(2028, 2, 28), date(2028, 3, 1)]
