"""Hourly temperatures from the lowest and the highest of each day, by the course of the sun.

By day the temperature follows a sine that is highest at 14:00; by night it falls as a logarithm of time,
from sunset towards the lowest of the coming morning. Hours are of local solar time: noon is when the sun
stands highest. Values and form are those of the chillR program, so that sums of chill can be held against it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from ringwise.kit.tables import load_table
from ringwise.kit.types import BoolArray, FloatArray
from ringwise.weather.sun import daylength_h

ROOM = "ringwise.weather"
DAY_H = 24
_NOON = 12.0


@dataclass(frozen=True)
class SunTimes:
    """Sunrise and sunset of each day in hours of local solar time; `turning` where the sun does both.

    Without a sunrise a day has 0 and 24 (the sun stays up) or 12 and 12 (it stays down).
    """

    sunrise_h: FloatArray
    sunset_h: FloatArray
    turning: BoolArray


def sun_times(day_of_year: FloatArray, *, latitude_deg: float) -> SunTimes:
    """When the sun rises and sets, its upper rim seen through the air.

    Parameters
    ----------
    day_of_year : (n,) float
        1 on 1 January.
    latitude_deg : float
        North positive.

    Returns
    -------
    SunTimes
        In hours from midnight, noon at 12.

    Raises
    ------
    RangeError
        If there is no such latitude.

    Source
    ------
    spencer1971; chillr077.

    Examples
    --------
    >>> equator = sun_times(np.array([80.0]), latitude_deg=0.0)
    >>> round(float(equator.sunset_h[0]), 2)  # 18 h and half of what the air adds
    18.06
    """
    length_h = daylength_h(latitude_deg, day_of_year, "spencer")
    turning = (length_h > 0.0) & (length_h < DAY_H)
    return SunTimes(_NOON - length_h / 2.0, _NOON + length_h / 2.0, turning)


def _constant(name: str) -> float:
    return load_table(ROOM, "hourly").get("any", name).number


@dataclass(frozen=True)
class _Night:
    """A fall from `set_degC` at sunset to `low_degC` at sunrise; `length_h` divides, as the form has it."""

    set_degC: FloatArray
    low_degC: FloatArray
    length_h: FloatArray

    def at(self, since_h: FloatArray, slack_degC: float) -> FloatArray:
        """The temperature some hours after sunset."""
        divisor = np.log(np.maximum(self.length_h, 1.0))
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.log(np.maximum(since_h, 0.0) + 1.0) / divisor
        # A night of no length has no share: the fall is over.
        share = np.where(np.isfinite(share), share, 1.0)
        reached = self.set_degC - (self.set_degC - self.low_degC) * share
        bottom = np.minimum(self.set_degC, self.low_degC) - slack_degC
        top = np.maximum(self.set_degC, self.low_degC) + slack_degC
        return np.clip(reached, bottom, top)


def hourly_temperature(
    tmin_degC: FloatArray,
    tmax_degC: FloatArray,
    *,
    first: date,
    latitude_deg: float,
    lent: bool = False,
) -> FloatArray:
    """Temperatures at 0:00 to 23:00 of each day from the lowest and the highest of the days.

    Parameters
    ----------
    tmin_degC, tmax_degC : (..., days) float
        The extremes of consecutive days, NaN where missing.
    first : date
        The first day.
    latitude_deg : float
        North positive; it gives the length of the day.
    lent : bool
        Whether a day stands in for a missing neighbour, as it does at both ends, so that a missing day
        takes its own hours alone.

    Returns
    -------
    (..., days, 24) float
        In degrees C. An hour that needs a missing day is NaN: all hours of that day, the night before it
        and the night after it. Before the first and after the last day the day itself stands in for its
        missing neighbour. A day without sunrise or sunset has its mean at all hours.

    Raises
    ------
    RangeError
        If the latitude is none.

    Source
    ------
    linvill1990, as in chillr077; rows of hourly.csv. In the morning the form divides by a shorter time than
    it counts, so that the fall passes the day's lowest a little; a row bounds how far.

    Examples
    --------
    >>> low, high = np.array([2.0, 4.0, 3.0]), np.array([9.0, 12.0, 10.0])
    >>> hours = hourly_temperature(low, high, first=date(2013, 3, 1), latitude_deg=47.0)
    >>> hours.shape, round(float(hours[1, 14]), 6)  # the highest at 14:00
    ((3, 24), 12.0)
    """
    low = np.asarray(tmin_degC, dtype=np.float64)
    high = np.asarray(tmax_degC, dtype=np.float64)
    sun = sun_times(_days_of_year(first, low.shape[-1] + 2), latitude_deg=latitude_deg)
    rise, fall = sun.sunrise_h, sun.sunset_h
    lag_h, slack_degC = _constant("afternoon"), _constant("night_slack")
    # One day more at each end, lent by the day beside it.
    low, high = _with_ends(low), _with_ends(high)
    clock = np.arange(DAY_H, dtype=np.float64)
    today, before, after = slice(1, -1), slice(0, -2), slice(2, None)

    def beside(values: FloatArray, side: slice) -> FloatArray:
        own = values[..., today]
        return np.where(np.isnan(values[..., side]), own, values[..., side]) if lent else values[..., side]

    def hourly(values: FloatArray) -> FloatArray:
        spread: FloatArray = values[..., None]
        return spread

    up, down = hourly(rise[today]), hourly(fall[today])
    length_h = down - up
    spans = high - low
    # The form takes the length of this day for the evening before as well.
    end_share = _by_day(fall - rise, fall - rise, lag_h)[today]
    last_eve = beside(low, before) + beside(spans, before) * end_share
    this_eve = low[..., today] + spans[..., today] * end_share
    day = hourly(low[..., today]) + hourly(spans[..., today]) * _by_day(clock - up, length_h, lag_h)
    evening = _Night(
        hourly(this_eve), hourly(beside(low, after)), DAY_H - (down - hourly(rise[after])) + 1.0
    ).at(clock - down, slack_degC)
    morning = _Night(hourly(last_eve), hourly(low[..., today]), DAY_H - (hourly(fall[before]) - up)).at(
        clock + DAY_H - hourly(fall[before]), slack_degC
    )
    course = np.where(clock >= down, evening, np.where(clock > up, day, morning))
    mean = hourly((low + high)[..., today] / 2.0)
    return np.where(sun.turning[today, None], course, mean)


def _by_day(since_h: FloatArray, length_h: FloatArray, lag_h: float) -> FloatArray:
    """Share of the daily range reached some hours after sunrise."""
    share: FloatArray = np.sin(np.pi * since_h / (length_h + lag_h))
    return share


def _with_ends(values: FloatArray) -> FloatArray:
    return np.concatenate([values[..., :1], values, values[..., -1:]], axis=-1)


def _days_of_year(first: date, n: int) -> FloatArray:
    """The day of the year of n days, the first of them the eve of `first`."""
    return np.array([(first + timedelta(days=k - 1)).timetuple().tm_yday for k in range(n)], dtype=np.float64)
