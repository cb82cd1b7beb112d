"""The outline that routine care holds: how far the crown reaches at each height and towards each side."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ringwise.futures.start import Start
from ringwise.kit.types import FloatArray
from ringwise.structure.table import SegmentTable

LAYERS, SIDES = 16, 12  # a layer is finer than a branch pad; a side is an hour of the clock
_ROUND = 0.85  # a side that is empty today may fill to this share of its layer's mean; assumed
_SPARE = 1.05  # growers let the outline swell a little


def outline_of(start: Start) -> FloatArray:
    """The reach of the crown by height and side, from the trees as they are, scaled to the aim.

    Parameters
    ----------
    start : Start
        The tree; without an aim nothing is held.

    Returns
    -------
    (layers, sides) float
        Largest level distance from the trunk's foot, in mm; all zero where nobody cuts back.

    Source
    ------
    own: the widest reach over the equally likely trees, evened out over neighbours.

    Examples
    --------
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> start = Start((single_segment(length_mm=40.0, diameter_mm=3.0),), Condition(6.0), 2027)
    >>> float(outline_of(start).max())
    0.0
    """
    reach = np.zeros((LAYERS, SIDES))
    if start.aim.height_mm <= 0:
        return reach
    for table in start.tables:
        reach = np.maximum(reach, _reach(table))
    swollen = _neighbours(reach)
    mean = swollen.mean(axis=1, keepdims=True)
    held: FloatArray = np.maximum(swollen, _ROUND * mean)
    # The aim is that of the first tree; the others, as likely, may reach further out, and keep it.
    own = float(_reach(start.tables[0]).max())
    wanted = start.aim.spread_mm / 2.0 if start.aim.spread_mm > 0 else own
    held *= _SPARE * wanted / own if own > 0 else 1.0
    return held


def _reach(table: SegmentTable) -> FloatArray:
    ends = table.end_mm
    level = np.hypot(ends[:, 0], ends[:, 1])
    layer = np.clip((ends[:, 2] / ends[:, 2].max() * LAYERS).astype(np.int64), 0, LAYERS - 1)
    turn = np.arctan2(ends[:, 0], ends[:, 1]) / (2.0 * math.pi) * SIDES
    side = np.floor(turn).astype(np.int64) % SIDES
    out = np.zeros((LAYERS, SIDES))
    np.maximum.at(out, (layer, side), level)
    return out


def _neighbours(reach: FloatArray) -> FloatArray:
    """Each cell at least four fifths of its neighbours, so that a gap between two twigs is no notch."""
    near: Sequence[FloatArray] = (
        np.roll(reach, 1, axis=1),
        np.roll(reach, -1, axis=1),
        np.vstack([reach[1:], reach[-1:]]),
        np.vstack([reach[:1], reach[:-1]]),
    )
    out = reach
    for each in near:
        out = np.maximum(out, 0.8 * each)
    return out
