"""The course of a pot's core behind the air, hour by hour, compiled."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.kit.kernels import compiled


@compiled
def follow(air_degC: Any, lag_h: Any, core_degC: Any) -> None:
    """Fill `core_degC` (rows, hours) with a core that follows the air by a first-order lag.

    Between two hours the air runs in a straight line, for which the lag has a closed form. The core starts
    at the first known air, and again after every gap.
    """
    kept = math.exp(-1.0 / lag_h)
    for row in range(air_degC.shape[0]):
        core, before = np.nan, np.nan
        for hour in range(air_degC.shape[1]):
            now = air_degC[row, hour]
            if math.isnan(now) or math.isnan(core):
                core = now
            else:
                climb = now - before
                core = core * kept + before * (1.0 - kept) + climb * (1.0 - lag_h * (1.0 - kept))
            before = now
            core_degC[row, hour] = core
