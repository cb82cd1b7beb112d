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
def move_up(tree: Any, first: Any, moved: Any) -> None:
    """Move kept rows to their new places, column by column; who stands where is in the scratch of vigour."""
    real, whole, ids, _pools, count = tree
    source = real[at.VIGOUR].view(np.int32)[first : first + moved]
    for column in range(at.REALS):
        if column in (at.DEMAND, at.VIGOUR, at.ABOVE, at.GROWN):
            continue  # scratch, too
        values = real[column]
        rare = column >= at.WOUND_LOSS or column in (at.WOUND, at.WOUND_YEARS)
        if rare and is_empty(values, count[0]):
            continue
        for place in range(moved):
            values[first + place] = values[np.uint32(source[place])]
    for column in range(at.ORDER, at.MARK):
        marks = whole[column]
        if column == at.CLONE and is_empty(marks, count[0]):
            continue
        for place in range(moved):
            marks[first + place] = marks[np.uint32(source[place])]
    for place in range(moved):
        ids[first + place] = ids[np.uint32(source[place])]
