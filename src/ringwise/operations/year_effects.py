"""What goes on by itself after a hand has done its part, compiled: ties, unions, rings, the season's end."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.tree_kernels import draw_key, uniform
from ringwise.kit.kernels import compiled_in_place as compiled
from ringwise.operations.care_effects import keep_guyed
from ringwise.operations.conflict_effects import end_season
from ringwise.operations.effects import cut_off
from ringwise.operations.graft_effects import hold_scion
from ringwise.operations.layer_effects import can_live, pass_layer

_ROT_LOSS, _SUMMER = np.int64(23), np.int64(1)  # purpose of draws, as in kit.chance, and the half-year


@compiled
def begin_growth(tree: Any, par: Any) -> None:
    """Before the flush of a year: ties hold, a scion has what its union lets through."""
    keep_guyed(tree[3])
    hold_scion(tree, par)


@compiled
def rot_on(tree: Any, par: Any, luck: Any) -> Any:
    """A season of open wounds that rot: what one bears may be lost, the tree where it stood at the foot."""
    real, whole, ids, pools, count = tree
    key = draw_key(luck, _SUMMER, _ROT_LOSS)
    for row in range(count[0]):
        if whole[at.FLAGS, row] & at.DECAYED and real[at.WOUND, row] > 0.0:
            across_mm = math.sqrt(real[at.WOOD, row] * (4.0 / math.pi))
            hurt = min(1.0, real[at.WOUND, row] / max(across_mm, 1e-6))
            if uniform(key, ids[row]) < par[at.P_ROT_LOSS] * hurt:
                lost = cut_off(tree, par, np.int64(row))  # the lowest of a season takes those above with it
                if lost == 0 or not can_live(tree):
                    pools[at.ALIVE] = 0.0
                return lost
    return 0


@compiled
def end_works(tree: Any, par: Any, luck: Any) -> None:
    """After the season: wounds rot on, rings root or wait, this season's works become last year's."""
    pools = tree[3]
    if pools[at.ALIVE] > 0.0:
        rot_on(tree, par, luck)
    if pools[at.NEAR_YEARS] > 0.0:
        pools[at.NEAR_YEARS] += 1.0
    pass_layer(tree)
    end_season(pools)
