"""The thresholds that the compiled measures of a year read, from the tables of structure."""

from __future__ import annotations

import math

import numpy as np

from ringwise.futures import outcome as out
from ringwise.kit.types import FloatArray
from ringwise.structure.faults import limit
from ringwise.structure.measuring_data import measuring


def measure_limits() -> FloatArray:
    """Thresholds in the order of `outcome`, so that a future is measured as the tree on the bench is.

    Returns
    -------
    (limits,) float
        Shares, ratios and counts; angles in rad.

    Source
    ------
    practice: tables `measuring` and `faults` of structure.

    Examples
    --------
    >>> float(measure_limits()[out.OVER])
    1.2
    """
    limits = np.zeros(out.LIMITS)
    limits[out.LEAST_BRANCH] = measuring("branch", "least_frac")
    limits[out.LEVEL] = limit("bar", "level_frac")
    limits[out.OPPOSITE] = math.radians(limit("bar", "opposite_deg"))
    limits[out.APEX] = limit("bar", "top_frac")
    limits[out.WHEEL_OF] = limit("wheel", "branches")
    limits[out.OVER] = limit("thick_high", "over_ratio")
    limits[out.MAIN] = limit("thick_high", "main_frac")
    limits[out.THICK] = limit("thick_branch", "to_trunk_ratio")
    limits[out.LEAST_INVERSE] = limit("inverse_taper", "least_frac")
    limits[out.EMPTY_SECTORS] = limit("one_sided", "empty_sectors")
    limits[out.RIVAL] = measuring("leader", "rival_ratio")
    return limits
