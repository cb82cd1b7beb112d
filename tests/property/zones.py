"""This process as a machine in some zone, at some instant."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from unittest import mock

from ringwise.desk import clock

# Each zone with the rule (POSIX TZ) that puts a process into it without any database of zones.
ZONES = {
    "Pacific/Pago_Pago": "<-11>11",
    "America/New_York": "EST5EDT,M3.2.0,M11.1.0",
    "Europe/Berlin": "CET-1CEST,M3.5.0,M10.5.0/3",
    "Asia/Kathmandu": "<+0545>-5:45",
    "Australia/Lord_Howe": "<+1030>-10:30<+11>-11,M10.1.0,M4.1.0",
    "Pacific/Kiritimati": "<+14>-14",
}


@contextmanager
def machine(zone: str, instant: datetime) -> Iterator[None]:
    """This process as one in a zone, at an instant."""

    class Stopped(datetime):
        @classmethod
        def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
            assert tz is UTC
            return instant

    with mock.patch.dict(os.environ, {"TZ": ZONES[zone]}), mock.patch.object(clock, "datetime", Stopped):
        time.tzset()
        try:
            yield
        finally:
            os.environ.pop("TZ")
            time.tzset()
