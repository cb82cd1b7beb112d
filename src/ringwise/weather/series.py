"""A daily weather series of one station: checked by date, gaps of at most three days filled and marked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date, timedelta

import numpy as np

from ringwise.kit.errors import MissingFieldError, RangeError, unknown_name
from ringwise.kit.types import BoolArray, FloatArray
from ringwise.kit.words import _

# Widest values that can be weather: a little beyond the records of the surface network, so that a
# wrong unit or a missing-value mark (-9999, 999.9) is caught and no true day is.
PLAUSIBLE: dict[str, tuple[float, float, str]] = {
    "tmin_degC": (-90.0, 60.0, "degC"),
    "tmax_degC": (-90.0, 60.0, "degC"),
    "tmean_degC": (-90.0, 60.0, "degC"),
    "rh_min_pct": (0.0, 100.0, "%"),
    "rh_max_pct": (0.0, 100.0, "%"),
    "rain_mm": (0.0, 2000.0, "mm"),
    "wind_2m_m_s": (0.0, 90.0, "m/s"),
    "radiation_mj_m2": (0.0, 50.0, "MJ/m2"),
    "sunshine_h": (0.0, 24.0, "h"),
}
MEASURES = tuple(PLAUSIBLE)
LONGEST_FILL_DAYS = 3  # longer gaps stay open: a line across a week of weather invents a week
LARGEST_JUMP_DEGC = 25.0  # from one day to the next; beyond it a digit or a unit is wrong
ORDERED_PAIRS = (("tmin_degC", "tmax_degC"), ("rh_min_pct", "rh_max_pct"))
_NEVER_FILLED = frozenset({"rain_mm"})  # rain between two days is not the mean of their rain


@dataclass(frozen=True)
class Lent:
    """Which days another station lent, shifted, and whether past stages may be held against them."""

    days: BoolArray
    station: str
    teaches: bool


@dataclass(frozen=True)
class WeatherSeries:
    """One value a day without a missing date; NaN where nothing was measured; `filled` marks bridged days.

    `lent` is None where every day is the station's own. `bridged` tells the bridged days by measure.
    """

    station: str
    first: date
    tmin_degC: FloatArray
    tmax_degC: FloatArray
    tmean_degC: FloatArray
    rain_mm: FloatArray
    rh_min_pct: FloatArray
    rh_max_pct: FloatArray
    wind_2m_m_s: FloatArray
    radiation_mj_m2: FloatArray
    sunshine_h: FloatArray
    filled: BoolArray
    source: str = ""
    invented: bool = False
    lent: Lent | None = None
    bridged: Mapping[str, BoolArray] = field(default_factory=dict, repr=False, compare=False)

    @property
    def n(self) -> int:
        """How many days."""
        return int(self.tmean_degC.size)

    @property
    def last(self) -> date:
        """The last day."""
        return self.first + timedelta(days=self.n - 1)

    @property
    def lent_days(self) -> BoolArray:
        """Which days were not measured here but lent by another station."""
        return np.zeros(self.n, dtype=np.bool_) if self.lent is None else self.lent.days

    def position(self, when: date) -> int:
        """Where a day stands in the arrays; an error outside the series."""
        place = (when - self.first).days
        if not 0 <= place < self.n:
            raise MissingFieldError(
                _(
                    "the weather of {station} runs from {first} to {last}, without {day}. "
                    "Import weather for it."
                ).format(station=self.station, first=self.first, last=self.last, day=when)
            )
        return place

    def day(self, when: date) -> dict[str, float | None]:
        """What was measured on a day, by column name; None where nothing was."""
        place = self.position(when)
        values = {name: float(self.column(name)[place]) for name in MEASURES}
        return {name: None if np.isnan(value) else value for name, value in values.items()}

    def column(self, name: str) -> FloatArray:
        """The values of a measure by its column name."""
        if name not in PLAUSIBLE:
            raise unknown_name(_("weather column"), name, MEASURES)
        values: FloatArray = getattr(self, name)
        return values

    def cut(self, first: date, last: date) -> WeatherSeries:
        """The days from first to last, both included, as far as the series has them."""
        begin = max(first, self.first)
        end = min(last, self.last)
        if end < begin:
            self.position(first if first < self.first else last)
        low, high = self.position(begin), self.position(end) + 1
        arrays = {f.name: getattr(self, f.name)[low:high] for f in fields(self) if f.name in _ARRAYS}
        lent = None if self.lent is None else replace(self.lent, days=self.lent.days[low:high])
        bridged = {name: marks[low:high] for name, marks in self.bridged.items()}
        return replace(self, first=begin, lent=lent, bridged=bridged, **arrays)

    def was_bridged(self, name: str) -> BoolArray:
        """On which days the values of a measure were bridged; where it is not known by measure, of any."""
        return self.bridged.get(name, self.filled)


_ARRAYS = frozenset((*MEASURES, "filled"))


def series_of(
    first: date,
    columns: Mapping[str, FloatArray],
    *,
    station: str = "",
    source: str = "",
    invented: bool = False,
) -> WeatherSeries:
    """A checked series from columns of equal length, short gaps filled and missing means derived.

    Parameters
    ----------
    first : date
        The day of the first value.
    columns : mapping of str to (n,) float
        Values by column name, in the unit of the name, NaN where missing; absent columns become NaN.
    station, source : str
        Where the weather was measured; where the file came from.
    invented : bool
        Whether it was made up for a demonstration.

    Returns
    -------
    WeatherSeries
        A missing daily mean is (tmin + tmax) / 2; gaps of at most `LONGEST_FILL_DAYS` are bridged
        by a straight line and marked in `filled`; rain is never bridged.

    Raises
    ------
    RangeError
        If a value cannot be weather, a low exceeds its high, or a day jumps; the day is named.
    MissingFieldError
        If there is no day at all.

    Source
    ------
    own reasoning (checks and filling).

    Examples
    --------
    >>> short = series_of(date(2013, 3, 1), {"tmin_degC": np.array([2.0, np.nan, 4.0]),
    ...                                      "tmax_degC": np.array([8.0, np.nan, 12.0])})
    >>> short.tmean_degC.tolist(), short.filled.tolist()
    ([5.0, 6.5, 8.0], [False, True, False])
    """
    for name in columns:
        if name not in PLAUSIBLE:
            raise unknown_name(_("weather column"), name, MEASURES)
    days = max((int(np.size(values)) for values in columns.values()), default=0)
    if days == 0:
        raise MissingFieldError(_("there is no day of weather. Give a file with at least one row of values."))
    values = {name: np.full(days, np.nan) for name in MEASURES}
    values.update({name: np.asarray(column, dtype=np.float64).copy() for name, column in columns.items()})
    fault = first_fault(values)
    if fault is not None:
        raise RangeError(fault.text, where=str(first + timedelta(days=fault.place)))
    return _completed(first, values, WeatherNames(station, source, invented))


@dataclass(frozen=True)
class WeatherNames:
    """What a series is called and whether it is made up."""

    station: str
    source: str
    invented: bool


def _completed(first: date, values: dict[str, FloatArray], names: WeatherNames) -> WeatherSeries:
    made = {name: np.zeros(column.size, dtype=np.bool_) for name, column in values.items()}
    for name in MEASURES:
        if name in _NEVER_FILLED or name == "tmean_degC":
            continue
        values[name], made[name] = bridge(values[name])
    _open_faults(values, made)
    half = (values["tmin_degC"] + values["tmax_degC"]) / 2.0
    derived = np.isnan(values["tmean_degC"]) & ~np.isnan(half)
    values["tmean_degC"], bridged = bridge(np.where(derived, half, values["tmean_degC"]))
    _open_faults(values, made | {"tmean_degC": derived | bridged})
    half_made = derived & (made["tmin_degC"] | made["tmax_degC"])
    made["tmean_degC"] = (bridged | half_made) & ~np.isnan(values["tmean_degC"])
    return WeatherSeries(
        station=names.station,
        first=first,
        filled=np.logical_or.reduce(list(made.values())),
        source=names.source,
        invented=names.invented,
        lent=None,
        bridged=made,
        **values,
    )


def _open_faults(values: dict[str, FloatArray], made: Mapping[str, BoolArray]) -> None:
    """Leave open what was made where it contradicts what was measured: a bridged low above a true high."""
    opened = True
    while opened and (fault := first_fault(values)) is not None:
        opened = False
        together = next((pair for pair in ORDERED_PAIRS if fault.column in pair), (fault.column,))
        for name in together:
            for place in (fault.place, max(fault.place - 1, 0)):
                if made[name][place]:
                    values[name][place] = np.nan
                    made[name][place] = False
                    opened = True


def bridge(values: FloatArray, *, longest_days: float = LONGEST_FILL_DAYS) -> tuple[FloatArray, BoolArray]:
    """Short gaps bridged by a straight line between the days before and after.

    Parameters
    ----------
    values : (n,) float
        Daily values, NaN where missing.
    longest_days : float
        The longest gap to bridge; a gap at either end of the series stays open.

    Returns
    -------
    values, bridged : (n,) float, (n,) bool
        New values and which of them were bridged.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> bridge(np.array([1.0, np.nan, 3.0]))[0].tolist()
    [1.0, 2.0, 3.0]
    """
    known = ~np.isnan(values)
    bridged = np.zeros(values.size, dtype=np.bool_)
    places = np.flatnonzero(known)
    if places.size < 2:
        return values.copy(), bridged
    gaps = np.flatnonzero(np.diff(places) > 1)
    for gap in gaps:
        low, high = int(places[gap]), int(places[gap + 1])
        if high - low - 1 <= longest_days:
            bridged[low + 1 : high] = True
    return np.where(bridged, np.interp(np.arange(values.size), places, values[places]), values), bridged


@dataclass(frozen=True)
class Fault:
    """The first value that cannot be: its place in the series, its column, and the line to show."""

    place: int
    column: str
    text: str


def first_fault(values: Mapping[str, FloatArray]) -> Fault | None:
    """The earliest day that fails a check: plausible range, low above high, jump between two days.

    Parameters
    ----------
    values : mapping of str to (n,) float
        Daily values by column name.

    Returns
    -------
    Fault or None
        None where all is well.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> first_fault({"tmin_degC": np.array([9.0]), "tmax_degC": np.array([4.0])}).column
    'tmax_degC'
    """
    faults = [*_implausible(values), *_crossed(values), *_jumps(values)]
    return min(faults, key=lambda fault: fault.place, default=None)


def _implausible(values: Mapping[str, FloatArray]) -> list[Fault]:
    found = []
    for name, column in values.items():
        low, high, unit = PLAUSIBLE[name]
        wrong = np.flatnonzero((column < low) | (column > high) | np.isinf(column))
        if wrong.size:
            text = _(
                "{name} is {value:g}; accepted: {low:g} to {high:g} {unit}. "
                "Check the unit, or leave the cell empty where nothing was measured."
            ).format(name=name, value=float(column[wrong[0]]), low=low, high=high, unit=unit)
            found.append(Fault(int(wrong[0]), name, text))
    return found


def _crossed(values: Mapping[str, FloatArray]) -> list[Fault]:
    found = []
    for low_name, high_name in ORDERED_PAIRS:
        if low_name not in values or high_name not in values:
            continue
        low, high = values[low_name], values[high_name]
        wrong = np.flatnonzero(high < low)
        if wrong.size:
            text = _(
                "{high_name} {high:g} is below {low_name} {low:g}. "
                "Correct the row, or check that the two columns are not exchanged."
            ).format(
                high_name=high_name,
                low_name=low_name,
                high=float(high[wrong[0]]),
                low=float(low[wrong[0]]),
            )
            found.append(Fault(int(wrong[0]), high_name, text))
    return found


def _jumps(values: Mapping[str, FloatArray]) -> list[Fault]:
    found = []
    for name in ("tmin_degC", "tmax_degC", "tmean_degC"):
        if name not in values:
            continue
        steps = np.abs(np.diff(values[name]))
        wrong = np.flatnonzero(steps > LARGEST_JUMP_DEGC)
        if wrong.size:
            text = _(
                "{name} jumps by {step:.1f} degC from the day before; accepted: at most {most:g} degC. "
                "Correct the value or leave the cell empty."
            ).format(name=name, step=float(steps[wrong[0]]), most=LARGEST_JUMP_DEGC)
            found.append(Fault(int(wrong[0]) + 1, name, text))
    return found
