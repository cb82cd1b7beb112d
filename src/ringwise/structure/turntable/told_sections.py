"""The sections that are told: outlines that were read, and those that are filled from both sides."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from ringwise.kit.types import FloatArray, IntArray
from ringwise.structure.section import Section
from ringwise.structure.turntable.hull import Outline, outline_radii_mm
from ringwise.structure.turntable.limits import limit_of


def sections_of(
    outlines: tuple[Outline | None, ...],
    height_mm: FloatArray,
    spacing_mm: float,
    radius_mm: FloatArray | None = None,
) -> tuple[Section, ...]:
    """Sections at rising heights from the outlines along the trunk.

    Parameters
    ----------
    outlines : tuple of Outline or None
        At the trunk's nodes.
    height_mm : (n,) float
        Heights of the nodes above the soil.
    spacing_mm : float
        Least distance of sections.
    radius_mm : (n,) float, optional
        Radii of the circle of equal area, from which sections without an outline are filled; NaN for none.

    Returns
    -------
    tuple of Section
        From below; those that are filled have a wide spread.

    Source
    ------
    own: rows section.directions, section.fill_frac and section.fill_above_frac of turntable.csv.

    Examples
    --------
    >>> from ringwise.structure.turntable.hull import outline_of
    >>> turn = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    >>> one = outline_of(turn, np.full(48, 25.0), 0.4)
    >>> [round(each.girth_mm, 1) for each in sections_of((one, None, one), np.array([0, 5, 10.0]), 2.0)]
    [157.1, 157.1]
    >>> three = sections_of((one, None, one), np.array([0, 5, 10.0]), 2.0, np.full(3, 25.0))
    >>> [each.girth_sd_mm > 2.0 for each in three]
    [False, True, False]
    """
    count = int(limit_of("section", "directions"))
    shapes = [None if each is None else outline_radii_mm(each, count) for each in outlines]
    rows = np.array([row for row, each in enumerate(shapes) if each is not None and np.all(each > 0.0)], int)
    out: list[Section] = []
    for row, height in enumerate(height_mm):
        if height < 0.0:
            continue
        outline, shape = outlines[row], shapes[row]
        if outline is not None and shape is not None and row in rows:
            made = Section(float(height), outline.girth_mm, outline.girth_sd_mm, shape)
            # What is read goes before what is filled.
            while out and height - out[-1].height_mm < spacing_mm and _is_filled(out[-1]):
                out.pop()
        elif radius_mm is None or len(rows) < 2 or not np.isfinite(radius_mm[row]) or row < rows[0]:
            continue
        else:
            made = _filled(outlines, shapes, rows, (row, float(height), float(radius_mm[row])))
            slope = limit_of("section", "fill_slope_ratio") * _slope(height_mm, radius_mm, row)
            made = replace(made, girth_sd_mm=math.hypot(made.girth_sd_mm, slope * made.girth_mm))
        if not out or height - out[-1].height_mm >= spacing_mm:
            out.append(made)
    return tuple(out)


def _slope(height_mm: FloatArray, radius_mm: FloatArray, row: int) -> float:
    """How steeply the trunk tapers about a node: with its place, a girth there is unsure by this."""
    known = np.isfinite(radius_mm)
    about = height_mm[row] + radius_mm[row] * np.array([-1.0, 1.0])
    order = np.argsort(height_mm[known], kind="stable")
    low, high = np.interp(about, height_mm[known][order], radius_mm[known][order])
    return abs(float(high - low)) / (2.0 * float(radius_mm[row]))


def _is_filled(section: Section) -> bool:
    return section.girth_sd_mm >= 0.999 * limit_of("section", "fill_frac") * section.girth_mm


def _filled(
    outlines: tuple[Outline | None, ...],
    shapes: list[FloatArray | None],
    rows: IntArray,
    at: tuple[int, float, float],
) -> Section:
    """A section with the shape of its neighbours and the thickness of its own narrowest views."""
    row, height, radius = at
    above = min(int(np.searchsorted(rows, row)), len(rows) - 1)
    near = [int(rows[max(above - 1, 0)]), int(rows[above])]
    span = max(near[1] - near[0], 1)
    part = min(max((row - near[0]) / span, 0.0), 1.0)
    girth, shape = 0.0, np.zeros(int(limit_of("section", "directions")))
    for each, share in zip(near, (1.0 - part, part), strict=True):
        outline, radii = outlines[each], shapes[each]
        if outline is not None and radii is not None:
            own = math.sqrt(outline.area_mm2 / math.pi)
            girth += share * radius * outline.girth_mm / own
            shape += share * radius * radii / own
    frac = limit_of("section", "fill_above_frac" if row > rows[-1] else "fill_frac")
    return Section(height, girth, frac * girth, shape)
