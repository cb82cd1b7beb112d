"""The filled outline of a tree as the wind meets it: area and the height at which it grips, from slices."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.structure.silhouette import Silhouette, silhouette
from ringwise.structure.table import SegmentTable

SLICES = 60  # levels of the tree; twice as many change a crown's area by under one part in a hundred
SIDES_CLOCK = (3.0, 6.0)  # the wind comes from any side: the larger of two views a quarter turn apart
MM2_PER_M2 = 1e6  # exact


@dataclass(frozen=True)
class Sail:
    """What the wind pushes on: the outline with its gaps filled, and the height of its middle above soil."""

    area_m2: float
    grip_mm: float


def sail(table: SegmentTable, *, leaf_margin_mm: float = 0.0) -> Sail:
    """The larger filled outline of two sides of a tree.

    Parameters
    ----------
    table : SegmentTable
        The tree without leaves.
    leaf_margin_mm : float
        How far leaves stand out beyond the wood on each side of the crown, in mm.

    Returns
    -------
    Sail
        Area and the height of its middle.

    Source
    ------
    own: slices from the leftmost to the rightmost wood; gaps between branches count as filled.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> pole = sail(single_segment(length_mm=1000.0, diameter_mm=100.0))
    >>> round(pole.area_m2, 2), round(pole.grip_mm, -1)
    (0.08, 470.0)
    """
    views = [
        outline_sail(silhouette(table, view_clock=clock, roots=False), leaf_margin_mm=leaf_margin_mm)
        for clock in SIDES_CLOCK
    ]
    return max(views, key=lambda view: view.area_m2)


def outline_sail(drawing: Silhouette, *, leaf_margin_mm: float = 0.0) -> Sail:
    """The filled outline of one drawing.

    Parameters
    ----------
    drawing : Silhouette
        A tree from one side.
    leaf_margin_mm : float
        Added on each side of every slice that is wider than the trunk, in mm.

    Returns
    -------
    Sail
        Area and the height of its middle.

    Source
    ------
    own: horizontal slices.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> twig = silhouette(single_segment(length_mm=40.0, diameter_mm=3.0), roots=False)
    >>> 40 * 3 * 0.7 < outline_sail(twig).area_m2 * 1e6 < 40 * 3
    True
    """
    step_mm = drawing.top_mm / SLICES
    left = np.full(SLICES, np.inf)
    right = np.full(SLICES, -np.inf)
    for shape in drawing.shapes:
        points = _dense(shape.points_mm, step_mm / 2)
        rows = np.clip((points[:, 1] / step_mm).astype(np.int64), 0, SLICES - 1)
        half = shape.width_mm / 2
        np.minimum.at(left, rows, points[:, 0] - half)
        np.maximum.at(right, rows, points[:, 0] + half)
    width = np.where(np.isfinite(left), right - left, 0.0)
    width = np.where(width > drawing.base_mm, width + 2 * leaf_margin_mm, width)
    middle = (np.arange(SLICES) + 0.5) * step_mm
    area_mm2 = float(np.sum(width) * step_mm)
    grip_mm = float(np.sum(width * middle) / np.sum(width)) if area_mm2 > 0 else 0.0
    return Sail(area_mm2 / MM2_PER_M2, grip_mm)


def _dense(points_mm: FloatArray, step_mm: float) -> FloatArray:
    """Points along a line, none further apart in height than a step, so that no slice is missed."""
    rise = np.abs(np.diff(points_mm[:, 1]))
    counts: Sequence[int] = np.maximum(np.ceil(rise / step_mm).astype(np.int64), 1).tolist()
    parts = [
        np.linspace(points_mm[i], points_mm[i + 1], count, endpoint=False) for i, count in enumerate(counts)
    ]
    return np.concatenate([*parts, points_mm[-1:]])
