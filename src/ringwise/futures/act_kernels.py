"""One step of a course done on a tree, compiled: the effect of its operation, and its hours."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.tree_kernels import draw_key, normal
from ringwise.kit.kernels import compiled
from ringwise.operations import effect_codes as do
from ringwise.operations.effects import chop, cut_off, repot, separate, set_layer, split_trunk
from ringwise.operations.graft_effects import abandon_graft, root_graft, set_graft, sever_graft

_HOURS = np.int64(11)  # purpose of draws, as in kit.chance
_LIFT_SHARE = 0.6  # roots lost in lifting from the ground; assumed


@compiled
def spend(tree: Any, par: Any, luck: Any, half: Any, operation: Any, minutes: Any) -> None:
    """Add the hours of one piece of work."""
    z = normal(draw_key(luck, half, _HOURS), np.uint64(operation))
    tree[3][at.HOURS] += minutes[operation] / 60.0 * math.exp(par[at.P_HOURS] * z)


@compiled
def act(tree: Any, second: Any, par: Any, luck: Any, step: Any) -> None:
    """One step of a course; `step` is (half, operation, site, amount, litres, clock or -1, extra)."""
    half, operation, site, amount, litres, _clock, _extra = step
    if operation == do.CHOP:
        chop(tree, par, luck, half, site)
    elif operation == do.PRUNE:
        cut_off(tree, split_trunk(tree, site))
    elif operation == do.REPOT:
        repot(
            tree,
            par,
            luck,
            half,
            (amount if amount > 0.0 else par[at.P_FRACTION], litres, np.int64(do.REPOT)),
        )
    elif operation == do.LIFT:
        repot(tree, par, luck, half, (amount if amount > 0.0 else _LIFT_SHARE, litres, np.int64(do.LIFT)))
    elif operation == do.GROUND_LAYER or operation == do.AIR_LAYER:
        set_layer(tree, par, luck, half, site)
    elif operation == do.SEPARATE:
        separate(tree, second, par, luck, half)
    elif operation == do.ROOT_GRAFT:
        root_graft(tree, par, luck, half)
    elif operation == do.APPROACH_GRAFT:
        set_graft(tree, par, luck, half)
    elif operation == do.SEVER_GRAFT:
        sever_graft(tree, par, luck)
    elif operation == do.ABANDON_GRAFT:
        abandon_graft(tree)
