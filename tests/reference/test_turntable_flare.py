"""The girth of a lobed trunk where it flares: a tape reads the hull, and silhouettes show it.

Source of the girths: the convex hull of the outline that the pictures are rendered from, drawn fine. Seen
from above, the edge of a flare is the bark lower down, so views from above may not be read there.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from ringwise.structure.turntable import View
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.looking import stacked
from ringwise.structure.turntable.sections import trunk_outlines
from ringwise.structure.turntable.views import Stack
from trees.generator import OUTLINE, Outline, convex_length
from trees.renderer import silhouettes, turntable
from trees.surfaces import tube

LOBED = Outline(flat=0.7, turn_rad=0.3, lobes=((3, 0.16, 0.2), (5, 0.07, 1.0)))
HEIGHTS = np.linspace(0.0, 130.0, 66)
SHOWN_MM = 60.0  # below, no narrow view tells the radius


def radius_mm(height_mm: np.ndarray) -> np.ndarray:
    return 26.0 + 20.0 * np.exp(-height_mm / 32.0)


def girth_mm(height_mm: float) -> float:
    outline = radius_mm(np.array(height_mm)) * LOBED.shape(OUTLINE) * np.exp(1j * OUTLINE)
    return convex_length(np.column_stack([outline.real, outline.imag]))


@cache
def stack() -> Stack:
    line = np.column_stack([0 * HEIGHTS, 0 * HEIGHTS, HEIGHTS])
    mesh = tube(line, radius_mm(HEIGHTS), outline=LOBED, sides=240)
    seen = turntable(mesh, width_px=300, height_px=400)
    shown = silhouettes(mesh, seen, seed=4)
    return stacked([View(each, got) for each, got in zip(seen, shown, strict=True)])[0]


def off(reckoned_slope: float) -> tuple[np.ndarray, np.ndarray]:
    """Errors of the girths as shares, and their told spreads, with radii that do not show the flare."""
    at = np.arange(14.0, 60.0, 4.0)
    line = np.column_stack([0 * HEIGHTS, 0 * HEIGHTS, HEIGHTS])
    upright = np.tile([0.0, 0.0, 1.0], (len(HEIGHTS), 1))
    told = radius_mm(np.maximum(HEIGHTS, SHOWN_MM)) * 1.2
    least = np.where(HEIGHTS < SHOWN_MM, reckoned_slope, 0.0)
    outlines = trunk_outlines(stack(), line, upright, told, 0.4, 0.0, least)
    rows = [int(np.argmin(np.abs(HEIGHTS - each))) for each in at]
    found = [(row, each) for row in rows if (each := outlines[row]) is not None]
    assert len(found) >= 8
    true = np.array([girth_mm(HEIGHTS[row]) for row, _each in found])
    got = np.array([each.girth_mm for _row, each in found])
    return got / true - 1.0, np.array([each.girth_sd_mm for _row, each in found]) / true


def test_girth_of_a_lobed_flare_is_within_one_in_a_hundred() -> None:
    error, _sd = off(limit_of("section", "foot_slope"))
    assert np.abs(error).max() < 0.01


def test_told_spread_holds_the_error() -> None:
    error, sd = off(limit_of("section", "foot_slope"))
    assert np.abs(error / sd).max() < 3.0
    assert np.median(np.abs(error / sd)) < 1.5


def test_views_from_above_would_read_the_bark_lower_down() -> None:
    assert off(0.0)[0].max() > 0.015


@pytest.mark.parametrize("height", [20.0, 40.0])
def test_hull_is_longer_than_the_circle_of_equal_area(height: float) -> None:
    assert girth_mm(height) > 1.02 * 2.0 * np.pi * float(radius_mm(np.array(height)))
