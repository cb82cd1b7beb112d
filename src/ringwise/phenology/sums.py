"""The days that phenology models stand on: daily means of a growing year, with what else a model reads."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.kit.words import _
from ringwise.weather.hourly import hourly_temperature
from ringwise.weather.sun import daylength_h


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

    def part(self, rows: IntArray, columns: int) -> DailyMeans:
        """Some members, up to a column, with all that goes with their days."""

        def cut(values: FloatArray) -> FloatArray:
            return np.ascontiguousarray(values[rows, :columns])

        return replace(
            self,
            tmean_degC=cut(self.tmean_degC),
            tmin_degC=None if self.tmin_degC is None else cut(self.tmin_degC),
            tmax_degC=None if self.tmax_degC is None else cut(self.tmax_degC),
        )

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
