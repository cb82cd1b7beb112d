"""What a pot holds once it has stopped dripping: water, air, the wet layer below, what a tree can use.

At rest the suction in a pot equals the height above the level where water drips. So the wet layer at the
bottom is as thick as the mix makes it, in a pot of any shape, and a shallow pot is wet for more of its
depth than a deep one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.kit.errors import InputError, out_of_range
from ringwise.kit.lengths import length, length_span
from ringwise.kit.numbers import number, spanned
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.rootzone.pot import PotShape
from ringwise.rootzone.retention import RetentionCurve
from ringwise.rootzone.sections import (
    MM_PER_CM,
    Filling,
    Mound,
    cut,
    pot_sections,
    raised,
    volume_cm3,
    water_cm3,
)
from ringwise.rootzone.tilt import section_mean_v, tilted, tilted_section

__all__ = ["CoarseLayer", "ContainerState", "Mound", "container_state", "filling_state", "water_profile"]


@dataclass(frozen=True)
class CoarseLayer:
    """Grains laid below the mix: how thick, and the scale of their pores."""

    thickness_mm: float
    alpha_per_cm: float

    @property
    def suction_cm(self) -> float:
        """Suction at which water passes from the mix into it: its own thickness, or where its pores fill."""
        return min(self.thickness_mm / MM_PER_CM, 1 / self.alpha_per_cm)


@dataclass(frozen=True)
class ContainerState:
    """A filling at rest after watering; arrays have the shape of the curve's draws."""

    volume_cm3: float
    water_cm3: FloatArray
    theta_v: FloatArray
    air_filled_porosity_v: FloatArray
    air_bottom_v: FloatArray
    saturated_layer_cm: FloatArray
    theta_bottom_v: FloatArray
    theta_top_v: FloatArray
    available_water_cm3: FloatArray
    standard_available_v: FloatArray


def container_state(
    pot: PotShape,
    curve: RetentionCurve,
    *,
    mound: Mound | None = None,
    tilt_deg: float = 0.0,
    along_mm: float | None = None,
    coarse_layer: CoarseLayer | None = None,
) -> ContainerState:
    """What a pot holds at rest.

    Parameters
    ----------
    pot : PotShape
        The pot as filled.
    curve : RetentionCurve
        Retention of its mix, one curve or draws.
    mound : Mound, optional
        Substrate heaped above the fill line.
    tilt_deg : float
        The pot stands on the lower edge of its length, raised by so much.
    along_mm : float, optional
        Tilt a straight-walled section of this length instead of the pot's own plan.
    coarse_layer : CoarseLayer, optional
        Grains below the mix, which take their thickness from the fill.

    Returns
    -------
    ContainerState
        Of the mix: a coarse layer is not counted.

    Raises
    ------
    RangeError
        If tilt, mound or layer lie outside their range.
    InputError
        If a layer and a tilt are given together.

    Source
    ------
    milks1989: retention by suction over a pot's height gives its capacity; the closed form is own.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.retention import curve
    >>> tray = pot_shape("rectangle", PotLengths(depth_mm=70, top_mm=(300, 220), bottom_mm=(260, 180)))
    >>> sand = curve(0.045, 0.43, [(1, 0.145, 2.68)])
    >>> state = container_state(tray, sand)
    >>> round(state.volume_cm3, 3), round(float(state.water_cm3), 3)
    (3929.333, 1486.704)
    """
    filling = pot_sections(pot, mound)
    if coarse_layer is None:
        if not tilt_deg:
            return filling_state(filling, curve)
        if along_mm is None:
            leaning = tilted(pot, tilt_deg, mound)
        else:
            leaning = tilted_section(along_mm, pot.fill_height_mm, tilt_deg, volume_cm3(filling))
        return _drier(filling, filling_state(leaning, curve), curve)
    if tilt_deg:
        raise InputError(_("give a tilt or a coarse layer, not both: no rule is known for the two together."))
    return filling_state(_above_layer(filling, pot, coarse_layer), curve)


def _above_layer(filling: Filling, pot: PotShape, layer: CoarseLayer) -> Filling:
    """The mix on a coarse layer: it begins at the suction that lets water into the layer."""
    row = load_table("ringwise.rootzone", "container").get("accepted", "layer_mm")
    high = min(row.high or math.inf, pot.fill_height_mm)
    if not (row.low or 0.0) <= layer.thickness_mm < high:
        shown = length(layer.thickness_mm)
        raise out_of_range(_("coarse layer"), shown, length_span(row.low or 0.0, high))
    if not layer.alpha_per_cm > 0:
        raise out_of_range(_("alpha of the coarse layer"), number(layer.alpha_per_cm), _("more than 0"))
    from_cm = layer.thickness_mm / MM_PER_CM
    return raised(cut(filling, from_cm, math.inf), layer.suction_cm - from_cm)


