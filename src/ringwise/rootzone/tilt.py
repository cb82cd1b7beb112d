"""A pot tilted to drain: its filling by height above the lower edge, where the last water drips.

Tilted, a pot is taller than level, so more of it stands above the wet layer. The rule supposes that water
leaves at the lowest edge; a hole further in leaves a wet wedge below it.
"""

from __future__ import annotations

import math

import numpy as np

from ringwise.kit.errors import MissingFieldError, out_of_range
from ringwise.kit.lengths import length
from ringwise.kit.numbers import number, spanned
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.rootzone.moments import curve_moments
from ringwise.rootzone.pot import AREA_FACTOR, PotShape
from ringwise.rootzone.retention import RetentionCurve
from ringwise.rootzone.sections import MM_PER_CM, Filling, Mound, Section, pot_sections, volume_cm3

_SLICES = 32  # of the height of a tilted pot; 400 change its water by 1e-5, air in its lowest 2 cm by 5e-4
_LAYERS = 200  # of the pot along its own axis, for the volume below a height


def checked_tilt_deg(tilt_deg: float) -> float:
    """A tilt within its range.

    Parameters
    ----------
    tilt_deg : float
        How far one edge is raised.

    Returns
    -------
    float
        The same.

    Raises
    ------
    RangeError
        If the pot would spill.

    Source
    ------
    own: bounds of what is taken.

    Examples
    --------
    >>> checked_tilt_deg(25.0)
    25.0
    """
    row = load_table("ringwise.rootzone", "container").get("accepted", "tilt_deg")
    low, high = row.low or 0.0, row.high or 90.0
    if not low <= tilt_deg <= high:
        accepted = _("{span} degrees").format(span=spanned(number(low), number(high)))
        raise out_of_range(_("tilt"), number(tilt_deg, 3), accepted)
    return tilt_deg


def tilted_section(length_mm: float, height_mm: float, tilt_deg: float, spread_cm3: float = 0.0) -> Filling:
    """A straight-walled section, tilted about its lower edge.

    Parameters
    ----------
    length_mm : float
        Along the tilt.
    height_mm : float
        Height of substrate, measured level.
    tilt_deg : float
        How far one edge is raised.
    spread_cm3 : float
        Volume to spread over the section; by default a section 1 cm wide.

    Returns
    -------
    Filling
        Up to three sections; the area grows, stays and shrinks with height.

    Raises
    ------
    RangeError
        If length or tilt lie outside their range.

    Source
    ------
    own: plane geometry.

    Examples
    --------
    >>> round(volume_cm3(tilted_section(300, 50, 30)), 9)
    150.0
    """
    if not length_mm > 0:
        raise out_of_range(_("length along the tilt"), length(length_mm), _("more than 0"))
    long, tall = length_mm / MM_PER_CM, height_mm / MM_PER_CM
    angle = math.radians(checked_tilt_deg(tilt_deg))
    if tilt_deg == 0:
        parts: Filling = (Section(0.0, tall, (long, 0.0, 0.0)),)
    else:
        first, second = sorted((long * math.sin(angle), tall * math.cos(angle)))
        top, scale = first + second, 1 / (math.sin(angle) * math.cos(angle))
        rise = Section(0.0, first, (0.0, scale, 0.0))
        even = Section(first, second, (first * scale, 0.0, 0.0))
        fall = Section(second, top, (top * scale, -scale, 0.0))
        parts = (rise, even, fall) if second > first else (rise, fall)
    factor = spread_cm3 / (long * tall) if spread_cm3 else 1.0
    return tuple(each.scaled(factor) for each in parts)


def tilted(pot: PotShape, tilt_deg: float, mound: Mound | None = None) -> Filling:
    """A whole pot tilted about the lower edge of its length.

    Parameters
    ----------
    pot : PotShape
        The pot as filled; the tilt goes along its length.
    tilt_deg : float
        How far one end is raised.
    mound : Mound, optional
        Substrate above the fill line.

    Returns
    -------
    Filling
        Slices of the tilted body, of the same volume as the level one.

    Raises
    ------
    RangeError
        If the tilt is outside its range.
    MissingFieldError
        If the pot has no plan to tilt.

    Source
    ------
    own: horizontal areas of the tilted body; exact for straight rectangular walls.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> tray = pot_shape("oval", PotLengths(300, 220, 70))
    >>> abs(volume_cm3(tilted(tray, 25)) - tray.volume_cm3) < 0.001
    True
    """
    checked_tilt_deg(tilt_deg)
    if pot.shape == "prism":
        raise MissingFieldError(_("a prism has no length to tilt along. Give --length, or a shape."))
    level = pot_sections(pot, mound)
    if pot.shape == "rectangle" and not pot.slopes and mound is None:
        return tilted_section(pot.length_mm, pot.fill_height_mm, tilt_deg, volume_cm3(level))
    parts = _slices(pot, level, math.radians(tilt_deg), mound)
    factor = float(volume_cm3(level) / volume_cm3(parts))
    return tuple(each.scaled(factor) for each in parts)


