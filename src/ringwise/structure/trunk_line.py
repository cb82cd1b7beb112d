"""The line of a trunk between what was measured: plausible bends, shortening upwards, apex where it leans.

Bends lean towards the strong branches, since a branch on the outside of a bend is what growers keep;
where the tape names no branch, bends turn about by luck. Heights are never changed by a bend.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.structure.forms import TreeForm
from ringwise.structure.ramify import Luck
from ringwise.structure.tape import clock_direction
from ringwise.structure.tape_sure import SureBranch, SureTape

BEND_FRACS = (0.0, 0.26, 0.47, 0.64, 0.78, 0.89, 1.0)  # intervals that shorten upwards
STOUT_RATIO = 12.0  # height to base above which a trunk was never bent as much: it is still a whip
FLARE_FRAC = 0.14  # how much wider the trunk stands on the soil than at its lowest girth; form only
APEX_FRAC = 0.84  # the apex's own crown starts here when no branch is higher


def bend_points(tape: SureTape, form: TreeForm, luck: Luck) -> tuple[FloatArray, FloatArray]:
    """Heights and sideways offsets that the trunk line passes through.

    Parameters
    ----------
    tape : SureTape
        Height, branches, lean.
    form : TreeForm
        How much a trunk of this kind moves.
    luck : Luck
        Draws of the trunk.

    Returns
    -------
    (k,) float, (k, 2) float
        Heights and offsets (right, back), in mm.

    Source
    ------
    practice: offset 0.05 to 0.25 of the height, changes of direction at shortening intervals.

    Examples
    --------
    >>> from ringwise.structure.tape import TapeGirth
    >>> tape = SureTape(400.0, (TapeGirth(0.0, 150.0),), ())
    >>> heights, offsets = bend_points(tape, TreeForm(), Luck(1, -1))
    >>> len(heights), offsets[0].tolist()
    (7, [0.0, 0.0])
    """
    height = tape.height_mm
    calm = min(1.0, STOUT_RATIO / (height / tape.girths[0].diameter_mm))
    azimuth = luck.between(0.0, 2.0 * math.pi)
    heights, offsets = [], []
    for number, frac in enumerate(BEND_FRACS):
        at_mm = height * frac * (1.0 if frac in (0.0, 1.0) else luck.between(0.93, 1.07))
        strong = _strongest_near(tape, at_mm)
        if strong is not None:
            way = clock_direction(strong.clock + luck.between(-1.6, 1.6))[:2]
        else:
            way = np.array([math.sin(azimuth), math.cos(azimuth)])
        azimuth += math.pi * luck.between(0.72, 1.1)
        swing = calm * form.movement_frac * height * (1.0 - 0.75 * frac) * luck.between(0.35, 1.1)
        lean = tape.lean_mm * frac**1.3 * clock_direction(tape.lean_clock)[:2]
        heights.append(at_mm)
        offsets.append(lean + (way * swing if 0 < number < len(BEND_FRACS) - 1 else 0.0))
    return np.array(heights), np.array(offsets)


def _strongest_near(tape: SureTape, at_mm: float) -> SureBranch | None:
    near = [each for each in tape.branches if abs(each.height_mm - at_mm) < 0.09 * tape.height_mm]
    return max(near, key=lambda each: each.diameter_mm, default=None)


def offset_at(heights_mm: FloatArray, knots_mm: FloatArray, offsets_mm: FloatArray) -> FloatArray:
    """The smooth line through the bend points, upright where it leaves the soil.

    Parameters
    ----------
    heights_mm : (n,) float
        Where it is wanted.
    knots_mm, offsets_mm : (k,) float, (k, 2) float
        Bend points.

    Returns
    -------
    (n, 2) float
        Offsets, in mm.

    Source
    ------
    own: cubic Hermite pieces with central slopes.

    Examples
    --------
    >>> knots = np.array([0.0, 50.0, 100.0])
    >>> offset_at(np.array([50.0]), knots, np.array([[0.0, 0.0], [4.0, 2.0], [0.0, 0.0]])).tolist()
    [[4.0, 2.0]]
    """
    slopes = np.gradient(offsets_mm, knots_mm, axis=0)
    slopes[0] *= 0.4
    piece = np.clip(np.searchsorted(knots_mm, heights_mm, side="right") - 1, 0, len(knots_mm) - 2)
    span = (knots_mm[piece + 1] - knots_mm[piece])[:, None]
    t = (heights_mm - knots_mm[piece])[:, None] / span
    start, end = offsets_mm[piece], offsets_mm[piece + 1]
    rise, run = slopes[piece] * span, slopes[piece + 1] * span
    return (
        start * (2 * t**3 - 3 * t**2 + 1)
        + rise * (t**3 - 2 * t**2 + t)
        + end * (3 * t**2 - 2 * t**3)
        + run * (t**3 - t**2)
    )


def trunk_heights(tape: SureTape, top_mm: float) -> FloatArray:
    """Heights of the trunk's nodes: evenly spaced, and one at every girth and every branch.

    Parameters
    ----------
    tape : SureTape
        What was measured.
    top_mm : float
        Where the trunk line ends and the apex begins.

    Returns
    -------
    (n,) float
        Ascending, without 0, the last at `top_mm`.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.tape import TapeGirth
    >>> 20.0 in trunk_heights(SureTape(400.0, (TapeGirth(20.0, 150.0),), ()), 340.0)
    True
    """
    named = [each.at_mm for each in tape.girths] + [each.height_mm for each in tape.branches]
    fixed = {at_mm for at_mm in named if 0.0 < at_mm < top_mm} | {top_mm}
    spacing_mm = tape.height_mm / 40.0
    heights = sorted(fixed)
    for low, high in pairwise([0.0, *sorted(fixed)]):
        between = int((high - low) // spacing_mm)
        heights.extend(np.linspace(low, high, between + 2)[1:-1].tolist())
    return np.array(sorted(heights))


def apex_base_mm(tape: SureTape, form: TreeForm) -> float:
    """Height at which the apex's own crown begins.

    Parameters
    ----------
    tape : SureTape
        What was measured.
    form : TreeForm
        A broom ends its trunk at its highest branch.

    Returns
    -------
    float
        Height, in mm; above every measured girth and branch.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.tape import TapeGirth
    >>> apex_base_mm(SureTape(400.0, (TapeGirth(20.0, 150.0),), ()), TreeForm())
    336.0
    """
    named = [each.at_mm for each in tape.girths] + [each.height_mm for each in tape.branches]
    lowest_mm = 0.0 if form.posture == "broom" and tape.branches else APEX_FRAC * tape.height_mm
    return min(max([lowest_mm, *(at_mm + 1.0 for at_mm in named)]), 0.99 * tape.height_mm)


def trunk_diameter_mm(
    heights_mm: FloatArray, tape: SureTape, top: tuple[float, float], taper_index: float = 0.85
) -> FloatArray:
    """Diameter of the trunk by height: through every girth, flared below them, tapering above them.

    Parameters
    ----------
    heights_mm : (n,) float
        Where it is wanted.
    tape : SureTape
        Girths.
    top : (float, float)
        Height and diameter where the apex begins, in mm.
    taper_index : float
        How the trunk thins above its last girth; 1 is evenly.

    Returns
    -------
    (n,) float
        Diameters, in mm.

    Source
    ------
    own: linear between girths, which are circles for want of more.

    Examples
    --------
    >>> from ringwise.structure.tape import TapeGirth
    >>> tape = SureTape(400.0, (TapeGirth(0.0, 50.0 * math.pi),), ())
    >>> trunk_diameter_mm(np.array([0.0]), tape, (340.0, 10.0)).round(6).tolist()
    [50.0]
    """
    at = np.array([each.at_mm for each in tape.girths])
    girth_mm = np.array([each.diameter_mm for each in tape.girths])
    diameter = np.interp(heights_mm, at, girth_mm)
    below = np.clip(1.0 - heights_mm / at[0], 0.0, 1.0) if at[0] > 0 else np.zeros_like(heights_mm)
    diameter *= 1.0 + FLARE_FRAC * below**2
    top_mm, top_diameter_mm = top
    left = np.clip((top_mm - heights_mm) / max(top_mm - at[-1], 1e-9), 0.0, 1.0)
    above = top_diameter_mm + (girth_mm[-1] - top_diameter_mm) * left**taper_index
    out: FloatArray = np.where(heights_mm > at[-1], above, diameter)
    return out
