"""GHCN-Daily as published in bulk: the fixed-width `.dly` form and the by-station CSV; all in tenths.

A value whose quality flag is not blank is left out. A trace of rain counts as none. A maximum that was read
in the morning belongs to the afternoon before, so it moves to the previous day.
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from ringwise.kit.errors import DateError, FileFormatError
from ringwise.kit.words import _, counted
from ringwise.weather.file_units import WIND, judged
from ringwise.weather.formats.cells import Layout, day_of, number_of
from ringwise.weather.formats.found import WeatherRead, Wish
from ringwise.weather.formats.gather import EARLIEST_YEAR, LATEST_YEAR, Gather
from ringwise.weather.rows import place_in, rows_of_text

DLY, BY_STATION = "ghcn_dly", "ghcn_by_station"
MISSING = frozenset({-9999.0})
ELEMENTS = {
    "TMAX": ("tmax_degC", "tenths_degC"),
    "TMIN": ("tmin_degC", "tenths_degC"),
    "TAVG": ("tmean_degC", "tenths_degC"),
    "PRCP": ("rain_mm", "tenths_mm"),
    "AWND": (WIND, "tenths_m/s"),
    "TSUN": ("sunshine_h", "min"),
    "RHMN": ("rh_min_pct", "%"),
    "RHMX": ("rh_max_pct", "%"),
}
GUSTS = ("WSF", "WSFG", "WSF1", "WSF2", "WSF5", "WSFI", "WSFM")
NOON = 1200  # hour and minute as one number, as the files write it
DLY_LINE = re.compile(r"^[A-Z]{2}[A-Z0-9_\-.]{9}\d{6}[A-Z]{2}[A-Z0-9]{2}[ \-0-9]{5}", re.ASCII)
_MONTHS = 12
_DAYS_A_LINE, _FIELD, _HEAD = 31, 8, 21  # so many fields a line, their width, and where the first one starts
_TIME = re.compile(r"^([01]\d|2[0-3])[0-5]\d$|^2400$", re.ASCII)


@dataclass(frozen=True)
class ElementDay:
    """One element on one day as the file has it, flags and time of reading beside it."""

    line: int
    day: date
    element: str
    text: str
    measured: str = ""
    quality: str = ""
    time: str = ""


class ElementDays:
    """Takes element-days into a gathering by the rules of this network."""

    def __init__(self, gather: Gather) -> None:
        self.gather = gather
        self.unused: dict[str, None] = {}
        self.traces = 0
        self.timed = False
        self._morning: list[tuple[ElementDay, float]] = []
        self._seen: set[tuple[date, str]] = set()

    def take(self, one: ElementDay, units: dict[str, tuple[str, str]]) -> None:
        """One value: left out where flagged, a trace as none, a morning's maximum kept for the end."""
        if one.element not in units:
            self.unused[one.element] = None
            return
        ours, unit = units[one.element]
        value = number_of(one.text, MISSING, file=self.gather.wish.file, line=one.line, column=one.element)
        if value != value:
            return
        self._once(one)
        height_m = judged("anemometer_height") if ours == WIND else None
        self.gather.column(ours, one.element, unit, height_m=height_m)
        if one.quality:
            self._reject(one, _("quality flag {flag}").format(flag=one.quality))
        elif one.measured == "P":
            self._reject(one, _("measurement flag P: missing, presumed zero"))
        elif one.element == "TMAX" and self._is_morning(one):
            self._morning.append((one, value))
        else:
            trace = one.measured == "T"
            self.traces += trace
            self.gather.put(one.day, ours, 0.0 if trace else value, line=one.line)

    def close(self) -> None:
        """Put the morning's maxima on the day before, and say what was done."""
        for one, value in self._morning:
            before = one.day - timedelta(days=1)
            if self.gather.has("tmax_degC", before):
                self._reject(one, _("read in the morning, but the day before has a maximum of its own"))
            else:
                self.gather.put(before, "tmax_degC", value, line=one.line)
        if self._morning:
            self.gather.note(
                counted(
                    "{n} maximum was read in the morning and moved to the day before; "
                    "rain stays on the day of reading.",
                    "{n} maxima were read in the morning and moved to the day before; "
                    "rain stays on the day of reading.",
                    len(self._morning),
                )
            )
        if self.traces:
            self.gather.note(
                counted("{n} trace of rain counts as 0 mm.", "{n} traces of rain count as 0 mm.", self.traces)
            )
        self.gather.left_out(self.unused)

    def _once(self, one: ElementDay) -> None:
        if (one.day, one.element) in self._seen:
            raise DateError(
                _("{day} stands there twice. Keep one row a day.").format(day=one.day),
                where=place_in(self.gather.wish.file, one.line, one.element),
            )
        self._seen.add((one.day, one.element))

    def _is_morning(self, one: ElementDay) -> bool:
        if not one.time:
            return False
        if not _TIME.match(one.time):
            raise FileFormatError(
                _('"{text}" is no time of reading. Accepted: 0000 to 2400, or blank.').format(
                    text=one.time[:40]
                ),
                where=place_in(self.gather.wish.file, one.line, "OBS-TIME"),
            )
        self.timed = True
        return int(one.time) < NOON

    def _reject(self, one: ElementDay, reason: str) -> None:
        self.gather.reject(one.day, one.element, one.text.strip(), reason)