def filling_state(filling: Filling, curve: RetentionCurve) -> ContainerState:
    """What any filling holds at rest.

    Parameters
    ----------
    filling : Filling
        Sections of area by suction.
    curve : RetentionCurve
        Retention of the mix.

    Returns
    -------
    ContainerState
        Of that filling.

    Source
    ------
    milks1989: as `container_state`.

    Examples
    --------
    >>> from ringwise.rootzone.retention import curve
    >>> from ringwise.rootzone.sections import Section
    >>> sand = curve(0.045, 0.43, [(1, 0.145, 2.68)])
    >>> round(float(filling_state((Section(0.0, 5.0, (1.0, 0.0, 0.0)),), sand).theta_v), 6)
    0.406695
    """
    gauge = load_table("ringwise.rootzone", "container").of("gauge")
    volume = volume_cm3(filling)
    low, high = min(each.low_cm for each in filling), max(each.high_cm for each in filling)
    water = water_cm3(filling, curve)
    bottom = cut(filling, low, low + gauge["bottom_mm"].number / MM_PER_CM)
    wet = curve.suction_at_cm(np.full(curve.residual_v.shape, gauge["saturated_frac"].number))
    ends = curve.theta_v(np.array([low, high, gauge["wet_cm"].number, gauge["dry_cm"].number]))
    return ContainerState(
        volume_cm3=volume,
        water_cm3=water,
        theta_v=water / volume,
        air_filled_porosity_v=curve.saturated_v - water / volume,
        air_bottom_v=curve.saturated_v - water_cm3(bottom, curve) / volume_cm3(bottom),
        saturated_layer_cm=np.maximum(wet - low, 0.0),
        theta_bottom_v=ends[..., 0],
        theta_top_v=ends[..., 1],
        available_water_cm3=np.maximum(water - ends[..., 3] * volume, 0.0),
        standard_available_v=ends[..., 2] - ends[..., 3],
    )


def _drier(level: Filling, leaning: ContainerState, curve: RetentionCurve) -> ContainerState:
    """The state after tilting a pot that has drained level, draw by draw: tilting never adds water.

    A tall narrow pot laid over is lower than it was and could hold more, but nothing gives it more.
    """
    wetter = leaning.water_cm3 > water_cm3(level, curve)
    if not wetter.any():
        return leaning
    stays = filling_state(level, curve)
    arrays = {
        name: np.where(wetter, getattr(stays, name), getattr(leaning, name))
        for name in ContainerState.__dataclass_fields__
        if name != "volume_cm3"
    }
    return ContainerState(volume_cm3=stays.volume_cm3, **arrays)


def water_profile(
    pot: PotShape, curve: RetentionCurve, heights_mm: FloatArray, *, tilt_deg: float = 0.0
) -> FloatArray:
    """Water content by height in a pot at rest.

    Parameters
    ----------
    pot : PotShape
        The pot as filled.
    curve : RetentionCurve
        Retention of its mix.
    heights_mm : FloatArray
        Heights above the floor of the fill, along the pot's own axis.
    tilt_deg : float
        As in `container_state`; each height then gives its mean over the length of the floor.

    Returns
    -------
    FloatArray
        Draws, then heights.

    Raises
    ------
    RangeError
        If a height lies outside the fill.

    Source
    ------
    milks1989: at rest the suction is the height.

    Examples
    --------
    >>> import numpy as np
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.retention import curve
    >>> tray = pot_shape("oval", PotLengths(300, 220, 70))
    >>> sand = curve(0.045, 0.43, [(1, 0.145, 2.68)])
    >>> [round(float(each), 3) for each in water_profile(tray, sand, np.array([0.0, 30.0, 70.0]))]
    [0.43, 0.406, 0.291]
    """
    heights = np.asarray(heights_mm, dtype=np.float64)
    if not np.all((heights >= 0) & (heights <= pot.fill_height_mm * (1 + 1e-9))):
        raise out_of_range(
            _("height above the floor"),
            spanned(number(float(heights.min()), 3), number(float(heights.max()), 3)),
            length_span(0.0, pot.fill_height_mm),
        )
    if not tilt_deg:
        return curve.theta_v(heights / MM_PER_CM)
    return section_mean_v(pot, curve, heights / MM_PER_CM, tilt_deg)
