"""Days of another station, shifted to the yard, where the yard's own years are few.

On days that both have, the difference (yard minus other) of each measure of temperature is a constant and one
wave a year. A lent day is the other station's day with that difference added: it keeps the other station's
ups and downs, and no noise is added to them. What the days in common leave open is told with the fit.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

import numpy as np

from ringwise.kit.errors import MissingFieldError, RangeError
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.types import BoolArray, FloatArray
from ringwise.kit.words import _, counted
from ringwise.weather.series import MEASURES, PLAUSIBLE, Lent, WeatherSeries

ROOM = "ringwise.weather"
TEMPERATURES = ("tmin_degC", "tmax_degC", "tmean_degC")
YEAR_DAYS = 365.2425  # mean length of the calendar's year
METRES_A_KM = 1000.0
_EPOCH = date(2001, 1, 1)  # where the wave of the year begins; any day would do
_WINTER_MONTHS, _SUMMER_MONTHS = frozenset({12, 1, 2}), frozenset({6, 7, 8})  # of the north
_ROUNDS = 3  # of weighing by what is left: it settles after the second
Kind = Literal["seasonal", "constant", "elevation"]


@dataclass(frozen=True)
class Shift:
    """What is added to one measure of the other station: a constant and one wave a year.

    `covariance_degC2` (3, 3) is that of the three terms; `left_sd_degC` is the spread of single days about
    the shift, NaN where nothing was fitted.
    """

    mean_degC: float
    cosine_degC: float
    sine_degC: float
    covariance_degC2: FloatArray
    left_sd_degC: float
    days: int

    def at(self, numbers: FloatArray) -> FloatArray:
        """The shift on days, counted from 1 January 2001, in degrees C."""
        shift: FloatArray = _terms(numbers) @ np.array([self.mean_degC, self.cosine_degC, self.sine_degC])
        return shift

    def sd_at(self, numbers: FloatArray) -> FloatArray:
        """How far the shift itself may be off on days, as a standard deviation in degrees C."""
        terms = _terms(numbers)
        sd: FloatArray = np.sqrt(np.einsum("ij,jk,ik->i", terms, self.covariance_degC2, terms))
        return sd


@dataclass(frozen=True)
class Borrowing:
    """How the yard differs from the other station, by measure, and what that rests on."""

    own: str
    other: str
    kind: Kind
    shifts: Mapping[str, Shift]
    days: int

    @property
    def left_sd_degC(self) -> float:
        """How far single days lie about the shift of the daily mean; NaN where nothing was fitted."""
        return self.shifts["tmean_degC"].left_sd_degC

    @property
    def uncertainty_degC(self) -> float:
        """How far the shift of the daily mean may be off in the season that is known least."""
        return float(self.shifts["tmean_degC"].sd_at(_YEAR).max())

    @property
    def teaches(self) -> bool:
        """Whether past stages may be held against lent days: an error here is one of every lent year."""
        return self.uncertainty_degC <= borrowed_rows()["teaches_degC"].number

    def season_degC(self, measure: str, *, winter: bool, south: bool = False) -> float:
        """The mean shift of a measure over the three months of winter or summer."""
        months = _WINTER_MONTHS if winter != south else _SUMMER_MONTHS
        chosen = np.array([(_EPOCH + timedelta(days=int(n))).month in months for n in _YEAR])
        return float(self.shifts[measure].at(_YEAR[chosen]).mean())


_YEAR: FloatArray = np.arange(365.0)


def borrowed_rows() -> Mapping[str, Parameter]:
    """The rows that borrowing stands on, by parameter.

    Returns
    -------
    mapping of str to Parameter
        Of `data/borrowed.csv`.

    Source
    ------
    The rows name their own.

    Examples
    --------
    >>> borrowed_rows()["least_days"].unit
    'days'
    """
    return load_table(ROOM, "borrowed").of("any")


def fit_borrowing(
    own: WeatherSeries | None, other: WeatherSeries, *, above_m: float | None = None
) -> Borrowing:
    """How the yard differs from another station, from the days in common, else from the elevations.

    Parameters
    ----------
    own : WeatherSeries or None
        The yard's days; None where it has none.
    other : WeatherSeries
        The station that lends.
    above_m : float, optional
        How far the yard lies above that station; only looked at where too few days are in common.

    Returns
    -------
    Borrowing
        Of kind "constant" below `seasonal_days` days in common, "elevation" below `least_days`.

    Raises
    ------
    MissingFieldError
        If there are too few days in common and the elevations are not told.

    Source
    ------
    own: least squares with normal priors. The two terms of the wave lean towards 0 and the constant towards
    the plain mean, as far as the rows of `data/borrowed.csv` say; both terms alike, so that no season is
    favoured and the hemispheres mirror each other.

    Examples
    --------
    >>> from ringwise.weather.series import series_of
    >>> roof = series_of(date(2020, 1, 1), {"tmean_degC": np.full(400, 8.0)}, station="roof")
    >>> town = series_of(date(2019, 1, 1), {"tmean_degC": np.full(765, 9.5)}, station="town")
    >>> fit = fit_borrowing(roof, town)
    >>> fit.kind, fit.days, round(fit.season_degC("tmean_degC", winter=True), 2)
    ('seasonal', 400, -1.5)
    """
    rows = borrowed_rows()
    apart = {} if own is None else _differences(own, other)
    days = len(apart.get("tmean_degC", ((), ()))[0])
    name = "" if own is None else own.station
    if days < rows["least_days"].number:
        if above_m is None:
            raise _too_few(name, other.station, days)
        lapse = {measure: _by_elevation(above_m) for measure in _measured(other)}
        return Borrowing(name, other.station, "elevation", lapse, days)
    wave = days >= rows["seasonal_days"].number
    shifts = {
        measure: _fitted(numbers, difference_degC, wave=wave)
        for measure, (numbers, difference_degC) in apart.items()
        if len(numbers) >= rows["least_days"].number
    }
    return Borrowing(name, other.station, "seasonal" if wave else "constant", shifts, days)


def borrowed_series(own: WeatherSeries | None, other: WeatherSeries, fit: Borrowing) -> WeatherSeries:
    """The yard's series with the other station's shifted days wherever the yard has no daily mean.

    Parameters
    ----------
    own : WeatherSeries or None
        The yard's days; None where it has none.
    other : WeatherSeries
        The station that lends.
    fit : Borrowing
        From `fit_borrowing`.

    Returns
    -------
    WeatherSeries
        Over the days of both; `lent` marks those of the other station. Temperatures are shifted; rain, wind
        and all else of such a day are taken as the other station measured them.

    Raises
    ------
    RangeError
        If a shifted day cannot be weather.

    Source
    ------
    own reasoning. Where two shifts would put a low above its high, both stand halfway between.

    Examples
    --------
    >>> from ringwise.weather.series import series_of
    >>> roof = series_of(date(2020, 1, 1), {"tmean_degC": np.full(20, 8.0)}, station="roof")
    >>> town = series_of(date(2019, 12, 30), {"tmean_degC": np.full(22, 9.5)}, station="town")
    >>> joined = borrowed_series(roof, town, fit_borrowing(roof, town))
    >>> joined.tmean_degC[:3].round(2).tolist(), joined.lent_days[:3].tolist()
    ([8.0, 8.0, 8.0], [True, True, False])
    """
    first = other.first if own is None else min(own.first, other.first)
    last = other.last if own is None else max(own.last, other.last)
    days = (last - first).days + 1
    columns, filled = _laid_out(own, first, days)
    theirs, their_filled = _laid_out(other, first, days)
    shifted = _shifted(theirs, fit, first)
    lent: BoolArray = np.isnan(columns["tmean_degC"]) & ~np.isnan(shifted["tmean_degC"])
    theirs |= shifted
    for measure in MEASURES:
        spare = lent & (np.isnan(columns[measure]) | np.isin(measure, TEMPERATURES))
        columns[measure] = np.where(spare, theirs[measure], columns[measure])
    return WeatherSeries(
        station=fit.own,
        first=first,
        filled=np.where(lent, their_filled, filled),
        source=other.source if own is None else own.source,
        invented=(own is not None and own.invented) or (other.invented and bool(lent.any())),
        lent=Lent(lent, fit.other, fit.teaches),
        bridged={},
        **columns,
    )


def _laid_out(
    series: WeatherSeries | None, first: date, days: int
) -> tuple[dict[str, FloatArray], BoolArray]:
    """The columns of a series over a longer span, NaN outside it."""
    columns = {measure: np.full(days, np.nan) for measure in MEASURES}
    filled = np.zeros(days, dtype=np.bool_)
    if series is not None:
        at = (series.first - first).days
        filled[at : at + series.n] = series.filled
        for measure, values in columns.items():
            values[at : at + series.n] = series.column(measure)
    return columns, filled


def _shifted(theirs: Mapping[str, FloatArray], fit: Borrowing, first: date) -> dict[str, FloatArray]:
    numbers = _numbers(first, theirs["tmean_degC"].size)
    moved = {measure: np.full(numbers.size, np.nan) for measure in TEMPERATURES}
    for measure, shift in fit.shifts.items():
        moved[measure] = theirs[measure] + shift.at(numbers)
    low, high = moved["tmin_degC"], moved["tmax_degC"]
    crossed = low > high
    middle = (low + high) / 2.0
    moved["tmin_degC"], moved["tmax_degC"] = np.where(crossed, middle, low), np.where(crossed, middle, high)
    mean = moved["tmean_degC"]
    inside = np.fmin(np.fmax(mean, moved["tmin_degC"]), moved["tmax_degC"])
    moved["tmean_degC"] = np.where(np.isnan(mean), np.nan, inside)
    for measure in TEMPERATURES:
        least, most, _unit = PLAUSIBLE[measure]
        wrong = np.flatnonzero((moved[measure] < least) | (moved[measure] > most))
        if wrong.size:
            raise RangeError(
                _(
                    "{name} of {station} is {value:g} degC after its shift; accepted: {low:g} to {high:g}. "
                    "Check the elevation told for it."
                ).format(
                    name=measure,
                    station=fit.other,
                    value=float(moved[measure][wrong[0]]),
                    low=least,
                    high=most,
                ),
                where=str(first + timedelta(days=int(wrong[0]))),
            )
    return moved


def _numbers(first: date, days: int) -> FloatArray:
    """Days counted from 1 January 2001."""
    return np.arange(days, dtype=np.float64) + float((first - _EPOCH).days)


def _terms(numbers: FloatArray) -> FloatArray:
    turn = 2.0 * math.pi * np.asarray(numbers, dtype=np.float64) / YEAR_DAYS
    return np.stack([np.ones_like(turn), np.cos(turn), np.sin(turn)], axis=1)


def _measured(series: WeatherSeries) -> tuple[str, ...]:
    return tuple(name for name in TEMPERATURES if not bool(np.isnan(series.column(name)).all()))


def _differences(own: WeatherSeries, other: WeatherSeries) -> dict[str, tuple[FloatArray, FloatArray]]:
    """Day numbers and differences on the days that both measured; bridged days are nobody's measurement."""
    first, last = max(own.first, other.first), min(own.last, other.last)
    if last < first:
        return {}
    here, there = own.cut(first, last), other.cut(first, last)
    own_days = ~here.lent_days & ~there.lent_days
    numbers = _numbers(first, here.n)
    found: dict[str, tuple[FloatArray, FloatArray]] = {}
    for measure in TEMPERATURES:
        difference_degC: FloatArray = here.column(measure) - there.column(measure)
        bridged = here.was_bridged(measure) | there.was_bridged(measure)
        both = own_days & ~bridged & ~np.isnan(difference_degC)
        found[measure] = (numbers[both], difference_degC[both])
    return found


