"""From the station to the place: what a bench, a wall or a shed does to the nights and days of a station."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import TypeVar

import numpy as np

from ringwise.kit.errors import unknown_name
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.types import FloatArray, FloatLike, IntArray
from ringwise.kit.words import _
from ringwise.weather.series import WeatherSeries
from ringwise.weather.years import WeatherMembers

ROOM = "ringwise.weather"
TABLE = "microsites"
KINDS = ("open_bench", "wall", "shade", "tunnel", "cold_frame", "shed", "ground")
_Weather = TypeVar("_Weather", WeatherSeries, WeatherMembers)


@dataclass(frozen=True)
class PlaceLine:
    """A line from the station's temperature to that of a place, with how sure it is.

    At `centre_degC` of the station the place has `offset_degC` more; each degree beyond it counts
    `slope_ratio` here. `shared_degC` is the covariance of offset and slope; `residual_degC` is how far one
    night or day lies from the line; `readings` taught it, 0 for the prior of a kind of place.
    """

    centre_degC: float
    offset_degC: float
    slope_ratio: float
    offset_sd_degC: float
    slope_sd_ratio: float
    residual_degC: float
    shared_degC: float = 0.0
    readings: int = 0

    @property
    def is_none(self) -> bool:
        """Whether the place has exactly the station's temperature."""
        return self.offset_degC == 0.0 and self.slope_ratio == 1.0

    def lift_degC(self, station_degC: FloatLike) -> FloatArray:
        """How much warmer the place is than the station when that has a temperature; exactly 0 where none."""
        beyond = np.asarray(station_degC, dtype=np.float64) - self.centre_degC
        lift: FloatArray = self.offset_degC + (self.slope_ratio - 1.0) * beyond
        return lift

    def sd_degC(self, station_degC: float) -> float:
        """How sure the mean lift is when the station has a temperature, one standard deviation."""
        beyond = station_degC - self.centre_degC
        variance = (
            self.offset_sd_degC**2 + 2.0 * beyond * self.shared_degC + (beyond * self.slope_sd_ratio) ** 2
        )
        return float(max(variance, 0.0) ** 0.5)


@dataclass(frozen=True)
class MicrositeOffset:
    """What a place does to the station's weather: one line for its nights, one for its days."""

    kind: str
    nights: PlaceLine
    days: PlaceLine

    @property
    def is_none(self) -> bool:
        """Whether the weather of the place is that of the station."""
        return self.nights.is_none and self.days.is_none

    @property
    def readings(self) -> int:
        """How many single readings taught it."""
        return self.nights.readings + self.days.readings


@cache
def microsite_rows(key: str = "any") -> dict[str, Parameter]:
    """The rows of `data/microsites.csv` of one kind, or those that hold for all.

    Parameters
    ----------
    key : str
        One of `KINDS`, or "any".

    Returns
    -------
    dict of str to Parameter
        By parameter.

    Source
    ------
    The table itself names basis and source of each row.

    Examples
    --------
    >>> microsite_rows()["night_centre"].unit
    'degC'
    """
    return load_table(ROOM, TABLE).of(key)


def microsite_prior(kind: str) -> MicrositeOffset:
    """What is assumed of a kind of place before anybody has read a thermometer there.

    Parameters
    ----------
    kind : str
        One of `KINDS`.

    Returns
    -------
    MicrositeOffset
        Mean and spread of its table; the mean of an open bench is none at all.

    Raises
    ------
    UnknownNameError
        If there is no such kind.

    Source
    ------
    Rows of `data/microsites.csv`: common practice and assumed, none measured.

    Examples
    --------
    >>> microsite_prior("open_bench").is_none, microsite_prior("shed").nights.slope_ratio < 1.0
    (True, True)
    """
    if kind not in KINDS:
        raise unknown_name(_("kind of microsite"), kind, KINDS)
    return MicrositeOffset(kind, _prior_line(kind, "night"), _prior_line(kind, "day"))


def _prior_line(kind: str, part: str) -> PlaceLine:
    rows, any_rows = microsite_rows(kind), microsite_rows()
    offset, slope = rows[part], rows[f"{part}_slope"]
    return PlaceLine(
        centre_degC=any_rows[f"{part}_centre"].number,
        offset_degC=offset.number,
        slope_ratio=slope.number,
        offset_sd_degC=_sd(offset),
        slope_sd_ratio=_sd(slope),
        residual_degC=any_rows["residual"].number,
    )