def read_dly(text: str, wish: Wish) -> WeatherRead:
    """A file in the fixed-width form, one month of one element a line.

    Parameters
    ----------
    text : str
        The file's text.
    wish : Wish
        Its name and what else is known.

    Returns
    -------
    WeatherRead
        The series and what was rejected.

    Source
    ------
    own reasoning; the layout of the network's readme, recalled: station 1-11, year 12-15, month 16-17,
    element 18-21, then 31 times value (5), measurement, quality and source flag.

    Examples
    --------
    >>> line = "XX000000001202403TMAX" + "  100  S" + "-9999   " * 30
    >>> read_dly(line, Wish("a.dly")).series.tmax_degC.tolist()
    [10.0]
    """
    gather = Gather(wish, DLY)
    days = ElementDays(gather)
    layout = Layout(wish.file, [])
    for line, row in enumerate(text.splitlines(), 1):
        if row.strip():
            month = list(_month(line, row, wish.file))
            layout.same_station(line, row[:11])
            for one in month:
                days.take(one, ELEMENTS)
    days.close()
    gather.note(
        _(
            "This form has no times of reading: maxima read in the morning stand a day late. "
            "The by-station CSV of the same station has the times."
        )
    )
    return gather.read(station=layout.station)


def _month(line: int, row: str, file: str) -> Iterator[ElementDay]:
    if not DLY_LINE.match(row) or len(row) > _HEAD + _DAYS_A_LINE * _FIELD:
        raise FileFormatError(
            _("is no line of this form (station, year, month, element, 31 values). Download the file again."),
            where=place_in(file, line),
        )
    year, month, element = int(row[11:15]), int(row[15:17]), row[17:21]
    if not (EARLIEST_YEAR <= year <= LATEST_YEAR and 1 <= month <= _MONTHS):
        raise DateError(
            _('"{text}" is no month between {first} and {last}. Download the file again.').format(
                text=row[11:17], first=EARLIEST_YEAR, last=LATEST_YEAR
            ),
            where=place_in(file, line),
        )
    length = calendar.monthrange(year, month)[1]
    for k in range(_DAYS_A_LINE):
        field = row[_HEAD + k * _FIELD : _HEAD + (k + 1) * _FIELD].ljust(_FIELD)
        value = field[:5].strip()
        if k >= length:
            if value not in {"", "-9999"}:
                raise DateError(
                    _(
                        "has a value on day {day} of a month of {length} days. Download the file again."
                    ).format(day=k + 1, length=length),
                    where=place_in(file, line, element),
                )
        else:
            yield ElementDay(
                line, date(year, month, k + 1), element, value, field[5].strip(), field[6].strip()
            )


def read_by_station(text: str, wish: Wish) -> WeatherRead:
    """A by-station CSV, one element of one day a row, with or without a header.

    Parameters
    ----------
    text : str
        The file's text.
    wish : Wish
        Its name and what else is known.

    Returns
    -------
    WeatherRead
        The series and what was rejected.

    Raises
    ------
    FileFormatError
        If a row has another number of cells.

    Source
    ------
    own reasoning; the order of the fields and the time of reading as in the network's readme-by_station.txt.

    Examples
    --------
    >>> rows = "XX000000001,20240301,TMAX,100,,,S,0700\\nXX000000001,20240301,TMIN,20,,,S,0700\\n"
    >>> read_by_station(rows, Wish("a.csv")).series.first
    datetime.date(2024, 2, 29)
    """
    gather = Gather(wish, BY_STATION)
    days = ElementDays(gather)
    layout = Layout(wish.file, [])
    for one, station in _element_days(rows_of_text(text, wish.file), wish.file):
        layout.same_station(one.line, station)
        days.take(one, ELEMENTS)
    days.close()
    if not days.timed:
        gather.note(
            _("No times of reading are given: maxima read in the morning would stand a day late, unseen.")
        )
    return gather.read(station=layout.station)


def _element_days(rows: Iterable[tuple[int, list[str]]], file: str) -> Iterator[tuple[ElementDay, str]]:
    for n, (line, row) in enumerate(rows):
        if n == 0 and row[0].upper() in {"ID", "STATION"}:
            continue
        if not 4 <= len(row) <= 8:
            raise FileFormatError(
                _(
                    "the row has {n} cells; accepted: 8 (station, day, element, value, three flags, time). "
                    "Mend the row or download the file again."
                ).format(n=len(row)),
                where=place_in(file, line),
            )
        station, day, element, value, measured, quality, _source, time = [*row, "", "", "", ""][:8]
        yield (
            ElementDay(
                line,
                day_of(day, file=file, line=line, column="DATE"),
                element,
                value,
                measured,
                quality,
                time,
            ),
            station,
        )