def _fitted(numbers: FloatArray, difference_degC: FloatArray, *, wave: bool) -> Shift:
    rows = borrowed_rows()
    season_sd = rows["season_sd"].number
    plain_degC = float(difference_degC.mean())
    left_degC = difference_degC - plain_degC
    days = int(difference_degC.size)
    if not wave:
        # The year's mean is known as well as the days tell it; of the seasons nothing is known.
        mean_var = _variance_degC2(left_degC, 1) / days
        spread = np.diag([mean_var, season_sd**2, season_sd**2])
        return Shift(plain_degC, 0.0, 0.0, spread, _left(left_degC, 1), days)
    terms = _terms(numbers)
    prior = np.diag([rows["constant_sd"].number ** -2, season_sd**-2, season_sd**-2])
    leaning = prior @ np.array([plain_degC, 0.0, 0.0])
    for _round in range(_ROUNDS):
        # What one day of the difference tells: less than a day's worth, since it resembles the day before.
        weight = 1.0 / max(_variance_degC2(left_degC, 3), _NO_SPREAD_DEGC2)
        covariance: FloatArray = np.linalg.inv(prior + weight * terms.T @ terms).astype(np.float64)
        found = covariance @ (leaning + weight * terms.T @ difference_degC)
        left_degC = difference_degC - terms @ found
    mean_degC, cosine_degC, sine_degC = (float(each) for each in found)
    return Shift(mean_degC, cosine_degC, sine_degC, covariance, _left(left_degC, 3), days)


