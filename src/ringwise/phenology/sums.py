"""Sums over days that phenology models stand on: heat above a base, days of chill."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.types import BoolArray, FloatArray
from ringwise.kit.words import _
from ringwise.weather.hourly import hourly_temperature
from ringwise.weather.sun import daylength_h

LARGEST_EXPONENT = 700.0  # exp overflows float64 beyond 709


@dataclass(frozen=True)
class DailyMeans:
    """Daily means (members, days); `first_index` is the day index of the first column.

    `start_index` and `heat_index` are the growing year's first day and its heat start as day indices;
    `year_start` is day 1. The latitude (south negative) is needed by models that read the daylength alone,
    the extremes of the days by models that read hours.
    """

    tmean_degC: FloatArray
    first_index: int
    start_index: int
    heat_index: int
    year_start: date
    latitude_deg: float | None = None
    tmin_degC: FloatArray | None = None
    tmax_degC: FloatArray | None = None

    @property
    def days_index(self) -> FloatArray:
        """The day index of each column."""
        return np.arange(self.tmean_degC.shape[1], dtype=np.float64) + self.first_index

    def since(self, from_index: float) -> BoolArray:
        """Which columns lie on a day index or after it."""
        return self.days_index >= from_index

    def daylength_h(self, definition: str) -> FloatArray:
        """Hours from sunrise to sunset of each column, by a definition of `weather.sun`."""
        if self.latitude_deg is None:
            raise MissingFieldError(
                _("this model reads the length of the day. Give the latitude of the place, south negative.")
            )
        first = self.year_start + timedelta(days=self.first_index - 1)
        count = self.tmean_degC.shape[1]
        numbers = [(first + timedelta(days=k)).timetuple().tm_yday for k in range(count)]
        return daylength_h(self.latitude_deg, np.array(numbers, dtype=np.float64), definition)

    def hours_degC(self) -> FloatArray:
        """Temperatures (members, days, 24) from the extremes of the days and the latitude."""
        if self.tmin_degC is None or self.tmax_degC is None or self.latitude_deg is None:
            raise MissingFieldError(
                _(
                    "this model reads hours. The weather needs the lowest and the highest of each day, "
                    "and the latitude."
                )
            )
        first = self.year_start + timedelta(days=self.first_index - 1)
        return hourly_temperature(
            self.tmin_degC, self.tmax_degC, first=first, latitude_deg=self.latitude_deg, lent=True
        )


def daily_means(
    tmean_degC: FloatArray,
    *,
    first_index: int,
    year: GrowingYear,
    latitude_deg: float | None = None,
    tmin_degC: FloatArray | None = None,
    tmax_degC: FloatArray | None = None,
) -> DailyMeans:
    """Daily means of one growing year, ready for every model.

    Parameters
    ----------
    tmean_degC : (members, days) or (days,) float
        Daily means, in degrees C.
    first_index : int
        Day index of the first column.
    year : GrowingYear
        Gives the days from which chill and heat count.
    latitude_deg : float, optional
        Of the place, for models that read the daylength.
    tmin_degC, tmax_degC : (members, days) or (days,) float, optional
        Lowest and highest of each day, for models that read hours.

    Returns
    -------
    DailyMeans
        With two axes.

    Source
    ------
    menzel1997 (chill from the start of the growing year, heat from `heat_start`).

    Examples
    --------
    >>> daily_means(np.zeros(5), first_index=-60, year=GrowingYear(2013)).heat_index
    32
    """
    return DailyMeans(
        np.atleast_2d(np.asarray(tmean_degC, dtype=np.float64)),
        first_index,
        year.day_index(year.start),
        year.day_index(year.heat_start),
        year.year_start,
        latitude_deg,
        None if tmin_degC is None else np.atleast_2d(np.asarray(tmin_degC, dtype=np.float64)),
        None if tmax_degC is None else np.atleast_2d(np.asarray(tmax_degC, dtype=np.float64)),
    )


def heat_sum(days: DailyMeans, *, base_degC: float, from_index: float) -> FloatArray:
    """Running sum of degrees above a base from a day on.

    Parameters
    ----------
    days : DailyMeans
        Daily means.
    base_degC : float
        Only what lies above it counts.
    from_index : float
        Day index of the first day counted.

    Returns
    -------
    (members, days) float
        S(d) = sum of max(T - base, 0), in degree days.

    Source
    ------
    kalvans2015 (form).

    Examples
    --------
    >>> heat_sum(daily_means(np.array([3.0, 7.0]), first_index=1, year=GrowingYear(2013)), base_degC=5.0,
    ...          from_index=1).tolist()
    [[0.0, 2.0]]
    """
    return running(days, np.maximum(days.tmean_degC - base_degC, 0.0), from_index)


def running(days: DailyMeans, each_day: FloatArray, from_index: float) -> FloatArray:
    """Running sum of daily values from a day on; a missing day leaves all later sums missing.

    Parameters
    ----------
    days : DailyMeans
        The days.
    each_day : (members, days) float
        What each day adds.
    from_index : float
        Day index of the first day counted.

    Returns
    -------
    (members, days) float
        The sum.

    Raises
    ------
    MissingFieldError
        If the first column lies after `from_index`.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> running(daily_means(np.zeros(3), first_index=1, year=GrowingYear(2013)), np.ones((1, 3)), 2).tolist()
    [[0.0, 1.0, 2.0]]
    """
    if days.first_index > from_index:
        raise MissingFieldError(
            _(
                "the weather starts {n} days after the day from which the model counts. Import earlier days."
            ).format(n=round(days.first_index - from_index))
        )
    return np.cumsum(np.where(days.since(from_index), each_day, 0.0), axis=1)


def chill_days(days: DailyMeans, *, base_degC: float) -> FloatArray:
    """Running count of cold days from the start of the growing year.

    Parameters
    ----------
    days : DailyMeans
        Daily means.
    base_degC : float
        A day with a mean at or below it counts.

    Returns
    -------
    (members, days) float
        The count.

    Source
    ------
    menzel1997.

    Examples
    --------
    >>> chill_days(daily_means(np.array([3.0, 7.0, 9.0]), first_index=-60, year=GrowingYear(2013)),
    ...            base_degC=7.0).tolist()
    [[1.0, 2.0, 2.0]]
    """
    cold = np.where(np.isnan(days.tmean_degC), np.nan, days.tmean_degC <= base_degC)
    return running(days, cold, days.start_index)


def forcing_sum(days: DailyMeans, *, slope_factor: float, half_degC: float, from_index: float) -> FloatArray:
    """Running sum of a sigmoid of temperature from a day on.

    Parameters
    ----------
    days : DailyMeans
        Daily means.
    slope_factor : float
        Steepness, per degree C.
    half_degC : float
        Temperature at which a day counts half, in degrees C.
    from_index : float
        Day index of the first day counted.

    Returns
    -------
    (members, days) float
        S(d) = sum of 1 / (1 + exp(-slope (T - half))), in days.

    Source
    ------
    chuine2000.

    Examples
    --------
    >>> forcing_sum(daily_means(np.full(2, 10.0), first_index=1, year=GrowingYear(2013)), slope_factor=1.0,
    ...             half_degC=10.0, from_index=1).tolist()
    [[0.5, 1.0]]
    """
    exponent = np.clip(-slope_factor * (days.tmean_degC - half_degC), -LARGEST_EXPONENT, LARGEST_EXPONENT)
    return running(days, 1.0 / (1.0 + np.exp(exponent)), from_index)
