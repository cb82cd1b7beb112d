"""The half-year step of a tree, compiled: spring flush, then summer and wood.

Growth is shared by lit tips and buds through the forks; light and wood have rooms of their own
(`light_kernels`, `wood_kernels`). `par` is one future's parameters, laid out by `layout`.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.float_kernels import total
from ringwise.growth.flush_kernels import buds_below, flush, last_shoot_buds
from ringwise.growth.light_kernels import light
from ringwise.growth.shoot_kernels import shoot_of, shoot_units
from ringwise.growth.tree_kernels import (
    count_children,
    draw_key,
    normal,
    place_ends,
    remove_marked,
    sum_down,
    uniform,
)
from ringwise.growth.wood_kernels import close_wounds, pipe_demand, ring
from ringwise.kit.kernels import compiled_in_place as compiled

_SHED, _WEATHER, _VIGOUR = np.int64(6), np.int64(1), np.int64(2)  # purposes of draws, as in kit.chance
_SPRING, _SUMMER = np.int64(0), np.int64(1)


@compiled
def settle(tree: Any, par: Any, luck: Any) -> None:
    """Make a measured tree fit one future's parameters: sapwood, apical control of each axis."""
    real, whole, ids, pools, count = tree
    pools[at.UNIT], pools[at.FINE] = par[at.P_UNIT], 1.0
    count_children(tree)
    place_ends(tree)
    for row in range(count[0]):
        real[at.ABOVE, row] = real[at.LEAF, row]
        if real[at.LEAF, row] <= 0.0 and whole[at.CHILDREN, row] == 0:
            real[at.ABOVE, row] = pools[at.LEAF_UNIT]
    sum_down(tree, at.ABOVE)
    key = draw_key(luck, _SPRING, _VIGOUR)
    for row in range(count[0]):
        need = pipe_demand(real[at.ABOVE, row], par, max(pools[at.LEAF_UNIT], 1e-3))
        real[at.SAPWOOD, row] = min(need, real[at.WOOD, row])
        parent = whole[at.PARENT, row]
        if parent >= 0 and whole[at.ORDER, row] == whole[at.ORDER, parent]:
            real[at.CONTROL, row] = real[at.CONTROL, parent]
        else:
            drawn = par[at.P_CONTROL] + par[at.P_AXIS] * normal(key, ids[row])
            real[at.CONTROL, row] = min(max(drawn, par[at.P_CONTROL_LEAST]), par[at.P_CONTROL_MOST])


@compiled
def weather_year(tree: Any, par: Any, luck: Any) -> None:
    """ln growth of this year from last year's and a shock that all courses share."""
    pools = tree[3]
    key = draw_key(luck, _SPRING, _WEATHER)
    shock = par[at.P_WEATHER] * normal(key, np.uint64(0))
    if luck[2] > 0:
        shock *= math.sqrt(1.0 - par[at.P_MEMORY] ** 2)
        shock += par[at.P_MEMORY] * pools[at.WEATHER]
    pools[at.WEATHER] = shock


@compiled
def demand(tree: Any, par: Any) -> None:
    """Demand of each segment: its lit tips and the buds of their last shoots, summed towards the base."""
    real, whole, _ids, pools, count = tree
    tips = 0
    for row in range(count[0]):
        real[at.DEMAND, row] = 0.0
        if whole[at.CHILDREN, row] == 0 and not whole[at.FLAGS, row] & at.DEAD:
            cut = whole[at.FLAGS, row] & at.CUT_END
            buds = buds_below(tree, row) if cut else last_shoot_buds(tree, row)
            if not cut or buds > 0:
                tips += 1
                lit = max(real[at.LIGHT, row], np.float32(0.01))
                real[at.DEMAND, row] = lit if cut else lit * np.float32(1.0 + par[at.P_LATERAL] * buds)
    pools[at.LEAF_NEED] = max(tips * pools[at.LEAF_UNIT], total(real[at.LEAF], count[0]))
    sum_down(tree, at.DEMAND)


