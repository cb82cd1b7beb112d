"""Carving: the cells that lie inside every silhouette, from coarse blocks down to fine cells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.errors import InputError
from ringwise.kit.types import Float32Array, FloatArray, Int32Array, IntArray
from ringwise.kit.words import _
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.views import Stack

HALVINGS = 5  # from the coarsest blocks to cells
_HALF_DIAGONAL = 0.5 * 3**0.5
_SLACK = 1.1  # perspective and grid: a block may hold wood a little farther than its half diagonal
_CORNERS = np.array([[i, j, k] for i in (0, 1) for j in (0, 1) for k in (0, 1)])


@dataclass(frozen=True)
class Grid:
    """Where carving begins: a corner, the edge of the coarsest blocks, and a pixel's worth at the tree."""

    low_mm: FloatArray
    block_mm: float
    pixel_mm: float


@dataclass(frozen=True)
class Carved:
    """Cells inside the silhouettes: whole numbers, their inside depth, the grid's corner and cell."""

    cells: Int32Array
    inside_mm: Float32Array
    corner_mm: FloatArray
    cell_mm: float
    pixel_mm: float  # what a pixel is worth at the tree

    @property
    def middles_mm(self) -> FloatArray:
        """Middle of each cell."""
        return self.corner_mm + (self.cells + 0.5) * self.cell_mm


def coarse_blocks(
    stack: Stack, middle_mm: FloatArray, soil_mm: float, coarser_ratio: float = 1.0
) -> tuple[Grid, IntArray]:
    """The coarsest blocks about all that the cameras see above the soil.

    Parameters
    ----------
    stack : Stack
        The views.
    middle_mm : (3,) float
        A point that they look at.
    soil_mm : float
        Height of the soil.
    coarser_ratio : float
        Times the usual edge of a block.

    Returns
    -------
    grid : Grid
        Where the blocks lie.
    blocks : (n, 3) int
        Their places in it.

    Source
    ------
    own: row carve.cell_px of turntable.csv.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_views
    >>> from ringwise.structure.turntable.looking import stacked
    >>> round(coarse_blocks(*stacked(rod_views()), 0.0)[0].pixel_mm, 6)
    1.0
    """
    from ringwise.structure.turntable import carve_kernels as kernels

    depth = np.array([row[6:9] @ middle_mm + row[kernels.T + 2] for row in stack.cameras])
    focal = stack.cameras[:, kernels.FX]
    pixel_mm = float(np.median(depth / focal))
    size = coarser_ratio * pixel_mm * limit_of("carve", "cell_px") * 2**HALVINGS
    half_frame = np.hypot(*stack.coverage.shape[1:]) * 0.5
    half = float(np.max(depth / focal)) * half_frame
    low = middle_mm - half
    low[2] = max(low[2], soil_mm)
    count = np.ceil((middle_mm + half - low) / size).astype(np.int64)
    blocks = np.stack(np.meshgrid(*[np.arange(n) for n in count], indexing="ij"), -1).reshape(-1, 3)
    return Grid(low, size, pixel_mm), blocks


def halved(blocks: IntArray) -> IntArray:
    """The eight halves of each block.

    Parameters
    ----------
    blocks : (n, 3) int
        Places in the coarser grid.

    Returns
    -------
    (8 n, 3) int
        Places in the finer grid.

    Source
    ------
    own.

    Examples
    --------
    >>> halved(np.array([[1, 0, 0]]))[[0, 7]].tolist()
    [[2, 0, 0], [3, 1, 1]]
    """
    return np.asarray((blocks[:, None, :] * 2 + _CORNERS).reshape(-1, 3))


def floor_mm(level: int, cell_mm: float) -> float:
    """The least signed distance from an edge at which the middle of a block may still belong to wood.

    Parameters
    ----------
    level : int
        How often blocks were halved.
    cell_mm : float
        Edge of the finest.

    Returns
    -------
    float
        Below 0.

    Source
    ------
    own: row carve.slack_cell of turntable.csv; the half diagonal of a block that is halved again.

    Examples
    --------
    >>> round(floor_mm(HALVINGS, 1.0), 2), round(floor_mm(HALVINGS - 1, 1.0), 2)
    (-0.35, -2.91)
    """
    if level == HALVINGS:
        return -limit_of("carve", "slack_cell") * cell_mm
    return -_SLACK * _HALF_DIAGONAL * cell_mm * 2.0 ** (HALVINGS - level) - cell_mm


def carve(stack: Stack, middle_mm: FloatArray, soil_mm: float) -> Carved:
    """The cells above the soil that no silhouette excludes.

    Parameters
    ----------
    stack : Stack
        Views that were found sound.
    middle_mm : (3,) float
        A point that the cameras look at.
    soil_mm : float
        Height of the soil; cells below are left out.

    Returns
    -------
    Carved
        Sorted by their place.

    Raises
    ------
    InputError
        If nothing is left, or so much that it is no tree.

    Source
    ------
    own: octree with the least signed distance over the views; rows carve of turntable.csv. A stout tree
    that fills its pictures is carved in coarser cells; its thickness is read from edges all the same.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_views
    >>> from ringwise.structure.turntable.looking import stacked
    >>> stack, middle_mm = stacked(rod_views())
    >>> bool(8.0 < carve(stack, middle_mm, 0.0).inside_mm.max() < 10.5)
    True
    """
    for coarser in range(int(limit_of("carve", "coarser_rounds")) + 1):
        carved = _carved(stack, middle_mm, soil_mm, limit_of("carve", "coarser_ratio") ** coarser)
        if carved is not None:
            return carved
    raise InputError(_("the silhouettes leave a block and no tree: too few views, or all from one side"))


def _carved(stack: Stack, middle_mm: FloatArray, soil_mm: float, coarser_ratio: float) -> Carved | None:
    """A carve with cells so much coarser than usual; None where too many are left."""
    from ringwise.structure.turntable import carve_kernels as kernels

    grid, blocks = coarse_blocks(stack, middle_mm, soil_mm, coarser_ratio)
    low, size, pixel_mm = grid.low_mm, grid.block_mm, grid.pixel_mm
    cell = size / 2**HALVINGS
    seen = limit_of("carve", "least_seen_frac")
    for level in range(HALVINGS + 1):
        last = level == HALVINGS
        reach = 0.0 if last else _HALF_DIAGONAL * size
        floor = floor_mm(level, cell)
        inside = np.empty(len(blocks), np.float32)
        points = low + (blocks + 0.5) * size
        kernels.depths(points, stack.distance_px, stack.cameras, (floor, seen, reach), inside)
        kept = inside >= floor
        blocks, inside = blocks[kept], inside[kept]
        if len(blocks) == 0:
            raise InputError(
                _("the silhouettes have no wood in common: the cameras do not fit the photos, or their order")
            )
        if not last:
            blocks = halved(blocks)
            size *= 0.5
        if len(blocks) > limit_of("carve", "most_cells") * (1 if last else 8):
            return None
    order = np.lexsort((blocks[:, 2], blocks[:, 1], blocks[:, 0]))
    base = blocks.min(0)
    cells = (blocks[order] - base).astype(np.int32)
    return Carved(cells, inside[order], low + base * size, size, pixel_mm)
