"""The sun hour by hour: where it stands, and what a day's radiation is on level ground and on a wall.

Hours are of local solar time, 0 to 23; noon is when the sun stands highest. Between two hours all runs in
straight lines, so that the hours of a day together hold exactly the day's radiation.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import FloatArray, FloatLike
from ringwise.weather.sun import (
    checked_latitude_deg,
    declination_rad,
    extraterrestrial_mj_m2,
    numbers,
)

DAY_H = 24
_NOON = 12.0
_RAD_PER_H = np.pi / _NOON
_J_PER_MJ = 1e6  # exact
_S_PER_H = 3600.0  # exact
_S_PER_MIN = 60.0  # exact


@dataclass(frozen=True)
class SunPlace:
    """Where the sun stands at each hour of each day, (days, 24).

    `sine` is that of its altitude, negative by night; `azimuth_deg` is counted from north over east.
    """

    sine: FloatArray
    azimuth_deg: FloatArray

    @property
    def cosine(self) -> FloatArray:
        """The cosine of its altitude: the part of a ray that runs level."""
        return np.asarray(np.sqrt(np.maximum(1.0 - self.sine**2, 0.0)))


@dataclass(frozen=True)
class HourlySun:
    """A day's radiation spread over its hours, (..., days, 24) in W/m2.

    `beam_w_m2` comes straight from the sun and counts square to its rays; `diffuse_w_m2` comes from the rest
    of the sky and counts on level ground.
    """

    beam_w_m2: FloatArray
    diffuse_w_m2: FloatArray
    place: SunPlace

    @property
    def level_w_m2(self) -> FloatArray:
        """On level ground: both together."""
        return np.asarray(self.beam_w_m2 * np.maximum(self.place.sine, 0.0) + self.diffuse_w_m2)

    @property
    def facing_w_m2(self) -> FloatArray:
        """The beam alone on an upright wall that faces the sun."""
        return np.asarray(self.beam_w_m2 * self.place.cosine)

    def around_w_m2(self, albedo_frac: float) -> FloatArray:
        """On an upright wall from the half of the sky that it sees and from the ground before it."""
        return np.asarray((self.diffuse_w_m2 + albedo_frac * self.level_w_m2) / 2.0)


def sun_place(day_of_year: FloatLike, *, latitude_deg: float) -> SunPlace:
    """Where the sun stands at the hours of some days.

    Parameters
    ----------
    day_of_year : (days,) float
        1 is 1 January, in both hemispheres.
    latitude_deg : float
        South is negative.

    Returns
    -------
    SunPlace
        The sun's centre, without refraction.

    Raises
    ------
    RangeError
        If there is no such latitude.

    Source
    ------
    own: spherical triangle of pole, zenith and sun; declination of allen1998.

    Examples
    --------
    >>> south = sun_place(np.array([80.0]), latitude_deg=50.0)
    >>> [round(float(south.azimuth_deg[0, hour])) for hour in (6, 12, 18)]
    [90, 180, 270]
    """
    latitude = float(np.radians(checked_latitude_deg(latitude_deg)))
    sun = declination_rad(np.atleast_1d(day_of_year))[:, None]
    turn = (np.arange(DAY_H) - _NOON) * _RAD_PER_H
    sine = np.sin(latitude) * np.sin(sun) + np.cos(latitude) * np.cos(sun) * np.cos(turn)
    east = -np.cos(sun) * np.sin(turn)
    north = np.cos(latitude) * np.sin(sun) - np.sin(latitude) * np.cos(sun) * np.cos(turn)
    return SunPlace(np.asarray(sine), np.asarray(np.degrees(np.arctan2(east, north)) % 360.0))


def radiation_from_range_mj_m2(
    extraterrestrial_mj_m2: FloatLike, tmin_degC: FloatLike, tmax_degC: FloatLike
) -> FloatArray:
    """A day's radiation from how far its lowest and highest temperature lie apart.

    Parameters
    ----------
    extraterrestrial_mj_m2 : float or array
        Outside the atmosphere.
    tmin_degC, tmax_degC : float or array
        In open air: film or glass spreads them and would feign sun.

    Returns
    -------
    array
        In MJ a square metre and day, at most that of a clear sky at sea level.

    Source
    ------
    allen1998 (equation 50), its factor between inland and coast.

    Examples
    --------
    >>> round(float(radiation_from_range_mj_m2(40.6, 14.8, 26.6)), 1)
    23.7
    """
    outside = np.asarray(extraterrestrial_mj_m2, dtype=np.float64)
    span = np.maximum(np.asarray(tmax_degC, dtype=np.float64) - np.asarray(tmin_degC, dtype=np.float64), 0.0)
    most = numbers("fao56")["clear_base"]
    return np.asarray(outside * np.minimum(numbers("sun_hours")["range_rise"] * np.sqrt(span), most))


def hourly_sun(radiation_mj_m2: FloatLike, day_of_year: FloatLike, *, latitude_deg: float) -> HourlySun:
    """A day's radiation spread over its hours, the beam apart from the light of the sky.

    Parameters
    ----------
    radiation_mj_m2 : (..., days) float
        On level ground; NaN stays NaN.
    day_of_year : (days,) float
        1 is 1 January.
    latitude_deg : float
        South is negative.

    Returns
    -------
    HourlySun
        Its level radiation over a day is the day's.

    Raises
    ------
    RangeError
        If there is no such latitude.

    Source
    ------
    page1961 for the share of the sky; the beam weakens with the way through the air as a power of the clear
    air's transmission; the light of the sky follows the sine of the sun's altitude: own assumption.

    Examples
    --------
    >>> june = hourly_sun(np.array([25.0]), np.array([172.0]), latitude_deg=50.0)
    >>> round(float(june.level_w_m2.sum()) * 3600 / 1e6, 6)
    25.0
    """
    c = numbers("sun_hours")
    radiation = np.asarray(radiation_mj_m2, dtype=np.float64)
    days = np.atleast_1d(np.asarray(day_of_year, dtype=np.float64))
    place = sun_place(days, latitude_deg=latitude_deg)
    sine = np.maximum(place.sine, 0.0)
    up = sine > 0.0
    clear = np.where(up, c["clear_air"] ** (1.0 / np.where(up, sine, 1.0)), 0.0)
    outside = extraterrestrial_mj_m2(latitude_deg, days)
    light = np.where(outside > 0.0, outside, np.inf)
    share = np.clip(c["sky_base"] - c["sky_fall"] * radiation / light, c["sky_least"], 1.0)
    mean_w_m2 = radiation * (_J_PER_MJ / _S_PER_H)  # a day's sum of 24 values
    beam_sum, sine_sum = (clear * sine).sum(axis=-1), sine.sum(axis=-1)
    lit = beam_sum > 0.0
    power = np.where(lit, (1.0 - share) * mean_w_m2 / np.where(lit, beam_sum, 1.0), 0.0)
    most = numbers("fao56")["solar_constant"] * _J_PER_MJ / _S_PER_MIN
    # A low sun's beam is weak however the day's sum falls: no more than the clearest air lets through.
    way = 1.0 / np.where(up, sine, 1.0)
    most_w_m2 = most * np.where(up, c["clear_air"] ** (way ** c["slant_power"]), 0.0)
    beam = np.minimum(power[..., None] * clear, most_w_m2)
    rest = mean_w_m2 - (beam * sine).sum(axis=-1)
    sky = np.where(sine_sum > 0.0, rest / np.where(sine_sum > 0.0, sine_sum, 1.0), 0.0)
    return HourlySun(np.asarray(beam), np.asarray(sky[..., None] * sine), place)