def _slices(pot: PotShape, level: Filling, angle_rad: float, mound: Mound | None) -> Filling:
    """Slices of the tilted body between heights, from its volume below each height."""
    layers = [_layers(each, pot.shape if i == 0 else "oval") for i, each in enumerate(level)]
    floor_cm = _walls_cm(pot, np.zeros(1))[0][0] / 2
    sin, cos = math.sin(angle_rad), math.cos(angle_rad)
    sizes = [_walls_cm(pot, layers[0][0]), *(_mound_cm(mound, level[1], each[0]) for each in layers[1:])]
    ends = np.concatenate([np.array([0.0]), *(np.array([s.low_cm, s.high_cm]) for s in level)])
    half = np.concatenate([_walls_cm(pot, ends[:3])[0] / 2, np.zeros(ends.size - 3)])
    corners = np.concatenate([(floor_cm - half) * sin + ends * cos, (floor_cm + half) * sin + ends * cos])
    edges = np.linspace(corners.min(), corners.max(), 2 * _SLICES + 1)
    below = np.zeros(edges.size)
    for (z, thick, shape), (long, wide) in zip(layers, sizes, strict=True):
        x = (edges[None, :] - z[:, None] * cos) / sin - floor_cm
        part = _area_left(shape, x, long[:, None], wide[:, None])
        below += thick * part.sum(axis=0) * (pot.taper_frac if shape == pot.shape else 1.0)
    return _fitted(edges - edges[0], below)


def _layers(section: Section, shape: str) -> tuple[FloatArray, float, str]:
    """Middles and thickness of thin layers across a section."""
    thick = (section.high_cm - section.low_cm) / _LAYERS
    return np.asarray(section.low_cm + thick * (np.arange(_LAYERS) + 0.5), dtype=np.float64), thick, shape


def _walls_cm(pot: PotShape, z_cm: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Inside length and width of a pot at heights above the floor of the fill."""
    up = (z_cm * MM_PER_CM + pot.base_drop_mm) / pot.depth_mm
    long, wide = pot.bottom_length_mm or pot.length_mm, pot.bottom_width_mm or pot.width_mm
    return (
        (long + (pot.length_mm - long) * up) / MM_PER_CM,
        (wide + (pot.width_mm - wide) * up) / MM_PER_CM,
    )


def _mound_cm(mound: Mound | None, section: Section, z_cm: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Length and width of a mound at heights: its plan keeps its form as it shrinks."""
    if mound is None:
        return np.zeros_like(z_cm), np.zeros_like(z_cm)
    c0, c1, c2 = section.coefficients
    ratio = mound.width_mm / mound.length_mm
    long = np.sqrt(np.maximum(c0 + c1 * z_cm + c2 * z_cm**2, 0.0) * 4 / math.pi / ratio)
    return long, long * ratio


def _area_left(shape: str, x: FloatArray, long: FloatArray, wide: FloatArray) -> FloatArray:
    """Plan area on the lower side of a line across the length; x is measured from the middle."""
    at = np.clip(x, -long / 2, long / 2)
    if shape == "rectangle":
        return np.asarray(wide * (at + long / 2))
    if shape == "hexagon":  # flats at both ends
        return np.asarray(
            (2 / math.sqrt(3)) * (long * at - at * np.abs(at) / 2) + AREA_FACTOR[shape] * long**2 / 2
        )
    if shape == "octagon":  # flats at both ends
        flat = (math.sqrt(2) - 1) * long / 2
        corner = np.sign(at) * np.maximum(np.abs(at) - flat, 0.0) ** 2
        return np.asarray(long * at - corner + AREA_FACTOR[shape] * long**2 / 2)
    u = np.divide(2 * at, long, out=np.zeros_like(at), where=long > 0)
    return np.asarray(long * wide / 4 * (np.arcsin(u) + u * np.sqrt(1 - u**2) + math.pi / 2))


def _fitted(edges_cm: FloatArray, below_cm3: FloatArray) -> Filling:
    """Sections whose volume below every edge is the given one: the area runs straight in each."""
    found = []
    for i in range(0, edges_cm.size - 1, 2):
        step = float(edges_cm[i + 1] - edges_cm[i])
        first, second = below_cm3[i + 1] - below_cm3[i], below_cm3[i + 2] - below_cm3[i + 1]
        slope = (second - first) / step**2
        section = Section(0.0, 2 * step, (float(first / step - slope * step / 2), float(slope), 0.0))
        found.append(section.raised(float(edges_cm[i])))
    return tuple(found)


def section_mean_v(
    pot: PotShape, curve: RetentionCurve, heights_cm: FloatArray, tilt_deg: float
) -> FloatArray:
    """Water content by height along a tilted pot's own axis, mean over the length of its floor.

    Parameters
    ----------
    pot : PotShape
        The pot as filled.
    curve : RetentionCurve
        Retention of its mix.
    heights_cm : FloatArray
        Above the floor of the fill, along the pot's axis.
    tilt_deg : float
        How far one end is raised.

    Returns
    -------
    FloatArray
        Draws, then heights.

    Source
    ------
    vangenuchten1980: the form integrated in closed form along the floor.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.retention import curve
    >>> tray = pot_shape("oval", PotLengths(300, 220, 50))
    >>> sand = curve(0.045, 0.43, [(1, 0.145, 2.68)])
    >>> section_mean_v(tray, sand, np.array([0.0, 5.0]), 30.0).round(3).tolist()
    [0.286, 0.203]
    """
    angle = math.radians(checked_tilt_deg(tilt_deg))
    low = heights_cm * math.cos(angle)
    rise = float(_walls_cm(pot, np.zeros(1))[0][0]) * math.sin(angle)
    moments = curve_moments(curve, np.concatenate([low, low + rise]))[..., 0]
    full = (moments[..., low.size :] - moments[..., : low.size]) / rise
    shape = (*curve.residual_v.shape, 1)
    return np.asarray(curve.residual_v.reshape(shape) + curve.span_v.reshape(shape) * full)
