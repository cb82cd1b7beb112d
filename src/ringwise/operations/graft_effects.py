"""What becomes of grafts on a growing tree, compiled: set, checked, severed, given up."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.tree_kernels import branch_off, draw_key, extend, normal, place_ends, uniform, wound
from ringwise.kit.kernels import compiled
from ringwise.operations.effects import shifted, trunk_row, vigour_shift

_UNION, _SIGN = np.int64(9), np.int64(14)  # purposes of draws, as in kit.chance
_GRAFT_WOOD_MM2 = 28.0  # a donor about 6 mm thick
_GRAFT_UNITS = 6.0
_SPRING, _SLOT = np.int64(0), np.int64(7)  # the slot of a graft is none of a bud


@compiled
def bound_shift(tree: Any, par: Any) -> Any:
    """What a pot-bound stock takes from the odds of a union; half of it if the roots were just freed."""
    pools = tree[3]
    if pools[at.ROOT_CUT] > 0.0:
        return 0.5 * par[at.P_POT_BOUND]
    return par[at.P_POT_BOUND] if pools[at.SINCE_REPOT] > par[at.P_INTERVAL] else 0.0


@compiled
def root_graft(tree: Any, par: Any, luck: Any, half: Any) -> Any:
    """Graft a seedling into each empty sector; those that take fill it two years on. How many were set."""
    pools = tree[3]
    filled = int(pools[at.SECTORS])
    key = draw_key(luck, half, _UNION)
    chance = shifted(par[at.P_UNION], vigour_shift(tree, par) + bound_shift(tree, par))
    tried, bits = 0, int(pools[at.ROOTS_BITS])
    for sector in range(12):
        if not (filled >> sector) & 1 and not (bits >> sector) & 1:
            tried += 1
            if uniform(key, np.uint64(sector)) < chance:
                bits |= 1 << sector
    pools[at.ROOTS_BITS] = bits
    pools[at.ROOTS_YEARS] = 0.0
    return tried


@compiled
def set_graft(tree: Any, par: Any, luck: Any, half: Any) -> None:
    """Join a donor to the trunk; luck decides now whether and when it will bridge."""
    pools = tree[3]
    if at.PRESSED <= pools[at.GRAFT_STATE] <= at.SEVERABLE:
        abandon_graft(tree)
    key = draw_key(luck, half, _UNION)
    shift = vigour_shift(tree, par) + bound_shift(tree, par)
    pools[at.GRAFT_STATE] = at.PRESSED
    pools[at.GRAFT_YEARS] = 0.0
    pools[at.GRAFT_TRIES] += 1.0
    takes = uniform(key, np.uint64(50)) < shifted(par[at.P_UNION], shift)
    pools[at.GRAFT_TAKES] = 1.0 if takes else 0.0
    pools[at.GRAFT_READY] = par[at.P_UNION_YEARS] * math.exp(par[at.P_UNION_SD] * normal(key, np.uint64(51)))


@compiled
def found_graft(tree: Any, par: Any, luck: Any) -> None:
    """Luck of a graft that is already on the tree at the start, from what its checks say."""
    pools = tree[3]
    key = draw_key(luck, _SPRING, _UNION)
    pools[at.GRAFT_TRIES] = 1.0
    pools[at.GRAFT_TAKES] = 1.0 if uniform(key, np.uint64(60)) < par[at.P_GRAFT_NOW] else 0.0
    ready = par[at.P_UNION_YEARS] * math.exp(par[at.P_UNION_SD] * normal(key, np.uint64(61)))
    pools[at.GRAFT_READY] = max(ready, pools[at.GRAFT_YEARS] + 0.25)


@compiled
def abandon_graft(tree: Any) -> None:
    """Take a donor off; the slot stays as a wound."""
    pools = tree[3]
    if at.PRESSED <= pools[at.GRAFT_STATE] <= at.SEVERABLE:
        wound(tree, trunk_row(tree, pools[at.GRAFT_HEIGHT]), math.sqrt(_GRAFT_WOOD_MM2 * (4.0 / math.pi)))
    pools[at.GRAFT_STATE] = at.ABANDONED


@compiled
def sign_of_take(tree: Any, par: Any, luck: Any, half: Any) -> Any:
    """Whether two checks show the donor thicker beyond the joint than before it."""
    pools = tree[3]
    bridged = pools[at.GRAFT_STATE] == at.BRIDGED or pools[at.GRAFT_STATE] == at.SEVERABLE
    chance = par[at.P_SENSITIVITY] if bridged else 1.0 - par[at.P_SPECIFICITY]
    key = draw_key(luck, half, _SIGN)
    both = uniform(key, np.uint64(0)) < chance and uniform(key, np.uint64(1)) < chance
    return both and at.PRESSED <= pools[at.GRAFT_STATE] <= at.SEVERABLE


@compiled
def sever_graft(tree: Any, par: Any, luck: Any) -> None:
    """Cut a donor from its own roots: a branch where it had bridged, a dead end and a wound where not."""
    pools = tree[3]
    if pools[at.GRAFT_STATE] == at.BRIDGED or pools[at.GRAFT_STATE] == at.SEVERABLE:
        weak = pools[at.GRAFT_STATE] == at.BRIDGED
        pools[at.GRAFT_STATE] = at.SEVERED_WEAK if weak else at.ESTABLISHED
        pools[at.GRAFT_UNION] = par[at.P_UNION_SHARE]
        add_graft_branch(tree, par, luck)
    elif pools[at.GRAFT_STATE] >= at.PRESSED and pools[at.GRAFT_STATE] < at.BRIDGED:
        abandon_graft(tree)
        pools[at.GRAFT_STATE] = at.GRAFT_DEAD


@compiled
def add_graft_branch(tree: Any, par: Any, luck: Any) -> None:
    """The branch that a severed donor leaves on the trunk."""
    real, whole, _ids, pools, _count = tree
    row = trunk_row(tree, pools[at.GRAFT_HEIGHT])
    start = tree[4][0]
    first = branch_off(tree, par, luck, row, (_SLOT, 1.0, 1.2))
    if first < 0:
        return
    azimuth = pools[at.GRAFT_AZIMUTH]
    real[at.DIR_X, first] = 0.94 * math.sin(azimuth)
    real[at.DIR_Y, first] = 0.94 * math.cos(azimuth)
    real[at.DIR_Z, first] = 0.34
    whole[at.FLAGS, first] |= at.GRAFT_AXIS | at.JOINED
    place_ends(tree)
    extend(tree, par, luck, first, _GRAFT_UNITS)
    for each in range(start, tree[4][0]):
        real[at.WOOD, each] = _GRAFT_WOOD_MM2 * (1.0 - 0.08 * (each - start))
        real[at.SAPWOOD, each] = real[at.WOOD, each]
        whole[at.FLAGS, each] |= at.GRAFT_AXIS
        whole[at.FLAGS, each] &= ~at.TRUNK
        whole[at.BORN, each] = luck[2] - 1


@compiled
def pass_half(tree: Any, par: Any) -> None:
    """Half a year of grafts, layers and root grafts."""
    pools = tree[3]
    state = pools[at.GRAFT_STATE]
    if state == at.SEVERED_WEAK:
        pools[at.GRAFT_STATE] = at.ESTABLISHED
    if at.PRESSED <= state < at.SEVERABLE:
        pools[at.GRAFT_YEARS] += 0.5
        if pools[at.GRAFT_TAKES] > 0.5:
            late = pools[at.GRAFT_YEARS] - pools[at.GRAFT_READY]
            new = at.SEVERABLE if late >= 0.5 else at.BRIDGED if late >= 0.0 else at.CALLUS
            pools[at.GRAFT_STATE] = new
    if pools[at.ROOTS_BITS] > 0.0:
        pools[at.ROOTS_YEARS] += 0.5
        if pools[at.ROOTS_YEARS] >= 2.0:
            pools[at.SECTORS] = int(pools[at.SECTORS]) | int(pools[at.ROOTS_BITS])
            pools[at.ROOTS_BITS] = 0.0
