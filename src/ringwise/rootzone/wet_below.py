"""A pot that is dry on top and wet below: where the finger says water and the roots drown.

What roots take is drawn evenly in suction from the whole depth; what the air takes leaves the top layer
alone, since water hardly climbs through coarse grains. In a fine mix it does climb, so that there the
warning comes early rather than late.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.tables import load_table
from ringwise.kit.types import BoolArray, FloatArray, FloatLike
from ringwise.rootzone.pot import MM3_PER_CM3, PotShape
from ringwise.rootzone.pot_water import CM3_PER_L, BalanceDays
from ringwise.rootzone.retention import RetentionCurve

_MM_PER_CM = 10.0  # exact
_SLICES = 40  # of a layer of the pot
_DRIEST_CM = 1e5  # far beyond any suction a tree draws
_ROUNDS = 4  # towards what the top gives; each halves what is left open
_STEPS = 160  # between drained and driest, evenly in the logarithm


@dataclass(frozen=True)
class DryingProfile:
    """A pot as roots dry it, one row a draw: its water, and that of its top and lowest layer by volume."""

    water_cm3: FloatArray
    top_v: FloatArray
    bottom_v: FloatArray
    layer_mm: float
    saturated_v: FloatArray
    residual_v: FloatArray
    dry_v: FloatArray
    top_cm3_per_mm: FloatArray


@dataclass(frozen=True)
class WetBelow:
    """Water of the top layer, air of the lowest, and whether one is dry while the other is too little."""

    top_v: FloatArray
    bottom_air_v: FloatArray
    warns: BoolArray


def _gauge(name: str) -> float:
    return load_table("ringwise.rootzone", "container").get("gauge", name).number


def drying_profile(pot: PotShape, curve: RetentionCurve) -> DryingProfile:
    """How the water of a pot lies by height while roots draw on it.

    Parameters
    ----------
    pot : PotShape
        As filled.
    curve : RetentionCurve
        Of its mix, one curve or draws.

    Returns
    -------
    DryingProfile
        From drained to driest.

    Source
    ------
    milks1989: at rest suction is height; own: roots raise it everywhere by the same.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.retention import curve
    >>> tray = pot_shape("rectangle", PotLengths(depth_mm=70, top_mm=(300, 220), bottom_mm=(260, 180)))
    >>> profile = drying_profile(tray, curve(0.045, 0.43, [(1, 0.145, 2.68)]))
    >>> round(float(profile.water_cm3[0, 0])), bool(np.all(np.diff(profile.water_cm3) < 0))
    (1487, True)
    """
    height_mm = pot.fill_height_mm
    layer_mm = min(_gauge("bottom_mm"), height_mm / 2.0)
    raised_cm = np.concatenate([[0.0], np.geomspace(1e-2, _DRIEST_CM, _STEPS)])
    bottom, low_cm3 = _layer(pot, curve, (0.0, layer_mm), raised_cm)
    middle, mid_cm3 = _layer(pot, curve, (layer_mm, height_mm - layer_mm), raised_cm)
    top, top_cm3 = _layer(pot, curve, (height_mm - layer_mm, height_mm), raised_cm)
    water = bottom * low_cm3 + middle * mid_cm3 + top * top_cm3
    return DryingProfile(
        water_cm3=water,
        top_v=top,
        bottom_v=bottom,
        layer_mm=layer_mm,
        saturated_v=np.atleast_1d(curve.saturated_v),
        residual_v=np.atleast_1d(curve.residual_v),
        dry_v=np.atleast_1d(curve.theta_v(_gauge("dry_cm"))),
        top_cm3_per_mm=np.full(water.shape[0], top_cm3 / layer_mm),
    )


def _layer(
    pot: PotShape, curve: RetentionCurve, span_mm: tuple[float, float], raised_cm: FloatArray
) -> tuple[FloatArray, float]:
    """Mean water by volume of a layer for each rise of the suction, (draws, rises), and its volume."""
    low, high = span_mm
    thick = (high - low) / _SLICES
    heights = low + (np.arange(_SLICES) + 0.5) * thick
    areas = np.array([pot.area_at_mm2(float(each)) for each in heights])
    volume_cm3 = float(areas.sum()) * thick / MM3_PER_CM3
    held = curve.theta_v(heights[None, :] / _MM_PER_CM + raised_cm[:, None])
    weights = areas / areas.sum() if volume_cm3 else np.full(_SLICES, 1.0 / _SLICES)
    return np.atleast_2d(held @ weights), volume_cm3


def wet_below(profile: DryingProfile, water_cm3: FloatLike, evaporated_mm: FloatLike) -> WetBelow:
    """Whether a pot is dry on top while its lowest layer holds too little air.

    Parameters
    ----------
    profile : DryingProfile
        Of the pot.
    water_cm3 : float or (p, ...) float
        Water of the mix now; p rows are the draws of the profile.
    evaporated_mm : float or (p, ...) float
        What the surface has lost since the pot was last soaked (`lost_mm` of a balance holds the leaves' part
        too: use the evaporated water).

    Returns
    -------
    WetBelow
        Of the shape of the water.

    Source
    ------
    own: air below the row's share in the lowest layer, and the top layer at or below the water held at 50 cm.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.retention import curve
    >>> deep = pot_shape("rectangle", PotLengths(300, 200, 80))
    >>> fine = drying_profile(deep, curve(0.05, 0.6, [(1, 0.02, 1.8)]))
    >>> full = float(fine.water_cm3[0, 0])
    >>> bool(wet_below(fine, full, 0.0).warns), bool(wet_below(fine, full - 360.0, 6.0).warns)
    (False, True)
    """
    water = np.asarray(water_cm3, dtype=np.float64)
    rows = np.broadcast_to(water, np.broadcast_shapes(water.shape, np.shape(evaporated_mm)))
    draws = profile.water_cm3.shape[0]
    flat = rows.reshape(draws, -1) if draws > 1 else rows.reshape(1, -1)
    evaporated = np.maximum(np.broadcast_to(evaporated_mm, rows.shape).reshape(flat.shape), 0.0)
    gone, floor = evaporated, profile.residual_v[:, None]
    for _round in range(_ROUNDS):  # the top gives no more than it has left after the roots' part
        drawn = flat + gone * profile.top_cm3_per_mm[:, None]
        top, bottom = _at(profile, drawn)
        gone = np.minimum(evaporated, np.maximum(top - floor, 0.0) * profile.layer_mm)
    top = np.maximum(top - gone / profile.layer_mm, floor)
    air = profile.saturated_v[:, None] - bottom
    least = load_table("ringwise.rootzone", "balance").get("wet_below", "air_v").number
    warns = (top <= profile.dry_v[:, None]) & (air < least)
    return WetBelow(top.reshape(rows.shape), air.reshape(rows.shape), warns.reshape(rows.shape))


def evaporated_since_soaked_mm(balance: BalanceDays) -> FloatArray:
    """What the surface has lost since water last ran through the pot, at the end of each day.

    Parameters
    ----------
    balance : BalanceDays
        That begins with a soaked pot.

    Returns
    -------
    (p, m, d) float
        Rain and watering that do not run through wet the surface by as much.

    Source
    ------
    own: sums of the balance.

    Examples
    --------
    >>> from ringwise.rootzone.balance import DailyForcing, PotDemand, pot_water, run
    >>> tray = pot_water(3929.3, 0.066, 70.0, capacity_v=0.5063, refill_v=0.310, wilting_v=0.25)
    >>> rain = DailyForcing(np.full((1, 3), 3.0), np.array([[0.0, 0.0, 30.0]]))
    >>> first, second, third = evaporated_since_soaked_mm(run(PotDemand(tray), rain))[0, 0]
    >>> bool(second > first > 0), bool(third < second)
    (True, True)
    """
    per_mm = balance.water.area_m2[:, None] * CM3_PER_L
    gone: FloatArray = np.zeros(balance.start_cm3.shape)
    told: FloatArray = np.empty(balance.water_cm3.shape)
    for day in range(balance.water_cm3.shape[-1]):
        came = balance.rain_cm3[..., day] + balance.watered_cm3[..., day]
        gone = np.where(balance.drained_cm3[..., day] > 0.0, 0.0, np.maximum(gone - came / per_mm, 0.0))
        gone = gone + balance.evaporated_cm3[..., day] / per_mm
        told[..., day] = gone
    return told


def _at(profile: DryingProfile, drawn_cm3: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Top and bottom by volume, each draw with its own curve, if the air had taken nothing."""
    top, bottom = np.empty(drawn_cm3.shape), np.empty(drawn_cm3.shape)
    for at, water in enumerate(drawn_cm3):
        falling = profile.water_cm3[at, ::-1]
        top[at] = np.interp(water, falling, profile.top_v[at, ::-1])
        bottom[at] = np.interp(water, falling, profile.bottom_v[at, ::-1])
    return top, bottom


def lasts(warns: BoolArray) -> BoolArray:
    """Whether a pot stays dry on top and wet below for so long that it is a warning and no passing day.

    Parameters
    ----------
    warns : (..., d) bool
        Day by day, from `wet_below`.

    Returns
    -------
    (...) bool
        True where so many days in a row warn as the row says; a coarse mix warns for a day or two.

    Source
    ------
    own: row wet_below.lasts_days of balance.csv.

    Examples
    --------
    >>> lasts(np.array([[True, False, True], [True, True, True]])).tolist()
    [False, True]
    """
    least = int(load_table("ringwise.rootzone", "balance").get("wet_below", "lasts_days").number)
    run = np.zeros(warns.shape[:-1], dtype=np.int64)
    longest = run.copy()
    for day in range(warns.shape[-1]):
        run = np.where(warns[..., day], run + 1, 0)
        longest = np.maximum(longest, run)
    return np.asarray(longest >= least)
