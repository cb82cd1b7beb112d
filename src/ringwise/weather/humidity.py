"""Water in the air: saturation, what is there by the best route measured, the deficit; and air pressure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import FloatArray, FloatLike, IntArray
from ringwise.weather.sun import numbers

# Best first; the last one assumes that the night cools to the dew point.
ROUTES = ("vapour_pressure", "dew_point", "rh_min_max", "rh_max", "rh_mean", "rh_min", "tmin")
ASSUMED_ROUTE = ROUTES.index("tmin")


@dataclass(frozen=True)
class Humidity:
    """What was measured of the water in the air; what was not is None, or NaN on single days."""

    vapour_pressure_kPa: FloatLike | None = None
    dew_point_degC: FloatLike | None = None
    rh_min_pct: FloatLike | None = None
    rh_max_pct: FloatLike | None = None
    rh_mean_pct: FloatLike | None = None


@dataclass(frozen=True)
class ActualVapour:
    """Actual vapour pressure; `route` is each day's place in `ROUTES`."""

    actual_kPa: FloatArray
    route: IntArray


def saturation_kPa(temperature_degC: FloatLike) -> FloatArray:
    """Vapour pressure of saturated air.

    Parameters
    ----------
    temperature_degC : float or array
        Of the air.

    Returns
    -------
    array
        In kPa.

    Source
    ------
    allen1998 (equation 11).

    Examples
    --------
    >>> round(float(saturation_kPa(24.5)), 3)
    3.075
    """
    c = numbers("fao56")
    air = np.asarray(temperature_degC, dtype=np.float64)
    return np.asarray(
        c["saturation_scale"] * np.exp(c["saturation_rate"] * air / (air + c["saturation_shift"]))
    )


def mean_saturation_kPa(tmin_degC: FloatLike, tmax_degC: FloatLike) -> FloatArray:
    """Mean saturation of a day: half of that at its coldest and half of that at its warmest.

    Parameters
    ----------
    tmin_degC, tmax_degC : float or array
        Of the day. The saturation of the mean temperature would be too low.

    Returns
    -------
    array
        In kPa.

    Source
    ------
    allen1998 (equation 12).

    Examples
    --------
    >>> round(float(mean_saturation_kPa(15.0, 24.5)), 2)
    2.39
    """
    return np.asarray((saturation_kPa(tmin_degC) + saturation_kPa(tmax_degC)) / 2.0)


def slope_kPa_per_degC(temperature_degC: FloatLike) -> FloatArray:
    """How fast saturation rises with temperature.

    Parameters
    ----------
    temperature_degC : float or array
        Of the air.

    Returns
    -------
    array
        In kPa a degree.

    Source
    ------
    allen1998 (equation 13).

    Examples
    --------
    >>> round(float(slope_kPa_per_degC(16.9)), 6)
    0.122113
    """
    c = numbers("fao56")
    air = np.asarray(temperature_degC, dtype=np.float64)
    return np.asarray(c["slope_scale"] * saturation_kPa(air) / (air + c["saturation_shift"]) ** 2)


def actual_vapour(tmin_degC: FloatLike, tmax_degC: FloatLike, humidity: Humidity) -> ActualVapour:
    """Actual vapour pressure of each day by the best route that was measured.

    Parameters
    ----------
    tmin_degC, tmax_degC : float or array
        Of the day.
    humidity : Humidity
        Whatever was measured.

    Returns
    -------
    ActualVapour
        Where nothing was measured the dew point is taken to be the day's minimum: fair for watered ground
        on a clear night, too moist in dry country. It is never above the mean saturation.

    Source
    ------
    allen1998 (equations 14, 17, 18, 19 and 48, in its order of preference); minimum humidity alone as in
    asce_ewri2005 (equation 13).

    Examples
    --------
    >>> found = actual_vapour(18.0, 25.0, Humidity(rh_min_pct=54.0, rh_max_pct=82.0))
    >>> round(float(found.actual_kPa), 2), ROUTES[int(found.route)]
    (1.7, 'rh_min_max')
    """
    cold, warm = saturation_kPa(tmin_degC), saturation_kPa(tmax_degC)
    mean = (cold + warm) / 2.0
    least, most, middle, given, dew = (
        None if each is None else np.asarray(each, dtype=np.float64)
        for each in (
            humidity.rh_min_pct,
            humidity.rh_max_pct,
            humidity.rh_mean_pct,
            humidity.vapour_pressure_kPa,
            humidity.dew_point_degC,
        )
    )
    by_route = (
        given,
        None if dew is None else saturation_kPa(dew),
        None if least is None or most is None else (cold * most + warm * least) / 200.0,
        None if most is None else cold * most / 100.0,
        None if middle is None else mean * middle / 100.0,
        None if least is None else warm * least / 100.0,
    )
    actual, route = cold, np.full(mean.shape, ASSUMED_ROUTE, dtype=np.int64)
    for place in range(ASSUMED_ROUTE - 1, -1, -1):
        values = by_route[place]
        if values is not None:
            known = ~np.isnan(values)
            actual = np.where(known, values, actual)
            route = np.where(known, place, route)
    return ActualVapour(np.asarray(np.minimum(actual, mean)), np.asarray(route))


def vpd_kPa(saturation_kPa: FloatLike, actual_kPa: FloatLike) -> FloatArray:
    """How much vapour the air could still take up.

    Parameters
    ----------
    saturation_kPa, actual_kPa : float or array
        Of the day.

    Returns
    -------
    array
        In kPa, never below 0.

    Source
    ------
    allen1998 (equation 6, its last difference).

    Examples
    --------
    >>> round(float(vpd_kPa(1.99749, 1.40862)), 5)
    0.58887
    """
    gap = np.asarray(saturation_kPa, dtype=np.float64) - np.asarray(actual_kPa, dtype=np.float64)
    return np.asarray(np.maximum(gap, 0.0))


def pressure_kPa(elevation_m: FloatLike) -> FloatArray:
    """Usual air pressure at an elevation.

    Parameters
    ----------
    elevation_m : float or array
        Above the sea.

    Returns
    -------
    array
        In kPa.

    Source
    ------
    allen1998 (equation 7).

    Examples
    --------
    >>> round(float(pressure_kPa(1800.0)), 1)
    81.8
    """
    c = numbers("fao56")
    cooled = c["pressure_lapse"] * np.asarray(elevation_m, dtype=np.float64) / c["pressure_temperature"]
    return np.asarray(c["pressure_sea"] * (1.0 - cooled) ** c["pressure_exponent"])


def psychrometric_kPa_per_degC(pressure_kPa: FloatLike) -> FloatArray:
    """The psychrometric constant at an air pressure.

    Parameters
    ----------
    pressure_kPa : float or array
        Of the air.

    Returns
    -------
    array
        In kPa a degree.

    Source
    ------
    allen1998 (equation 8).

    Examples
    --------
    >>> round(float(psychrometric_kPa_per_degC(81.8)), 3)
    0.054
    """
    return np.asarray(numbers("fao56")["psychrometric"] * np.asarray(pressure_kPa, dtype=np.float64))
