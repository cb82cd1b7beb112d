"""Light inside a crown, compiled: a padded grid of cubic cells, swept from the top down.

Leaf area is put into its cell; each layer's shade is the layer above, spread over the cells beside it as
the sky is wide, plus that layer's own leaf. State and constants are float32; a rim of empty cells stands
round the grid, so that the sweep tests no bounds. `settle`d trees only: ends must be in place.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.float_kernels import exponential, most, most_either_way, total
from ringwise.kit.kernels import compiled_in_place as compiled

CELLS = 24  # cells of the grid along each side
PLANES = CELLS + 2  # one for each layer and two that carry the shade down
_CENTRE, _SIDE, _CORNER = (
    np.float32(0.25),
    np.float32(0.125),
    np.float32(0.0625),
)  # one binomial step each way
_HALF = np.float32(0.5)  # of its own cell's leaf a leaf sees as shade
_ONE, _ZERO = np.float32(1.0), np.float32(0.0)
_ROW, _RIM = np.int32(PLANES), np.int32(1)
_LAYER = PLANES * PLANES


@compiled
def sweep(grid: Any) -> None:
    """Turn leaf in each cell into the leaf that shades it: all above, spread, and half of its own."""
    above, below = CELLS, CELLS + 1
    for i in range(CELLS + 2):
        for j in range(CELLS + 2):
            grid[above, i, j] = _ZERO
            grid[below, i, j] = _ZERO
    for k in range(CELLS - 1, -1, -1):
        for i in range(CELLS):
            left, middle, right = grid[above, i], grid[above, i + 1], grid[above, i + 2]
            here, carried = grid[k, i + 1], grid[below, i + 1]
            for j in range(CELLS):
                corners = left[j] + left[j + 2] + right[j] + right[j + 2]
                sides = left[j + 1] + right[j + 1] + middle[j] + middle[j + 2]
                shade = _CENTRE * middle[j + 1] + _SIDE * sides + _CORNER * corners
                leaf = here[j + 1]
                carried[j + 1] = shade + leaf
                here[j + 1] = shade + _HALF * leaf
        above, below = below, above


@compiled
def bounds(tree: Any) -> Any:
    """Half the width and the height that hold all leaf, and the mean leaf of a leafy segment as mm2."""
    real, _whole, _ids, _pools, count = tree
    n = count[0]
    leaf, leafy = real[at.LEAF], np.int32(0)
    reach = max(_ONE, most_either_way(real[at.END_X], n), most_either_way(real[at.END_Y], n))
    top = max(_ONE, most(real[at.END_Z], n))
    for row in range(n):
        leafy += np.int32(leaf[row] > _ZERO)
    shoots: Any = max(leafy, 1)
    one = np.float32(100.0 * total(leaf, n) / shoots)
    wide = np.float32(0.5 * math.sqrt(one))
    return reach + wide, top + wide, one


@compiled
def light(tree: Any, par: Any, grid: Any) -> None:
    """Light on every segment, 0 to 1, from the leaf of the cells above it and beside those."""
    real, whole, _ids, pools, count = tree
    n = count[0]
    reach, top, one = bounds(tree)
    pools[at.TOP] = top
    side = max(reach + reach, top) / np.float32(CELLS)
    # The least step short of the far wall keeps every end inside without a test.
    per_mm = (_ONE - np.float32(1e-5)) / side
    middle = np.float32(0.5 * CELLS)
    flat = grid.reshape(grid.size)
    flat[: CELLS * _LAYER] = _ZERO
    cell = whole[at.MARK]
    x, y, z = real[at.END_X], real[at.END_Y], real[at.END_Z]
    for row in range(n):
        i = np.int32(middle + x[row] * per_mm)
        j = np.int32(middle + y[row] * per_mm)
        k = np.int32(max(z[row], _ZERO) * per_mm)
        cell[row] = (k * _ROW + i + _RIM) * _ROW + j + _RIM
    leaf = real[at.LEAF]
    for row in range(n):
        if leaf[row] > _ZERO:
            flat[np.uint32(cell[row])] += leaf[row]
    sweep(grid)
    # A shoot's leaf is not stacked within less than its own area, however fine the cells are.
    wide = max(side * side, one)
    per_leaf = np.float32(-100.0 * par[at.P_EXTINCTION]) / wide
    out = real[at.LIGHT]
    for row in range(n):
        out[row] = per_leaf * flat[np.uint32(cell[row])]
    for row in range(n):
        out[row] = exponential(out[row])
        cell[row] = 0
