"""How long a full pot lasts at a steady pace: the reckoning by hand beside the daily balance."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringwise.kit.errors import out_of_range
from ringwise.kit.show import number
from ringwise.kit.tables import load_table
from ringwise.kit.words import _
from ringwise.rootzone.pot_water import CM3_PER_L
from ringwise.rootzone.transpiration import demand_cm3
from ringwise.rootzone.water_checks import most


@dataclass(frozen=True)
class Pace:
    """What draws on a pot on every day alike: reference, leaf, exposure, surface and its coefficient."""

    et0_mm_day: float
    leaf_m2: float
    area_m2: float
    exposure_factor: float = 1.0
    ke_ratio: float | None = None


@dataclass(frozen=True)
class SteadyDry:
    """Days until a full pot is to be checked, with what leaves it a day; infinite where nothing does."""

    days: float
    available_cm3: float
    transpired_cm3: float
    evaporated_cm3: float
    ke_ratio: float


def steady_dry(available_cm3: float, pace: Pace) -> SteadyDry:
    """Days that the available water of a pot lasts when every day is the same and leaves do not slow.

    Parameters
    ----------
    available_cm3 : float
        Water between drained and time to check.
    pace : Pace
        What draws on it.

    Returns
    -------
    SteadyDry
        An early answer: near the end leaves and surface give less, and the daily balance says more days.

    Raises
    ------
    RangeError
        If a value is out of its range.

    Source
    ------
    coffee_kc2011 for the leaves; allen1998 for the surface (Ke x reference); row ke_mean_ratio.

    Examples
    --------
    >>> round(steady_dry(725.0, Pace(5.0, 0.10, 0.066, exposure_factor=1.2, ke_ratio=0.5)).days, 1)
    1.9
    """
    usual = load_table("ringwise.rootzone", "balance").get("any", "ke_mean_ratio").number
    ke = usual if pace.ke_ratio is None else pace.ke_ratio
    for field, value, row, unit in (
        (_("available water"), available_cm3 / CM3_PER_L, "available_l", "L"),
        (_("evapotranspiration"), pace.et0_mm_day, "et0_mm_day", "mm"),
        (_("leaf area"), pace.leaf_m2, "area_m2", "m2"),
        (_("surface of the pot"), pace.area_m2, "area_m2", "m2"),
        (_("exposure"), pace.exposure_factor, "power_factor", ""),
        (_("surface coefficient Ke"), ke, "ke_ratio", ""),
    ):
        if not 0.0 <= value <= most(row):
            shown = f"{number(value, 3)} {unit}".strip()
            raise out_of_range(
                field, shown, _("{low} to {high}").format(low=0, high=f"{most(row):g} {unit}".strip())
            )
    transpired = float(demand_cm3(pace.et0_mm_day, pace.leaf_m2, pace.exposure_factor))
    evaporated = ke * pace.et0_mm_day * pace.area_m2 * CM3_PER_L
    gone = transpired + evaporated
    days = available_cm3 / gone if gone > 0 else math.inf
    return SteadyDry(days, available_cm3, transpired, evaporated, ke)
