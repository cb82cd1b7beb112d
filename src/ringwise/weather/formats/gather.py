"""The days of a file as they are read: column by column, with what was left out, until they are a series."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np

from ringwise.kit.errors import DateError, MissingFieldError, RangeError
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.weather.file_units import converter
from ringwise.weather.formats.found import Rejected, Understood, WeatherRead, Wish
from ringwise.weather.formats.quality import sift, wrong_unit
from ringwise.weather.humidity import saturation_kPa
from ringwise.weather.reading import LONGEST_SERIES_DAYS
from ringwise.weather.rows import place_in
from ringwise.weather.series import MEASURES, series_of

EARLIEST_YEAR, LATEST_YEAR = 1600, 2200  # no thermometer before, no plan after
_NAMED = 6  # so many columns that were left out are named


@dataclass
class _Column:
    theirs: str
    unit: str
    convert: Callable[[float], float]
    values: dict[date, float] = field(default_factory=dict)
    texts: dict[date, str] = field(default_factory=dict)


class Gather:
    """Collects the values of one file; `read` checks them and makes the answer."""

    def __init__(self, wish: Wish, name: str) -> None:
        self.wish = wish
        self.name = name
        self.rejected: list[Rejected] = []
        self.notes: list[str] = []
        self._columns: dict[str, _Column] = {}
        self._days: set[date] = set()
        self._vapour_kPa: dict[date, float] = {}

    def column(self, ours: str, theirs: str, unit: str, *, height_m: float | None = None) -> None:
        """Say which column of the file is one of ours, and its unit there; the first to say so holds."""
        if ours not in self._columns:
            self._columns[ours] = _Column(theirs, unit, converter(ours, unit, height_m=height_m))

    def vapour(self, day: date, vapour_kPa: float) -> None:
        """Vapour pressure of a day, from which its humidities follow; NaN where nothing was measured."""
        if not math.isnan(vapour_kPa):
            self._vapour_kPa[day] = vapour_kPa

    def has(self, ours: str, day: date) -> bool:
        """Whether a day has a value of one of our columns already."""
        return day in self._columns[ours].values

    def put(self, day: date, ours: str, value: float, *, line: int) -> None:
        """One value in the unit of the file; NaN where nothing was measured; a day comes once."""
        column = self._columns[ours]
        if day in column.values:
            raise DateError(
                _("{day} stands there twice. Keep one row a day.").format(day=day),
                where=place_in(self.wish.file, line, column.theirs),
            )
        column.values[day] = value if math.isnan(value) else column.convert(value)
        column.texts[day] = f"{value:g}"
        if not math.isnan(value):
            self._days.add(day)

    def reject(self, day: date, column: str, text: str, reason: str) -> None:
        """A value that was left out, and why."""
        self.rejected.append(Rejected(day, column, text, reason))

    def note(self, text: str) -> None:
        """A sentence that the reader must know; the same one is kept once."""
        if text not in self.notes:
            self.notes.append(text)

    def left_out(self, columns: Iterable[str]) -> None:
        """Columns of the file that nothing here uses."""
        names = list(dict.fromkeys(columns))
        if names:
            more = ", ..." if len(names) > _NAMED else ""
            self.note(_("Not used: {names}.").format(names=", ".join(names[:_NAMED]) + more))

    def read(self, *, forecast_from: date | None = None, station: str = "") -> WeatherRead:
        """The series with all that was understood and rejected."""
        file = self.wish.file
        if not self._days:
            raise MissingFieldError(
                _(
                    "holds no value that can be used ({columns}). "
                    "Choose a file with daily temperatures of one station."
                ).format(columns=", ".join(MEASURES[:3])),
                where=file,
            )
        first, last = min(self._days), max(self._days)
        if (last - first).days > LONGEST_SERIES_DAYS:
            raise RangeError(
                _(
                    "the rows run from {first} to {last}; accepted: at most {most} days. Check the years."
                ).format(first=first, last=last, most=LONGEST_SERIES_DAYS),
                where=file,
            )
        values = self._sifted(first, (last - first).days + 1)
        series = series_of(
            first,
            values,
            station=self.wish.station or station or file,
            source=file,
            invented=self.wish.invented,
        )
        return WeatherRead(
            series=series,
            format=self.name,
            understood=tuple(self._understood(values)),
            rejected=tuple(sorted(self.rejected, key=lambda each: (each.day, each.column))),
            forecast_from=forecast_from,
            notes=tuple(self.notes),
        )

    def _sifted(self, first: date, days: int) -> dict[str, FloatArray]:
        values = {ours: np.full(days, np.nan) for ours in self._columns}
        for ours, column in self._columns.items():
            for day, value in column.values.items():
                if 0 <= (place := (day - first).days) < days:  # beyond the ends nothing was measured
                    values[ours][place] = value
        kept, drops = sift(values)
        for ours, column in self._columns.items():
            if wrong_unit(values[ours], drops, ours):
                reason = next(drop.reason for drop in drops if drop.ours == ours)
                raise RangeError(
                    _(
                        "most values cannot be right in {unit} ({reason}). "
                        "Check the unit, or name it in a mapping, such as {ours}={theirs}:{unit}."
                    ).format(unit=column.unit, reason=reason, ours=ours, theirs=column.theirs),
                    where=_("{file}, column {column}").format(file=self.wish.file, column=column.theirs),
                )
        for drop in drops:
            day = first + timedelta(days=drop.place)
            column = self._columns[drop.ours]
            self.reject(day, column.theirs, f"{column.texts[day]} {column.unit}".strip(), drop.reason)
        return kept | self._humidities(first, kept)

    def _humidities(self, first: date, kept: dict[str, FloatArray]) -> dict[str, FloatArray]:
        """Relative humidities that give the vapour pressure back; only where the file has none itself."""
        if not self._vapour_kPa or not {"tmin_degC", "tmax_degC"} <= set(kept) or "rh_max_pct" in kept:
            return {}
        vapour_kPa = np.full(kept["tmin_degC"].size, np.nan)
        for day, value in self._vapour_kPa.items():
            if 0 <= (place := (day - first).days) < vapour_kPa.size:
                vapour_kPa[place] = value
        self.note(_("Humidity is derived from the moisture of the day, taken as the same all day long."))
        return {
            "rh_min_pct": np.minimum(vapour_kPa / saturation_kPa(kept["tmax_degC"]), 1.0) * 100.0,
            "rh_max_pct": np.minimum(vapour_kPa / saturation_kPa(kept["tmin_degC"]), 1.0) * 100.0,
        }

    def _understood(self, values: dict[str, FloatArray]) -> Iterable[Understood]:
        for ours in MEASURES:
            if ours in self._columns:
                column = self._columns[ours]
                given = int(np.count_nonzero(~np.isnan(values[ours])))
                yield Understood(column.theirs, ours, column.unit, given)