_NO_SPREAD_DEGC2 = 1e-6  # two columns that differ by a constant to the last digit are still weighed


def _left(left_degC: FloatArray, spent_days: int) -> float:
    """Spread of single days about the shift, the terms that were fitted taken off the days."""
    return math.sqrt(float((left_degC**2).sum()) / max(left_degC.size - spent_days, 1))


def _variance_degC2(left_degC: FloatArray, spent_days: int) -> float:
    """The variance with which one day counts, larger where a day's difference resembles the next one's."""
    alike = borrowed_rows()["persistence"].number
    return _left(left_degC, spent_days) ** 2 * (1.0 + alike) / (1.0 - alike)


def _by_elevation(above_m: float) -> Shift:
    rows = borrowed_rows()
    lapse_degC = load_table(ROOM, "typical").get("any", "lapse").number  # for each kilometre
    season_var = rows["season_sd"].number ** 2
    spread = np.diag([rows["lapse_sd"].number ** 2, season_var, season_var])
    return Shift(-lapse_degC * above_m / METRES_A_KM, 0.0, 0.0, spread, math.nan, 0)


def _too_few(own: str, other: str, days: int) -> MissingFieldError:
    least = round(borrowed_rows()["least_days"].number)
    return MissingFieldError(
        _(
            "{other} cannot lend its days: {own} and {other} have {days}, and {least} are needed. "
            "Import days of both, or say how far the yard lies above that station "
            "(yard_above_borrowed_m in collection.toml)."
        ).format(
            own=own or _("the yard"),
            other=other,
            days=counted("{n} day in common", "{n} days in common", days),
            least=least,
        )
    )
