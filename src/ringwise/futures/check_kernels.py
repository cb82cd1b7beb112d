"""What is seen at a check of a course, compiled: whether the condition of a step holds."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.futures import look_codes as looks
from ringwise.growth import layout as at
from ringwise.growth.tree_kernels import base_row, draw_key, normal, uniform
from ringwise.kit.kernels import compiled_in_place as compiled
from ringwise.operations import effect_codes as do
from ringwise.operations.graft_effects import sign_of_take

_SIGN = np.int64(14)  # purpose of draws, as in kit.chance
_ENTITIES = np.int64(64)  # each kind of look has its own luck
_ALL_SECTORS = 4095
_GRADES = 5.0  # vigour grades over the whole of the reserves
_CLOSED_MM = 1.0  # as the row of looks.csv; a test holds them together


@compiled
def holds(tree: Any, par: Any, luck: Any, half: Any, condition: Any) -> Any:
    """Whether the condition of a step is seen to hold."""
    pools = tree[3]
    if condition == do.ROOTED:
        return pools[at.LAYER_STATE] == at.ROOTED
    if condition == do.NOT_ROOTED:
        return pools[at.LAYER_STATE] == at.SET
    if condition == do.TAKEN:
        return sign_of_take(tree, par, luck, half)
    if condition == do.NOT_TAKEN:
        return pools[at.GRAFT_STATE] <= at.SEVERABLE and not sign_of_take(tree, par, luck, half)
    if condition == do.SECTORS_EMPTY:
        return int(pools[at.SECTORS]) != _ALL_SECTORS
    if condition == do.NOT_SEVERED:
        return pools[at.GRAFT_STATE] <= at.SEVERABLE or pools[at.GRAFT_STATE] >= at.SLIPPED
    return True


@compiled
def _green_below(tree: Any) -> Any:
    """Whether a leaf stands below the ring; without a ring, on the tree at all."""
    real, whole, _ids, _pools, count = tree
    for row in range(count[0]):
        parent = whole[at.PARENT, row]
        above = parent >= 0 and whole[at.MARK, parent] > 0
        whole[at.MARK, row] = 1 if above or whole[at.FLAGS, row] & at.LAYERED else 0
    green = False
    for row in range(count[0]):
        green = green or (whole[at.MARK, row] == 0 and real[at.LEAF, row] > 0.0)
        whole[at.MARK, row] = 0
    return green


@compiled
def _is_so(tree: Any, kind: Any) -> Any:
    """Whether what a look of yes or no asks for is so."""
    pools = tree[3]
    graft = pools[at.GRAFT_STATE]
    if kind == looks.ROOTED:
        return pools[at.LAYER_STATE] == at.ROOTED
    if kind == looks.FLUSHED or kind == looks.SEVERED:
        return graft == at.SEVERED_WEAK or graft == at.ESTABLISHED
    if kind == looks.WILTED:
        return graft == at.GRAFT_DEAD or graft == at.SLIPPED or graft == at.INCOMPATIBLE
    if kind == looks.SECTORS_EMPTY:
        return int(pools[at.SECTORS]) != _ALL_SECTORS
    if kind == looks.WOUND_CLOSED:
        widest = 0.0
        for row in range(tree[4][0]):
            widest = max(widest, tree[0][at.WOUND, row])
        return widest <= _CLOSED_MM
    return _green_below(tree)


@compiled
def _number(tree: Any, kind: Any) -> Any:
    """What a measured look reads, without its error."""
    real, _whole, _ids, pools, count = tree
    if kind == looks.VIGOUR_AT_LEAST:
        return _GRADES * pools[at.RESERVE]
    if kind == looks.GIRTH_AT_LEAST:
        return math.sqrt(real[at.WOOD, base_row(tree)] * (4.0 * math.pi))
    if kind == looks.HEIGHT_AT_LEAST:
        top = 0.0
        for row in range(count[0]):
            top = max(top, real[at.END_Z, row])
        return top
    found = 0.0
    if kind == looks.TIPS_AT_LEAST:
        for row in range(count[0]):
            found += tree[1][at.CHILDREN, row] == 0
        return found
    for sector in range(12):
        found += (int(pools[at.SECTORS]) >> sector) & 1
    return found


@compiled
def _sign_chance(tree: Any, par: Any) -> Any:
    """Chance that one pair of thicknesses shows a graft as feeding."""
    graft = tree[3][at.GRAFT_STATE]
    if graft < at.PRESSED or graft > at.SEVERABLE:
        return 0.0
    feeds = graft == at.BRIDGED or graft == at.SEVERABLE
    return par[at.P_SENSITIVITY] if feeds else 1.0 - par[at.P_SPECIFICITY]


@compiled
def look(tree: Any, par: Any, luck: Any, plan: Any, row: Any) -> Any:
    """What a named check of a course sees now: never surer than an eye, a tape or a calliper."""
    half, kind, times = plan[5][row, 1], plan[5][row, 2], plan[5][row, 3]
    level, sensitivity, specificity, error = plan[6][row]
    key = draw_key(luck, half, _SIGN)
    measured = kind >= looks.VIGOUR_AT_LEAST
    first = np.int64(0) if kind == looks.THICKER_BEYOND else _ENTITIES * kind  # 0 as in `sign_of_take`
    value, chance = 0.0, 0.0
    if measured:
        value = _number(tree, kind)
        error = error * value if kind == looks.TIPS_AT_LEAST else error
    elif kind == looks.THICKER_BEYOND:
        chance = _sign_chance(tree, par)
    else:
        chance = sensitivity if _is_so(tree, kind) else 1.0 - specificity
    found = 0
    for time in range(times):
        entity = np.uint64(first + time)
        if measured:
            found += value + error * normal(key, entity) >= level
        else:
            found += uniform(key, entity) < chance
    return found == times


@compiled
def take_checks(tree: Any, par: Any, luck: Any, half: Any, plan: Any) -> None:
    """The checks of a half-year; what was seen is kept as bits."""
    rows = plan[5]
    for row in range(rows.shape[0]):
        if rows[row, 0] == luck[2] and rows[row, 1] == half:
            seen = int(tree[3][at.CHECKS])
            bit = np.int64(1) << rows[row, 4]
            tree[3][at.CHECKS] = seen | bit if look(tree, par, luck, plan, row) else seen & ~bit


@compiled
def step_holds(tree: Any, par: Any, luck: Any, plan: Any, which: Any) -> Any:
    """Whether a step is taken; `which` is (row, whether to peek at checks of this year, not yet made)."""
    each, peek = which
    codes, rows = plan[0], plan[5]
    if not holds(tree, par, luck, codes[each, 1], codes[each, 3]):
        return False
    check = codes[each, 4]
    if check < 0:
        return True
    seen = (int(tree[3][at.CHECKS]) >> check) & 1 == 1
    if peek:
        for row in range(rows.shape[0]):
            if rows[row, 4] == check and rows[row, 0] == luck[2] and rows[row, 1] <= codes[each, 1]:
                seen = look(tree, par, luck, plan, row)
    return seen == (codes[each, 5] == 1)
