"""How a trunk moves: its largest offset, its changes of direction and the stretches between them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.structure.measuring_data import measuring
from ringwise.structure.orders import gravelius_order
from ringwise.structure.table import SegmentTable


@dataclass(frozen=True)
class Turn:
    """A change of direction of the trunk: where, by how much, and the way its inside looks.

    `inside_deg` is that way from above, from +x (the right) anticlockwise.
    """

    height_mm: float
    turn_deg: float
    inside_deg: float
    row: int


@dataclass(frozen=True)
class Movement:
    """The trunk's movement; `stretches_mm` are the ways along it between soil, turns and tip."""

    offset_frac: float
    turns: tuple[Turn, ...]
    stretches_mm: tuple[float, ...]
    longest_frac: float

    @property
    def shortening(self) -> bool:
        """Whether every stretch is shorter than the one below it."""
        return all(above < below for below, above in pairwise(self.stretches_mm))


def movement(table: SegmentTable) -> Movement:
    """The movement of a trunk.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    Movement
        `offset_frac` is the largest distance from the straight line between soil and tip against the
        height, `longest_frac` the longest stretch without a change of direction against the height.

    Source
    ------
    own: the line is reduced to its corners (Douglas and Peucker's rule, from memory); practice for reading
    bends this way.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> movement(single_segment(length_mm=40.0, diameter_mm=4.0)).turns
    ()
    """
    rows = np.nonzero(gravelius_order(table) == 0)[0]
    line = np.vstack([np.zeros(3), table.end_mm[rows]])
    height_mm = max(float(line[:, 2].max()), 1e-6)
    corners = _corners(line, measuring("movement", "corner_frac") * height_mm)
    least_deg = measuring("movement", "least_turn_deg")
    along_mm = np.append(0.0, np.cumsum(table.length_mm[rows], dtype=np.float64))
    turns, marks = [], [0.0]
    for before, here, after in zip(corners, corners[1:], corners[2:], strict=False):
        way, next_way = line[here] - line[before], line[after] - line[here]
        turn_deg = _turn_deg(way, next_way)
        if turn_deg >= least_deg:
            inside_deg = _inside_deg(way, next_way)
            row = int(rows[min(here, len(rows) - 1)])
            turns.append(Turn(float(line[here, 2]), turn_deg, inside_deg, row))
            marks.append(float(along_mm[here]))
    stretches = tuple(float(each) for each in np.diff([*marks, float(along_mm[-1])]))
    offset_mm = float(_away(line, line[0], line[-1]).max())
    return Movement(offset_mm / height_mm, tuple(turns), stretches, max(stretches) / height_mm)


def _away(points: FloatArray, first: FloatArray, last: FloatArray) -> FloatArray:
    span = last - first
    away = points - first
    long = float(span @ span)
    if long <= 0.0:
        return np.asarray(np.linalg.norm(away, axis=1))
    return np.asarray(np.linalg.norm(away - np.outer(away @ span / long, span), axis=1))


def _corners(line: FloatArray, within_mm: float) -> list[int]:
    """Places of the line whose straight joining leaves no node further away than a distance."""
    kept = {0, len(line) - 1}
    open_spans = [(0, len(line) - 1)]
    while open_spans:
        first, last = open_spans.pop()
        if last - first < 2:
            continue
        away = _away(line[first + 1 : last], line[first], line[last])
        far = int(np.argmax(away))
        if away[far] > within_mm:
            place = first + 1 + far
            kept.add(place)
            open_spans += [(first, place), (place, last)]
    return sorted(kept)


def _inside_deg(way: FloatArray, next_way: FloatArray) -> float:
    bend = next_way / np.linalg.norm(next_way) - way / np.linalg.norm(way)
    return math.degrees(math.atan2(bend[1], bend[0])) % 360.0


def _turn_deg(way: FloatArray, next_way: FloatArray) -> float:
    cosine = float(way @ next_way) / float(np.linalg.norm(way) * np.linalg.norm(next_way))
    return math.degrees(math.acos(min(1.0, max(-1.0, cosine))))
