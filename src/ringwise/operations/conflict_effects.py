"""What conflicts of one season cost, compiled: each work looks at what was done before it and pays.

`rules` are the arrays of `conflict_costs.conflict_arrays`: classes by operation (light, heavy), the reach
and the cost of each pair by vigour, the costs, and limits. What was done is kept as bits of its class.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.tree_kernels import logistic
from ringwise.kit.kernels import compiled_in_place as compiled

SURVIVE, ODDS, SLOWER, RESERVES = range(4)  # columns of the costs
HEAVY_SHARE, FULL_RESERVE, WEAK_RESERVE, SLIGHT_CROWN = range(4)  # limits
LAYER_BIT, GRAFT_BIT = 0, 1  # the first two classes are those whose outcome is still open
SAME_HALF, SAME_YEAR, YEAR_AFTER = 1, 2, 3  # reach of a pair: how far back it still counts


@compiled
def shifted(prob: Any, shift: Any) -> Any:
    """A chance moved on the logit scale."""
    p = min(max(prob, 1e-6), 1.0 - 1e-6)
    return logistic(math.log(p / (1.0 - p)) + shift)


@compiled
def vigour_row(pools: Any, limits: Any) -> Any:
    """Which table of pairs holds: strong, vigour 3, weak."""
    if pools[at.RESERVE] >= limits[FULL_RESERVE]:
        return 0
    return 1 if pools[at.RESERVE] >= limits[WEAK_RESERVE] else 2


@compiled
def begin_work(tree: Any, par: Any, rules: Any, half: Any, work: Any) -> None:
    """Add up what a work (operation, share of roots) costs after those before it; take the reserves."""
    operation, share = work
    _classes, pairs, costs, limits = rules
    pools = tree[3]
    heavy = 1 if share >= limits[HEAVY_SHARE] else 0
    vigour = vigour_row(pools, limits)
    pools[at.COST_LIFE], pools[at.COST_ODDS], pools[at.COST_SLOW] = 0.0, 0.0, 0.0
    same = int(pools[at.DONE_SPRING]) if half == 0 else int(pools[at.DONE_SUMMER])
    before = int(pools[at.DONE_SPRING]) if half == 1 else 0
    last = int(pools[at.DONE_LAST])
    for earlier in range(pairs.shape[1]):
        bit = np.int64(1) << earlier
        reach, cost = pairs[vigour, earlier, operation, heavy, 0], pairs[vigour, earlier, operation, heavy, 1]
        hit = (reach >= SAME_HALF and same & bit) or (reach >= SAME_YEAR and before & bit)
        if hit or (reach >= YEAR_AFTER and last & bit):
            pools[at.COST_LIFE] += costs[cost, SURVIVE]
            pools[at.COST_ODDS] += costs[cost, ODDS]
            pools[at.COST_SLOW] += costs[cost, SLOWER]
            pools[at.RESERVE] = max(0.0, pools[at.RESERVE] - costs[cost, RESERVES])
            if earlier == LAYER_BIT:
                hit_layer(pools, par, costs[cost])
            elif earlier == GRAFT_BIT:
                hit_graft(pools, costs[cost])


@compiled
def hit_layer(pools: Any, par: Any, cost: Any) -> None:
    """A ring that waits for roots bears what was done after it."""
    if pools[at.LAYER_STATE] == at.SET:
        pools[at.LAYER_CHANCE] = shifted(pools[at.LAYER_CHANCE], -cost[ODDS])
        pools[at.LAYER_WEEKS] *= 1.0 + cost[SLOWER]
        settle_layer(pools, par)
        if pools[at.LAYER_YEARS] > 0.0:  # it has waited a season already and does not begin anew
            pools[at.LAYER_PENDING] = min(pools[at.LAYER_PENDING], 1.0)


@compiled
def settle_layer(pools: Any, par: Any) -> None:
    """Whether roots will come to a ring: 0 never, 1 this season, 2 the next."""
    pools[at.LAYER_PENDING] = 0.0
    if pools[at.LAYER_DRAW] < pools[at.LAYER_CHANCE]:
        pools[at.LAYER_PENDING] = 1.0 if pools[at.LAYER_WEEKS] <= par[at.P_SEASON_WEEKS] else 2.0


@compiled
def hit_graft(pools: Any, cost: Any) -> None:
    """A graft that waits for its bridge bears what was done after it."""
    if at.PRESSED <= pools[at.GRAFT_STATE] < at.BRIDGED:
        pools[at.GRAFT_CHANCE] = shifted(pools[at.GRAFT_CHANCE], -cost[ODDS])
        pools[at.GRAFT_READY] *= 1.0 + cost[SLOWER]
        pools[at.GRAFT_TAKES] = 1.0 if pools[at.GRAFT_DRAW] < pools[at.GRAFT_CHANCE] else 0.0


@compiled
def end_work(tree: Any, rules: Any, half: Any, work: Any) -> None:
    """Note the class of a work (operation, share of roots) for what comes after it."""
    operation, share = work
    classes, limits, pools = rules[0], rules[3], tree[3]
    kind = classes[operation, 1 if share >= limits[HEAVY_SHARE] else 0]
    if kind >= 0:
        pool = at.DONE_SPRING if half == 0 else at.DONE_SUMMER
        pools[pool] = float(int(pools[pool]) | (np.int64(1) << kind))
    pools[at.COST_LIFE], pools[at.COST_ODDS], pools[at.COST_SLOW] = 0.0, 0.0, 0.0


@compiled
def end_season(pools: Any) -> None:
    """A season's works become those of last year."""
    pools[at.DONE_LAST] = float(int(pools[at.DONE_SPRING]) | int(pools[at.DONE_SUMMER]))
    pools[at.DONE_SPRING], pools[at.DONE_SUMMER] = 0.0, 0.0
