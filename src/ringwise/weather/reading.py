"""Weather from CSV text: our own header as it is, any other by a column mapping; nothing is half-read."""

from __future__ import annotations

import re
from collections.abc import Mapping
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
from ringwise.weather.declared import Declared, declared
from ringwise.weather.rows import place_in, rows_of_text
from ringwise.weather.series import MEASURES, WeatherSeries, first_fault, series_of

DATE = "date"
COLUMNS = (DATE, *MEASURES)
LONGEST_SERIES_DAYS = 150_000  # some 400 years: longer means a mistyped year
_BETWEEN_PAIRS = re.compile(r"(?<!\\),")
_EXAMPLE = "date=date,tmin_degC=temp_min,tmax_degC=temp_max"


@dataclass(frozen=True)
class ReadTable:
    """A series read from a table, with what each column was and how many days it gave."""

    series: WeatherSeries
    declared: dict[str, Declared]
    counts: dict[str, int]


def parse_columns(text: str) -> dict[str, str]:
    """The mapping from our column names to those of a file.

    Parameters
    ----------
    text : str
        Pairs "ours=theirs" joined by commas; theirs may add unit and mark for missing, see
        `declared`. A comma that belongs to a name is written with a backslash before it.

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
    >>> parse_columns(r"date=day,rain_mm=rain\\, mm")
    {'date': 'day', 'rain_mm': 'rain, mm'}
    """
    mapping: dict[str, str] = {}
    for part in (piece.replace("\\,", ",").strip() for piece in _BETWEEN_PAIRS.split(text)):
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
    return read_table(text, file=file, columns=columns, station=station, invented=invented).series


def read_table(
    text: str,
    *,
    file: str,
    columns: Mapping[str, str] | None = None,
    station: str = "",
    invented: bool = False,
) -> ReadTable:
    """As `read_csv`, with what each column of the file was.

    Parameters
    ----------
    text, file : str
        The file's text and name.
    columns : mapping of str to str, optional
        The file's column names by ours, each with unit and mark for missing where they are not ours.
    station : str
        The station's name; by default the file's.
    invented : bool
        Whether the weather was made up.

    Returns
    -------
    ReadTable
        The series and its columns.

    Raises
    ------
    InputError
        As `read_csv`.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> read_table("day,low\\n2013-03-01,50\\n", file="a.csv",
    ...            columns={"date": "day", "tmin_degC": "low:degF"}).series.tmin_degC.tolist()
    [10.0]
    """
    rows = rows_of_text(text, file)
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
    series = _series(header, days, lines, cells, station=station or file, invented=invented)
    names = [name for name in MEASURES if name in header.theirs]
    given = np.count_nonzero(~np.isnan(np.array(cells, dtype=np.float64)), axis=0)
    return ReadTable(series, header.theirs, dict(zip(names, given.tolist(), strict=True)))


@dataclass(frozen=True)
class _Header:
    """Where each of our columns stands in the file."""

    file: str
    width: int
    theirs: dict[str, Declared]
    places: dict[str, int]

    @classmethod
    def of(cls, names: list[str], file: str, columns: Mapping[str, str] | None) -> _Header:
        if not names:
            raise FileFormatError(
                _("the file is empty. Give a header and one row a day, such as date,tmin_degC,tmax_degC."),
                where=file,
            )
        wanted = dict(columns) if columns else {name: name for name in COLUMNS if name in names}
        wanted.setdefault(DATE, DATE)
        mapping: dict[str, Declared] = {}
        for ours, text in wanted.items():
            if ours not in COLUMNS:
                raise unknown_name(_("weather column"), ours, COLUMNS)
            mapping[ours] = declared(ours, text, names)
            if names.count(mapping[ours].column) != 1:
                raise _column_error(file, mapping[ours].column, names)
        if len(mapping) < 2:
            raise MissingFieldError(
                _(
                    "no column is known; the file has {found}. "
                    "Say which is which with a mapping, such as {example}."
                ).format(found=", ".join(names), example=_EXAMPLE),
                where=file,
            )
        return cls(file, len(names), mapping, {ours: names.index(t.column) for ours, t in mapping.items()})

    def cell(self, line: int, row: list[str], ours: str) -> str:
        if len(row) != self.width:
            raise FileFormatError(
                _(
                    "the row has {n} cells where the header has {width}. "
                    "Mend the row or export the file again."
                ).format(n=len(row), width=self.width),
                where=place_in(self.file, line),
            )
        return row[self.places[ours]]

    def day(self, line: int, row: list[str]) -> date:
        text = self.cell(line, row, DATE)
        try:
            return self.theirs[DATE].day(text)
        except ValueError:
            raise DateError(
                _('"{text}" is no day of the calendar. Write YYYY-MM-DD, such as 2027-03-14.').format(
                    text=text
                ),
                where=place_in(self.file, line, self.theirs[DATE].column),
            ) from None

    def values(self, line: int, row: list[str]) -> list[float]:
        return [self.number(line, row, name) for name in MEASURES if name in self.places]

    def number(self, line: int, row: list[str], ours: str) -> float:
        text = self.cell(line, row, ours)
        try:
            return self.theirs[ours].number(text, ours)
        except ValueError:
            raise FileFormatError(
                _('"{text}" is no number. Leave the cell empty where nothing was measured.').format(
                    text=text
                ),
                where=place_in(self.file, line, self.theirs[ours].column),
            ) from None


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
    return DateError(text, where=place_in(file, line))


def _check_span(days: list[date], lines: list[int], file: str) -> None:
    if (days[-1] - days[0]).days > LONGEST_SERIES_DAYS:
        raise RangeError(
            _("the rows run from {first} to {last}; accepted: at most {most} days. Check the years.").format(
                first=days[0], last=days[-1], most=LONGEST_SERIES_DAYS
            ),
            where=place_in(file, lines[-1]),
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
            where=place_in(header.file, lines[k], header.theirs[fault.column].column),
        )
    return series_of(days[0], values, station=station, source=header.file, invented=invented)
