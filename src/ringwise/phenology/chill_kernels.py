"""Recursions over hours, compiled: a product of cold builds up, is fixed in portions, and wakes the heat.

In each hour an intermediate product moves towards its level at that temperature; once it reaches 1 a share of
it is fixed as a portion that no warmth undoes. What an hour does is booked at the start of the next hour, as
chillR does: the value at an hour stands for the hours before it, so the last hour of a series counts not.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.kit.kernels import compiled

ENERGY_0, ENERGY_1, FACTOR_0, FACTOR_1, SLOPE, FREEZE_K, KELVIN = 0, 1, 2, 3, 4, 5, 6


@compiled
def _hour_of_cold(product: Any, temperature_degC: Any, fixed: Any) -> Any:
    """The product after an hour, and the portion that was fixed in it."""
    kelvin = temperature_degC + fixed[KELVIN]
    level = fixed[FACTOR_0] / fixed[FACTOR_1] * math.exp((fixed[ENERGY_1] - fixed[ENERGY_0]) / kelvin)
    speed = fixed[FACTOR_1] * math.exp(-fixed[ENERGY_1] / kelvin)
    product = level - (level - product) * math.exp(-speed)
    if product < 1.0:
        return product, 0.0
    away = math.exp(-fixed[SLOPE] * fixed[FREEZE_K] * (kelvin - fixed[FREEZE_K]) / kelvin)
    share = 1.0 / (1.0 + away)
    return product * (1.0 - share), share * product


@compiled
def portions(hours_degC: Any, fixed: Any, booked: Any) -> None:
    """Fill `booked` (rows, hours) with the portions fixed before each hour; NaN after a missing hour."""
    for row in range(hours_degC.shape[0]):
        product, total = 0.0, 0.0
        for hour in range(hours_degC.shape[1]):
            booked[row, hour] = total
            product, portion = _hour_of_cold(product, hours_degC[row, hour], fixed)
            total += portion
            if math.isnan(product):
                total = np.nan


@compiled
def warmth(temperature_degC: Any, base_degC: Any, best_degC: Any, most_degC: Any) -> Any:
    """Share of the best growth at a temperature: two parts of a cosine, slow rise and steep fall."""
    if math.isnan(temperature_degC):
        return np.nan
    if temperature_degC < base_degC or temperature_degC > most_degC:
        return 0.0
    if temperature_degC <= best_degC:
        rise = (temperature_degC - base_degC) / (best_degC - base_degC)
        return 0.5 * (1.0 + math.cos(math.pi + math.pi * rise))
    fall = (temperature_degC - best_degC) / (most_degC - best_degC)
    return 1.0 + math.cos(0.5 * math.pi + 0.5 * math.pi * fall)


@compiled
def chill_then_heat(hours_degC: Any, fixed: Any, waking: Any, cardinal: Any, chill: Any, heat: Any) -> None:
    """Fill `chill` and `heat` (rows, hours): portions, and hours of warmth weighed by how far chill has gone.

    `waking` holds the steepness and the need of chill, `cardinal` base, best and most temperature.
    """
    steep, need = waking[0], waking[1]
    for row in range(hours_degC.shape[0]):
        product, total, grown = 0.0, 0.0, 0.0
        for hour in range(hours_degC.shape[1]):
            chill[row, hour] = total
            heat[row, hour] = grown
            now = hours_degC[row, hour]
            # Heat of an hour goes with the chill at its beginning; without any chill there is none.
            if total > 0.0:
                awake = 1.0 / (1.0 + math.exp(-steep * need * (total - need) / total))
                grown += awake * warmth(now, cardinal[0], cardinal[1], cardinal[2])
            product, portion = _hour_of_cold(product, now, fixed)
            total += portion
            if math.isnan(product):
                total, grown = np.nan, np.nan
