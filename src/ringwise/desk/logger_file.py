"""The file of a logger that stood at a place: its lowest and highest of each day, as readings."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk.deeds import action
from ringwise.desk.place_readings import MEASURES_READ, ROLE, known_place, with_held
from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.records.store import WeatherRows
    from ringwise.weather.series import WeatherSeries

_DAY = timedelta(days=1)


@dataclass(frozen=True)
class ReadingsWish:
    """A logger's file for a place; `called` is its name where it came from."""

    place: str
    file: Path
    columns: str | None = None
    called: str = ""
    preview: bool = False
    by: str | None = None


def import_readings(workspace: Workspace, wish: ReadingsWish) -> Shape:
    """Take the daily minima and maxima of a logger's file as readings of a place.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : ReadingsWish
        The place, the file and what its columns are.

    Returns
    -------
    dict
        Keys action, line, id (the place), stored, new_days, days, first, last, file, then format, understood,
        rejected, forecast_from, forecast_days and notes as in a weather import, and lines.

    Raises
    ------
    InputError
        If the file does not read; nothing is stored then.
    """
    from ringwise.desk.weather_reading import read_weather
    from ringwise.desk.weather_told import told_lines, told_shape
    from ringwise.weather.formats.sniff import measured_part

    place = known_place(workspace, wish.place)
    called = wish.called or wish.file.name
    read = read_weather(wish.file, wish.columns, station=place, called=called, today=workspace.today)
    series = measured_part(read).series
    rows, days = _rows_read(workspace, series)
    new = None
    if not wish.preview:
        new = workspace.store.weather_put(action(workspace, wish.by, f"readings {place}"), rows)
    first, last = rows.first, rows.first + (rows.n_days - 1) * _DAY
    line = _("{place}: {days} read, {first} to {last}").format(
        place=place,
        days=counted("{n} day", "{n} days", days),
        first=show.day(first, year=True),
        last=show.day(last, year=True),
    )
    return {
        "action": workspace.store.latest_step() if new else None,
        "line": line,
        "id": place,
        "stored": not wish.preview,
        "new_days": new,
        "days": days,
        "first": first.isoformat(),
        "last": last.isoformat(),
        "file": called,
        **told_shape(read),
        "lines": [line, *_short_days(series), *told_lines(read, preview=wish.preview)],
    }


def _short_days(series: WeatherSeries) -> list[str]:
    """That days of which a value is missing are no readings: the reader has bridged them."""
    n = int((series.was_bridged("tmin_degC") & series.was_bridged("tmax_degC")).sum())
    return (
        [
            counted(
                "left out: {n} day of the file that lacks a value",
                "left out: {n} days of the file that lack a value",
                n,
            )
        ]
        if n
        else []
    )


def _rows_read(workspace: Workspace, series: WeatherSeries) -> tuple[WeatherRows, int]:
    """Minima and maxima of a file as they are to be held, none of them bridged; on how many days any is."""
    import numpy as np

    from ringwise.records.store import WeatherRows

    measured = {
        name: np.where(series.was_bridged(name), np.nan, series.column(name)) for name in MEASURES_READ
    }
    days = int((~np.isnan(measured["tmin_degC"]) | ~np.isnan(measured["tmax_degC"])).sum())
    if not days:
        raise MissingFieldError(
            _("holds neither tmin_degC nor tmax_degC; name the columns with --columns"), where=series.source
        )
    bridged = np.zeros(series.n, dtype=np.bool_)
    rows = WeatherRows(
        series.station, series.first, measured, bridged, series.source, series.invented, role=ROLE
    )
    return with_held(workspace, rows), days
