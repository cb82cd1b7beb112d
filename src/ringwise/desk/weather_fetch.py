"""The wish to fetch weather from the address that the grower set; without one, nothing is asked."""

from __future__ import annotations

import re
import shutil
import tempfile
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from ringwise.desk.fetched_files import KEPT, NEW, UNCHANGED, KeptFile, forget, kept_file
from ringwise.desk.fetching import checked_address
from ringwise.desk.shapes import Shape
from ringwise.desk.weather import import_weather
from ringwise.desk.weather_file import station_for
from ringwise.kit import show
from ringwise.kit.days import parse_date
from ringwise.kit.errors import InputError, MissingFieldError, RingwiseError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace

OVERLAP_DAYS = 14  # the newest days of a station are often corrected afterwards
FIRST_YEARS = 20  # asked for where nothing is stored: as many as windows use
_PLACEHOLDER = re.compile(r"\{([^{}]*)\}")
_SAFE = re.compile(r"[^A-Za-z0-9._-]")


@dataclass(frozen=True)
class FetchWish:
    """What was typed for `ringwise weather fetch`; None where an option was not given."""

    address: str | None = None
    columns: str | None = None
    station: str | None = None
    first: str | None = None
    last: str | None = None


def fetch_weather(workspace: Workspace, wish: FetchWish) -> Shape:
    """Ask the set address and read what comes as a file is read; a fault stores nothing.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : FetchWish
        What was typed; the rest is taken from the settings.

    Returns
    -------
    dict
        As `weather import` answers, with where it came from.

    Raises
    ------
    MissingFieldError
        If no address is set.
    FetchError
        If the address does not answer as it should.
    """
    pattern = wish.address if wish.address is not None else workspace.settings.weather_address
    if not pattern.strip():
        raise MissingFieldError(
            _(
                "no weather address is set, so nothing was asked; set weather_address in collection.toml, "
                "or give --address"
            )
        )
    station = wish.station or station_for(workspace, "")
    address = checked_address(_filled(pattern, *_days(workspace, wish, station)))
    columns = wish.columns if wish.columns is not None else workspace.settings.weather_columns
    found = kept_file(address)
    host, name = urlsplit(address).hostname or "", _file_name(address)
    with tempfile.TemporaryDirectory() as scratch:
        copy = Path(scratch) / name
        shutil.copyfile(found.file, copy)
        try:
            answer = import_weather(
                workspace, copy, columns=columns or None, station=station, called=f"{host} {name}"
            )
        except RingwiseError:
            forget(address)  # so that the next try asks again
            raise
    source = {"weather_host": host, "answer": found.how, "answer_bytes": found.size_bytes}
    return answer | source | {"lines": [_how(found, host), *answer["lines"]]}


def _how(found: KeptFile, host: str) -> str:
    kb = show.number(found.size_bytes / 1024, 2)
    return {
        NEW: _("{host} sent {kb} kB").format(host=host, kb=kb),
        UNCHANGED: _("{host} has nothing newer; its last answer of {kb} kB was read").format(
            host=host, kb=kb
        ),
        KEPT: _("{host} was asked within ten minutes; its answer of {kb} kB was read").format(
            host=host, kb=kb
        ),
    }[found.how]


def _days(workspace: Workspace, wish: FetchWish, station: str) -> tuple[date, date]:
    """The days to ask for: from shortly before the end of what is stored to today."""
    last = parse_date(wish.last, field="--last") if wish.last else workspace.today
    if wish.first:
        first = parse_date(wish.first, field="--first")
    elif station in workspace.store.weather_stations():
        stored = workspace.store.weather_get(station)
        length = max(len(column) for column in stored.columns.values())
        first = min(stored.first + timedelta(days=length - 1 - OVERLAP_DAYS), last)
    else:
        first = date(last.year - FIRST_YEARS, 1, 1)
    if first > last:
        raise InputError(
            _("--first is {first}, after the last day {last}; swap them").format(first=first, last=last)
        )
    return first, last


def _filled(pattern: str, first: date, last: date) -> str:
    """The address with the days put in; any other name in braces is a slip."""
    known = {"first": first.isoformat(), "last": last.isoformat()}
    unknown = [name for name in _PLACEHOLDER.findall(pattern) if name not in known]
    if unknown:
        raise InputError(
            _('the weather address has "{name}" in braces; accepted: {known}').format(
                name=unknown[0][:40], known="{first}, {last}"
            )
        )
    return _PLACEHOLDER.sub(lambda hit: known[hit.group(1)], pattern)


def _file_name(address: str) -> str:
    """The last part of the address's path, safe as a file's name."""
    return _SAFE.sub("_", PurePosixPath(urlsplit(address).path).name)[-80:].lstrip(".") or "weather"
