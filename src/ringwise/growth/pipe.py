"""The pipe model: how thick wood must be for the leaf that it feeds."""

from __future__ import annotations

import math

import numpy as np

from ringwise.kit.errors import out_of_range
from ringwise.kit.types import FloatArray, IntArray


def _leaf_above(parent: IntArray, leaf_cm2: FloatArray) -> FloatArray:
    total = np.array(leaf_cm2, dtype=np.float64)
    for row in range(len(parent) - 1, 0, -1):
        total[parent[row]] += total[row]
    return total


def pipe_diameters(
    parent: IntArray, leaf_units_n: FloatArray, *, tip_mm: float, exponent_ratio: float = 2.0
) -> FloatArray:
    """Diameters of a tree whose wood follows the area rule from its tips down.

    Parameters
    ----------
    parent : (n,) int
        Parent index below its child's, -1 at the root.
    leaf_units_n : (n,) float
        Terminal units borne by each segment itself; a tip bears one.
    tip_mm : float
        Diameter of a segment that carries one unit.
    exponent_ratio : float
        The exponent of the area rule; 2 keeps the area across a fork.

    Returns
    -------
    (n,) float
        Diameters in mm.

    Raises
    ------
    RangeError
        If the exponent or the tip's diameter is not above 0.

    Source
    ------
    eloy2011: the sum of daughters' diameters to the exponent equals the mother's; shinozaki1964.

    Examples
    --------
    >>> pipe_diameters(np.array([-1, 0, 0]), np.array([0.0, 1.0, 1.0]), tip_mm=1.0).round(4)
    array([1.4142, 1.    , 1.    ])
    """
    if not exponent_ratio > 0:
        raise out_of_range("area exponent", f"{exponent_ratio}", "above 0")
    if not tip_mm > 0:
        raise out_of_range("tip diameter", f"{tip_mm} mm", "above 0 mm")
    above_n = _leaf_above(np.asarray(parent), np.asarray(leaf_units_n, dtype=np.float64))
    return tip_mm * above_n ** (1.0 / exponent_ratio)


def ring_area_mm2(leaf_cm2: float, *, pipe_ratio: float, sapwood_years: float) -> float:
    """Wood area added each year under a crown that stays the same.

    Parameters
    ----------
    leaf_cm2 : float
        Leaf area above the place, in cm2.
    pipe_ratio : float
        Sapwood area for each leaf area, in mm2/cm2.
    sapwood_years : float
        How long sapwood conducts.

    Returns
    -------
    float
        Area in mm2 a year.

    Raises
    ------
    RangeError
        If the sapwood life is not above 0.

    Source
    ------
    own: the pipe model with a sapwood life in its steady state, p L / tau.

    Examples
    --------
    >>> ring_area_mm2(3000.0, pipe_ratio=0.02, sapwood_years=5.0)
    12.0
    """
    if not sapwood_years > 0:
        raise out_of_range("sapwood life", f"{sapwood_years} years", "above 0 years")
    return pipe_ratio * leaf_cm2 / sapwood_years


def diameter_under_constant_crown(start_mm: float, *, ring_mm2: float, years: float) -> float:
    """Diameter after some years of equal rings by area.

    Parameters
    ----------
    start_mm : float
        Diameter now, in mm.
    ring_mm2 : float
        Wood area added each year, in mm2.
    years : float
        How long.

    Returns
    -------
    float
        Diameter in mm.

    Source
    ------
    own: d^2 = d0^2 + 4 A t / pi.

    Examples
    --------
    >>> round(diameter_under_constant_crown(30.0, ring_mm2=12.0, years=25.0), 5)
    35.80463
    """
    return math.sqrt(start_mm**2 + 4.0 * ring_mm2 * years / math.pi)


def sapwood_demand_mm2(
    leaf_above_cm2: FloatArray, *, pipe_ratio: float, unit_cm2: float, exponent_ratio: float
) -> FloatArray:
    """Sapwood area that the leaf above each segment asks for.

    Parameters
    ----------
    leaf_above_cm2 : (n,) float
        Leaf area above, in cm2.
    pipe_ratio : float
        Sapwood area for each leaf area, in mm2/cm2.
    unit_cm2 : float
        Leaf area of one terminal unit, in cm2.
    exponent_ratio : float
        The exponent of the area rule.

    Returns
    -------
    (n,) float
        Area in mm2.

    Raises
    ------
    RangeError
        If the unit's leaf area or the exponent is not above 0.

    Source
    ------
    shinozaki1964 (pipe model) with the exponent of eloy2011: p L0 (L / L0)^(2 / exponent).

    Examples
    --------
    >>> sapwood_demand_mm2(np.array([3000.0]), pipe_ratio=0.02, unit_cm2=10.0, exponent_ratio=2.0)
    array([60.])
    """
    if not (unit_cm2 > 0 and exponent_ratio > 0):
        raise out_of_range("unit leaf area and area exponent", f"{unit_cm2}, {exponent_ratio}", "above 0")
    above = np.asarray(leaf_above_cm2, dtype=np.float64)
    result: FloatArray = pipe_ratio * unit_cm2 * (above / unit_cm2) ** (2.0 / exponent_ratio)
    return result
