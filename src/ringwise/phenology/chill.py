"""Measures of winter's chill over hours: chill hours, Utah units, portions of the Dynamic Model."""

from __future__ import annotations

import numpy as np

from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray

ROOM = "ringwise.phenology"
DYNAMIC_NAMES = ("energy_0", "energy_1", "factor_0", "factor_1", "slope", "freeze", "kelvin")
STEPS = 6  # temperatures that part the seven steps of the Utah units


def constant(measure: str, name: str) -> float:
    """A constant of a measure.

    Parameters
    ----------
    measure, name : str
        Key and parameter of chill.csv.

    Returns
    -------
    float
        In the unit of its row.

    Source
    ------
    rows of chill.csv.

    Examples
    --------
    >>> constant("chill_hours", "most")
    7.2
    """
    return load_table(ROOM, "chill").get(measure, name).number


def chill_hours(hours_degC: FloatArray) -> FloatArray:
    """Which hours are chill hours: 1 between freezing and 7.2 degC, both included, else 0.

    Parameters
    ----------
    hours_degC : (...) float
        Hourly temperatures, NaN where missing.

    Returns
    -------
    (...) float
        What each hour adds; NaN where missing.

    Source
    ------
    chillr077; rows of chill.csv.

    Examples
    --------
    >>> chill_hours(np.array([-0.1, 0.0, 7.2, 7.3])).tolist()
    [0.0, 1.0, 1.0, 0.0]
    """
    hours = np.asarray(hours_degC, dtype=np.float64)
    cold = (hours >= constant("chill_hours", "least")) & (hours <= constant("chill_hours", "most"))
    return np.where(np.isnan(hours), np.nan, cold.astype(np.float64))


def utah_units(hours_degC: FloatArray) -> FloatArray:
    """Utah chill units of each hour: a step function that warm hours take from.

    Parameters
    ----------
    hours_degC : (...) float
        Hourly temperatures, NaN where missing.

    Returns
    -------
    (...) float
        What each hour adds, -1 to 1; NaN where missing.

    Source
    ------
    richardson1974; rows of chill.csv.

    Examples
    --------
    >>> utah_units(np.array([1.4, 2.4, 9.1, 12.4, 15.9, 18.0, 18.1])).tolist()
    [0.0, 0.5, 1.0, 0.5, 0.0, -0.5, -1.0]
    """
    hours = np.asarray(hours_degC, dtype=np.float64)
    edges = np.array([constant("utah", f"edge_{k}") for k in range(1, STEPS + 1)])
    units = np.array([constant("utah", f"units_{k}") for k in range(STEPS + 1)])
    # An edge belongs to the step below it.
    return np.where(np.isnan(hours), np.nan, units[np.searchsorted(edges, hours, side="left")])


def chill_portions(hours_degC: FloatArray) -> FloatArray:
    """Running sum of chill portions by the Dynamic Model, from an empty start.

    Parameters
    ----------
    hours_degC : (hours,) or (rows, hours) float
        Hourly temperatures, NaN where missing.

    Returns
    -------
    (hours,) or (rows, hours) float
        Portions fixed before each hour: what an hour adds is booked at the next one, so the last hour of
        the series is not counted. That is the form of chillR; older spreadsheets count an hour earlier and
        give other sums. After a missing hour all is NaN, since the product it carries on is not known.

    Source
    ------
    fishman1987, in the form of chillr077; rows of chill.csv.

    Examples
    --------
    >>> round(float(chill_portions(np.full(1200, 6.0))[-1]), 3)
    41.044
    """
    from ringwise.phenology import chill_kernels

    hours = np.asarray(hours_degC, dtype=np.float64)
    rows = np.ascontiguousarray(np.atleast_2d(hours))
    booked = np.empty_like(rows)
    fixed = np.array([constant("dynamic", name) for name in DYNAMIC_NAMES])
    chill_kernels.portions(rows, fixed, booked)
    return booked.reshape(hours.shape)
