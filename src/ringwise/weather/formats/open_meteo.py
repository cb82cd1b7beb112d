"""Daily values of Open-Meteo, archive and forecast, as JSON or CSV; the unit stands beside each variable.

The names are those of the service. The wind that most people ask it for, `wind_speed_10m_max`, is the highest
of the day and is left out; its mean is taken down from 10 m to 2 m.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from ringwise.kit.errors import FileFormatError, MissingFieldError
from ringwise.kit.words import _
from ringwise.weather.file_units import UNITS, WIND, converter, judged
from ringwise.weather.formats.cells import day_of, number_of
from ringwise.weather.formats.found import WeatherRead, Wish
from ringwise.weather.formats.gather import Gather
from ringwise.weather.formats.gsod import COLDEST_DEGC, WARMEST_DEGC
from ringwise.weather.humidity import saturation_kPa
from ringwise.weather.rows import place_in, rows_of_text

JSON, CSV = "open_meteo_json", "open_meteo_csv"
_VARIABLES = {
    "temperature_2m_min": ("tmin_degC", "°C"),
    "temperature_2m_max": ("tmax_degC", "°C"),
    "temperature_2m_mean": ("tmean_degC", "°C"),
    "relative_humidity_2m_min": ("rh_min_pct", "%"),
    "relative_humidity_2m_max": ("rh_max_pct", "%"),
    "precipitation_sum": ("rain_mm", "mm"),
    "wind_speed_10m_mean": (WIND, "km/h"),
    "shortwave_radiation_sum": ("radiation_mj_m2", "MJ/m²"),
    "sunshine_duration": ("sunshine_h", "s"),
}
_OLDER = {"windspeed_10m_mean": "wind_speed_10m_mean", "windspeed_10m_max": "wind_speed_10m_max"}
_DEW_POINT = "dew_point_2m_mean"
_STRONGEST = ("wind_speed_10m_max", "windspeed_10m_max", "wind_gusts_10m_max", "windgusts_10m_max")
_TITLE = re.compile(r"^(?P<name>[a-z0-9_]+)(?: \((?P<unit>[^)]*)\))?$")
_DAY_S = 86_400
_MOST_DAYS = 200_000  # days since 1970 that a second count may name, either way
_UNIX, _TIME = "unixtime", "time"


@dataclass(frozen=True)
class _Daily:
    """The daily part of an answer, whatever form it came in: entries by variable, units beside them."""

    days: Sequence[date]
    lines: Sequence[int]
    values: Mapping[str, Sequence[float]]
    units: Mapping[str, str]


def read_json(text: str, wish: Wish) -> WeatherRead:
    """An answer in JSON.

    Parameters
    ----------
    text : str
        The file's text.
    wish : Wish
        Its name, and today, from which on days are forecast.

    Returns
    -------
    WeatherRead
        The series with `forecast_from`.

    Raises
    ------
    FileFormatError
        If it is no JSON, or of several places.
    MissingFieldError
        If it has no daily values.

    Source
    ------
    own reasoning; names and units as documented by the service, the nesting recalled.

    Examples
    --------
    >>> text = '{"daily_units": {"temperature_2m_max": "°F"}, "daily": {"time": ["2024-03-01"],'
    >>> read_json(text + '"temperature_2m_max": [50.0]}}', Wish("a.json")).series.tmax_degC.tolist()
    [10.0]
    """
    try:
        told = json.loads(text)
    except (ValueError, RecursionError):
        raise FileFormatError(_("is no whole JSON. Download it again."), where=wish.file) from None
    if isinstance(told, list) and len(told) == 1:
        told = told[0]
    if isinstance(told, list):
        raise FileFormatError(
            _("holds {n} places. Ask for one place at a time.").format(n=len(told)), where=wish.file
        )
    if not isinstance(told, dict):
        raise FileFormatError(_("is JSON, but no weather. Ask for daily values."), where=wish.file)
    daily = told.get("daily")
    if not isinstance(daily, dict) or not isinstance(daily.get(_TIME), list):
        raise MissingFieldError(_no_daily(told), where=wish.file)
    return _read(_of_json(told, daily, wish.file), wish, JSON)


def _no_daily(told: Mapping[str, Any]) -> str:
    if told.get("error"):
        return _('is an answer that says "{reason}". Ask again.').format(
            reason=" ".join(str(told.get("reason", "")).split())[:120]
        )
    return _(
        "has no daily values. Ask for daily={names}.",
    ).format(names="temperature_2m_max,temperature_2m_min,precipitation_sum")


def _of_json(told: Mapping[str, Any], daily: Mapping[str, Any], file: str) -> _Daily:
    units = told.get("daily_units")
    units = {str(name): str(unit) for name, unit in units.items()} if isinstance(units, dict) else {}
    times = daily[_TIME]
    offset = told.get("utc_offset_seconds", 0)
    shift_s = offset if isinstance(offset, int) and abs(offset) <= _DAY_S else 0
    days = [
        _json_day(time, shift_s, unix=units.get(_TIME) == _UNIX, file=file, line=line)
        for line, time in enumerate(times, 1)
    ]
    values = {}
    for name, entries in daily.items():
        if name == _TIME or (_known(name) is None and name != _DEW_POINT):
            continue
        if not isinstance(entries, list) or len(entries) != len(times):
            raise FileFormatError(
                _("has {n} values for {days} days. Download it again.").format(
                    n=len(entries) if isinstance(entries, list) else 0, days=len(times)
                ),
                where=_("{file}, column {column}").format(file=file, column=name),
            )
        values[name] = [_json_number(entry, file, line, name) for line, entry in enumerate(entries, 1)]
    names = dict.fromkeys(str(name) for name in daily)
    return _Daily(days, range(1, len(times) + 1), {**dict.fromkeys(names, ()), **values}, units)


def _json_day(time: object, shift_s: int, *, unix: bool, file: str, line: int) -> date:
    if unix and isinstance(time, int) and abs(time) < _MOST_DAYS * _DAY_S:
        time = (date(1970, 1, 1) + timedelta(days=(time + shift_s) // _DAY_S)).isoformat()
    return day_of(str(time), file=file, line=line, column=_TIME)


def _json_number(entry: object, file: str, line: int, name: str) -> float:
    if entry is None:
        return math.nan
    if isinstance(entry, bool) or not isinstance(entry, int | float):
        raise FileFormatError(
            _('"{text}" is no number. Download it again.').format(text=" ".join(str(entry).split())[:40]),
            where=place_in(file, line, name),
        )
    try:
        return float(entry)
    except OverflowError:
        return math.inf


def read_csv(text: str, wish: Wish) -> WeatherRead:
    """An answer in CSV: one row about the place, a blank line, then a table with units in its header.

    Parameters
    ----------
    text : str
        The file's text.
    wish : Wish
        Its name, and today, from which on days are forecast.

    Returns
    -------
    WeatherRead
        The series with `forecast_from`.

    Raises
    ------
    FileFormatError
        If it is of several places, or a row does not fit its header.
    MissingFieldError
        If it has no daily values.

    Source
    ------
    own reasoning; names and units as documented by the service, the layout recalled.

    Examples
    --------
    >>> read_csv("time,temperature_2m_max (°C)\\n2024-03-01,9.5\\n", Wish("a.csv")).series.n
    1
    """
    return _read(_of_csv(rows_of_text(text, wish.file), wish.file), wish, CSV)


def _of_csv(rows: Iterator[tuple[int, list[str]]], file: str) -> _Daily:
    titles: list[str] = []
    days: list[date] = []
    lines: list[int] = []
    table: list[list[str]] = []
    for line, row in rows:
        if row[0] == "location_id":
            raise FileFormatError(
                _("holds several places. Ask for one place at a time."), where=place_in(file, line)
            )
        if row[0] == _TIME:
            if table:
                break  # the daily part is complete; what follows is by the hour
            titles = row
        elif titles and "T" not in row[0]:
            if len(row) != len(titles):
                raise FileFormatError(
                    _(
                        "the row has {n} cells where the header has {width}. "
                        "Mend the row or download the file again."
                    ).format(n=len(row), width=len(titles)),
                    where=place_in(file, line),
                )
            days.append(day_of(row[0], file=file, line=line, column=_TIME))
            lines.append(line)
            table.append(row)
    if not table:
        raise MissingFieldError(_no_daily({}), where=file)
    values: dict[str, Sequence[float]] = {}
    units = {}
    for k, title in enumerate(titles[1:], 1):
        match = _TITLE.match(title)
        name = match["name"] if match else title
        units[name] = (match["unit"] or "") if match else ""
        values[name] = (
            [_csv_number(row[k], file, line, name) for line, row in zip(lines, table, strict=True)]
            if _known(name) or name == _DEW_POINT
            else ()
        )
    return _Daily(days, lines, values, units)


def _csv_number(text: str, file: str, line: int, name: str) -> float:
    if text.casefold() in {"nan", "null", "none"}:
        return math.nan
    return number_of(text, (), file=file, line=line, column=name)


def _known(name: str) -> tuple[str, str] | None:
    return _VARIABLES.get(_OLDER.get(name, name))


def _read(daily: _Daily, wish: Wish, form: str) -> WeatherRead:
    gather = Gather(wish, form)
    for name, entries in daily.values.items():
        known = _known(name)
        if known is not None:
            _column(gather, daily, name, entries)
        elif name == _DEW_POINT:
            _moisture(gather, daily, entries)
    unused = [
        name for name in daily.values if name not in {_TIME, _DEW_POINT, *_STRONGEST} and not _known(name)
    ]
    gather.left_out(unused)
    if any(name in daily.values for name in _STRONGEST):
        gather.note(
            _("The highest wind of a day is no mean wind; it is left out. Ask for wind_speed_10m_mean.")
        )
    gather.note(_("The values are those of a model for this place, not of an instrument."))
    coming = [day for day in daily.days if wish.today is not None and day >= wish.today]
    return gather.read(forecast_from=min(coming, default=None))


def _column(gather: Gather, daily: _Daily, name: str, entries: Sequence[float]) -> None:
    ours, usual = _VARIABLES[_OLDER.get(name, name)]
    unit = daily.units.get(name, "")
    if not unit:
        unit = usual
        gather.note(
            _("{name} has no unit beside it; it is taken as {unit}, the usual one.").format(
                name=name, unit=unit
            )
        )
    if unit not in UNITS[ours]:
        raise FileFormatError(
            _('the unit "{unit}" is unknown; accepted: {known}.').format(
                unit=" ".join(unit.split())[:40], known=", ".join(UNITS[ours])
            ),
            where=_("{file}, column {column}").format(file=gather.wish.file, column=name),
        )
    height_m = judged("anemometer_height") if ours == WIND else None
    gather.column(ours, name, unit, height_m=height_m)
    for day, line, value in zip(daily.days, daily.lines, entries, strict=True):
        gather.put(day, ours, value, line=line)


def _moisture(gather: Gather, daily: _Daily, entries: Sequence[float]) -> None:
    unit = daily.units.get(_DEW_POINT, "")
    convert = converter("tmean_degC", unit if unit in UNITS["tmean_degC"] else "degC")
    for day, value in zip(daily.days, entries, strict=True):
        dew_point_degC = value if math.isnan(value) else convert(value)
        if COLDEST_DEGC < dew_point_degC < WARMEST_DEGC:
            gather.vapour(day, float(saturation_kPa(dew_point_degC)))