def _sd(row: Parameter) -> float:
    """Half the distance of low and high, which are one standard deviation to either side."""
    low, high = (row.number if end is None else end for end in (row.low, row.high))
    return (high - low) / 2.0


def moved(weather: _Weather, offset: MicrositeOffset) -> _Weather:
    """The weather at a place: its nights, its days and the means between them.

    Parameters
    ----------
    weather : WeatherSeries or WeatherMembers
        Of the station; (days,) or (members, days).
    offset : MicrositeOffset
        Of the place.

    Returns
    -------
    WeatherSeries or WeatherMembers
        The same one where the place is as the station. Where both lines would cross, minimum and maximum
        are their middle. The mean moves by half of what minimum and maximum move and stays between them
        where it was; a day with a mean alone moves by both lines taken at the mean. Rain, wind, sun and
        humidity stay as at the station.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.weather.series import series_of
    >>> cold = series_of(date(2027, 1, 1), {"tmin_degC": np.array([-8.0]), "tmax_degC": np.array([-1.0])})
    >>> inside = moved(cold, microsite_prior("shed"))
    >>> round(float(inside.tmin_degC[0]), 2), moved(cold, microsite_prior("open_bench")) is cold
    (-4.0, True)
    """
    if offset.is_none:
        return weather
    tmin_degC, tmax_degC, tmean_degC = moved_days(
        weather.tmin_degC, weather.tmax_degC, weather.tmean_degC, offset
    )
    return replace(weather, tmin_degC=tmin_degC, tmax_degC=tmax_degC, tmean_degC=tmean_degC)


def moved_days(
    tmin_degC: FloatArray, tmax_degC: FloatArray, tmean_degC: FloatArray, offset: MicrositeOffset
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Minimum, maximum and mean of days at a place; see `moved`.

    Parameters
    ----------
    tmin_degC, tmax_degC, tmean_degC : (..., days) float
        Of the station, NaN where not measured.
    offset : MicrositeOffset
        Of the place.

    Returns
    -------
    tmin_degC, tmax_degC, tmean_degC : (..., days) float
        Of the place; NaN stays NaN.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> station = (np.array([0.0]), np.array([10.0]), np.array([5.0]))
    >>> low, high, mean = moved_days(*station, microsite_prior("shed"))
    >>> bool(low[0] <= mean[0] <= high[0])
    True
    """
    nights, days = offset.nights, offset.days
    night_lift, day_lift = nights.lift_degC(tmin_degC), days.lift_degC(tmax_degC)
    low, high = tmin_degC + night_lift, tmax_degC + day_lift
    middle = (low + high) / 2.0
    crossed = low > high
    low, high = np.where(crossed, middle, low), np.where(crossed, middle, high)
    half_lift = (night_lift + day_lift) / 2.0
    alone = (nights.lift_degC(tmean_degC) + days.lift_degC(tmean_degC)) / 2.0
    mean = tmean_degC + np.where(np.isnan(half_lift), alone, half_lift)
    between = (tmin_degC <= tmean_degC) & (tmean_degC <= tmax_degC)
    return low, high, np.where(between, np.minimum(np.maximum(mean, low), high), mean)


def moved_by_day(weather: _Weather, offsets: Sequence[MicrositeOffset], stood: IntArray) -> _Weather:
    """The weather of a tree that was carried from place to place: each day that of where it stood.

    Parameters
    ----------
    weather : WeatherSeries or WeatherMembers
        Of the station; (days,) or (members, days).
    offsets : sequence of MicrositeOffset
        The places.
    stood : (days,) int
        For each day which of them.

    Returns
    -------
    WeatherSeries or WeatherMembers
        The same one where no day is moved; see `moved`.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.weather.series import series_of
    >>> cold = series_of(date(2027, 1, 1), {"tmin_degC": np.full(2, -8.0), "tmax_degC": np.full(2, -1.0)})
    >>> places = [microsite_prior("open_bench"), microsite_prior("shed")]
    >>> moved_by_day(cold, places, np.array([1, 0])).tmin_degC.round(2).tolist()
    [-4.0, -8.0]
    """
    there = [int(k) for k in np.unique(stood) if not offsets[int(k)].is_none]
    if not there:
        return weather
    low, high, mean = weather.tmin_degC.copy(), weather.tmax_degC.copy(), weather.tmean_degC.copy()
    for k in there:
        at = np.flatnonzero(stood == k)
        low[..., at], high[..., at], mean[..., at] = moved_days(
            low[..., at], high[..., at], mean[..., at], offsets[k]
        )
    return replace(weather, tmin_degC=low, tmax_degC=high, tmean_degC=mean)
