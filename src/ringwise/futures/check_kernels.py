"""What is seen at a check of a course, compiled: whether the condition of a step holds."""

from __future__ import annotations

from typing import Any

import numpy as np

from ringwise.futures import look_codes as looks
from ringwise.growth import layout as at
from ringwise.kit.kernels import compiled
from ringwise.operations import effect_codes as do
from ringwise.operations.graft_effects import sign_of_take

_ALL_SECTORS = 4095


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
def look(tree: Any, par: Any, luck: Any, plan: Any, check: Any) -> Any:
    """What a named check of a course sees now; never surer than an eye and a calliper."""
    kind = plan[5][check, 2]
    pools = tree[3]
    if kind == looks.ROOTED:
        return pools[at.LAYER_STATE] == at.ROOTED
    if kind == looks.THICKER_BEYOND:
        return sign_of_take(tree, par, luck, plan[5][check, 1])
    if kind == looks.SECTORS_EMPTY:
        return int(pools[at.SECTORS]) != _ALL_SECTORS
    return False


@compiled
def take_checks(tree: Any, par: Any, luck: Any, half: Any, plan: Any) -> None:
    """The checks of a half-year; what was seen is kept as bits."""
    rows = plan[5]
    for check in range(rows.shape[0]):
        if rows[check, 0] == luck[2] and rows[check, 1] == half:
            seen = int(tree[3][at.CHECKS])
            bit = np.int64(1) << check
            tree[3][at.CHECKS] = seen | bit if look(tree, par, luck, plan, check) else seen & ~bit


@compiled
def step_holds(tree: Any, par: Any, luck: Any, plan: Any, which: Any) -> Any:
    """Whether a step is taken; `which` is (row, whether to peek at a check of this year, not yet made)."""
    each, peek = which
    codes = plan[0]
    if not holds(tree, par, luck, codes[each, 1], codes[each, 3]):
        return False
    check = codes[each, 4]
    if check < 0:
        return True
    if peek and plan[5][check, 0] == luck[2]:
        seen = look(tree, par, luck, plan, check)
    else:
        seen = (int(tree[3][at.CHECKS]) >> check) & 1 == 1
    return seen == (codes[each, 5] == 1)
