"""Sun and open sky of weather years: each day by the best measured on it, else by its temperatures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.weather.evapotranspiration import DailyAir, clear_ratio, net_long_mj_m2, solar_day
from ringwise.weather.humidity import saturation_kPa
from ringwise.weather.series import WeatherSeries
from ringwise.weather.sun import clear_sky_mj_m2, radiation_from_sunshine_mj_m2
from ringwise.weather.sun_hours import DAY_H, HourlySun, hourly_sun, radiation_from_range_mj_m2
from ringwise.weather.years import WeatherMembers

_J_PER_MJ, _S_PER_H = 1e6, 3600.0  # exact
_ALL_DAYS = slice(None)


@dataclass(frozen=True)
class SunYears:
    """Sun by the hour and loss to the open sky, a row a weather year.

    `coarse` marks days told by temperatures. `sky_w_m2` is what level ground loses by long waves,
    the day's mean.
    """

    radiation_mj_m2: FloatArray
    sky_w_m2: FloatArray
    coarse: BoolArray
    sun: HourlySun


def sun_years(
    station: WeatherMembers,
    series: WeatherSeries | None,
    *,
    latitude_deg: float,
    days: slice = _ALL_DAYS,
) -> SunYears:
    """Sun and open sky of the weather years of a station.

    Parameters
    ----------
    station : WeatherMembers
        Of the station itself: at a place under film the day's extremes would feign sun.
    series : WeatherSeries or None
        From which they were made.
    latitude_deg : float
        South is negative.
    days : slice
        Columns of the members; all by default.

    Returns
    -------
    SunYears
        NaN where a day has neither radiation, nor hours of sunshine, nor extremes.

    Raises
    ------
    RangeError
        If there is no such latitude.

    Source
    ------
    allen1998 (equations 35, 39 and 50); height above the sea is left out.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.weather.series import series_of
    >>> from ringwise.weather.years import members
    >>> past = {"tmin_degC": np.full(1200, 12.0), "tmax_degC": np.full(1200, 22.0)}
    >>> warm = series_of(date(2011, 1, 1), past)
    >>> years = members(warm, issue=date(2014, 3, 1), year=GrowingYear(2014))
    >>> june = years.column(date(2014, 6, 21))
    >>> round(float(sun_years(years, warm, latitude_deg=50.8).radiation_mj_m2[0, june]), 1)
    22.4
    """
    low, high = station.tmin_degC[:, days], station.tmax_degC[:, days]
    at = None if station.stands_on is None else station.stands_on[:, days]

    def measured(name: str) -> FloatArray:
        if at is None or series is None:
            return np.full(low.shape, np.nan)
        return np.where(at >= 0, series.column(name)[np.maximum(at, 0)], np.nan)

    calendar = np.datetime64(station.first, "D") + np.arange(station.tmin_degC.shape[-1])[days]
    day_of_year: IntArray = (calendar - calendar.astype("datetime64[Y]")).astype(np.int64) + 1
    return sun_of_days(
        day_of_year,
        low,
        high,
        latitude_deg=latitude_deg,
        radiation_mj_m2=measured("radiation_mj_m2"),
        sunshine_h=measured("sunshine_h"),
    )


def sun_of_days(
    day_of_year: IntArray,
    tmin_degC: FloatArray,
    tmax_degC: FloatArray,
    *,
    latitude_deg: float,
    radiation_mj_m2: FloatArray,
    sunshine_h: FloatArray,
) -> SunYears:
    """Sun and open sky of days, by the best of what was measured on each.

    Parameters
    ----------
    day_of_year : (days,) int
        1 is 1 January.
    tmin_degC, tmax_degC : (rows, days) float
        In the open.
    latitude_deg : float
        South is negative.
    radiation_mj_m2, sunshine_h : (rows, days) float
        NaN where not measured.

    Returns
    -------
    SunYears
        The vapour in the air is that of the day's lowest temperature.

    Raises
    ------
    RangeError
        If there is no such latitude.

    Source
    ------
    allen1998 (equations 35, 39 and 50), as `sun_years`.

    Examples
    --------
    >>> none = np.full((1, 1), np.nan)
    >>> low, high = np.full((1, 1), 12.0), np.full((1, 1), 24.0)
    >>> june = sun_of_days(
    ...     np.array([172]), low, high, latitude_deg=50.0, radiation_mj_m2=none, sunshine_h=none
    ... )
    >>> bool(june.coarse[0, 0]), 40 < float(june.sky_w_m2[0, 0]) < 70
    (True, True)
    """
    day = solar_day(latitude_deg, day_of_year)
    outside = day.extraterrestrial_mj_m2
    by_sunshine = radiation_from_sunshine_mj_m2(outside, sunshine_h, day.daylength_h)
    by_range = radiation_from_range_mj_m2(outside, tmin_degC, tmax_degC)
    told = np.where(np.isnan(radiation_mj_m2), by_sunshine, radiation_mj_m2)
    coarse = np.isnan(told)
    radiation = np.where(coarse, by_range, told)
    ratio, _clamped = clear_ratio(radiation, clear_sky_mj_m2(outside, 0.0))
    vapour = saturation_kPa(tmin_degC)
    air = DailyAir(day_of_year, tmin_degC, tmax_degC, vapour, 0.0, radiation)
    sky = net_long_mj_m2(air, ratio) * (_J_PER_MJ / _S_PER_H / DAY_H)
    return SunYears(
        radiation_mj_m2=radiation,
        sky_w_m2=np.asarray(sky),
        coarse=np.asarray(coarse),
        sun=hourly_sun(radiation, day_of_year.astype(np.float64), latitude_deg=latitude_deg),
    )
