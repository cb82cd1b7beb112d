"""The weather room: what stands under the windows, line by line, and what a table can be mapped to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.head import weather_told
from ringwise.desk.shapes import Shape
from ringwise.desk.weather import show_weather
from ringwise.desk.weather_preview import unit_words
from ringwise.desk.weather_under import own_stations, station_of, stored_series, weather_notes, yard_series
from ringwise.desk.weather_words import measure_words
from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError, NotFoundError
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace

CLIMATE_WHY = "yard:climate"
_YEAR_DAYS = 365


def weather_room(workspace: Workspace) -> Shape:
    """What stands under the windows, and what a table of weather can be mapped to.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    dict
        As the contract of the app has it.
    """
    from ringwise.weather.declared import DATE_FORMS
    from ringwise.weather.file_units import UNITS, own_unit

    state, shown = weather_told(workspace)
    return {
        "state": state,
        "shown": shown,
        "lines": under_lines(workspace),
        "stations": [_station(workspace, name) for name in workspace.store.weather_stations()],
        "measures": [
            {
                "key": ours,
                "words": measure_words(ours),
                "unit": unit_words(own_unit(ours)),
                "units": [{"key": unit, "words": unit_words(unit), "more": ""} for unit in _once(units)],
            }
            for ours, units in UNITS.items()
        ],
        "date_forms": list(DATE_FORMS),
    }


def _once(units: object) -> list[str]:
    """Units without those that are only other spellings of one before."""
    assert hasattr(units, "__iter__")
    found: dict[str, str] = {}
    for unit in units:
        found.setdefault(unit_words(unit), unit)
    return list(found.values())


def under_lines(workspace: Workspace) -> list[Shape]:
    """What the windows stand on, in short lines, each with its why where it tells a number.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    list of dict
        Keys words and why; none where there is no weather and no description.
    """
    from ringwise.weather.described import is_described

    try:
        series = yard_series(workspace)
    except (MissingFieldError, NotFoundError) as wrong:
        return [{"words": wrong.message, "why": None}] if workspace.store.weather_stations() else []
    described = is_described(series.source)
    lines: list[Shape] = []
    if workspace.store.weather_stations():
        own = f"yard:stored:{station_of(workspace)}" if own_stations(workspace) else None
        lines += [{"words": line, "why": own} for line in show_weather(workspace)["lines"]]
    told = {line["words"] for line in lines}
    why = CLIMATE_WHY if described else None
    lines += [{"words": note, "why": why} for note in weather_notes(workspace, series) if note not in told]
    return lines


def _station(workspace: Workspace, name: str) -> Shape:
    series = stored_series(workspace, name)
    try:
        chosen = station_of(workspace) == name
    except (MissingFieldError, NotFoundError):
        chosen = False
    return {
        "name": name,
        "chosen": chosen,
        "span": _("{first} to {last}").format(
            first=show.day(series.first, year=True), last=show.day(series.last, year=True)
        ),
        "length": counted("{n} year", "{n} years", series.n // _YEAR_DAYS)
        if series.n >= _YEAR_DAYS
        else counted("{n} day", "{n} days", series.n),
        "invented": series.invented,
        "why": f"yard:stored:{name}",
    }
