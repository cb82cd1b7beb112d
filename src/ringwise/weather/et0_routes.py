"""Reference evapotranspiration day by day by the best route that the measurements allow, each day marked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray, FloatLike, IntArray
from ringwise.weather import sun
from ringwise.weather.evapotranspiration import (
    DailyAir,
    PenmanMonteith,
    hargreaves_mm_day,
    penman_monteith,
    solar_day,
)
from ringwise.weather.humidity import Humidity, actual_vapour
from ringwise.weather.series import WeatherSeries

ROUTES = ("penman_monteith", "hargreaves", "none")
RADIATION_FROM = ("measured", "sunshine", "none")


@dataclass(frozen=True)
class MeasuredDays:
    """What was measured on days; what was not is None, or NaN on single days."""

    day_of_year: FloatLike
    tmin_degC: FloatLike
    tmax_degC: FloatLike
    humidity: Humidity
    wind_2m_m_s: FloatLike | None = None
    radiation_mj_m2: FloatLike | None = None
    sunshine_h: FloatLike | None = None


@dataclass(frozen=True)
class Et0Days:
    """Evapotranspiration of days and how each came about.

    `route` is a place in `ROUTES`, `humidity_route` one in `humidity.ROUTES`, `radiation_from` one in
    `RADIATION_FROM`. `penman` holds the intermediates, NaN on days of another route.
    """

    et0_mm_day: FloatArray
    route: IntArray
    humidity_route: IntArray
    radiation_from: IntArray
    wind_assumed: BoolArray
    penman: PenmanMonteith


def et0_days(
    measured: MeasuredDays, *, latitude_deg: float, elevation_m: float, soil_heat_mj_m2: FloatLike = 0.0
) -> Et0Days:
    """Reference evapotranspiration of days by the best route that each allows.

    Parameters
    ----------
    measured : MeasuredDays
        Whatever was measured.
    latitude_deg : float
        South is negative.
    elevation_m : float
        Above the sea.
    soil_heat_mj_m2 : float or array
        What flows into the ground.

    Returns
    -------
    Et0Days
        Penman-Monteith where radiation or sunshine is known; there, missing wind is taken as 2 m/s and
        missing humidity from the night's minimum. Hargreaves where only the extremes are known; nothing
        where they are not.

    Raises
    ------
    RangeError
        If there is no such latitude.

    Source
    ------
    allen1998 (its advice on missing data); the choice between the routes: own reasoning.

    Examples
    --------
    >>> bare = MeasuredDays(187, 12.3, 21.5, Humidity())
    >>> found = et0_days(bare, latitude_deg=50.8, elevation_m=100.0)
    >>> ROUTES[int(found.route)], round(float(found.et0_mm_day), 2)
    ('hargreaves', 4.04)
    """
    days = np.asarray(measured.day_of_year)
    low, high = (np.asarray(each, dtype=np.float64) for each in (measured.tmin_degC, measured.tmax_degC))
    vapour = actual_vapour(low, high, measured.humidity)
    wind = _given(measured.wind_2m_m_s, low)
    radiation, sunshine = _given(measured.radiation_mj_m2, low), _given(measured.sunshine_h, low)
    if measured.sunshine_h is not None:
        day = solar_day(latitude_deg, days)
        by_sunshine = sun.radiation_from_sunshine_mj_m2(day.extraterrestrial_mj_m2, sunshine, day.daylength_h)
    else:
        by_sunshine = sunshine
    air = DailyAir(
        day_of_year=days,
        tmin_degC=low,
        tmax_degC=high,
        actual_kPa=vapour.actual_kPa,
        wind_2m_m_s=np.where(np.isnan(wind), sun.numbers("fao56")["wind_stand_in"], wind),
        radiation_mj_m2=np.where(np.isnan(radiation), by_sunshine, radiation),
    )
    penman = penman_monteith(
        air, latitude_deg=latitude_deg, elevation_m=elevation_m, soil_heat_mj_m2=soil_heat_mj_m2
    )
    has_penman = ~np.isnan(penman.et0_mm_day)
    coarse = np.asarray(np.nan) if has_penman.all() else hargreaves_mm_day(days, low, high, latitude_deg)
    return Et0Days(
        et0_mm_day=np.where(has_penman, penman.et0_mm_day, coarse),
        route=np.where(has_penman, 0, np.where(np.isnan(coarse), 2, 1)),
        humidity_route=vapour.route,
        radiation_from=np.where(~np.isnan(radiation), 0, np.where(~np.isnan(sunshine), 1, 2)),
        wind_assumed=np.asarray(np.isnan(wind)),
        penman=penman,
    )


def _given(values: FloatLike | None, like: FloatArray) -> FloatArray:
    return np.broadcast_to(np.asarray(np.nan if values is None else values, dtype=np.float64), like.shape)


def days_of_year(series: WeatherSeries) -> IntArray:
    """The calendar day of the year of each day of a series.

    Parameters
    ----------
    series : WeatherSeries
        Of any length.

    Returns
    -------
    (n,) int
        1 is 1 January; 366 is the last day of a leap year.

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.weather.series import series_of
    >>> days_of_year(series_of(date(2012, 12, 30), {"tmean_degC": np.zeros(3)})).tolist()
    [365, 366, 1]
    """
    days = np.datetime64(series.first, "D") + np.arange(series.n)
    return np.asarray((days - days.astype("datetime64[Y]")).astype(np.int64) + 1)


def et0_series(series: WeatherSeries, latitude_deg: float, elevation_m: float) -> Et0Days:
    """Reference evapotranspiration of every day of a series, each by the best route it allows.

    Parameters
    ----------
    series : WeatherSeries
        Of a station.
    latitude_deg : float
        Of the station; south is negative.
    elevation_m : float
        Of the station above the sea.

    Returns
    -------
    Et0Days
        As many days as the series.

    Raises
    ------
    RangeError
        If there is no such latitude.

    Source
    ------
    As `et0_days`: allen1998, hargreaves1985.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.weather.series import series_of
    >>> short = series_of(date(2015, 7, 6), {"tmin_degC": np.array([12.3, 12.3]),
    ...                   "tmax_degC": np.array([21.5, 21.5]), "sunshine_h": np.array([9.25, np.nan])})
    >>> [ROUTES[each] for each in et0_series(short, 50.8, 100.0).route]
    ['penman_monteith', 'hargreaves']
    """
    measured = MeasuredDays(
        day_of_year=days_of_year(series),
        tmin_degC=series.tmin_degC,
        tmax_degC=series.tmax_degC,
        humidity=Humidity(rh_min_pct=series.rh_min_pct, rh_max_pct=series.rh_max_pct),
        wind_2m_m_s=series.wind_2m_m_s,
        radiation_mj_m2=series.radiation_mj_m2,
        sunshine_h=series.sunshine_h,
    )
    return et0_days(measured, latitude_deg=latitude_deg, elevation_m=elevation_m)
