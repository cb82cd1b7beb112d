"""What becomes of grafts on a growing tree, compiled: set, checked, notched, severed, lost, given up.

A union's area is kept against that of its scion. It begins when the graft has bridged and grows on; a
severed scion grows by min(1, union area / (0.5 of its own area)).
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.shoot_kernels import branch_off, extend, shoot_luck
from ringwise.growth.tree_kernels import draw_key, normal, place_ends, uniform, wound
from ringwise.kit.kernels import compiled_in_place as compiled
from ringwise.operations.conflict_effects import shifted
from ringwise.operations.effects import cut_off, odds_shift, trunk_row

APPROACH, THREAD = 0.0, 1.0  # kinds of a graft
_UNION, _SIGN = np.int64(9), np.int64(14)  # purposes of draws, as in kit.chance
_SPRING, _SLOT = np.int64(0), np.int64(7)  # the slot of a graft is none of a bud
_HOUR_RAD = math.pi / 6.0
_AS_USUAL_RAD = 0.0  # its way is set below


@compiled
def bound_shift(tree: Any, par: Any) -> Any:
    """What a pot-bound stock takes from the odds of a union; half of it if the roots were just freed."""
    pools = tree[3]
    if math.isinf(pools[at.LITRES]):
        return 0.0
    if pools[at.ROOT_CUT] > 0.0:
        return 0.5 * par[at.P_POT_BOUND]
    return par[at.P_POT_BOUND] if pools[at.SINCE_REPOT] > par[at.P_INTERVAL] else 0.0


@compiled
def root_graft(tree: Any, par: Any, luck: Any, half: Any) -> Any:
    """Graft a seedling into each empty sector; those that take fill it two years on. How many were set."""
    pools = tree[3]
    filled = int(pools[at.SECTORS])
    key = draw_key(luck, half, _UNION)
    chance = shifted(par[at.P_UNION], odds_shift(tree, par) + bound_shift(tree, par))
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
def set_graft(tree: Any, par: Any, luck: Any, half: Any, site: Any) -> None:
    """Join a donor to the trunk; `site` is (kind, height or 0, clock or -1). Luck decides if it takes."""
    kind, height_mm, clock = site
    pools = tree[3]
    if at.PRESSED <= pools[at.GRAFT_STATE] <= at.SEVERABLE:
        abandon_graft(tree, par)
    if height_mm > 0.0:
        pools[at.GRAFT_HEIGHT] = height_mm
    if clock >= 0.0:
        pools[at.GRAFT_AZIMUTH] = clock * _HOUR_RAD
    key = draw_key(luck, half, _UNION)
    shift = odds_shift(tree, par) + bound_shift(tree, par) + kind * par[at.P_THREAD]
    pools[at.GRAFT_STATE], pools[at.GRAFT_KIND] = at.PRESSED, kind
    pools[at.GRAFT_YEARS], pools[at.GRAFT_UNION], pools[at.GRAFT_NOTCHED] = 0.0, 0.0, 0.0
    pools[at.GRAFT_TRIES] += 1.0
    pools[at.GRAFT_DRAW] = uniform(key, np.uint64(50))
    pools[at.GRAFT_CHANCE] = shifted(par[at.P_UNION], shift)
    pools[at.GRAFT_TAKES] = 1.0 if pools[at.GRAFT_DRAW] < pools[at.GRAFT_CHANCE] else 0.0
    ready = par[at.P_UNION_YEARS] * math.exp(par[at.P_UNION_SD] * normal(key, np.uint64(51)))
    pools[at.GRAFT_READY] = ready * (1.0 + pools[at.COST_SLOW])


@compiled
def found_graft(tree: Any, par: Any, luck: Any) -> None:
    """Luck of a graft that is already on the tree at the start, from what its checks say."""
    pools = tree[3]
    key = draw_key(luck, _SPRING, _UNION)
    pools[at.GRAFT_TRIES] = 1.0
    pools[at.GRAFT_DRAW], pools[at.GRAFT_CHANCE] = uniform(key, np.uint64(60)), par[at.P_GRAFT_NOW]
    pools[at.GRAFT_TAKES] = 1.0 if pools[at.GRAFT_DRAW] < pools[at.GRAFT_CHANCE] else 0.0
    ready = par[at.P_UNION_YEARS] * math.exp(par[at.P_UNION_SD] * normal(key, np.uint64(61)))
    pools[at.GRAFT_READY] = max(ready, pools[at.GRAFT_YEARS] + 0.25)


@compiled
def open_slot(tree: Any, par: Any) -> None:
    """The wound that a graft leaves which is no more: its slot, or the hole of a thread graft."""
    pools = tree[3]
    width = math.sqrt(par[at.P_GRAFT_WOOD] * (4.0 / math.pi))
    if pools[at.GRAFT_KIND] == THREAD:
        width = max(width, par[at.P_THREAD_HOLE])
    wound(tree, trunk_row(tree, pools[at.GRAFT_HEIGHT]), width)


@compiled
def abandon_graft(tree: Any, par: Any) -> None:
    """Take a donor off; the slot stays as a wound, the donor is potted on for another try."""
    pools = tree[3]
    if at.PRESSED <= pools[at.GRAFT_STATE] <= at.SEVERABLE:
        open_slot(tree, par)
        pools[at.DONORS] += 1.0
        pools[at.GRAFT_STATE] = at.ABANDONED


@compiled
def sign_of_take(tree: Any, par: Any, luck: Any, half: Any) -> Any:
    """Whether two checks show a union: thicker beyond than before, or no wilting where it was notched."""
    pools = tree[3]
    bridged = pools[at.GRAFT_STATE] == at.BRIDGED or pools[at.GRAFT_STATE] == at.SEVERABLE
    key = draw_key(luck, half, _SIGN)
    if pools[at.GRAFT_NOTCHED] > 0.0:
        right = uniform(key, np.uint64(2)) < par[at.P_NOTCH_SIGN]
        return bridged == right and at.PRESSED <= pools[at.GRAFT_STATE] <= at.SEVERABLE
    chance = par[at.P_SENSITIVITY] if bridged else 1.0 - par[at.P_SPECIFICITY]
    both = uniform(key, np.uint64(0)) < chance and uniform(key, np.uint64(1)) < chance
    return both and at.PRESSED <= pools[at.GRAFT_STATE] <= at.SEVERABLE


@compiled
def notch_graft(tree: Any, par: Any) -> None:
    """Cut the donor half through below the joint: the weeks after show whether the union feeds it."""
    pools = tree[3]
    if at.PRESSED <= pools[at.GRAFT_STATE] <= at.SEVERABLE:
        pools[at.GRAFT_NOTCHED] = 1.0
        if pools[at.GRAFT_STATE] < at.BRIDGED:
            pools[at.GRAFT_READY] += par[at.P_NOTCH_DELAY]


@compiled
def sever_graft(tree: Any, par: Any, luck: Any) -> None:
    """Cut a donor from its own roots: a branch where it had bridged, a dead end and a wound where not."""
    pools = tree[3]
    if pools[at.GRAFT_STATE] == at.BRIDGED or pools[at.GRAFT_STATE] == at.SEVERABLE:
        pools[at.GRAFT_UNION] = max(pools[at.GRAFT_UNION], par[at.P_UNION_FIRST])
        weak = pools[at.GRAFT_UNION] < par[at.P_UNION_SHARE]
        pools[at.GRAFT_STATE] = at.SEVERED_WEAK if weak else at.ESTABLISHED
        add_graft_branch(tree, par, luck)
    elif at.PRESSED <= pools[at.GRAFT_STATE] < at.BRIDGED:
        open_slot(tree, par)
        pools[at.GRAFT_STATE] = at.GRAFT_DEAD


@compiled
def add_graft_branch(tree: Any, par: Any, luck: Any) -> None:
    """The branch that a severed donor leaves on the trunk."""
    real, whole, _ids, pools, _count = tree
    row = trunk_row(tree, pools[at.GRAFT_HEIGHT])
    start, own = tree[4][0], shoot_luck(luck)
    first = branch_off(tree, par, own, row, (_SLOT, 1.0, _AS_USUAL_RAD))
    if first < 0:
        return
    azimuth = pools[at.GRAFT_AZIMUTH]
    real[at.DIR_X, first] = 0.94 * math.sin(azimuth)
    real[at.DIR_Y, first] = 0.94 * math.cos(azimuth)
    real[at.DIR_Z, first] = 0.34
    whole[at.FLAGS, first] |= at.GRAFT_AXIS | at.JOINED
    place_ends(tree)
    extend(tree, par, own, first, par[at.P_GRAFT_UNITS])
    for each in range(start, tree[4][0]):
        real[at.WOOD, each] = par[at.P_GRAFT_WOOD] * (1.0 - 0.08 * (each - start))
        real[at.SAPWOOD, each] = real[at.WOOD, each]
        whole[at.FLAGS, each] |= at.GRAFT_AXIS
        whole[at.FLAGS, each] &= ~at.TRUNK
        whole[at.BORN, each] = luck[2] - 1


@compiled
def scion_factor(pools: Any, par: Any) -> Any:
    """Growth factor of a severed scion: its union against the share of its area that feeds it fully."""
    if pools[at.GRAFT_STATE] != at.SEVERED_WEAK and pools[at.GRAFT_STATE] != at.ESTABLISHED:
        return 1.0
    return min(1.0, pools[at.GRAFT_UNION] / par[at.P_UNION_SHARE])


@compiled
def hold_scion(tree: Any, par: Any) -> None:
    """Before a flush: a scion asks for no more vigour than its union lets through."""
    real, whole, _ids, pools, count = tree
    factor = scion_factor(pools, par)
    if factor < 1.0:
        for row in range(count[0]):
            if whole[at.FLAGS, row] & at.GRAFT_AXIS:
                real[at.LIGHT, row] *= factor


@compiled
def lose_scion(tree: Any, par: Any, state: Any) -> None:
    """A scion dies or is given up by the stock; the branch goes and its wound stays."""
    pools = tree[3]
    for row in range(1, tree[4][0]):
        if tree[1][at.FLAGS, row] & at.GRAFT_AXIS and tree[1][at.FLAGS, row] & at.JOINED:
            cut_off(tree, par, row)
            break
    pools[at.GRAFT_STATE] = state


@compiled
def pass_half(tree: Any, par: Any, luck: Any, half: Any) -> None:
    """Half a year of grafts and root grafts."""
    pools = tree[3]
    key = draw_key(luck, half, _UNION)
    state = pools[at.GRAFT_STATE]
    if state == at.SEVERED_WEAK:
        dies = uniform(key, np.uint64(70)) < par[at.P_WEAK_UNION] * (1.0 - scion_factor(pools, par))
        pools[at.GRAFT_STATE] = at.ESTABLISHED
        if dies:
            lose_scion(tree, par, at.GRAFT_DEAD)
    elif state == at.ESTABLISHED and uniform(key, np.uint64(71)) < par[at.P_LATE]:
        lose_scion(tree, par, at.INCOMPATIBLE)
    if state == at.PRESSED or state == at.CALLUS:
        _wait(tree, par, uniform(key, np.uint64(72)) < par[at.P_SLIP])
    elif at.BRIDGED <= state <= at.ESTABLISHED:
        pools[at.GRAFT_UNION] += 0.5 * par[at.P_UNION_RATE]
        if state == at.BRIDGED:
            pools[at.GRAFT_YEARS] += 0.5
            if pools[at.GRAFT_UNION] >= par[at.P_UNION_SHARE]:
                pools[at.GRAFT_STATE] = at.SEVERABLE
    if pools[at.ROOTS_BITS] > 0.0:
        pools[at.ROOTS_YEARS] += 0.5
        if pools[at.ROOTS_YEARS] >= par[at.P_ROOT_GRAFT_YEARS]:
            pools[at.SECTORS] = int(pools[at.SECTORS]) | int(pools[at.ROOTS_BITS])
            pools[at.ROOTS_BITS] = 0.0


@compiled
def _wait(tree: Any, par: Any, slips: Any) -> None:
    """Half a year of a graft that has not bridged: callus, bridge, or it slips and leaves its wound."""
    pools = tree[3]
    pools[at.GRAFT_YEARS] += 0.5
    if slips and pools[at.GRAFT_TAKES] < 0.5:
        open_slot(tree, par)
        pools[at.DONORS] += 1.0
        pools[at.GRAFT_STATE] = at.SLIPPED
    elif pools[at.GRAFT_TAKES] > 0.5:
        bridged = pools[at.GRAFT_YEARS] >= pools[at.GRAFT_READY]
        pools[at.GRAFT_STATE] = at.BRIDGED if bridged else at.CALLUS
        if bridged:
            pools[at.GRAFT_UNION] = par[at.P_UNION_FIRST]