@compiled
def pot_factor(pools: Any, par: Any) -> Any:
    """What the volume leaves of growth in open ground."""
    return min(1.0, (pools[at.LITRES] / par[at.P_REFERENCE_L]) ** par[at.P_POT])


@compiled
def held_season(par: Any, cut: Any) -> Any:
    """Mean shoot rate over a season whose roots were cut by a share at its start, against an uncut tree."""
    if cut <= 0.0:
        return 1.0
    start = max(1.0 - cut, 0.01)
    most = max(min(1.0, par[at.P_COMPENSATION] * start), start)
    weeks = int(par[at.P_WEEKS])
    total = 0.0
    for week in range(weeks):
        fall = math.exp(-(week + 0.5) / par[at.P_HELD_WEEKS])
        total += (most / (1.0 + (most / start - 1.0) * fall)) ** par[at.P_ROOT]
    return total / weeks


@compiled
def growth_factor(tree: Any, par: Any) -> Any:
    """What pot, roots, reserves, year and the tree's own vigour leave of growth in open ground."""
    pools = tree[3]
    pot = pot_factor(pools, par)
    before = pools[at.ROOT] / max(
        1.0 - pools[at.ROOT_CUT], 0.01
    )  # of a cut at bud swell weeks are told below
    if math.isinf(pools[at.LITRES]):
        bound, most = 1.0, par[at.P_SURPLUS]
        root = min(most, (min(before, 1.0) / max(1.0 - pools[at.REMOVED], 0.05)) ** par[at.P_ROOT])
    else:
        overdue = max(0.0, pools[at.SINCE_REPOT] - par[at.P_INTERVAL])
        bound = max(par[at.P_BOUND_FLOOR], 1.0 - par[at.P_BOUND] * overdue)
        # Mostly by the leaf of some years: roots do not follow each flush.
        leaf = pools[at.LEAF_NEED] - pools[at.LEAF_REFERENCE] * (1.0 - pools[at.REMOVED])
        leaf = pools[at.LEAF_NEED] - par[at.P_STEADY] * leaf
        need = leaf / (par[at.P_CAPACITY] * pot ** par[at.P_FED_LEAF])
        root = min(1.0 / pot, (min(before, 1.0) / max(need, 1e-6)) ** par[at.P_ROOT])
    pools[at.ROOT_HELD] = 1.0 - held_season(par, pools[at.ROOT_CUT])
    # Reserves that leaf cuts took do not count a second time: their shoots' length has it all.
    reserves = min(1.0, pools[at.RESERVE] + pools[at.LEAF_DEBT])
    food = par[at.P_RESERVE] + (1.0 - par[at.P_RESERVE]) * reserves
    care = (1.0 + pools[at.FED]) * (1.0 - pools[at.ROOT_HELD])
    # Half of a tree's own vigour lies in its shoots, the rest in its wood: rings then follow it one to one.
    return pot * root * bound * food * care * math.exp(pools[at.WEATHER] + 0.5 * par[at.P_VIGOUR])


@compiled
def share(tree: Any) -> None:
    """Share the vigour at the base among all tips, fork by fork; at a fork the sum is kept."""
    real, whole, _ids, _pools, count = tree
    n = count[0]
    demanded, vigour = real[at.DEMAND], real[at.VIGOUR]
    parents, children, leads = whole[at.PARENT], whole[at.CHILDREN], whole[at.MARK]
    for row in range(n):
        leads[row] = -1
    for row in range(1, n):
        parent = np.uint32(parents[row])
        if children[parent] > 1 and (leads[parent] < 0 or _leads(real, whole, row, leads[parent])):
            leads[parent] = row
    for row in range(1, n):
        parent = np.uint32(parents[row])
        if demanded[row] <= 0.0:
            vigour[row] = 0.0
        elif children[parent] == 1:
            vigour[row] = vigour[parent]
        else:
            main = leads[parent]
            main_demand, control = demanded[main], real[at.CONTROL, main]
            side_demand = demanded[parent] - main_demand
            weight = control * main_demand + (1.0 - control) * side_demand
            part = control if row == main else 1.0 - control
            vigour[row] = vigour[parent] * part * demanded[row] / weight
    for row in range(n):
        leads[row] = 0


