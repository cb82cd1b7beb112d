"""The trunk by height: girth as a tape reads it, thickness, and where it thickens upwards."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import FloatArray, IntArray
from ringwise.structure.measured import MeasuredTree
from ringwise.structure.measuring_data import measuring
from ringwise.structure.orders import gravelius_order
from ringwise.structure.table import Flag


@dataclass(frozen=True)
class GirthAt:
    """The trunk at a height above the soil; `from_outline` where its outline was seen, else it is round.

    A spread is NaN where nobody can say.
    """

    height_mm: float
    girth_mm: float
    girth_sd_mm: float
    diameter_mm: float
    from_outline: bool


@dataclass(frozen=True)
class Thickening:
    """A stretch in which the trunk thickens upwards: an inverse taper; thinnest below, thickest above."""

    from_mm: float
    to_mm: float
    thin_mm: float
    thick_mm: float
    rows: tuple[int, ...]


@dataclass(frozen=True)
class _Line:
    """The trunk line: rows, heights and thickness of its nodes, and how sure they are."""

    rows: IntArray
    height_mm: FloatArray
    diameter_mm: FloatArray
    radius_sd_mm: FloatArray


def _line(measured: MeasuredTree) -> _Line:
    table = measured.table
    rows = np.nonzero(gravelius_order(table) == 0)[0]
    heights = np.append(table.start_mm[rows, 2], table.end_mm[rows[-1], 2])
    widths = np.append(table.diameter_mm[rows], table.end_diameter_mm[rows[-1]])
    spread = measured.radius_sd_mm[np.append(rows, rows[-1])].astype(np.float64)
    return _Line(rows, heights, widths, spread)


def _at(line: _Line, values: FloatArray, height_mm: float) -> float:
    """A value of the nodes at the first place where the line passes a height."""
    reached = line.height_mm >= height_mm
    first = int(np.argmax(reached)) if reached.any() else len(values) - 1
    if first == 0 or not reached.any():
        return float(values[first])
    span = line.height_mm[first - 1 : first + 1]
    return float(np.interp(height_mm, span, values[first - 1 : first + 1]))


def girth_at(measured: MeasuredTree, height_mm: float) -> GirthAt:
    """Girth of the trunk at a height, as a tape reads it.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    height_mm : float
        Above the soil.

    Returns
    -------
    GirthAt
        From the outlines of the trunk nearest above and below where they were seen, else of a round trunk.

    Source
    ------
    own: between two outlines the ratio of their girth to a round trunk's is taken in proportion.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=4.0))
    >>> round(girth_at(stem, 0.0).girth_mm, 3)
    12.566
    """
    return _girth_on(_line(measured), measured, height_mm)


def _girth_on(line: _Line, measured: MeasuredTree, height_mm: float) -> GirthAt:
    diameter_mm = _at(line, line.diameter_mm, height_mm)
    round_sd_mm = 2.0 * math.pi * _at(line, line.radius_sd_mm, height_mm)
    sections = measured.sections
    near_mm = measuring("flare", "to_diameter_ratio") * diameter_mm
    seen = sections and sections[0].height_mm - near_mm <= height_mm <= sections[-1].height_mm + near_mm
    if not seen:
        return GirthAt(height_mm, math.pi * diameter_mm, round_sd_mm, diameter_mm, False)
    heights = [each.height_mm for each in sections]
    ratios = [each.girth_mm / (math.pi * _at(line, line.diameter_mm, each.height_mm)) for each in sections]
    spreads = [each.girth_sd_mm if math.isfinite(each.girth_sd_mm) else round_sd_mm for each in sections]
    ratio = float(np.interp(height_mm, heights, ratios))
    spread_mm = float(np.interp(height_mm, heights, spreads))
    return GirthAt(height_mm, ratio * math.pi * diameter_mm, spread_mm, diameter_mm, True)


def profile(measured: MeasuredTree) -> tuple[GirthAt, ...]:
    """The trunk at evenly spaced heights from the soil to below its tip.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.

    Returns
    -------
    tuple of GirthAt
        As many as the table `measuring` says.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> len(profile(measured_of(single_segment(length_mm=40.0, diameter_mm=4.0))))
    12
    """
    line = _line(measured)
    count = int(measuring("profile", "heights"))
    heights = np.linspace(0.0, float(line.height_mm.max()), count, endpoint=False)
    return tuple(_girth_on(line, measured, float(each)) for each in heights)


def thickenings(measured: MeasuredTree, *, least_frac: float) -> tuple[Thickening, ...]:
    """Where the trunk above its flare thickens upwards by more than its spread.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    least_frac : float
        Increase against the thinner place below which it is none.

    Returns
    -------
    tuple of Thickening
        From the lowest up; an unknown spread counts as none.

    Source
    ------
    practice: a trunk that thickens upwards is a fault; the spreads are own reasoning.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> thickenings(measured_of(single_segment(length_mm=40.0, diameter_mm=4.0)), least_frac=0.02)
    ()
    """
    line = _line(measured)
    flare = (measured.table.flags[line.rows] & Flag.FLARE) > 0
    start = int(np.argmin(flare)) if not flare.all() else len(line.rows) - 1
    sds = measuring("taper", "spread_sds")
    spread = np.nan_to_num(line.radius_sd_mm) * 2.0
    found: list[Thickening] = []
    thin, place = start, start + 1
    while place < len(line.diameter_mm):
        width = line.diameter_mm
        if width[place] <= width[thin]:
            thin, place = place, place + 1
            continue
        top = place  # the thickest node before the trunk is as thin again
        while place < len(width) and width[place] > width[thin]:
            top = place if width[place] > width[top] else top
            place += 1
        more_mm = float(width[top] - width[thin])
        unsure_mm = sds * math.hypot(float(spread[top]), float(spread[thin]))
        if more_mm > max(least_frac * float(width[thin]), unsure_mm):
            rows = tuple(int(row) for row in line.rows[thin : min(top, len(line.rows) - 1) + 1])
            found.append(
                Thickening(
                    float(line.height_mm[thin]),
                    float(line.height_mm[top]),
                    float(width[thin]),
                    float(width[top]),
                    rows,
                )
            )
        thin = place if place < len(width) else thin
        place += 1
    return tuple(found)
