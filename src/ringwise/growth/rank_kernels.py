"""Close the ranks of a tree's rows, compiled: what stays moves up into the places of what is gone."""

from __future__ import annotations

from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.kit.kernels import compiled_in_place as compiled


@compiled
def is_empty(values: Any, n: Any) -> Any:
    """Whether all of the first values are 0, as wire and wounds are on most trees."""
    held = np.int32(0)
    for row in range(n):
        held |= np.int32(values[row] != 0)
    return held == 0


@compiled
def close_ranks(tree: Any, first: Any) -> Any:
    """Parents and old places of the rows that stay, from a row on; who loses its last child is cut."""
    real, whole, _ids, _pools, count = tree
    mark, parents, children = whole[at.MARK], whole[at.PARENT], whole[at.CHILDREN]
    source = real[at.VIGOUR].view(np.int32)  # scratch of a half-year
    kept = first
    for row in range(first, count[0]):
        parent = np.uint32(parents[row])
        place = mark[parent]
        if mark[row] == 0 and place > 0:
            parents[kept] = place - 1
            source[kept] = row
            kept += 1
            mark[row] = kept
        else:
            mark[row] = -1
            if place > 0:
                children[parent] -= 1
                if children[parent] == 0:
                    whole[at.FLAGS, parent] |= at.CUT_END
    return kept


@compiled
def _move_four(values: Any, columns: Any, source: Any, first: Any) -> None:
    """Four columns in one go, so that who stands where is read once for all of them."""
    a, b, c, d = values[columns[0]], values[columns[1]], values[columns[2]], values[columns[3]]
    to_a, to_b, to_c, to_d = a[first:], b[first:], c[first:], d[first:]
    for place in range(source.size):
        row = np.uint32(source[place])
        to_a[place], to_b[place], to_c[place], to_d[place] = a[row], b[row], c[row], d[row]


@compiled
def _move_one(values: Any, source: Any, first: Any) -> None:
    to = values[first:]
    for place in range(source.size):
        to[place] = values[np.uint32(source[place])]


@compiled
def move_up(tree: Any, first: Any, moved: Any) -> None:
    """Move kept rows to their new places, column by column; who stands where is in the scratch of vigour.

    Demand, vigour, the sum above and what grew are scratch, too, and stay behind.
    """
    real, whole, ids, _pools, count = tree
    source = real[at.VIGOUR].view(np.int32)[first : first + moved]
    _move_four(real, (at.LENGTH, at.DIR_X, at.DIR_Y, at.DIR_Z), source, first)
    _move_four(real, (at.WOOD, at.SAPWOOD, at.LEAF, at.CONTROL), source, first)
    _move_four(real, (at.LIGHT, at.END_X, at.END_Y, at.END_Z), source, first)
    for column in range(at.WOUND, at.REALS):
        rare = column >= at.WOUND_LOSS or column <= at.WOUND_YEARS
        if rare and not is_empty(real[column], count[0]):
            _move_one(real[column], source, first)
    _move_four(whole, (at.ORDER, at.BORN, at.BUDS, at.FLAGS), source, first)
    _move_one(whole[at.CHILDREN], source, first)
    if not is_empty(whole[at.CLONE], count[0]):
        _move_one(whole[at.CLONE], source, first)
    _move_one(ids, source, first)
