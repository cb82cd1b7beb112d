"""The crown from a side: its outline by height, and how much of it is wood."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.structure.table import SegmentTable
from ringwise.structure.tape import clock_direction

ROWS = 160  # of the grid over the height; finer changes a fill by less than a hundredth
OUTLINE_POINTS = 40  # on each side of the outline


@dataclass(frozen=True)
class CrownSide:
    """A tree without leaves from a side: `outline_mm` goes up its left and down its right (k, 2).

    `area_mm2` is that within the outline, gaps between branches filled; `wood_frac` the share of it that
    wood covers. x is to the right as seen, y up.
    """

    view_clock: float
    width_mm: float
    top_mm: float
    area_mm2: float
    wood_frac: float
    outline_mm: FloatArray


def crown_side(table: SegmentTable, *, view_clock: float = 6.0) -> CrownSide:
    """The crown from a side.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    view_clock : float
        Where the eye stands: 6 sees the front, 3 the right-hand side.

    Returns
    -------
    CrownSide
        Outline, area and fill.

    Source
    ------
    own: wood sampled on a grid of 160 rows; each row is filled from its leftmost to its rightmost wood.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> side = crown_side(single_segment(length_mm=400.0, diameter_mm=40.0))
    >>> round(side.wood_frac, 2), 0.9 < side.area_mm2 / (400 * 32) < 1.1
    (1.0, True)
    """
    towards = clock_direction(view_clock)
    right = np.array([-towards[1], towards[0]])  # to the right of an eye that looks against `towards`
    ends = np.stack([table.end_mm[:, :2] @ right, table.end_mm[:, 2]], axis=1)
    starts = np.stack([table.start_mm[:, :2] @ right, table.start_mm[:, 2]], axis=1)
    top_mm = max(float(ends[:, 1].max()), 1e-6)
    cell_mm = top_mm / ROWS
    points = _covered(starts, ends, table, cell_mm)
    points = points[points[:, 1] >= 0.0]
    columns = np.floor(points[:, 0] / cell_mm).astype(np.int64)
    rows = np.floor(points[:, 1] / cell_mm).astype(np.int64)
    first = int(columns.min())
    grid = np.zeros((int(rows.max()) + 1, int(columns.max()) - first + 1), dtype=np.bool_)
    grid[rows, columns - first] = True
    held = grid.any(axis=1)
    left = np.argmax(grid, axis=1)
    right_end = grid.shape[1] - np.argmax(grid[:, ::-1], axis=1)
    cells = np.where(held, right_end - left, 0)
    area_mm2 = float(cells.sum()) * cell_mm**2
    edges = np.asarray(np.stack([left + first, right_end + first], axis=1)[held] * cell_mm, dtype=np.float64)
    heights = np.asarray((np.nonzero(held)[0] + 0.5) * cell_mm, dtype=np.float64)
    return CrownSide(
        view_clock,
        float(edges[:, 1].max() - edges[:, 0].min()),
        top_mm,
        area_mm2,
        float(grid.sum() / cells.sum()),
        _outline(edges, heights),
    )


def _covered(starts: FloatArray, ends: FloatArray, table: SegmentTable, cell_mm: float) -> FloatArray:
    """Points on the drawn wood, no further apart than half a cell along and across."""
    step_mm = cell_mm / 2.0
    way = ends - starts
    long = np.hypot(way[:, 0], way[:, 1])
    across = np.stack([-way[:, 1], way[:, 0]], axis=1) / np.maximum(long, 1e-9)[:, None]
    low, high = table.diameter_mm, table.end_diameter_mm
    along_count = np.maximum(np.ceil(long / step_mm), 1).astype(np.int64) + 1
    across_count = np.maximum(np.ceil(low / step_mm), 1).astype(np.int64) + 1
    times = along_count * across_count
    row = np.repeat(np.arange(table.n), times)
    number = np.arange(int(times.sum())) - np.repeat(np.cumsum(times) - times, times)
    t = (number % along_count[row]) / np.maximum(along_count[row] - 1, 1)
    s = (number // along_count[row]) / np.maximum(across_count[row] - 1, 1) - 0.5
    width = low[row] + (high[row] - low[row]) * t
    return np.asarray(starts[row] + way[row] * t[:, None] + across[row] * (s * width)[:, None])


def _outline(edges: FloatArray, heights: FloatArray) -> FloatArray:
    groups = np.array_split(np.arange(len(heights)), min(OUTLINE_POINTS, len(heights)))
    left = np.array([[edges[rows, 0].min(), heights[rows].mean()] for rows in groups])
    right = np.array([[edges[rows, 1].max(), heights[rows].mean()] for rows in groups])
    return np.vstack([left, right[::-1]])
