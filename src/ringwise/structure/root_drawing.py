"""The underside as a drawing: twelve sectors seen from above, the front at the foot, roots as lines.

A thick root is a heavy line, fine roots are a fan of hairlines, a cut one ends in a stroke across, a dead
one is crossed, a missing one leaves its arc open, hollow wood is hatched. Every sector carries its words.
"""

from __future__ import annotations

import math

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.structure.line_marks import Label, LineDrawing, Mark
from ringwise.structure.root_words import find_words
from ringwise.structure.roots import RootMap, RootSector
from ringwise.structure.tape import SECTORS

RADIUS, TRUNK, WORDS = 150.0, 44.0, 190.0  # in pixels: the rim, the trunk, where words stand
ARC_POINTS = 9
FAN = 5  # hairlines of fine roots
THICK_PX, FINE_PX, LINE_PX = 3.0, 0.7, 1.5
BOX_PX = 330.0, 225.0  # half width, half height


def root_drawing(found: RootMap) -> LineDrawing:
    """The sector map of an underside.

    Parameters
    ----------
    found : RootMap
        What was found.

    Returns
    -------
    LineDrawing
        One unit is one pixel; traced roots are drawn to the scale of the longest.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.roots import typed_map
    >>> drawn = root_drawing(typed_map(["3=thick,2cut"]))
    >>> [each.text for each in drawn.labels if "thick" in each.text]
    ['1 thick, 2 cut']
    """
    marks = [Mark(_arc(0.0, 12.0, TRUNK), LINE_PX)]
    labels: list[Label] = []
    for sector in found.sectors:
        marks += _sector(sector, bool(found.roots))
        labels += _words(sector)
    longest_mm = max((each.end_mm for each in found.roots), default=1.0)
    for root in found.roots:
        ends = [TRUNK + (RADIUS - TRUNK) * each / longest_mm for each in (root.base_mm, root.end_mm)]
        marks.append(_spoke(root.clock, max(ends[0], TRUNK), ends[1], THICK_PX))
        if root.cut:
            marks.append(_across(root.clock, ends[1]))
    wide, high = BOX_PX
    return LineDrawing(tuple(marks), tuple(labels), -wide, wide, -high, high, 1.0, 6.0, 90.0)


def _at(clock: float, away_px: float) -> tuple[float, float]:
    angle = 2.0 * math.pi * clock / SECTORS
    return away_px * math.sin(angle), away_px * math.cos(angle)


def _arc(first_clock: float, last_clock: float, away_px: float) -> FloatArray:
    count = max(ARC_POINTS, int(ARC_POINTS * (last_clock - first_clock)))
    return np.array([_at(clock, away_px) for clock in np.linspace(first_clock, last_clock, count).tolist()])


def _spoke(clock: float, start_px: float, end_px: float, width_px: float, layer: str = "ink") -> Mark:
    return Mark(np.array([_at(clock, start_px), _at(clock, end_px)]), width_px, layer)


def _across(clock: float, away_px: float, half_px: float = 7.0) -> Mark:
    x, y = _at(clock, away_px)
    side_x, side_y = _at(clock + SECTORS / 4.0, half_px)
    return Mark(np.array([[x - side_x, y - side_y], [x + side_x, y + side_y]]), LINE_PX)


def _sector(sector: RootSector, traced: bool) -> list[Mark]:
    hour, finds = float(sector.hour), sector.finds
    edge = _spoke(hour - 0.5, TRUNK, RADIUS, FINE_PX, "hair")
    marks = [edge]
    if "missing" in finds:  # the rim stays open where a root is missed
        marks += [
            Mark(_arc(hour - 0.5, hour - 0.3, RADIUS), LINE_PX),
            Mark(_arc(hour + 0.3, hour + 0.5, RADIUS), LINE_PX),
        ]
    elif finds:
        marks.append(Mark(_arc(hour - 0.5, hour + 0.5, RADIUS), LINE_PX))
    else:
        marks.append(Mark(_arc(hour - 0.5, hour + 0.5, RADIUS), FINE_PX, "hair"))
    lines = [] if traced else [each for each in ("thick", "cut", "dead") for _n in range(finds.get(each, 0))]
    for number, kind in enumerate(lines[:6]):
        clock = hour + 0.7 * ((number + 0.5) / min(len(lines), 6) - 0.5)
        end = RADIUS - 26.0 if kind != "cut" else TRUNK + 40.0
        marks.append(_spoke(clock, TRUNK, end, THICK_PX if kind != "dead" else LINE_PX))
        if kind == "cut":
            marks.append(_across(clock, end))
        if kind == "dead":
            marks += [_across(clock, end - 12.0, 4.0), _across(clock, end - 22.0, 4.0)]
    if finds.get("fine") and not traced:
        middle = np.linspace(-0.32, 0.32, FAN).tolist()
        marks += [_spoke(hour + off, RADIUS - 34.0, RADIUS - 8.0, FINE_PX, "twig") for off in middle]
    if finds.get("hollow"):
        marks += [
            Mark(np.array([_at(hour - 0.4, away), _at(hour + 0.4, away - 10.0)]), FINE_PX)
            for away in (TRUNK, TRUNK - 8.0, TRUNK - 16.0)
        ]
    return marks


def _words(sector: RootSector) -> list[Label]:
    x, y = _at(float(sector.hour), WORDS)
    anchor = "middle" if abs(x) < 30.0 else ("start" if x > 0 else "end")
    inner = _at(float(sector.hour), RADIUS + 14.0)
    hour = Label(inner[0], inner[1] - 5.0, str(sector.hour))
    words = find_words(sector.finds)
    return [hour, Label(x, y - 5.0, words, anchor)] if words else [hour]
