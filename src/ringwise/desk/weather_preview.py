"""What a weather file would bring in, before anything is stored; of an unknown table, what it may hold."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk.days_to_come import ROLE as FORECAST
from ringwise.desk.days_to_come import parts_of
from ringwise.desk.shapes import Shape
from ringwise.desk.texts import one_line
from ringwise.desk.weather import beside_stored, refuse_seam, rows_of
from ringwise.desk.weather_file import station_for
from ringwise.desk.weather_reading import read_weather
from ringwise.desk.weather_told import format_words
from ringwise.desk.weather_words import measure_words
from ringwise.kit import show
from ringwise.kit.errors import FileFormatError, MissingFieldError, UnitError
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from datetime import date

    from ringwise.desk.workspace import Workspace
    from ringwise.records.store import WeatherRows
    from ringwise.weather.formats.found import WeatherRead

MOST_REJECTED = 200  # values told one by one; the counts tell of all
MOST_COLUMNS = 120  # of a table that is shown to be mapped
_SHOWN_ROWS = 4
_LONGEST_CELL = 40


def preview_weather(workspace: Workspace, file: Path, called: str, columns: str = "") -> Shape:
    """What a file would bring in; nothing is stored.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    file : Path
        The file.
    called : str
        Its name where it came from.
    columns : str
        A mapping, see `reading.parse_columns`; blank to tell by the content.

    Returns
    -------
    dict
        As the contract of the app has it; `state` is "read", or "columns" where a mapping is needed.

    Raises
    ------
    InputError
        If the file does not read; row and column are named.
    """
    from ringwise.weather.formats.found import UnknownTableError

    name = called or file.name
    station = station_for(workspace, name)
    try:
        read = read_weather(file, columns or None, station=station, called=name, today=workspace.today)
    except (UnknownTableError, MissingFieldError, UnitError) as wrong:
        table = None if columns or wrong.where != name else _table(file, name)
        if table is None:
            raise
        return _shape(state="columns", file=name, station=station, line=wrong.message, table=table)
    table = _table(file, name) if read.format in {"own", "mapping"} else None
    return _shape(state="read", file=name, station=station, table=table) | _read_shape(workspace, read)


def _shape(*, state: str, file: str, station: str, line: str = "", table: Shape | None) -> Shape:
    return {
        "state": state,
        "file": one_line(file),
        "station": one_line(station),
        "line": line,
        "format": "",
        "columns": [],
        "first": None,
        "last": None,
        "span": "",
        "days": 0,
        "new_days": 0,
        "filled_days": 0,
        "missing_days": 0,
        "forecast_days": 0,
        "forecast_new_days": 0,
        "forecast_span": "",
        "beyond_days": 0,
        "rejected": [],
        "rejected_values": 0,
        "rejected_lines": [],
        "notes": [],
        "table": table,
    }


def _read_shape(workspace: Workspace, read: WeatherRead) -> Shape:
    import numpy as np

    parts = parts_of(read, workspace.today)
    series, ahead = parts.measured, parts.to_come
    if series is not None:
        refuse_seam(workspace, beside_stored(workspace, rows_of(series)))
    whole = series or ahead or read.series
    return {
        "format": format_words(read.format),
        "columns": [_column(each.column, each.ours, each.unit, each.values) for each in read.understood],
        "first": None if series is None else series.first.isoformat(),
        "last": None if series is None else series.last.isoformat(),
        "span": _span(whole.first, (ahead or whole).last),
        "days": 0 if series is None else series.n,
        "new_days": 0 if series is None else new_days(workspace, beside_stored(workspace, rows_of(series))),
        "filled_days": 0 if series is None else int(series.filled.sum()),
        "missing_days": 0 if series is None else int(np.isnan(series.tmean_degC).sum()),
        "forecast_days": 0 if ahead is None else ahead.n,
        "forecast_new_days": 0
        if ahead is None
        else new_days(workspace, replace(rows_of(ahead, with_bridged=True), role=FORECAST)),
        "forecast_span": "" if ahead is None else _span(ahead.first, ahead.last),
        "beyond_days": 0 if ahead is None else (read.series.last - ahead.last).days,
        "rejected": [
            {
                "day": each.day.isoformat(),
                "day_shown": show.day(each.day, year=True),
                "column": one_line(each.column),
                "text": one_line(each.text),
                "reason": each.reason,
            }
            for each in read.rejected[:MOST_REJECTED]
        ],
        "rejected_values": len(read.rejected),
        "rejected_lines": _rejected_lines(read),
        "notes": list(read.notes),
    }


def new_days(workspace: Workspace, rows: WeatherRows) -> int:
    """How many days are not stored yet, or stored otherwise.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    rows : WeatherRows
        To be stored.

    Returns
    -------
    int
        As `store.weather_put` counts them.
    """
    import numpy as np

    if rows.station not in workspace.store.weather_stations(role=rows.role):
        return rows.n_days
    held = workspace.store.weather_get(rows.station, role=rows.role)
    at = np.arange(rows.n_days) + (rows.first - held.first).days
    inside = (at >= 0) & (at < held.n_days)
    place = np.clip(at, 0, held.n_days - 1)
    same = inside & (held.filled[place] == rows.filled)
    if held.recorded is not None:
        same &= held.recorded[place] > 0
    for name, cells in rows.columns.items():
        there = held.columns[name][place]
        same &= (there == cells) | (np.isnan(there) & np.isnan(cells))
    return int((~same).sum())


def _column(column: str, ours: str, unit: str, values: int) -> Shape:
    from ringwise.weather.file_units import own_unit

    own = own_unit(ours)
    given = unit or own
    same = unit_words(given) == unit_words(own)
    return {
        "column": one_line(column),
        "ours": ours,
        "words": measure_words(ours),
        "unit": unit_words(given),
        "how": _("taken as it is")
        if same
        else _("from {given} to {own}").format(given=unit_words(given), own=unit_words(own)),
        "values": values,
    }


def unit_words(unit: str) -> str:
    """A unit of a file as people write it.

    Parameters
    ----------
    unit : str
        As in a mapping.

    Returns
    -------
    str
        In the reader's language.

    Examples
    --------
    >>> unit_words("tenths_degC"), unit_words("degF"), unit_words("J/cm2")
    ('tenths of °C', '°F', 'J/cm²')
    """
    tenths, of, rest = unit.partition("tenths_")
    if of and not tenths:
        return _("tenths of {unit}").format(unit=unit_words(rest))
    plain = {
        "degC": "°C",
        "C": "°C",
        "degF": "°F",
        "F": "°F",
        "inch": "in",
        "pct": "%",
        "frac": _("share of 1"),
        "mp/h": "mph",
        "kt": "kn",
        "MJ/m2/day": "MJ/m2",
    }
    return plain.get(unit, unit).replace("m2", "m²")


def _span(first: date, last: date) -> str:
    return _("{first} to {last}").format(first=show.day(first, year=True), last=show.day(last, year=True))


def _rejected_lines(read: WeatherRead) -> list[str]:
    counts = Counter((each.column, each.reason) for each in read.rejected)
    return [
        _("{values} of {column}: {reason}").format(
            values=counted("{n} value", "{n} values", n), column=one_line(column), reason=reason
        )
        for (column, reason), n in counts.most_common()
    ]


def _table(file: Path, name: str) -> Shape | None:
    """Header and first rows of a table with a guess for each column; None where it is none to be mapped."""
    from ringwise.weather.formats.guessing import guesses
    from ringwise.weather.rows import rows_of_text

    try:
        text = file.read_bytes().decode("utf-8-sig")
        rows = [row for _line, row in rows_of_text(text, name)]
    except (UnicodeDecodeError, FileFormatError):
        return None
    if len(rows) < 2 or not 2 <= len(rows[0]) <= MOST_COLUMNS or rows[0][0][:1] in {"{", "["}:
        return None
    header, below = rows[0], rows[1:]
    return {
        "columns": [
            {
                "column": guess.column,
                "shown": _cut(guess.column) or _("column {n}").format(n=place + 1),
                "cells": [_cut(row[place]) for row in below[:_SHOWN_ROWS] if place < len(row)],
                "ours": guess.ours,
                "unit": guess.unit,
                "date_form": guess.date_form,
                "missing": "|".join(guess.missing),
                "twice": header.count(guess.column) > 1,
            }
            for place, guess in enumerate(guesses(header, below))
        ],
        "rows": len(below),
    }


def _cut(text: str) -> str:
    plain = one_line(text)
    return plain if len(plain) <= _LONGEST_CELL else plain[: _LONGEST_CELL - 1] + "…"
