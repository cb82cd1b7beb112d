"""Surface roots and the flare at the soil as a drawing has them where nobody measured an outline."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.structure.outline import (
    ALL_ROUND,
    FLARE_RATIO,
    SLENDER_FROM,
    SLENDER_TO,
    root_lines,
)

AROUND = 72  # directions in which an outline is kept
LEVELS = (0.0, 0.1, 0.22, 0.36, 0.55, 0.8, 1.2)  # of the base diameter: heights at which the flare is told
LEAST_AGE = 0.15  # of the full flare that even a whip has
BETWEEN = 0.45  # share of the flare between two roots
ROOT_WIDTH_RAD = 0.32  # how far a root's buttress reaches to its sides


def root_pieces(base_mm: float, slender_ratio: float, sectors: Sequence[bool] | None) -> list[FloatArray]:
    """Surface roots as tapered pieces that leave the flare and sink into the soil.

    Parameters
    ----------
    base_mm : float
        Diameter of the trunk above the flare.
    slender_ratio : float
        Height to base diameter.
    sectors : sequence of bool, optional
        For each hour from 1 to 12 whether a root is seen; None draws them all round.

    Returns
    -------
    list of (k, 8) float
        Foot, top and two radii of each piece; none for a whip.

    Source
    ------
    own: the same lines as in the flat drawing.

    Examples
    --------
    >>> root_pieces(90.0, 6.0, [True] * 3 + [False] * 9)[0].shape
    (8, 8)
    """
    pieces = []
    for line in root_lines(base_mm, slender_ratio, sectors):
        radius = line.width_mm / 2.0
        pieces.append(np.column_stack([line.points_mm[:-1], line.points_mm[1:], radius[:-1], radius[1:]]))
    return pieces


def drawn_flare(
    base_mm: float, slender_ratio: float, sectors: Sequence[bool] | None
) -> tuple[FloatArray, FloatArray]:
    """How much wider the trunk stands on the soil, most where a root leaves it.

    Parameters
    ----------
    base_mm : float
        Diameter of the trunk above the flare.
    slender_ratio : float
        Height to base diameter: slender young trees hardly flare.
    sectors : sequence of bool, optional
        For each hour from 1 to 12 whether a root is seen.

    Returns
    -------
    (k,) float, (k, around) float
        Heights in mm, and radius against the round one, anticlockwise from +x.

    Source
    ------
    own: drawing only.

    Examples
    --------
    >>> heights, ratios = drawn_flare(90.0, 6.0, None)
    >>> bool(ratios[0].max() > 1.3), bool(ratios[-1].max() < 1.02)
    (True, True)
    """
    age = min(1.0, max(LEAST_AGE, (SLENDER_TO - slender_ratio) / (SLENDER_TO - SLENDER_FROM)))
    clocks = ALL_ROUND if sectors is None else [hour for hour in range(1, 13) if sectors[hour - 1]]
    turn = np.arange(AROUND) * (2.0 * math.pi / AROUND)
    strong = np.full(AROUND, BETWEEN)
    for clock in clocks:
        # Clock 3 is +x and clock 12 is +y; hours run the other way round than turns.
        apart = np.angle(np.exp(1j * (turn - (math.pi / 2.0 - clock * math.pi / 6.0))))
        strong = np.maximum(strong, BETWEEN + (1.0 - BETWEEN) * np.exp(-((apart / ROOT_WIDTH_RAD) ** 2)))
    heights = np.array(LEVELS) * base_mm
    fading = FLARE_RATIO * age * np.exp(-3.2 * np.array(LEVELS))
    return heights, 1.0 + fading[:, None] * strong[None, :]
