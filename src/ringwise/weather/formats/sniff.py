"""Which format a weather file has, told by its content and never by its name; then it is read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import numpy as np

from ringwise.kit.errors import FileFormatError
from ringwise.kit.words import _
from ringwise.weather.file_units import own_unit
from ringwise.weather.formats import dwd, ghcn, ghcn_wide, gsod, open_meteo
from ringwise.weather.formats.found import Understood, UnknownTableError, WeatherRead, Wish
from ringwise.weather.reading import COLUMNS, parse_columns, read_table
from ringwise.weather.rows import rows_of_text
from ringwise.weather.series import MEASURES

OWN, MAPPED = "own", "mapping"
_PACKED = (b"PK\x03\x04", b"\x1f\x8b", b"BZh", b"\xfd7zXZ")
_WIDE_NAMES = frozenset({"TMAX", "TMIN", "TAVG", "PRCP"})
_Reader = Callable[[str, Wish], WeatherRead]


def read_weather(data: bytes, wish: Wish, *, columns: str | None = None) -> WeatherRead:
    """A weather file of any format that is known.

    Parameters
    ----------
    data : bytes
        The file.
    wish : Wish
        Its name for error lines, the station, and today; without it no day is called forecast.
    columns : str, optional
        A mapping; where it is given it alone says what the columns are.

    Returns
    -------
    WeatherRead
        The series, what was understood, what was rejected and why.

    Raises
    ------
    InputError
        If it is none of the formats, or a place in it does not read: file, row and column are named.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> read = read_weather(b"date,tmean_degC\\n2024-03-01,5\\n", Wish("a.csv"))
    >>> read.format, read.understood[0].values
    ('own', 1)
    """
    text = _text(data, wish.file)
    if columns:
        return _marked(_table(text, wish, parse_columns(columns)), wish)
    reader = _reader(text, wish.file)
    return _marked(reader(text, wish) if reader else _table(text, wish, None), wish)


def _text(data: bytes, file: str) -> str:
    if data.startswith(_PACKED):
        raise FileFormatError(_("is a packed file. Unpack it and take the table inside."), where=file)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileFormatError(_("is no UTF-8 text; save it as CSV in UTF-8"), where=file) from None
    if "\x00" in text:
        raise FileFormatError(_("this is no text file. Export the weather as CSV in UTF-8."), where=file)
    return text


def _reader(text: str, file: str) -> _Reader | None:
    """The reader of a service's format; None where a table must say what it is itself."""
    head = text.lstrip()
    if head[:1] in {"{", "["}:
        return open_meteo.read_json
    if ghcn.DLY_LINE.match(head):
        return ghcn.read_dly
    first = next(rows_of_text(text, file), (0, [""]))[1]
    names = {name.upper() for name in first}
    if names >= dwd.MARKS:
        return dwd.read_dwd
    if _is_element_day(first) or {"ID", "ELEMENT"} <= names:
        return ghcn.read_by_station
    if {"STATION", "DATE"} <= names and gsod.MARKS & names >= {"TEMP", "MAX"}:
        return gsod.read_gsod
    if {"STATION", "DATE"} <= names and names & _WIDE_NAMES:
        return ghcn_wide.read_wide
    if first[:2] == ["latitude", "longitude"] or first[0] in {"time", "location_id"}:
        return open_meteo.read_csv
    if first[0] and not names & {name.upper() for name in COLUMNS}:
        raise _unknown(first, file)
    return None


def _is_element_day(row: list[str]) -> bool:
    return len(row) >= 4 and len(row[0]) == 11 and row[1].isdigit() and len(row[1]) == 8 and len(row[2]) == 4


def _unknown(first: list[str], file: str) -> UnknownTableError:
    found = " ".join(", ".join(first).split())
    return UnknownTableError(
        _(
            "is none of the formats that are known (own header, GHCN-Daily, GSOD, Open-Meteo, DWD daily). "
            'Its first row is "{found}". Say which column is what with a mapping, such as {example}.'
        ).format(found=found[:120], example="date=Day,tmin_degC=Low:degF:missing=-99"),
        where=file,
    )


def _table(text: str, wish: Wish, columns: dict[str, str] | None) -> WeatherRead:
    """Our own header, or any by a mapping: a grower's own file is refused where a value is wrong."""
    table = read_table(text, file=wish.file, columns=columns, station=wish.station, invented=wish.invented)
    understood = tuple(
        Understood(each.column, ours, each.unit or own_unit(ours), table.counts[ours])
        for ours, each in ((ours, table.declared[ours]) for ours in MEASURES if ours in table.declared)
    )
    return WeatherRead(table.series, MAPPED if columns else OWN, understood)


def _marked(read: WeatherRead, wish: Wish) -> WeatherRead:
    """Days after today cannot have been measured, whatever the format."""
    if wish.today is None or read.forecast_from is not None or read.series.last <= wish.today:
        return read
    return replace(read, forecast_from=max(read.series.first, wish.today + timedelta(days=1)))


def measured_part(read: WeatherRead) -> WeatherRead:
    """What was measured, without the days of a forecast and without open days at the end.

    Parameters
    ----------
    read : WeatherRead
        As read.

    Returns
    -------
    WeatherRead
        Its series ends before `forecast_from`.

    Raises
    ------
    FileFormatError
        If every day is forecast.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from datetime import date
    >>> wish = Wish("a.csv", today=date(2024, 3, 1))
    >>> both = read_weather(b"date,tmean_degC\\n2024-03-01,5\\n2024-03-02,6\\n", wish)
    >>> both.forecast_days, measured_part(both).series.n
    (1, 1)
    """
    if read.forecast_from is None:
        return read
    if read.forecast_from <= read.series.first:
        raise FileFormatError(
            _("holds only days to come, from {first} on. Only measured days are stored.").format(
                first=read.series.first
            ),
            where=read.series.source,
        )
    series = read.series.cut(read.series.first, read.forecast_from - timedelta(days=1))
    known = np.zeros(series.n, dtype=np.bool_)
    for name in MEASURES:  # the last days may have been bridged towards the forecast
        known |= ~np.isnan(series.column(name)) & ~series.was_bridged(name)
    last = int(np.flatnonzero(known)[-1]) if known.any() else 0
    return replace(read, series=series.cut(series.first, series.first + timedelta(days=last)))
