"""Hourly temperatures from CSV text: one row an hour, none left out."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator
from datetime import datetime, timedelta

import numpy as np

from ringwise.kit.errors import FileFormatError, MissingFieldError, RangeError
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.weather.series import PLAUSIBLE

TEMPERATURE, TIME = "temperature_degC", "time"
MOST_HOURS = 3_600_000  # some 400 years
_NUMBER = re.compile(r"^[-+]?(\d+(\.\d*)?|\.\d+)([eE][-+]?\d+)?$", re.ASCII)
_LOWEST, _HIGHEST, _UNIT = PLAUSIBLE["tmean_degC"]


def read_hours(text: str, *, file: str) -> FloatArray:
    """Temperatures of consecutive hours from a CSV.

    Parameters
    ----------
    text : str
        A header with `temperature_degC`, and `time` (2013-03-01T14:00) where hours are to be checked;
        other columns are left aside.
    file : str
        Its name, for the error line.

    Returns
    -------
    (hours,) float
        In degrees C, in the order of the file.

    Raises
    ------
    MissingFieldError
        If there is no such column, no row, or no value in a row.
    FileFormatError
        If a cell does not read, or an hour does not follow the one before.
    RangeError
        If a value cannot be weather, or there are far too many hours.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> read_hours("temperature_degC\\n6.5\\n7\\n", file="a.csv").tolist()
    [6.5, 7.0]
    """
    return _values(_rows(text, file), file)


def _rows(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    if "\x00" in text:
        raise FileFormatError(_("this is no text file. Export the hours as CSV in UTF-8."), where=file)
    reader = csv.reader(text.removeprefix("\ufeff").splitlines())
    try:
        for row in reader:
            yield reader.line_num, [cell.strip() for cell in row]
    except csv.Error as wrong:
        raise FileFormatError(
            _("the row does not read as CSV: {wrong}. Export the file again.").format(wrong=wrong),
            where=_place(file, reader.line_num),
        ) from None


def _values(rows: Iterator[tuple[int, list[str]]], file: str) -> FloatArray:
    _line, header = next(rows, (0, []))
    if header.count(TEMPERATURE) != 1 or header.count(TIME) > 1:
        raise MissingFieldError(
            _("the header must hold {column} once; the file has {found}.").format(
                column=TEMPERATURE, found=", ".join(header) or "-"
            ),
            where=file,
        )
    place, clock = header.index(TEMPERATURE), header.index(TIME) if TIME in header else None
    values: list[float] = []
    before: datetime | None = None
    for line, row in rows:
        where = _place(file, line)
        if not any(row):
            continue
        if len(row) != len(header):
            raise FileFormatError(
                _(
                    "the row has {n} cells where the header has {width}. "
                    "Mend the row or export the file again."
                ).format(n=len(row), width=len(header)),
                where=where,
            )
        if clock is not None:
            before = _next_hour(row[clock], before, where)
        values.append(_temperature(row[place], where))
        if len(values) > MOST_HOURS:
            raise RangeError(_("there are more than {most} hours.").format(most=MOST_HOURS), where=file)
    if not values:
        raise MissingFieldError(_("there is no hour below the header. Give at least one."), where=file)
    return np.array(values, dtype=np.float64)


def _place(file: str, line: int) -> str:
    return _("{file}, row {row}").format(file=file, row=line)


def _temperature(text: str, where: str) -> float:
    if not text:
        raise MissingFieldError(
            _("the hour has no temperature. Chill is a sum over every hour; fill it in."), where=where
        )
    value = float(text) if _NUMBER.match(text) else math.nan
    if math.isnan(value):
        raise FileFormatError(_('"{text}" is no number.').format(text=text), where=where)
    if not _LOWEST <= value <= _HIGHEST:
        raise RangeError(
            _("{value} {unit} is no weather; accepted: {low} to {high} {unit}.").format(
                value=f"{value:g}", unit=_UNIT, low=f"{_LOWEST:g}", high=f"{_HIGHEST:g}"
            ),
            where=where,
        )
    return value


def _next_hour(text: str, before: datetime | None, where: str) -> datetime:
    try:
        now = datetime.fromisoformat(text)
    except ValueError:
        raise FileFormatError(
            _('"{text}" is no time. Write it as 2013-03-01T14:00.').format(text=text), where=where
        ) from None
    if before is not None and (now.tzinfo is None) != (before.tzinfo is None):
        raise FileFormatError(_("some times have an offset from UTC and some have none."), where=where)
    if before is not None and now - before != timedelta(hours=1):
        raise FileFormatError(
            _("{now} does not follow {before} by one hour. Give every hour once, in order.").format(
                now=text, before=before.isoformat(timespec="minutes")
            ),
            where=where,
        )
    return now
