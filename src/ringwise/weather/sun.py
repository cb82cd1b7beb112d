"""The sun by the calendar: declination, daylength under named definitions, radiation with and without clouds.

A model that was fitted with one definition of daylength keeps to it: the definitions differ by up to a
quarter of an hour in temperate latitudes, which moves a threshold by days.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from ringwise.kit.errors import out_of_range, unknown_name
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray, FloatLike
from ringwise.kit.words import _

ROOM = "ringwise.weather"
DEFINITIONS = ("fao56", "forsythe", "spencer", "gauzere")
HOURS_A_DAY = 24.0
MINUTES_A_DAY = 1440.0


@cache
def numbers(key: str) -> dict[str, float]:
    """The numbers of `data/derived.csv` under one key.

    Parameters
    ----------
    key : str
        Such as "fao56" or "forsythe".

    Returns
    -------
    dict of str to float
        By parameter, in the unit of the row.

    Source
    ------
    The rows name their own.

    Examples
    --------
    >>> numbers("fao56")["albedo"]
    0.23
    """
    return {name: row.number for name, row in load_table(ROOM, "derived").of(key).items()}


def declination_rad(day_of_year: FloatLike, definition: str = "fao56") -> FloatArray:
    """How far the sun stands north of the equator at noon.

    Parameters
    ----------
    day_of_year : float or array
        1 is 1 January, in both hemispheres.
    definition : str
        One of `DEFINITIONS`.

    Returns
    -------
    array
        In radians, negative in the southern summer.

    Raises
    ------
    UnknownNameError
        If there is no such definition.

    Source
    ------
    allen1998, forsythe1995, spencer1971 and gauzere2017 by the name of the definition.

    Examples
    --------
    >>> round(float(declination_rad(187)), 6)
    0.395436
    """
    if definition not in DEFINITIONS:
        raise unknown_name(_("definition of daylength"), definition, DEFINITIONS)
    day = np.asarray(day_of_year, dtype=np.float64)
    c = numbers(definition)
    if definition == "fao56":
        return np.asarray(
            c["declination_amplitude"] * np.sin(2.0 * np.pi * day / c["year"] - c["declination_shift"])
        )
    if definition == "gauzere":
        return np.asarray(np.radians(c["tilt"]) * np.sin(2.0 * np.pi * (c["day_shift"] + day) / c["year"]))
    if definition == "forsythe":
        half = np.tan(c["turn_rate"] * (day - c["turn_day"]))
        return np.asarray(
            np.arcsin(c["tilt_sine"] * np.cos(c["turn_start"] + 2.0 * np.arctan(c["turn_shape"] * half)))
        )
    turn = 2.0 * np.pi * (day - 1.0) / c["year"]
    waves = [c[f"cosine_{k}"] * np.cos(k * turn) + c[f"sine_{k}"] * np.sin(k * turn) for k in (1, 2, 3)]
    return np.asarray(c["constant"] + sum(waves))


def sunset_rad(latitude_deg: FloatLike, declination_rad: FloatLike, horizon_deg: float = 0.0) -> FloatArray:
    """The hour angle of sunset: half of the day as an angle.

    Parameters
    ----------
    latitude_deg : float or array
        South is negative.
    declination_rad : float or array
        Of the sun.
    horizon_deg : float
        How far the sun's centre lies below the horizon when the day begins.

    Returns
    -------
    array
        0 in the polar night, pi where the sun does not set.

    Raises
    ------
    RangeError
        If there is no such latitude.

    Source
    ------
    allen1998 (equation 25), widened by the horizon as in forsythe1995.

    Examples
    --------
    >>> round(float(sunset_rad(50.8, declination_rad(187))), 6)
    2.108089
    """
    turned = np.radians(checked_latitude_deg(latitude_deg))
    sun = np.asarray(declination_rad, dtype=np.float64)
    cosine = (np.sin(np.radians(-horizon_deg)) - np.sin(turned) * np.sin(sun)) / (
        np.cos(turned) * np.cos(sun)
    )
    return np.asarray(np.arccos(np.clip(cosine, -1.0, 1.0)))


def checked_latitude_deg(latitude_deg: FloatLike) -> FloatArray:
    """The latitude itself, where there is one.

    Parameters
    ----------
    latitude_deg : float or array
        South is negative.

    Returns
    -------
    array
        The same.

    Raises
    ------
    RangeError
        If it does not lie between the poles.

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> float(checked_latitude_deg(-33.9))
    -33.9
    """
    latitude = np.asarray(latitude_deg, dtype=np.float64)
    wrong = latitude[~((latitude >= -90.0) & (latitude <= 90.0))]
    if wrong.size:
        raise out_of_range(_("latitude"), f"{float(wrong.flat[0]):g}", _("-90 to 90 degrees"))
    return latitude


def daylength_h(latitude_deg: FloatLike, day_of_year: FloatLike, definition: str = "fao56") -> FloatArray:
    """Hours from sunrise to sunset, under one definition of both.

    Parameters
    ----------
    latitude_deg : float or array
        South is negative.
    day_of_year : float or array
        1 is 1 January, in both hemispheres.
    definition : str
        "fao56" and "gauzere" take the sun's centre on the bare horizon; "forsythe" and "spencer" (as in
        chillR) take its upper rim with refraction, which is about 0.2 h longer.

    Returns
    -------
    array
        0 in the polar night, 24 where the sun does not set.

    Raises
    ------
    UnknownNameError
        If there is no such definition.
    RangeError
        If there is no such latitude.

    Source
    ------
    allen1998, forsythe1995, spencer1971 and gauzere2017 by the name of the definition.

    Examples
    --------
    >>> [round(float(daylength_h(45.0, 172, name)), 4) for name in ("fao56", "forsythe")]
    [15.4248, 15.6183]
    """
    sun = declination_rad(day_of_year, definition)
    half = sunset_rad(latitude_deg, sun, numbers(definition)["horizon"])
    return np.asarray(HOURS_A_DAY / np.pi * half)


def sun_distance_factor(day_of_year: FloatLike) -> FloatArray:
    """By how much the sun's radiation exceeds its mean because the earth is nearer to it.

    Parameters
    ----------
    day_of_year : float or array
        1 is 1 January.

    Returns
    -------
    array
        Largest early in January.

    Source
    ------
    allen1998 (equation 23).

    Examples
    --------
    >>> round(float(sun_distance_factor(246)), 3)
    0.985
    """
    c = numbers("fao56")
    day = np.asarray(day_of_year, dtype=np.float64)
    return np.asarray(1.0 + c["distance_amplitude"] * np.cos(2.0 * np.pi * day / c["year"]))


def extraterrestrial_mj_m2(latitude_deg: FloatLike, day_of_year: FloatLike) -> FloatArray:
    """The sun's radiation of a day on a level surface outside the atmosphere.

    Parameters
    ----------
    latitude_deg : float or array
        South is negative.
    day_of_year : float or array
        1 is 1 January, in both hemispheres.

    Returns
    -------
    array
        In MJ a square metre and day; 0 in the polar night.

    Raises
    ------
    RangeError
        If there is no such latitude.

    Source
    ------
    allen1998 (equation 21).

    Examples
    --------
    >>> round(float(extraterrestrial_mj_m2(-20.0, 246)), 1)
    32.2
    """
    sun = declination_rad(day_of_year)
    half = sunset_rad(latitude_deg, sun)
    turned = np.radians(np.asarray(latitude_deg, dtype=np.float64))
    height = half * np.sin(turned) * np.sin(sun) + np.cos(turned) * np.cos(sun) * np.sin(half)
    power = MINUTES_A_DAY / np.pi * numbers("fao56")["solar_constant"]
    return np.asarray(np.maximum(power * sun_distance_factor(day_of_year) * height, 0.0))


def clear_sky_mj_m2(extraterrestrial_mj_m2: FloatLike, elevation_m: FloatLike) -> FloatArray:
    """What of the radiation outside reaches the ground under a clear sky.

    Parameters
    ----------
    extraterrestrial_mj_m2 : float or array
        Of the day.
    elevation_m : float or array
        Above the sea.

    Returns
    -------
    array
        In MJ a square metre and day.

    Source
    ------
    allen1998 (equation 37).

    Examples
    --------
    >>> round(float(clear_sky_mj_m2(41.0884, 100.0)), 4)
    30.8985
    """
    c = numbers("fao56")
    share = c["clear_base"] + c["clear_rise"] * np.asarray(elevation_m, dtype=np.float64)
    return np.asarray(share * np.asarray(extraterrestrial_mj_m2, dtype=np.float64))


def radiation_from_sunshine_mj_m2(
    extraterrestrial_mj_m2: FloatLike, sunshine_h: FloatLike, daylength_h: FloatLike
) -> FloatArray:
    """Radiation at the ground from the hours of bright sunshine.

    Parameters
    ----------
    extraterrestrial_mj_m2 : float or array
        Of the day.
    sunshine_h : float or array
        As measured.
    daylength_h : float or array
        By the definition "fao56".

    Returns
    -------
    array
        In MJ a square metre and day; the sun shines at most all day, none in the polar night.

    Source
    ------
    allen1998 (equation 35); the limit to the whole day: own reasoning.

    Examples
    --------
    >>> round(float(radiation_from_sunshine_mj_m2(41.0884, 9.25, 16.1046)), 3)
    22.072
    """
    c = numbers("fao56")
    sunshine = np.asarray(sunshine_h, dtype=np.float64)
    day = np.asarray(daylength_h, dtype=np.float64)
    share = np.minimum(sunshine / np.where(day > 0.0, day, np.inf), 1.0)
    outside = np.asarray(extraterrestrial_mj_m2, dtype=np.float64)
    return np.asarray((c["sunshine_base"] + c["sunshine_rise"] * share) * outside)
