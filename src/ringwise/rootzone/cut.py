"""The cut through a pot: where the kept root ball lies, and the water at each height with its spread."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ringwise.kit.tables import load_table

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ringwise.rootzone.pot import PotShape
    from ringwise.rootzone.retention import RetentionCurve

LEVELS = 33  # heights at which the water is told; between them it is close to a straight line
BAND = (10.0, 50.0, 90.0)  # one in ten, the median, nine in ten
MM_PER_CM = 10.0  # exact


@dataclass(frozen=True)
class RootBall:
    """The kept root ball as a slab under the surface: its plan like the pot's, and how deep it reaches."""

    length_mm: float
    width_mm: float
    depth_mm: float


@dataclass(frozen=True)
class WaterByHeight:
    """Share of water at heights above the lowest point of the fill: one in ten, the median, nine in ten."""

    heights_mm: tuple[float, ...]
    low_v: tuple[float, ...]
    median_v: tuple[float, ...]
    high_v: tuple[float, ...]


def assumed_ball(pot: PotShape, kept_frac: float) -> RootBall:
    """The root ball to expect where none was measured: a pad of the usual depth that holds the kept share.

    Parameters
    ----------
    pot : PotShape
        The pot as filled.
    kept_frac : float
        Share of the fill that the kept ball takes.

    Returns
    -------
    RootBall
        Its plan is the pot's, made smaller to scale; never larger than the pot.

    Source
    ------
    own: pad over fill from `data/potting.csv`; a measured ball replaces it.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> ball = assumed_ball(pot_shape("rect", PotLengths(300, 200, 80)), 0.45)
    >>> round(ball.length_mm), round(ball.width_mm), round(ball.depth_mm)
    (260, 173, 48)
    """
    pad = load_table("ringwise.rootzone", "potting").get("hollow", "pad_per_fill_ratio").number
    side = math.sqrt(min(1.0, kept_frac / pad))
    return RootBall(pot.length_mm * side, pot.width_mm * side, pad * pot.fill_height_mm)


def gravity_height_mm(pot: PotShape, tilt_deg: float) -> float:
    """Height of the fill from its lowest point to its highest, with the pot tilted along its length.

    Parameters
    ----------
    pot : PotShape
        The pot as filled.
    tilt_deg : float
        Angle to which one end is raised.

    Returns
    -------
    float
        In mm; the height of the fill itself where the pot stands level.

    Source
    ------
    own: plane geometry.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> tray = pot_shape("rect", PotLengths(300, 200, 80))
    >>> round(gravity_height_mm(tray, 0.0)), round(gravity_height_mm(tray, 30.0))
    (80, 219)
    """
    floor_mm = pot.length_mm if pot.bottom_length_mm is None else pot.bottom_length_mm
    overhang_mm = (pot.length_mm - floor_mm) / 2
    tilt_rad = math.radians(tilt_deg)
    far_mm = max(floor_mm, floor_mm + overhang_mm)
    return far_mm * math.sin(tilt_rad) + pot.fill_height_mm * math.cos(tilt_rad)


def water_by_height(curve: RetentionCurve, top_mm: float, *, levels: int = LEVELS) -> WaterByHeight:
    """The share of water at each height when no more drips out: the suction there is the height itself.

    Parameters
    ----------
    curve : RetentionCurve
        One curve or many draws.
    top_mm : float
        Height of the fill above its lowest point.
    levels : int
        How many heights, the lowest and the highest among them.

    Returns
    -------
    WaterByHeight
        The three are alike where there is one curve.

    Source
    ------
    own: hydrostatic balance at the end of drainage.

    Examples
    --------
    >>> from ringwise.rootzone.retention import curve
    >>> grit = curve(0.02, 0.45, modes=[(1.0, 0.455, 3.0)])
    >>> told = water_by_height(grit, 60.0, levels=4)
    >>> told.heights_mm, [round(each, 3) for each in told.median_v]
    ((0.0, 20.0, 40.0, 60.0), [0.45, 0.316, 0.137, 0.076])
    """
    heights_mm: NDArray[np.float64] = np.linspace(0.0, top_mm, levels)
    drawn = np.asarray(curve.theta_v(heights_mm / MM_PER_CM)).reshape(-1, levels)
    low, median, high = np.percentile(drawn, BAND, axis=0)
    return WaterByHeight(
        tuple(heights_mm.tolist()), tuple(low.tolist()), tuple(median.tolist()), tuple(high.tolist())
    )
