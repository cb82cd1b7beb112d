"""Reference evapotranspiration of a day: FAO-56 Penman-Monteith with every intermediate, Hargreaves without.

Both speak of watered grass in the open; what a pot on a bench loses is another matter, in other rooms.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.errors import out_of_range
from ringwise.kit.types import BoolArray, FloatArray, FloatLike
from ringwise.kit.words import _
from ringwise.weather import sun
from ringwise.weather.humidity import (
    mean_saturation_kPa,
    pressure_kPa,
    psychrometric_kPa_per_degC,
    slope_kPa_per_degC,
    vpd_kPa,
)

STANDARD_HEIGHT_M = 2.0  # wind measured here is taken as it is
HEIGHTS_M = (0.5, 100.0)  # the logarithmic profile is meant for instruments between these
DAYS = 366  # a calendar year at its longest


@dataclass(frozen=True)
class DailyAir:
    """What Penman-Monteith needs of a day, as arrays of one shape or plain numbers."""

    day_of_year: FloatLike
    tmin_degC: FloatLike
    tmax_degC: FloatLike
    actual_kPa: FloatLike
    wind_2m_m_s: FloatLike
    radiation_mj_m2: FloatLike


@dataclass(frozen=True)
class SolarDay:
    """What the calendar says of a day at a latitude, under the definition "fao56"."""

    distance_factor: FloatArray
    declination_rad: FloatArray
    sunset_rad: FloatArray
    daylength_h: FloatArray
    extraterrestrial_mj_m2: FloatArray


@dataclass(frozen=True)
class PenmanMonteith:
    """The reference evapotranspiration of days and every step towards it.

    `clear_ratio` is radiation over clear-sky radiation as used in the long-wave term; `clamped` says that
    it was brought into its limits or that the sun did not rise.
    """

    et0_mm_day: FloatArray
    tmean_degC: FloatArray
    pressure_kPa: FloatArray
    psychrometric_kPa_per_degC: FloatArray
    slope_kPa_per_degC: FloatArray
    wind_2m_m_s: FloatArray
    saturation_kPa: FloatArray
    actual_kPa: FloatArray
    vpd_kPa: FloatArray
    sun: SolarDay
    radiation_mj_m2: FloatArray
    clear_sky_mj_m2: FloatArray
    clear_ratio: FloatArray
    clamped: BoolArray
    net_short_mj_m2: FloatArray
    net_long_mj_m2: FloatArray
    net_mj_m2: FloatArray
    soil_heat_mj_m2: FloatArray


def solar_day(latitude_deg: float, day_of_year: FloatLike) -> SolarDay:
    """What the calendar says of days at a latitude.

    Parameters
    ----------
    latitude_deg : float
        South is negative.
    day_of_year : float or array
        1 is 1 January. Long arrays of whole days are looked up in one reckoned year.

    Returns
    -------
    SolarDay
        Of the shape of `day_of_year`.

    Raises
    ------
    RangeError
        If there is no such latitude.

    Source
    ------
    allen1998 (equations 21 to 25 and 34).

    Examples
    --------
    >>> day = solar_day(50.8, 187)
    >>> round(float(day.extraterrestrial_mj_m2), 4), round(float(day.daylength_h), 4)
    (41.0884, 16.1046)
    """
    days = np.asarray(day_of_year)
    if days.size > DAYS and np.issubdtype(days.dtype, np.integer) and 1 <= days.min() <= days.max() <= DAYS:
        year = solar_day(latitude_deg, np.arange(1.0, DAYS + 1.0))
        return SolarDay(*(np.take(getattr(year, name), days - 1) for name in SolarDay.__dataclass_fields__))
    declination_rad = sun.declination_rad(days)
    half_rad = sun.sunset_rad(latitude_deg, declination_rad)
    return SolarDay(
        distance_factor=sun.sun_distance_factor(days),
        declination_rad=declination_rad,
        sunset_rad=half_rad,
        daylength_h=np.asarray(sun.HOURS_A_DAY / np.pi * half_rad),
        extraterrestrial_mj_m2=sun.extraterrestrial_mj_m2(latitude_deg, days),
    )


def wind_at_2m_m_s(wind_m_s: FloatLike, height_m: float) -> FloatArray:
    """Wind at 2 m above short grass from wind at another height.

    Parameters
    ----------
    wind_m_s : float or array
        As measured.
    height_m : float
        Of the instrument above the ground; wind measured at 2 m is taken as it is.

    Returns
    -------
    array
        In metres a second.

    Raises
    ------
    RangeError
        If the profile does not hold at that height.

    Source
    ------
    allen1998 (equation 47).

    Examples
    --------
    >>> round(float(wind_at_2m_m_s(10 / 3.6, 10.0)), 3)
    2.078
    """
    low, high = HEIGHTS_M
    if not low <= height_m <= high:
        raise out_of_range(
            _("height of the wind instrument"),
            f"{height_m:g} m",
            _("{low:g} to {high:g} m").format(low=low, high=high),
        )
    wind = np.asarray(wind_m_s, dtype=np.float64)
    if height_m == STANDARD_HEIGHT_M:
        return wind
    c = sun.numbers("fao56")
    return np.asarray(wind * c["wind_scale"] / np.log(c["wind_rate"] * height_m - c["wind_shift"]))


def net_long_mj_m2(air: DailyAir, clear_ratio: FloatLike) -> FloatArray:
    """What the ground loses by long waves, less what the air sends back.

    Parameters
    ----------
    air : DailyAir
        Its extremes and its vapour count.
    clear_ratio : float or array
        Radiation over clear-sky radiation, within its limits.

    Returns
    -------
    array
        In MJ a square metre and day.

    Source
    ------
    allen1998 (equation 39).

    Examples
    --------
    >>> round(float(net_long_mj_m2(DailyAir(135, 19.0, 25.1, 2.1, 2.0, 14.5), 14.5 / 18.8)), 1)
    3.5
    """
    c = sun.numbers("fao56")
    squares = [
        (np.asarray(each, dtype=np.float64) + c["long_wave_kelvin"]) ** 2
        for each in (air.tmin_degC, air.tmax_degC)
    ]
    black = c["long_wave"] * (squares[0] * squares[0] + squares[1] * squares[1]) / 2.0
    humid = c["long_wave_base"] - c["long_wave_humid"] * np.sqrt(np.asarray(air.actual_kPa, dtype=np.float64))
    return np.asarray(
        black * humid * (c["cloud_rise"] * np.asarray(clear_ratio, dtype=np.float64) - c["cloud_shift"])
    )


def clear_ratio(radiation_mj_m2: FloatLike, clear_sky_mj_m2: FloatLike) -> tuple[FloatArray, BoolArray]:
    """How clear the day was, as the long-wave term may use it.

    Parameters
    ----------
    radiation_mj_m2, clear_sky_mj_m2 : float or array
        At the ground, and what a clear sky would have let through.

    Returns
    -------
    ratio, clamped : array, array of bool
        The ratio within its limits, and whether it had to be brought there. Where the sun does not rise
        there is no ratio: a clear sky stands in, and counts as clamped.

    Source
    ------
    asce_ewri2005 (equation 18), with the limits that pyet, pyfao56 and refet all keep.

    Examples
    --------
    >>> [float(each) for each in clear_ratio(31.0, 25.0)]
    [1.0, 1.0]
    """
    c = sun.numbers("asce")
    radiation = np.asarray(radiation_mj_m2, dtype=np.float64)
    clear = np.asarray(clear_sky_mj_m2, dtype=np.float64)
    light = clear > 0.0
    raw = radiation / np.where(light, clear, 1.0)
    used = np.where(light, np.clip(raw, c["clear_ratio_low"], c["clear_ratio_high"]), c["clear_ratio_dark"])
    used = np.where(np.isnan(radiation), np.nan, used)
    return used, np.asarray(((raw != used) | ~light) & ~np.isnan(radiation))


def penman_monteith(
    air: DailyAir, *, latitude_deg: float, elevation_m: float, soil_heat_mj_m2: FloatLike = 0.0
) -> PenmanMonteith:
    """Reference evapotranspiration of days after FAO-56, with every intermediate.

    Parameters
    ----------
    air : DailyAir
        Of the days; NaN where something is missing, which makes that day NaN.
    latitude_deg : float
        South is negative.
    elevation_m : float
        Above the sea.
    soil_heat_mj_m2 : float or array
        What flows into the ground; over a day it is small beside the rest.

    Returns
    -------
    PenmanMonteith
        Evapotranspiration is never below 0: dew is no water for a pot.

    Raises
    ------
    RangeError
        If there is no such latitude.

    Source
    ------
    allen1998 (equation 6 and those before it), asce_ewri2005 (limits of the ratio); the floor at 0: own
    reasoning.

    Examples
    --------
    >>> day = DailyAir(187, 12.3, 21.5, 1.40862, 2.07764, 22.0721)
    >>> round(float(penman_monteith(day, latitude_deg=50.8, elevation_m=100.0).et0_mm_day), 3)
    3.88
    """
    c = sun.numbers("fao56")
    tmean = (np.asarray(air.tmin_degC, dtype=np.float64) + np.asarray(air.tmax_degC, dtype=np.float64)) / 2.0
    pressure = pressure_kPa(elevation_m)
    psychrometric = psychrometric_kPa_per_degC(pressure)
    slope = slope_kPa_per_degC(tmean)
    saturation = mean_saturation_kPa(air.tmin_degC, air.tmax_degC)
    deficit = vpd_kPa(saturation, air.actual_kPa)
    day = solar_day(latitude_deg, air.day_of_year)
    clear = sun.clear_sky_mj_m2(day.extraterrestrial_mj_m2, elevation_m)
    ratio, clamped = clear_ratio(air.radiation_mj_m2, clear)
    radiation = np.asarray(air.radiation_mj_m2, dtype=np.float64)
    short = np.asarray((1.0 - c["albedo"]) * radiation)
    long = net_long_mj_m2(air, ratio)
    net = np.asarray(short - long)
    soil = np.asarray(soil_heat_mj_m2, dtype=np.float64)
    wind = np.asarray(air.wind_2m_m_s, dtype=np.float64)
    energy = c["water_depth"] * slope * (net - soil)
    drying = psychrometric * (c["air_factor"] / (tmean + c["air_kelvin"])) * wind * deficit
    et0 = (energy + drying) / (slope + psychrometric * (1.0 + c["surface_factor"] * wind))
    return PenmanMonteith(
        et0_mm_day=np.asarray(np.maximum(et0, 0.0)),
        tmean_degC=np.asarray(tmean),
        pressure_kPa=pressure,
        psychrometric_kPa_per_degC=psychrometric,
        slope_kPa_per_degC=slope,
        wind_2m_m_s=wind,
        saturation_kPa=saturation,
        actual_kPa=np.asarray(air.actual_kPa, dtype=np.float64),
        vpd_kPa=deficit,
        sun=day,
        radiation_mj_m2=radiation,
        clear_sky_mj_m2=clear,
        clear_ratio=ratio,
        clamped=clamped,
        net_short_mj_m2=short,
        net_long_mj_m2=long,
        net_mj_m2=net,
        soil_heat_mj_m2=soil,
    )


def hargreaves_mm_day(
    day_of_year: FloatLike, tmin_degC: FloatLike, tmax_degC: FloatLike, latitude_deg: float
) -> FloatArray:
    """Reference evapotranspiration from the extremes of temperature alone: a fallback, and coarse.

    Parameters
    ----------
    day_of_year : float or array
        1 is 1 January.
    tmin_degC, tmax_degC : float or array
        Of the day.
    latitude_deg : float
        South is negative.

    Returns
    -------
    array
        In mm a day, never below 0.

    Raises
    ------
    RangeError
        If there is no such latitude.

    Source
    ------
    hargreaves1985, with the latent heat of allen1998.

    Examples
    --------
    >>> round(float(hargreaves_mm_day(187, 12.3, 21.5, 50.8)), 2)
    4.04
    """
    c = sun.numbers("hargreaves")
    low, high = (np.asarray(each, dtype=np.float64) for each in (tmin_degC, tmax_degC))
    tmean = (low + high) / 2.0
    outside = solar_day(latitude_deg, day_of_year).extraterrestrial_mj_m2
    latent = c["latent_base"] - c["latent_fall"] * tmean
    span = np.sqrt(np.maximum(high - low, 0.0))
    return np.asarray(np.maximum(c["scale"] * (tmean + c["shift"]) * span * outside / latent, 0.0))