@compiled
def _leads(real: Any, whole: Any, row: Any, main: Any) -> Any:
    if whole[at.ORDER, row] != whole[at.ORDER, main]:
        return whole[at.ORDER, row] < whole[at.ORDER, main]
    return real[at.WOOD, row] > real[at.WOOD, main]


@compiled
def leaf_out(tree: Any, par: Any, luck: Any) -> None:
    """New leaves: a shoot's leaf on each resting tip, its own on new units, within what roots feed."""
    real, whole, _ids, pools, count = tree
    full = count[0] >= whole.shape[1] - 1
    for row in range(count[0]):
        bare = whole[at.FLAGS, row] & (at.CUT_END | at.DEAD)
        leaf = 0.0
        if whole[at.BORN, row] == luck[2] and row > 0:
            leaf = real[at.LEAF, row]  # as its shoot was made
        elif whole[at.CHILDREN, row] == 0 and not bare:
            leaf = pools[at.LEAF_UNIT]
            whole[at.FLAGS, row] |= at.SHORT_SHOOT
            if full:  # twigs that found no room are borne by their tip
                each = shoot_of(pools, par, real[at.VIGOUR, row])[1]
                leaf = max(leaf, shoot_units(pools, par, real[at.VIGOUR, row]) * each)
        real[at.LEAF, row] = leaf
    leaves = total(real[at.LEAF], count[0])
    most = min(1.0, 0.3 + pools[at.ROOT]) * (0.5 + 0.5 * pools[at.RESERVE])
    if not math.isinf(pools[at.LITRES]):
        most *= par[at.P_CAPACITY] * pot_factor(pools, par) ** par[at.P_FED_LEAF]
        scale = min(1.0, most / leaves) if leaves > 0.0 else 1.0
    else:
        scale = most  # roots in open ground keep up with the crown
    for row in range(count[0]):
        real[at.LEAF, row] *= scale
    pools[at.LEAF_FLUSH] = leaves * scale


@compiled
def spring(tree: Any, par: Any, luck: Any, grid: Any) -> None:
    """The spring half of a year; the year's weather is set before."""
    pools = tree[3]
    if luck[2] == 0:
        light(tree, par, grid)  # later years go by the light of the summer before
    demand(tree, par)
    pools[at.RESERVE] = max(0.0, pools[at.RESERVE] - par[at.P_CUT_RESERVE] * pools[at.REMOVED] ** 2)
    budget = par[at.P_BUDGET] * par[at.P_FIELD] * growth_factor(tree, par)
    tree[0][at.VIGOUR, 0] = budget * tree[0][at.DEMAND, 0]
    share(tree)
    room = tree[1].shape[1] - tree[4][0]
    fine = par[at.P_ROOM] * room / max(tree[0][at.VIGOUR, 0], 1.0)
    pools[at.FINE] = max(par[at.P_COARSEST], min(1.0, fine))
    pools[at.UNIT] = par[at.P_UNIT] * (1.0 - par[at.P_PINCH] * pools[at.PINCHED]) * (1.0 - pools[at.SPENT])
    flush(tree, par, luck)
    pools[at.PINCHED] = 0.0  # a pinch after this flush is for the next one
    leaf_out(tree, par, luck)
    grow_roots(pools, par)


@compiled
def grow_roots(pools: Any, par: Any) -> None:
    """Half a year of root regrowth towards a full pot; a ring set for a layer starves the roots below."""
    r = max(pools[at.ROOT], 0.02)
    if pools[at.LAYER_STATE] == at.SET or pools[at.LAYER_STATE] == at.ROOTED:
        pools[at.ROOT] = r * 0.92
    else:
        years = pools[at.ROOT_YEARS] if pools[at.ROOT_YEARS] > 0.0 else par[at.P_ROOT_YEARS]
        pools[at.ROOT] = 1.0 / (1.0 + (1.0 / r - 1.0) * math.exp(-0.5 / years))


