"""Water that leaves take from a pot on a day: demand, stress, and roots that were cut."""

from __future__ import annotations

import numpy as np

from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.types import FloatArray, FloatLike

_CM3_PER_L = 1000.0  # exact; a millimetre on a square metre is a litre
_DAYS_PER_WEEK = 7.0  # exact


def _row(name: str) -> Parameter:
    return load_table("ringwise.rootzone", "balance").get("any", name)


def demand_cm3(et0_mm_day: FloatLike, leaf_m2: FloatLike, exposure_factor: FloatLike = 1.0) -> FloatArray:
    """What leaves would transpire in a day with water at will.

    Parameters
    ----------
    et0_mm_day : float or array
        Reference evapotranspiration.
    leaf_m2 : float or array
        One side of all leaves.
    exposure_factor : float or array
        1 in a sheltered group, 1.2 to 1.5 alone on a windy bench.

    Returns
    -------
    array of float
        Cubic centimetres a day.

    Source
    ------
    coffee_kc2011: water used per area of leaf is that of the reference grass divided by its 2.88.

    Examples
    --------
    >>> round(float(demand_cm3(5.0, 0.2)), 1)
    347.2
    """
    grass = _row("grass_leaf_ratio").number
    per_leaf_mm = np.asarray(et0_mm_day, dtype=np.float64) * np.asarray(exposure_factor) / grass
    return np.asarray(per_leaf_mm * np.asarray(leaf_m2) * _CM3_PER_L)


def stress_frac(water_v: FloatLike, capacity_v: FloatLike, wilting_v: FloatLike) -> FloatArray:
    """The share of their demand that roots can still bring up.

    Parameters
    ----------
    water_v, capacity_v, wilting_v : float or array
        Water by volume now, at container capacity, and where supply stops.

    Returns
    -------
    array of float
        1 while less than a share of the water is gone (`stress_frac` of balance.csv), 0 where supply stops.

    Source
    ------
    own: a straight line, as in allen1998, between rows of balance.csv.

    Examples
    --------
    >>> [round(float(stress_frac(water, 0.5, 0.2)), 2) for water in (0.5, 0.38, 0.29, 0.2)]
    [1.0, 1.0, 0.5, 0.0]
    """
    span = (1.0 - _row("stress_frac").number) * (np.asarray(capacity_v) - np.asarray(wilting_v))
    return np.asarray(np.clip((np.asarray(water_v, dtype=np.float64) - wilting_v) / span, 0.0, 1.0))


def taken_cm3(demand: FloatArray, above_cm3: FloatArray, slowing_cm3: FloatArray) -> FloatArray:
    """What is transpired in a whole day while the pot dries: the exact end of the day, not a step.

    Parameters
    ----------
    demand : array of float
        Of the day, cm3.
    above_cm3 : array of float
        Water above the stop of supply when the day begins.
    slowing_cm3 : array of float
        Water above that stop from which on leaves slow; above 0.

    Returns
    -------
    array of float
        Cubic centimetres; never more than `above_cm3`.

    Source
    ------
    own: closed form of dW/dt = -demand x stress_frac over one day.

    Examples
    --------
    >>> float(taken_cm3(np.array(100.0), np.array(500.0), np.array(300.0)))
    100.0
    >>> round(float(taken_cm3(np.array(100.0), np.array(100.0), np.array(100.0))), 2)  # 100 (1 - 1/e)
    63.21
    """
    held = np.maximum(above_cm3, 0.0)
    free = np.minimum(np.maximum(held - slowing_cm3, 0.0), demand)  # taken before leaves slow
    rest = np.maximum(demand - free, 0.0)
    falling = np.minimum(held, slowing_cm3)
    return np.asarray(free + falling * -np.expm1(-rest / slowing_cm3))


def root_frac(kept_frac: FloatLike, after_days: FloatLike, half_days: FloatLike | None = None) -> FloatArray:
    """The share of fine roots at work, some days after roots were cut.

    Parameters
    ----------
    kept_frac : float or array
        Share of fine roots left by the work.
    after_days : float or array
        Days in which roots could grow since; before the work roots are whole.
    half_days : float or array, optional
        Days in which half of the loss comes back; by default the row's weeks.

    Returns
    -------
    array of float
        From `kept_frac` towards 1.

    Source
    ------
    practice: half-time of balance.csv, `recovery_weeks`.

    Examples
    --------
    >>> [round(float(root_frac(0.4, day)), 2) for day in (-1, 0, 35, 70)]
    [1.0, 0.4, 0.7, 0.85]
    """
    half = _row("recovery_weeks").number * _DAYS_PER_WEEK if half_days is None else np.asarray(half_days)
    after = np.asarray(after_days, dtype=np.float64)
    back = 1.0 - (1.0 - np.asarray(kept_frac, dtype=np.float64)) * np.exp2(-np.maximum(after, 0.0) / half)
    return np.where(after < 0.0, 1.0, back)


def uptake_cm3(normal_day_cm3: FloatLike, root_share: FloatArray) -> FloatArray:
    """The most that roots bring up in a day; without limit where they are whole again.

    Parameters
    ----------
    normal_day_cm3 : float or array
        What the tree used on a normal day before its roots were cut.
    root_share : array of float
        From `root_frac`.

    Returns
    -------
    array of float
        Cubic centimetres a day.

    Source
    ------
    own: uptake in proportion to fine roots, until `recovered_frac` of balance.csv.

    Examples
    --------
    >>> uptake_cm3(300.0, np.array([0.4, 0.99])).tolist()
    [120.0, inf]
    """
    recovered = _row("recovered_frac").number
    return np.where(root_share < recovered, np.asarray(normal_day_cm3) * root_share, np.inf)
