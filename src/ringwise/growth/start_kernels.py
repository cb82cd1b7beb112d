"""How a measured tree begins, compiled: with the sapwood of the leaf that it is about to bear.

A tape tells of no leaf. Sapwood taken from a guess of it is far from what the first flush asks for, and the
first summer would lay down in one ring what the tree had made in years. So the first spring is tried in a
scratch tree, without weather or a hand, and the tree begins with the sapwood of that leaf.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.kernels import settle, spring
from ringwise.growth.tree_kernels import copy_row, sum_down
from ringwise.growth.wood_kernels import pipe_demand
from ringwise.kit.kernels import compiled_in_place as compiled

_TRIES = 3  # the leaf of some years and that of the next come to agree within so many springs
_LEAST_LEAF = 1e-3


@compiled
def try_spring(trees: Any, par: Any, luck: Any, grid: Any) -> Any:
    """The leaf that the first tree would bear in a spring of no special weather, grown in the second."""
    tree, scratch = trees
    n = tree[4][0]
    for row in range(n):
        copy_row(tree, row, scratch, row)
    for pool in range(at.POOLS):
        scratch[3][pool] = tree[3][pool]
    scratch[3][at.WEATHER] = 0.0
    scratch[4][0] = n
    spring(scratch, par, luck, grid)
    return scratch[3][at.LEAF_FLUSH]


@compiled
def begin_tree(trees: Any, par: Any, luck: Any, grid: Any) -> None:
    """Settle a measured tree, then again by the leaf of its first spring; the second tree is scratch."""
    tree, scratch = trees
    settle(tree, par, luck)
    pools = tree[3]
    for _try in range(_TRIES):
        leaf = try_spring(trees, par, luck, grid)
        if leaf > _LEAST_LEAF:
            pools[at.LEAF_REFERENCE] = math.sqrt(pools[at.LEAF_REFERENCE] * leaf)
    pools[at.LEAF_FLUSH] = pools[at.LEAF_REFERENCE]
    for row in range(scratch[4][0]):
        scratch[0][at.ABOVE, row] = scratch[0][at.LEAF, row]
    sum_down(scratch, at.ABOVE)
    for row in range(tree[4][0]):
        need = pipe_demand(scratch[0][at.ABOVE, row], par, max(pools[at.LEAF_UNIT], 1e-3))
        tree[0][at.SAPWOOD, row] = min(need, tree[0][at.WOOD, row])
    for pool in range(at.POOLS):
        scratch[3][pool] = 0.0
    scratch[4][0] = np.int64(0)