@compiled
def shed(tree: Any, par: Any, luck: Any) -> None:
    """Mark starved twigs and dead ends; the year's end drops them."""
    real, whole, ids, _pools, count = tree
    key = draw_key(luck, _SUMMER, _SHED)
    for row in range(1, count[0]):
        if whole[at.CHILDREN, row] == 0 and real[at.WOOD, row] < par[at.P_SNAG]:
            old = whole[at.BORN, row] < luck[2]
            dark = real[at.LIGHT, row] < par[at.P_SHED]
            weak = (
                real[at.LIGHT, row] < 4.0 * par[at.P_SHED] and uniform(key, ids[row]) < par[at.P_SHED_CHANCE]
            )
            if old and (real[at.LEAF, row] <= 0.0 or dark or weak):
                whole[at.MARK, row] = 1


@compiled
def lose_leaf(tree: Any, par: Any) -> None:
    """What a leaf cut of this summer costs: smaller leaves, reserves, and length of shoots for years."""
    real, _whole, _ids, pools, count = tree
    cut = min(1.0, pools[at.DEFOLIATED])
    if cut <= 0.0:
        pools[at.SPENT] *= 1.0 - par[at.P_LEAF_BACK]
        return
    smaller = 1.0 - par[at.P_LEAF_SIZE] * cut
    for row in range(count[0]):
        real[at.LEAF, row] *= smaller
    pools[at.LEAF_FLUSH] *= smaller
    taken = min(pools[at.RESERVE], par[at.P_LEAF_RESERVE] * cut)
    pools[at.RESERVE] -= taken
    pools[at.LEAF_DEBT] += taken
    kept = par[at.P_LEAF_GROWTH] ** (cut / par[at.P_LEAF_CUT])
    pools[at.SPENT] = 1.0 - (1.0 - pools[at.SPENT]) * kept


@compiled
def store(tree: Any, par: Any) -> None:
    """Reserves and clocks at the end of the season."""
    pools = tree[3]
    usual = max(pools[at.LEAF_REFERENCE], 1e-6)
    full = min(1.0, pools[at.LEAF_FLUSH] / usual)
    fed = 0.55 + 0.45 * min(1.0, pools[at.ROOT] * 1.25)
    pools[at.RESERVE] += par[at.P_RECOVERY] * (full * fed - pools[at.RESERVE])
    smaller = 1.0 - par[at.P_LEAF_SIZE] * min(1.0, pools[at.DEFOLIATED])
    missed = (min(1.0, pools[at.LEAF_FLUSH] / (usual * smaller)) - full) * fed
    pools[at.LEAF_DEBT] += par[at.P_RECOVERY] * (missed - pools[at.LEAF_DEBT])
    pools[at.RESERVE] = min(1.0, max(0.0, pools[at.RESERVE]))
    pools[at.LEAF_REFERENCE] += 0.3 * (pools[at.LEAF_FLUSH] - pools[at.LEAF_REFERENCE])
    pools[at.SINCE_REPOT] += 1.0
    pools[at.HEAVY_YEARS] += 1.0
    for pool in (at.ROOT_CUT, at.LAYER_SET, at.TOP_CUT, at.WORKED, at.DEFOLIATED, at.FED):
        pools[pool] = 0.0


@compiled
def summer(tree: Any, par: Any, luck: Any, grid: Any) -> None:
    """The summer half of a year: light, wood, wounds, stores; `end_year` drops what was marked."""
    place_ends(tree)
    light(tree, par, grid)  # as it falls until leaves are cut: a cut sets no more shoots than none would
    lose_leaf(tree, par)
    ring(tree, par)
    close_wounds(tree, par, luck)
    shed(tree, par, luck)
    grow_roots(tree[3], par)
    store(tree, par)


@compiled
def end_year(tree: Any) -> None:
    """Drop what was shed or cut back this year."""
    remove_marked(tree)
