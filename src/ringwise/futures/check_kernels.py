"""What is seen at a check of a course, compiled: whether the condition of a step holds."""

from __future__ import annotations

from typing import Any

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
