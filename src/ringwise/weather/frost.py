"""Frost to come: in how many weather years a night falls below a threshold in the days after some work."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from ringwise.kit.errors import MissingFieldError, out_of_range
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.weather.years import WeatherMembers

MIDDLE_INDEX = 183  # first day of the later half of a year of 365 days, counted from year_start


@dataclass(frozen=True)
class FrostYears:
    """A night falls below `below_degC` in `years` of `of_years` years, `nights_days` nights a year."""

    years: int
    of_years: int
    nights_days: float
    below_degC: float
    coldest_degC: float

    @property
    def prob(self) -> float:
        """Share of the weather years with such a night."""
        return self.years / self.of_years


def frost_years(
    weather: WeatherMembers, *, after: date, within_days: int, below_degC: float, core_lift_degC: float = 0.0
) -> FrostYears:
    """Count the weather years with a night below a threshold in the days after a date.

    Parameters
    ----------
    weather : WeatherMembers
        Weather years, with daily minima.
    after : date
        The day of the work; the night that follows it is the minimum of the next day.
    within_days : int
        How many nights after it, at least 1.
    below_degC : float
        A night counts when its minimum is below this, in degrees C.
    core_lift_degC : float
        How much warmer than the air the place in question stays (0: bench air), in degrees C.

    Returns
    -------
    FrostYears
        Years, nights a year on average, the coldest night of all years.

    Raises
    ------
    MissingFieldError
        If there are no minima, or not for all those nights.
    RangeError
        If `within_days` is below 1.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.weather.series import series_of
    >>> from ringwise.weather.years import members
    >>> mild = series_of(date(2010, 1, 1), {"tmin_degC": np.full(2000, 3.0), "tmax_degC": np.full(2000, 9.0)})
    >>> weather = members(mild, issue=date(2014, 3, 1), year=GrowingYear(2014))
    >>> frost_years(weather, after=date(2014, 3, 10), within_days=14, below_degC=0.0).years
    0
    """
    if within_days < 1:
        raise out_of_range(_("days of the frost look-ahead"), str(within_days), _("1 or more"))
    begin = weather.column(after) + 1
    nights = weather.tmin_degC[:, max(begin, 0) : begin + within_days]
    if begin < 0 or nights.shape[1] < within_days or bool(np.isnan(nights).any()):
        raise MissingFieldError(
            _(
                "there is no daily minimum for each of the {n} nights after {day}. "
                "Import weather with tmin_degC, with at least one full earlier year."
            ).format(n=within_days, day=after)
        )
    cold = nights + core_lift_degC < below_degC
    return FrostYears(
        years=int(cold.any(axis=1).sum()),
        of_years=weather.n,
        nights_days=float(cold.sum(axis=1).mean()),
        below_degC=below_degC,
        coldest_degC=float(nights.min() + core_lift_degC),
    )


def first_autumn_frost(weather: WeatherMembers, *, below_degC: float) -> FloatArray:
    """The day of the first frost of autumn in each weather year.

    Parameters
    ----------
    weather : WeatherMembers
        Weather years, with daily minima.
    below_degC : float
        A night counts when its minimum is below this, in degrees C.

    Returns
    -------
    (members,) float
        Day index of the first such night in the later half of the growing year's count; NaN where
        none comes within the weather year or the minima are not known up to it.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.weather.series import series_of
    >>> from ringwise.weather.years import members
    >>> tmin = np.full(2000, 3.0)
    >>> tmin[(date(2013, 10, 20) - date(2010, 1, 1)).days] = -1.0
    >>> cold = series_of(date(2010, 1, 1), {"tmin_degC": tmin, "tmax_degC": tmin + 6})
    >>> weather = members(cold, issue=date(2014, 3, 1), year=GrowingYear(2014))
    >>> first_autumn_frost(weather, below_degC=0.0).tolist()  # 20 October is day 293
    [nan, nan, nan, 293.0]
    """
    days_index = np.arange(weather.tmin_degC.shape[1]) + float(weather.first_index)
    later = days_index >= MIDDLE_INDEX
    stops = later & ((weather.tmin_degC < below_degC) | np.isnan(weather.tmin_degC))
    first = stops.argmax(axis=1)
    frost = weather.tmin_degC[np.arange(weather.n), first] < below_degC
    return np.where(stops.any(axis=1) & frost, days_index[first], np.nan)
