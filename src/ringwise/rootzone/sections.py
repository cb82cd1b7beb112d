"""A filling as it meets the suction at rest: area by height above the level where water drips.

Every filling is a pile of sections whose area is a quadratic in height: the pot itself, a mound on top,
a bowl measured at several heights, a pot on a coarse layer. Water, air and volume follow from the same
closed form for each.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ringwise.kit.errors import InputError, out_of_range
from ringwise.kit.lengths import length, length_span
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.rootzone.moments import POWERS, curve_moments
from ringwise.rootzone.pot import AREA_FACTOR, PotShape
from ringwise.rootzone.retention import RetentionCurve

MM_PER_CM = 10.0  # exact


@dataclass(frozen=True)
class Section:
    """Substrate between two suctions at rest; c0 in cm2, c1 in cm and c2 of its area by suction."""

    low_cm: float
    high_cm: float
    coefficients: tuple[float, float, float]

    @property
    def volume_cm3(self) -> float:
        """The exact integral of its area."""
        return sum(
            c * (self.high_cm ** (k + 1) - self.low_cm ** (k + 1)) / (k + 1)
            for k, c in enumerate(self.coefficients)
        )

    def raised(self, by_cm: float) -> Section:
        """The same slice at a suction so much higher."""
        c0, c1, c2 = self.coefficients
        moved = (c0 - c1 * by_cm + c2 * by_cm**2, c1 - 2 * c2 * by_cm, c2)
        return Section(self.low_cm + by_cm, self.high_cm + by_cm, moved)

    def scaled(self, factor: float) -> Section:
        """The same slice with its area multiplied."""
        c0, c1, c2 = self.coefficients
        return Section(self.low_cm, self.high_cm, (c0 * factor, c1 * factor, c2 * factor))

    def within(self, low_cm: float, high_cm: float) -> Section | None:
        """The part between two suctions, or None where there is none."""
        low, high = max(self.low_cm, low_cm), min(self.high_cm, high_cm)
        return Section(low, high, self.coefficients) if high > low else None


Filling = tuple[Section, ...]


@dataclass(frozen=True)
class Mound:
    """Substrate heaped above the fill line: an elliptic paraboloid, or a spherical cap, on its base."""

    height_mm: float
    length_mm: float
    width_mm: float
    form: str = "paraboloid"


@dataclass(frozen=True)
class Level:
    """Inside measures of a bowl at one height above its floor."""

    z_mm: float
    length_mm: float
    width_mm: float


def pot_sections(pot: PotShape, mound: Mound | None = None) -> Filling:
    """The filling of a pot that stands level, with what is heaped on it.

    Parameters
    ----------
    pot : PotShape
        The pot as filled; water drips at the floor of the fill.
    mound : Mound, optional
        Substrate above the fill line.

    Returns
    -------
    Filling
        One section, or two.

    Raises
    ------
    RangeError
        If the mound is too low, too high or wider than the surface.

    Source
    ------
    own: solid geometry.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> tray = pot_shape("rectangle", PotLengths(depth_mm=70, top_mm=(300, 220), bottom_mm=(260, 180)))
    >>> round(volume_cm3(pot_sections(tray)), 3)
    3929.333
    >>> round(volume_cm3(pot_sections(tray, Mound(30, 200, 200, "cap"))) - 3929.333, 3)
    485.376
    """
    c0, c1, c2 = pot.coefficients
    height = pot.fill_height_mm / MM_PER_CM
    below = Section(0.0, height, (c0 / MM_PER_CM**2, c1 / MM_PER_CM, c2))
    return (below,) if mound is None else (below, _mound_section(pot, mound, height))


def _mound_section(pot: PotShape, mound: Mound, from_cm: float) -> Section:
    row = load_table("ringwise.rootzone", "container").get("accepted", "mound_mm")
    high = min(row.high or math.inf, mound.length_mm / 2 if mound.form == "cap" else math.inf)
    if not (row.low or 0.0) <= mound.height_mm <= high:
        raise out_of_range(_("mound height"), length(mound.height_mm), length_span(row.low or 0.0, high))
    if pot.shape != "prism" and (mound.length_mm > pot.length_mm or mound.width_mm > pot.width_mm):
        raise InputError(_("the mound is wider than the pot's rim. Give a base that stands inside the rim."))
    h, a, b = (each / MM_PER_CM for each in (mound.height_mm, mound.length_mm / 2, mound.width_mm / 2))
    if mound.form == "cap":
        if a != b:
            raise InputError(_("a cap has a round base: give one diameter, or take a paraboloid."))
        area = (math.pi * a**2, -math.pi * (a**2 - h**2) / h, -math.pi)
    elif mound.form == "paraboloid":
        area = (math.pi * a * b, -math.pi * a * b / h, 0.0)
    else:
        raise InputError(_("mound form is {form}; accepted: cap, paraboloid.").format(form=mound.form))
    return Section(0.0, h, area).raised(from_cm)


def bowl_sections(shape: str, levels: Sequence[Level]) -> Filling:
    """The filling of a bowl with curved walls, from its measures at several heights.

    Parameters
    ----------
    shape : str
        Plan shape: oval, round, rectangle, hexagon or octagon.
    levels : sequence of Level
        From the floor up, two or more; walls run straight between them.

    Returns
    -------
    Filling
        A section between each pair of levels.

    Raises
    ------
    InputError
        If there are too few levels, or they do not rise.

    Source
    ------
    own: solid geometry, exact for walls straight between the levels.

    Examples
    --------
    >>> bowl = bowl_sections("round", [Level(0, 120, 120), Level(30, 220, 220), Level(70, 280, 280)])
    >>> round(volume_cm3(bowl))
    2673
    """
    pairs = list(pairwise(levels))
    if not pairs:
        raise InputError(_("a bowl needs its measures at two heights or more, floor and rim included."))
    if any(above.z_mm <= below.z_mm for below, above in pairs):
        raise InputError(_("heights of a bowl's measures must rise from the floor to the rim."))
    if any(min(each.length_mm, each.width_mm) <= 0 for each in levels):
        raise InputError(_("a bowl's measures must be more than 0."))
    return tuple(_bowl_section(AREA_FACTOR[shape], below, above, levels[0].z_mm) for below, above in pairs)


def _bowl_section(factor: float, below: Level, above: Level, floor_mm: float) -> Section:
    height = (above.z_mm - below.z_mm) / MM_PER_CM
    long, wide = below.length_mm / MM_PER_CM, below.width_mm / MM_PER_CM
    long_slope = (above.length_mm / MM_PER_CM - long) / height
    wide_slope = (above.width_mm / MM_PER_CM - wide) / height
    area = (
        factor * long * wide,
        factor * (long * wide_slope + wide * long_slope),
        factor * long_slope * wide_slope,
    )
    return Section(0.0, height, area).raised((below.z_mm - floor_mm) / MM_PER_CM)


def volume_cm3(filling: Filling) -> float:
    """Volume of a filling.

    Parameters
    ----------
    filling : Filling
        Its sections.

    Returns
    -------
    float
        Their sum, in cm3.

    Source
    ------
    own: solid geometry.

    Examples
    --------
    >>> volume_cm3((Section(0.0, 5.0, (2.0, 0.0, 0.0)),))
    10.0
    """
    return sum(each.volume_cm3 for each in filling)


def cut(filling: Filling, low_cm: float, high_cm: float) -> Filling:
    """The part of a filling between two suctions.

    Parameters
    ----------
    filling : Filling
        Its sections.
    low_cm, high_cm : float
        The two suctions at rest.

    Returns
    -------
    Filling
        Blank where nothing lies between.

    Source
    ------
    own: solid geometry.

    Examples
    --------
    >>> cut((Section(0.0, 5.0, (2.0, 0.0, 0.0)),), 0.0, 2.0)[0].high_cm
    2.0
    """
    parts = (each.within(low_cm, high_cm) for each in filling)
    return tuple(each for each in parts if each is not None)


def raised(filling: Filling, by_cm: float) -> Filling:
    """The same filling with all suctions higher by an amount.

    Parameters
    ----------
    filling : Filling
        Its sections.
    by_cm : float
        What is added to the suction; below 0 it is taken away.

    Returns
    -------
    Filling
        Of the same volume.

    Source
    ------
    own: the suction at rest is the height.

    Examples
    --------
    >>> raised((Section(0.0, 5.0, (2.0, 0.0, 0.0)),), 1.0)[0].low_cm
    1.0
    """
    return tuple(each.raised(by_cm) for each in filling)


def water_cm3(filling: Filling, curve: RetentionCurve) -> FloatArray:
    """Water that a filling holds at rest.

    Parameters
    ----------
    filling : Filling
        Its sections.
    curve : RetentionCurve
        One curve or draws.

    Returns
    -------
    FloatArray
        In cm3, of the draws' shape.

    Source
    ------
    vangenuchten1980: the form integrated over each section in closed form.

    Examples
    --------
    >>> from ringwise.rootzone.retention import curve
    >>> sand = curve(0.045, 0.43, [(1, 0.145, 2.68)])
    >>> round(float(water_cm3((Section(0.0, 5.0, (1.0, 0.0, 0.0)),), sand)), 5)
    2.03348
    """
    ends = np.array([[each.low_cm, each.high_cm] for each in filling])
    levels, place = np.unique(ends, return_inverse=True)
    moments = curve_moments(curve, levels)
    place = place.reshape(ends.shape)
    area = np.array([each.coefficients for each in filling])
    full = (area * (moments[..., place[:, 1], :] - moments[..., place[:, 0], :])).reshape(
        (*curve.residual_v.shape, len(filling) * POWERS)
    )
    return np.asarray(curve.residual_v * volume_cm3(filling) + curve.span_v * full.sum(axis=-1))
