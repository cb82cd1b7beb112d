"""The water that pots hold, from plain numbers or from a retention curve, checked."""

from __future__ import annotations

from typing import Protocol

import numpy as np

from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray, FloatLike
from ringwise.rootzone.pot import PotShape
from ringwise.rootzone.pot_water import PotWater
from ringwise.rootzone.retention import RetentionCurve
from ringwise.rootzone.water_checks import check_water

MM2_PER_M2 = 1e6  # exact


def pot_water(
    volume_cm3: FloatLike,
    area_m2: FloatLike,
    depth_mm: FloatLike,
    *,
    capacity_v: FloatLike,
    refill_v: FloatLike,
    wilting_v: FloatLike,
) -> PotWater:
    """Pots by plain numbers, checked; one value is the same for all.

    Parameters
    ----------
    volume_cm3, area_m2, depth_mm : float or (p,) array
        Of the fill; the area is that of its surface.
    capacity_v, refill_v, wilting_v : float or (p,) array
        Water by volume at container capacity, at 50 cm and at 300 cm of suction.

    Returns
    -------
    PotWater
        Arrays of one length.

    Raises
    ------
    RangeError
        If a value is missing or out of range, or a pot holds less when drained than at the stop of supply.

    Source
    ------
    own: the names of what a curve and a pot give.

    Examples
    --------
    >>> tray = pot_water(3929.3, 0.066, 70.0, capacity_v=0.5063, refill_v=0.310, wilting_v=0.25)
    >>> tray.available_cm3.round().tolist()
    [771.0]
    """
    given = (volume_cm3, area_m2, depth_mm, capacity_v, refill_v, wilting_v)
    rows = np.broadcast_arrays(*(np.atleast_1d(np.asarray(each, dtype=np.float64)) for each in given))
    water = PotWater(*(np.array(row) for row in rows))
    check_water(water)
    return water


class AtRest(Protocol):
    """What a balance begins with of a pot at rest: its fill and the water in it, one value a draw."""

    @property
    def volume_cm3(self) -> float:
        """Of the fill."""

    @property
    def theta_v(self) -> FloatArray:
        """Water by volume when drained."""


def held_by(pot: PotShape, curve: RetentionCurve, state: AtRest) -> PotWater:
    """What a pot holds by its retention curve; each draw of the curve is a pot of the run.

    Parameters
    ----------
    pot : PotShape
        As filled.
    curve : RetentionCurve
        Of its mix, one curve or draws.
    state : AtRest
        The pot at rest with that curve, such as a ContainerState.

    Returns
    -------
    PotWater
        One row for a curve alone, else one a draw.

    Source
    ------
    own: suctions are rows of container.csv and balance.csv; never more water than the pot holds.

    Examples
    --------
    >>> from ringwise.rootzone.container import container_state
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.retention import curve
    >>> tray = pot_shape("rectangle", PotLengths(depth_mm=70, top_mm=(300, 220), bottom_mm=(260, 180)))
    >>> sand = curve(0.045, 0.43, [(1, 0.145, 2.68)])
    >>> held_by(tray, sand, container_state(tray, sand)).capacity_cm3.round().tolist()
    [1487.0]
    """
    refill = load_table("ringwise.rootzone", "container").get("gauge", "dry_cm").number
    wilting = load_table("ringwise.rootzone", "balance").get("any", "wilting_cm").number
    low = curve.theta_v(np.array([refill, wilting]))
    drained = np.asarray(state.theta_v, dtype=np.float64)
    return pot_water(
        state.volume_cm3,
        pot.area_at_mm2(pot.fill_height_mm) / MM2_PER_M2,
        pot.fill_height_mm,
        capacity_v=drained,
        refill_v=np.minimum(low[..., 0], drained),
        wilting_v=np.minimum(low[..., 1], drained),
    )
