"""Air in the soil of a pot at rest: how much of its depth is wet below a mark, and what took the air."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.rootzone.ageing import Ageing, aged
from ringwise.rootzone.blend import Blend
from ringwise.rootzone.calibrate import calibrate_row
from ringwise.rootzone.container import water_profile
from ringwise.rootzone.pot import PotShape
from ringwise.rootzone.retention import RetentionCurve
from ringwise.rootzone.sections import pot_sections
from ringwise.rootzone.tilt import tilted
from ringwise.rootzone.water_at_rest import slices, water_at_rest_cm3

_LEVELS = 61  # heights looked at: a sixtieth of the depth is finer than any range told
_ENOUGH_V = 1e-9  # less air than this was lost by nobody


@dataclass(frozen=True)
class LostAir:
    """Share of the lost air that crumbled granules took, one value a draw; roots took the rest."""

    fresh_v: FloatArray
    now_v: FloatArray
    fines_frac: FloatArray

    @property
    def lost_v(self) -> FloatArray:
        """Air that the fresh mix had and this one has not."""
        return np.asarray(np.maximum(self.fresh_v - self.now_v, 0.0))


def wet_depth_frac(pot: PotShape, curve: RetentionCurve, *, tilt_deg: float = 0.0) -> FloatArray:
    """Share of the soil's depth with less air than the mark, once no more water drips out.

    Parameters
    ----------
    pot : PotShape
        The pot as filled.
    curve : RetentionCurve
        Of its soil, one curve or draws.
    tilt_deg : float
        The pot stands tilted along its length by so much.

    Returns
    -------
    FloatArray
        0 to 1, of the shape of the draws.

    Source
    ------
    ucanr_soil_mixes: air-filled porosity of at least 10 %, row `air` of `data/calibrate.csv`; own: the share
    of the depth below it.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.retention import curve
    >>> tray = pot_shape("rectangle", PotLengths(300, 200, 60))
    >>> coarse, fine = (curve(0.0, 0.7, [(1, alpha, 3.0)]) for alpha in (1.0, 0.1))
    >>> round(float(wet_depth_frac(tray, coarse)), 2), float(wet_depth_frac(tray, fine))
    (0.1, 1.0)
    """
    heights = (np.arange(_LEVELS) + 0.5) / _LEVELS * pot.fill_height_mm
    air = curve.saturated_v[..., None] - water_profile(pot, curve, heights, tilt_deg=tilt_deg)
    return np.asarray((air < calibrate_row("air", "floor_v").number).mean(axis=-1))


def wet_soil_frac(pot: PotShape, curve: RetentionCurve, *, tilt_deg: float = 0.0) -> FloatArray:
    """Share of the soil by volume with less air than the mark, once no more water drips out.

    Parameters
    ----------
    pot : PotShape
        The pot as filled.
    curve : RetentionCurve
        Of its soil.
    tilt_deg : float
        The pot stands tilted along its length by so much.

    Returns
    -------
    FloatArray
        0 to 1, of the shape of the draws.

    Source
    ------
    ucanr_soil_mixes: as `wet_depth_frac`; in a straight-walled pot that stands level both are the same.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.retention import curve
    >>> tray, mix = pot_shape("rectangle", PotLengths(300, 200, 60)), curve(0.0, 0.7, [(1, 0.2, 3.0)])
    >>> round(float(wet_soil_frac(tray, mix)), 1), round(float(wet_soil_frac(tray, mix, tilt_deg=30.0)), 1)
    (0.5, 0.1)
    """
    heights, volumes = slices(tilted(pot, tilt_deg) if tilt_deg else pot_sections(pot))
    air = curve.saturated_v[..., None] - curve.theta_v(heights)
    short = air < calibrate_row("air", "floor_v").number
    return np.asarray(short @ volumes / volumes.sum())


def tilt_lets_out_cm3(pot: PotShape, curve: RetentionCurve, tilt_deg: float) -> FloatArray:
    """Water that runs out of a drained pot when it is tilted.

    Parameters
    ----------
    pot : PotShape
        The pot as filled.
    curve : RetentionCurve
        Of its soil.
    tilt_deg : float
        How far one end is raised.

    Returns
    -------
    FloatArray
        In cm3, never below 0.

    Raises
    ------
    RangeError
        If the tilt is outside its range.

    Source
    ------
    own: the suction of a tilted body.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.retention import curve
    >>> tray = pot_shape("rectangle", PotLengths(300, 10, 50))
    >>> round(float(tilt_lets_out_cm3(tray, curve(0.045, 0.43, [(1, 0.145, 2.68)]), 30.0)))
    24
    """
    level = water_at_rest_cm3(pot_sections(pot), curve)
    return np.asarray(np.maximum(level - water_at_rest_cm3(tilted(pot, tilt_deg), curve), 0.0))


def lost_air(pot: PotShape, blend_at: Callable[[float], Blend], ageing: Ageing) -> LostAir:
    """How much air a mix has lost in the pot, and which share of that its own fines took.

    Parameters
    ----------
    pot : PotShape
        The pot as filled.
    blend_at : callable
        The mix with a share of its granules broken, with as many draws as `ageing`.
    ageing : Ageing
        Of each draw.

    Returns
    -------
    LostAir
        The two causes act together; each is given what it takes alone, and the whole is shared by that.

    Source
    ------
    own: the mix packed with fines alone, with roots alone and with both.

    Examples
    --------
    >>> from ringwise.rootzone.ageing import ageing_of
    >>> from ringwise.rootzone.blend import blend
    >>> from ringwise.rootzone.mix import recipe
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> def at(frac):
    ...     return blend(recipe("D"), draws=20, seed=1, broken_frac=frac)
    >>> tray = pot_shape("rectangle", PotLengths(300, 200, 60))
    >>> told = lost_air(tray, at, ageing_of(5.0, draws=20, seed=1))
    >>> bool((told.lost_v > 0).all()), bool(((told.fines_frac >= 0) & (told.fines_frac <= 1)).all())
    (True, True)
    """
    none = np.zeros_like(ageing.root_frac)
    fresh = _air_v(pot, blend_at(0.0))
    fines = np.maximum(fresh - _air_v(pot, aged(blend_at, Ageing(ageing.broken_frac, none))), 0.0)
    roots = np.maximum(fresh - _air_v(pot, aged(blend_at, Ageing(none, ageing.root_frac))), 0.0)
    both = np.maximum(fines + roots, _ENOUGH_V)
    return LostAir(fresh, _air_v(pot, aged(blend_at, ageing)), fines / both)


def _air_v(pot: PotShape, blend: Blend) -> FloatArray:
    filling = pot_sections(pot)
    return np.asarray(blend.curve.saturated_v - water_at_rest_cm3(filling, blend.curve) / pot.volume_cm3)
