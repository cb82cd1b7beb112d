"""Reference evapotranspiration of weather years: each day by the best route its measurements allow."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.weather.et0_routes import MeasuredDays, et0_days
from ringwise.weather.humidity import Humidity
from ringwise.weather.series import WeatherSeries
from ringwise.weather.years import WeatherMembers

_HARGREAVES = 1  # its place in `et0_routes.ROUTES`


@dataclass(frozen=True)
class Et0Years:
    """Evapotranspiration of some days in each weather year, NaN where a day has no extremes.

    `coarse` marks the days that temperatures alone had to tell (Hargreaves).
    """

    first: date
    et0_mm_day: FloatArray
    coarse: BoolArray

    @property
    def coarse_frac(self) -> float:
        """The share of days told by temperatures alone."""
        return float(self.coarse.mean()) if self.coarse.size else 0.0


def et0_years(
    members: WeatherMembers,
    series: WeatherSeries,
    days: slice,
    *,
    latitude_deg: float,
    elevation_m: float,
) -> Et0Years:
    """Reference evapotranspiration of some days of weather years.

    Parameters
    ----------
    members : WeatherMembers
        The years, also moved to a place: its temperatures count, sun, wind and humidity
        are those of the station.
    series : WeatherSeries
        From which they were made.
    days : slice
        Columns of the members.
    latitude_deg : float
        South is negative.
    elevation_m : float
        Above the sea.

    Returns
    -------
    Et0Years
        On forecast days temperatures and wind are those drawn towards the forecast, sun and humidity those of
        the past year's same day.

    Raises
    ------
    RangeError
        If there is no such latitude.

    Source
    ------
    As `et0_routes.et0_days`: allen1998, hargreaves1985; by weather year: own reasoning.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.weather.series import series_of
    >>> from ringwise.weather.years import members
    >>> past = {"tmin_degC": np.full(1200, 12.0), "tmax_degC": np.full(1200, 22.0)}
    >>> warm = series_of(date(2011, 1, 1), past)
    >>> years = members(warm, issue=date(2014, 3, 1), year=GrowingYear(2014))
    >>> june = years.column(date(2014, 6, 21))
    >>> made = et0_years(years, warm, slice(june, june + 2), latitude_deg=50.8, elevation_m=100.0)
    >>> made.et0_mm_day.shape, round(float(made.et0_mm_day[0, 0]), 1), made.coarse_frac
    ((3, 2), 4.3, 1.0)
    """
    first = date.fromordinal(members.first.toordinal() + days.start)
    low, high = members.tmin_degC[:, days], members.tmax_degC[:, days]
    at = np.full(low.shape, -1) if members.stands_on is None else members.stands_on[:, days]

    def measured(name: str) -> FloatArray:
        return np.where(at >= 0, series.column(name)[np.maximum(at, 0)], np.nan)

    calendar = np.datetime64(first, "D") + np.arange(low.shape[1])
    day_of_year = (calendar - calendar.astype("datetime64[Y]")).astype(np.int64) + 1
    found = et0_days(
        MeasuredDays(
            day_of_year=np.broadcast_to(day_of_year, low.shape),
            tmin_degC=low,
            tmax_degC=high,
            humidity=Humidity(rh_min_pct=measured("rh_min_pct"), rh_max_pct=measured("rh_max_pct")),
            wind_2m_m_s=members.wind_2m_m_s[:, days],
            radiation_mj_m2=measured("radiation_mj_m2"),
            sunshine_h=measured("sunshine_h"),
        ),
        latitude_deg=latitude_deg,
        elevation_m=elevation_m,
    )
    return Et0Years(first, found.et0_mm_day, np.asarray(found.route == _HARGREAVES))
