"""Weather from CSV text: our own header as it is, any other by a column mapping; nothing is half-read."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np

from ringwise.kit.errors import (
    DateError,
    FileFormatError,
    InputError,
    MissingFieldError,
    RangeError,
    unknown_name,
)
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.weather.series import MEASURES, WeatherSeries, first_fault, series_of

DATE = "date"
COLUMNS = (DATE, *MEASURES)
NOT_MEASURED = frozenset({"", "na", "nan", "null", "none", "-"})
LONGEST_SERIES_DAYS = 150_000  # some 400 years: longer means a mistyped year
_EXAMPLE = "date=date,tmin_degC=temp_min,tmax_degC=temp_max"
_DATE_FORM = re.compile(r"^(\d{4})[-/]?(\d{2})[-/]?(\d{2})$", re.ASCII)
_NUMBER_FORM = re.compile(r"^[-+]?(\d+[.,]?\d*|[.,]\d+)([eE][-+]?\d+)?$", re.ASCII)


def parse_columns(text: str) -> dict[str, str]:
    """The mapping from our column names to those of a file.

    Parameters
    ----------
    text : str
        Pairs "ours=theirs" joined by commas.

    Returns
    -------
    dict of str to str
        The file's column name by our name.

    Raises
    ------
    InputError
        If a part is no pair, or one of our names is given twice or unknown.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> parse_columns("date=date,tmin_degC=temp_min")
    {'date': 'date', 'tmin_degC': 'temp_min'}
    """
    mapping: dict[str, str] = {}
    for part in (piece.strip() for piece in text.split(",")):
        ours, separator, theirs = (piece.strip() for piece in part.partition("="))
        if not separator or not ours or not theirs:
            raise InputError(
                _('column mapping has "{part}", which is no pair. Write it as {example}.').format(
                    part=part, example=_EXAMPLE
                )
            )
        if ours not in COLUMNS:
            raise unknown_name(_("weather column"), ours, COLUMNS)
        if ours in mapping:
            raise InputError(_('column mapping names "{ours}" twice; keep one.').format(ours=ours))
        mapping[ours] = theirs
    return mapping


def read_csv(
    text: str,
    *,
    file: str,
    columns: Mapping[str, str] | None = None,
    station: str = "",
    invented: bool = False,
) -> WeatherSeries:
    """A weather series from the text of a CSV file.

    Parameters
    ----------
    text : str
        The file's text; cells split by comma, semicolon or tab.
    file : str
        Its name, for error lines and as the source.
    columns : mapping of str to str, optional
        The file's column names by ours; without it the header must hold our names.
    station : str
        The station's name; by default the file's.
    invented : bool
        Whether the weather was made up.

    Returns
    -------
    WeatherSeries
        Checked and gap-filled, see `series.series_of`.

    Raises
    ------
    FileFormatError
        If the text is no table or a cell is no number.
    MissingFieldError
        If a column is missing.
    DateError
        If a date does not read, comes twice or out of order.
    RangeError
        If a value fails a check; file, row and day are named.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> read_csv("date,tmin_degC,tmax_degC\\n2013-03-01,2,9\\n", file="a.csv").tmean_degC.tolist()
    [5.5]
    """
    rows = _rows(text, file)
    header = _Header.of(next(rows, (0, []))[1], file, columns)
    days: list[date] = []
    lines: list[int] = []
    cells: list[list[float]] = []
    for line, row in rows:
        day = header.day(line, row)
        if days and day <= days[-1]:
            raise _out_of_order(file, line, day, days[-1])
        days.append(day)
        lines.append(line)
        cells.append(header.values(line, row))
    if not days:
        raise FileFormatError(_("there is no row below the header. Give at least one day."), where=file)
    _check_span(days, lines, file)
    return _series(header, days, lines, cells, station=station or file, invented=invented)


def _rows(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    text = text.removeprefix("\ufeff")
    if "\x00" in text:
        raise FileFormatError(_("this is no text file. Export the weather as CSV in UTF-8."), where=file)
    head = text.lstrip("\r\n").split("\n", 1)[0]
    delimiter = max(",;\t", key=head.count)
    reader = csv.reader(text.splitlines(), delimiter=delimiter)
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                yield reader.line_num, [cell.strip() for cell in row]
    except csv.Error as wrong:
        raise FileFormatError(
            _("the row does not read as CSV: {wrong}. Export the file again.").format(wrong=wrong),
            where=_where(file, reader.line_num),
        ) from None


def _where(file: str, line: int, column: str = "") -> str:
    place = _("{file}, row {row}").format(file=file, row=line)
    return _("{place}, column {column}").format(place=place, column=column) if column else place


@dataclass(frozen=True)
class _Header:
    """Where each of our columns stands in the file."""

    file: str
    width: int
    theirs: dict[str, str]
    places: dict[str, int]

    @classmethod
    def of(cls, names: list[str], file: str, columns: Mapping[str, str] | None) -> _Header:
        if not names:
            raise FileFormatError(
                _("the file is empty. Give a header and one row a day, such as date,tmin_degC,tmax_degC."),
                where=file,
            )
        mapping = dict(columns) if columns else {name: name for name in COLUMNS if name in names}
        mapping.setdefault(DATE, DATE)
        for ours, theirs in mapping.items():
            if ours not in COLUMNS:
                raise unknown_name(_("weather column"), ours, COLUMNS)
            if names.count(theirs) != 1:
                raise _column_error(file, theirs, names)
        if len(mapping) < 2:
            raise MissingFieldError(
                _(
                    "no column is known; the file has {found}. "
                    "Say which is which with a mapping, such as {example}."
                ).format(found=", ".join(names), example=_EXAMPLE),
                where=file,
            )
        return cls(file, len(names), mapping, {ours: names.index(t) for ours, t in mapping.items()})

    def cell(self, line: int, row: list[str], ours: str) -> str:
        if len(row) != self.width:
            raise FileFormatError(
                _(
                    "the row has {n} cells where the header has {width}. "
                    "Mend the row or export the file again."
                ).format(n=len(row), width=self.width),
                where=_where(self.file, line),
            )
        return row[self.places[ours]]

    def day(self, line: int, row: list[str]) -> date:
        text = self.cell(line, row, DATE)
        match = _DATE_FORM.match(text[:10])
        try:
            if match is None:
                raise ValueError(text)
            return date(*(int(part) for part in match.groups()))
        except ValueError:
            raise DateError(
                _('"{text}" is no day of the calendar. Write YYYY-MM-DD, such as 2027-03-14.').format(
                    text=text
                ),
                where=_where(self.file, line, self.theirs[DATE]),
            ) from None

    def values(self, line: int, row: list[str]) -> list[float]:
        return [self.number(line, row, name) for name in MEASURES if name in self.places]

    def number(self, line: int, row: list[str], ours: str) -> float:
        text = self.cell(line, row, ours)
        if text.casefold() in NOT_MEASURED:
            return math.nan
        if not _NUMBER_FORM.match(text):
            raise FileFormatError(
                _('"{text}" is no number. Leave the cell empty where nothing was measured.').format(
                    text=text
                ),
                where=_where(self.file, line, self.theirs[ours]),
            )
        return float(text.replace(",", "."))


def _column_error(file: str, theirs: str, names: list[str]) -> InputError:
    found = ", ".join(names)
    if theirs in names:
        return FileFormatError(
            _('column "{name}" stands twice in the header: {found}. Rename one.').format(
                name=theirs, found=found
            ),
            where=file,
        )
    return MissingFieldError(
        _('there is no column "{name}"; the file has {found}. Name the right one, such as {example}.').format(
            name=theirs, found=found, example=_EXAMPLE
        ),
        where=file,
    )


def _out_of_order(file: str, line: int, day: date, before: date) -> DateError:
    if day == before:
        text = _("{day} stands there twice. Keep one row a day.").format(day=day)
    else:
        text = _("{day} comes after {before}. Sort the rows by date.").format(day=day, before=before)
    return DateError(text, where=_where(file, line))


def _check_span(days: list[date], lines: list[int], file: str) -> None:
    if (days[-1] - days[0]).days > LONGEST_SERIES_DAYS:
        raise RangeError(
            _("the rows run from {first} to {last}; accepted: at most {most} days. Check the years.").format(
                first=days[0], last=days[-1], most=LONGEST_SERIES_DAYS
            ),
            where=_where(file, lines[-1]),
        )


def _series(
    header: _Header,
    days: list[date],
    lines: list[int],
    cells: list[list[float]],
    *,
    station: str,
    invented: bool,
) -> WeatherSeries:
    places = np.array([(day - days[0]).days for day in days])
    table = np.array(cells, dtype=np.float64)
    names = [name for name in MEASURES if name in header.places]
    values: dict[str, FloatArray] = {}
    for k, name in enumerate(names):
        values[name] = np.full(int(places[-1]) + 1, np.nan)
        values[name][places] = table[:, k]
    fault = first_fault(values)
    if fault is not None:
        k = int(np.flatnonzero(places == fault.place)[0])
        raise RangeError(
            _("on {day} {text}").format(day=days[k], text=fault.text),
            where=_where(header.file, lines[k], header.theirs[fault.column]),
        )
    return series_of(days[0], values, station=station, source=header.file, invented=invented)
