"""Carving: the cells that lie inside every silhouette, from coarse blocks down to fine cells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.errors import InputError
from ringwise.kit.types import Float32Array, FloatArray, Int32Array
from ringwise.kit.words import _
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.views import Stack

_HALVINGS = 5  # from the coarsest blocks to cells
_HALF_DIAGONAL = 0.5 * 3**0.5
_SLACK = 1.1  # perspective and grid: a block may hold wood a little farther than its half diagonal
_CORNERS = np.array([[i, j, k] for i in (0, 1) for j in (0, 1) for k in (0, 1)])


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
    own: octree with the least signed distance over the views; rows carve of turntable.csv.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_views
    >>> from ringwise.structure.turntable.looking import stacked
    >>> stack, middle_mm = stacked(rod_views())
    >>> bool(8.0 < carve(stack, middle_mm, 0.0).inside_mm.max() < 10.5)
    True
    """
    from ringwise.structure.turntable import carve_kernels as kernels

    depth = np.array([row[6:9] @ middle_mm + row[kernels.T + 2] for row in stack.cameras])
    focal = stack.cameras[:, kernels.FX]
    pixel_mm = float(np.median(depth / focal))
    cell = pixel_mm * limit_of("carve", "cell_px")
    size = cell * 2**_HALVINGS
    half_frame = np.hypot(*stack.coverage.shape[1:]) * 0.5
    half = float(np.max(depth / focal)) * half_frame
    low = middle_mm - half
    low[2] = max(low[2], soil_mm)
    high = middle_mm + half
    count = np.ceil((high - low) / size).astype(np.int64)
    blocks = np.stack(np.meshgrid(*[np.arange(n) for n in count], indexing="ij"), -1).reshape(-1, 3)
    seen = limit_of("carve", "least_seen_frac")
    for level in range(_HALVINGS + 1):
        last = level == _HALVINGS
        reach = 0.0 if last else _HALF_DIAGONAL * size
        floor = -limit_of("carve", "slack_cell") * size if last else -_SLACK * reach - cell
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
            blocks = (blocks[:, None, :] * 2 + _CORNERS).reshape(-1, 3)
            size *= 0.5
        if len(blocks) > limit_of("carve", "most_cells") * (1 if last else 8):
            raise InputError(
                _("the silhouettes leave a block and no tree: too few views, or all from one side")
            )
    order = np.lexsort((blocks[:, 2], blocks[:, 1], blocks[:, 0]))
    base = blocks.min(0)
    cells = (blocks[order] - base).astype(np.int32)
    return Carved(cells, inside[order], low + base * size, size, pixel_mm)
