"""Cells of the tables of weather services: days, numbers, marks for missing, one station a file."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date

from ringwise.kit.errors import DateError, FileFormatError
from ringwise.kit.words import _
from ringwise.weather.formats.gather import EARLIEST_YEAR, LATEST_YEAR
from ringwise.weather.rows import place_in

_DAY = re.compile(r"^(\d{4})(-?)(\d{2})\2(\d{2})$", re.ASCII)
_NUMBER = re.compile(r"^[-+]?(\d+[.]?\d*|[.]\d+)$", re.ASCII)


def day_of(text: str, *, file: str, line: int, column: str) -> date:
    """The day that a cell names.

    Parameters
    ----------
    text : str
        "2024-03-01" or "20240301".
    file, line, column : str, int, str
        Where it stands.

    Returns
    -------
    date
        The day.

    Raises
    ------
    DateError
        If it names none, or one that no weather service has.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> day_of("20240301", file="a.csv", line=2, column="DATE")
    datetime.date(2024, 3, 1)
    """
    match = _DAY.match(text.strip())
    try:
        if match is None or not EARLIEST_YEAR <= int(match[1]) <= LATEST_YEAR:
            raise ValueError(text)
        return date(int(match[1]), int(match[3]), int(match[4]))
    except ValueError:
        raise DateError(
            _('"{text}" is no day between {first} and {last}. Download the file again.').format(
                text=text[:40], first=EARLIEST_YEAR, last=LATEST_YEAR
            ),
            where=place_in(file, line, column),
        ) from None


def number_of(text: str, missing: Collection[float], *, file: str, line: int, column: str) -> float:
    """The number in a cell; NaN where it is blank or a mark for missing.

    Parameters
    ----------
    text : str
        The cell.
    missing : collection of float
        Marks for missing, such as -9999.
    file, line, column : str, int, str
        Where it stands.

    Returns
    -------
    float
        In the unit of the file.

    Raises
    ------
    FileFormatError
        If it is no number.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> number_of(" 9999.9", {9999.9}, file="a.csv", line=2, column="TEMP")
    nan
    """
    bare = text.strip()
    if not bare:
        return math.nan
    if not _NUMBER.match(bare):
        raise FileFormatError(
            _('"{text}" is no number. Download the file again, or cut out the row.').format(text=bare[:40]),
            where=place_in(file, line, column),
        )
    value = float(bare)
    return math.nan if value in missing else value


@dataclass
class Layout:
    """Where the columns of a table stand, by their name in capitals; one station a file."""

    file: str
    names: Sequence[str]
    station: str = ""

    def __post_init__(self) -> None:
        self.names = [name.strip().upper() for name in self.names]
        for name in self.names:
            if self.names.count(name) > 1 and name:
                raise FileFormatError(
                    _('column "{name}" stands twice in the header. Download the file again.').format(
                        name=name[:40]
                    ),
                    where=place_in(self.file, 1),
                )

    def check(self, line: int, row: Sequence[str]) -> None:
        """Refuse a row that is shorter or longer than the header."""
        if len(row) != len(self.names):
            raise FileFormatError(
                _(
                    "the row has {n} cells where the header has {width}. "
                    "Mend the row or download the file again."
                ).format(n=len(row), width=len(self.names)),
                where=place_in(self.file, line),
            )

    def cell(self, row: Sequence[str], name: str) -> str:
        """The cell of a column; blank where the file has no such column."""
        return row[self.names.index(name)].strip() if name in self.names else ""

    def same_station(self, line: int, station: str) -> None:
        """Refuse a second station: its days would be mixed up with the first one's."""
        self.station = self.station or station
        if station != self.station:
            raise FileFormatError(
                _('holds station "{other}" beside "{first}". Cut the file to one station.').format(
                    other=station[:40], first=self.station[:40]
                ),
                where=place_in(self.file, line),
            )

    def day(self, row: Sequence[str], name: str, line: int) -> date:
        """The day that a row is about."""
        return day_of(self.cell(row, name), file=self.file, line=line, column=name)

    def number(self, row: Sequence[str], name: str, line: int, missing: Collection[float]) -> float:
        """The number in a column; NaN where nothing was measured."""
        return number_of(self.cell(row, name), missing, file=self.file, line=line, column=name)
