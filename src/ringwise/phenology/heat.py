"""Measures of warmth: degree days from daily means or daily extremes, growing degree hours."""

from __future__ import annotations

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.phenology.chill import constant


def mean_degree_days(tmean_degC: FloatArray, *, base_degC: float) -> FloatArray:
    """Degree days of each day by its mean: what lies above a base.

    Parameters
    ----------
    tmean_degC : (...) float
        Daily means, NaN where missing.
    base_degC : float
        Only what lies above it counts.

    Returns
    -------
    (...) float
        In degree days; NaN where missing.

    Source
    ------
    kalvans2015 (form).

    Examples
    --------
    >>> mean_degree_days(np.array([3.0, 7.5]), base_degC=5.0).tolist()
    [0.0, 2.5]
    """
    return np.maximum(np.asarray(tmean_degC, dtype=np.float64) - base_degC, 0.0)


def sine_degree_days(tmin_degC: FloatArray, tmax_degC: FloatArray, *, base_degC: float) -> FloatArray:
    """Degree days of each day by one sine through its extremes: a warm noon counts on a cool day.

    Parameters
    ----------
    tmin_degC, tmax_degC : (...) float
        The day's lowest and highest, NaN where missing.
    base_degC : float
        Only what lies above it counts.

    Returns
    -------
    (...) float
        In degree days, never less than by the mean; NaN where an extreme is missing.

    Source
    ------
    baskerville_emin1969.

    Examples
    --------
    >>> sine_degree_days(np.array([3.0, 10.0]), np.array([15.0, 20.0]), base_degC=5.0).round(4).tolist()
    [4.3526, 10.0]
    """
    low, high = np.asarray(tmin_degC, dtype=np.float64), np.asarray(tmax_degC, dtype=np.float64)
    mean, half = (low + high) / 2.0, (high - low) / 2.0
    crossed = (low < base_degC) & (high > base_degC)
    ratio = np.where(crossed, (base_degC - mean) / np.where(crossed, half, 1.0), 0.0)
    angle = np.arcsin(np.clip(ratio, -1.0, 1.0))
    above = (half * np.cos(angle) - (base_degC - mean) * (np.pi / 2.0 - angle)) / np.pi
    return np.where(crossed, above, np.maximum(mean - base_degC, 0.0))


def growing_degree_hours(hours_degC: FloatArray) -> FloatArray:
    """Growing degree hours of each hour: none below 4 and above 36 degC, most at 25.

    Parameters
    ----------
    hours_degC : (...) float
        Hourly temperatures, NaN where missing.

    Returns
    -------
    (...) float
        What each hour adds, 0 to 21; NaN where missing.

    Source
    ------
    anderson1986; rows of chill.csv.

    Examples
    --------
    >>> growing_degree_hours(np.array([4.0, 10.0, 25.0, 36.0])).round(4).tolist()
    [0.0, 3.9534, 21.0, 0.0]
    """
    hours = np.asarray(hours_degC, dtype=np.float64)
    base, best, most = (constant("growing_degree_hours", name) for name in ("base", "best", "most"))
    rise = (1.0 + np.cos(np.pi + np.pi * (hours - base) / (best - base))) / 2.0
    fall = 1.0 + np.cos(np.pi / 2.0 + np.pi / 2.0 * (hours - best) / (most - best))
    share = np.where(hours <= best, rise, fall)
    outside = (hours < base) | (hours > most)
    return (best - base) * np.where(outside, 0.0, share)
