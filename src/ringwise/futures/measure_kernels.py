"""The measures of a future at the end of a year, compiled."""

from __future__ import annotations

import math
from typing import Any

from ringwise.futures import outcome as out
from ringwise.growth import layout as at
from ringwise.growth.tree_kernels import base_row, count_children
from ringwise.kit.kernels import compiled


@compiled
def measure(tree: Any, second: Any, row: Any) -> None:
    """The measures of a future at the end of a year."""
    real, whole, _ids, pools, count = tree
    for each in range(out.KEPT):
        row[each] = 0.0
    row[out.ALIVE] = pools[at.ALIVE]
    row[out.HOURS] = pools[at.HOURS]
    row[out.SECOND] = pools[at.SECOND] * second[3][at.ALIVE]
    row[out.LAYER], row[out.GRAFT] = pools[at.LAYER_STATE], pools[at.GRAFT_STATE]
    if row[out.SECOND] > 0.0:
        row[out.SECOND_BASE] = math.sqrt(second[0][at.WOOD, base_row(second)] * (4.0 / math.pi))
        row[out.SECOND_HEIGHT] = _top(second)
    if pools[at.ALIVE] <= 0.0:
        return
    count_children(tree)
    reach = 0.0
    for each in range(count[0]):
        reach = max(reach, real[at.END_X, each] ** 2 + real[at.END_Y, each] ** 2)
        row[out.TIPS] += whole[at.CHILDREN, each] == 0
        row[out.WOUND] = max(row[out.WOUND], real[at.WOUND, each])
        if whole[at.FLAGS, each] & at.GRAFT_AXIS:
            row[out.GRAFT_MM] = max(row[out.GRAFT_MM], math.sqrt(real[at.WOOD, each] * (4.0 / math.pi)))
    row[out.LEAF] = pools[at.LEAF_FLUSH]
    row[out.BASE] = math.sqrt(real[at.WOOD, base_row(tree)] * (4.0 / math.pi))
    row[out.HEIGHT] = _top(tree)
    row[out.SPREAD] = 2.0 * math.sqrt(reach)
    row[out.TAPER] = _taper(tree, row[out.HEIGHT])
    sectors = int(pools[at.SECTORS])
    for sector in range(12):
        row[out.SECTORS] += (sectors >> sector) & 1


@compiled
def _top(tree: Any) -> Any:
    top = 0.0
    for each in range(tree[4][0]):
        top = max(top, tree[0][at.END_Z, each])
    return top


@compiled
def _taper(tree: Any, height: Any) -> Any:
    """Thickest wood that crosses half the height, against the base."""
    real, whole, _ids, _pools, count = tree
    most = 0.0
    for each in range(count[0]):
        parent = whole[at.PARENT, each]
        foot = real[at.END_Z, parent] if parent >= 0 else 0.0
        if foot <= 0.5 * height < real[at.END_Z, each]:
            most = max(most, real[at.WOOD, each])
    return math.sqrt(most / real[at.WOOD, base_row(tree)])
