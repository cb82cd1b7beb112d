"""The half-year step of a tree, compiled: spring flush, then summer and wood.

Light here is a grid of columns over the crown: leaf area in each cell shades the cells below it. Growth
is shared by lit tips through the forks; wood follows the leaf above by the pipe model with a sapwood
life. `par` is one future's parameters, laid out by `layout`.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.flush_kernels import buds_below, flush
from ringwise.growth.tree_kernels import (
    count_children,
    draw_key,
    normal,
    place_ends,
    remove_marked,
    sum_down,
    uniform,
)
from ringwise.kit.kernels import compiled

CELLS = 12  # cells of the light grid along each side: finer than a branch pad
_SHED, _WEATHER, _VIGOUR = np.int64(6), np.int64(1), np.int64(2)  # purposes of draws, as in kit.chance
_SPRING, _SUMMER = np.int64(0), np.int64(1)
_ROOT_SURPLUS = 1.6  # most that full roots push a crown smaller than they can feed
_LEAST_NEED = 0.25
_FIELD_STRETCH = 5.0  # how much longer units grow in open ground than in a tiny pot; assumed
_AXIS_SD = 0.015  # apical control of one axis against its tree; assumed
_STUB_MM2 = 180.0  # dead ends thicker than this stay on the tree as snags


@compiled
def settle(tree: Any, par: Any, luck: Any) -> None:
    """Make a measured tree fit one future's parameters: sapwood, apical control of each axis."""
    real, whole, ids, pools, count = tree
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
            drawn = par[at.P_CONTROL] + _AXIS_SD * normal(key, ids[row])
            real[at.CONTROL, row] = min(max(drawn, 0.44), 0.62)


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
def light(tree: Any, par: Any, grid: Any) -> None:
    """Light on every segment, 0 to 1, from the leaf of the cells above it and beside those."""
    real, _whole, _ids, _pools, count = tree
    n = count[0]
    reach, top = 1.0, 1.0
    for row in range(n):
        reach = max(reach, abs(real[at.END_X, row]), abs(real[at.END_Y, row]))
        top = max(top, real[at.END_Z, row])
    leafy = 5.0 * math.sqrt(tree[3][at.LEAF_UNIT])  # half the side of a shoot's leaf, in mm
    reach, top = reach + leafy, top + leafy
    side = 2.0 * reach / CELLS
    grid.fill(0.0)
    for row in range(n):
        if real[at.LEAF, row] > 0.0:
            i, j, k = _cell(real, row, reach, top)
            grid[k, i + 1, j + 1] += real[at.LEAF, row]
    # A shoot's leaf is not stacked within less than its own area, however fine the cells are.
    scale = np.float32(par[at.P_EXTINCTION] * 100.0 / max(side * side, 4.0 * leafy * leafy))
    for k in range(CELLS - 1, -1, -1):
        for i in range(1, CELLS + 1):
            for j in range(1, CELLS + 1):
                grid[k, i, j] = grid[k, i, j] + grid[k + 1, i, j]
    for row in range(n):
        i, j, k = _cell(real, row, reach, top)
        above = 0.6 * grid[k + 1, i + 1, j + 1]
        above += 0.1 * (grid[k + 1, i, j + 1] + grid[k + 1, i + 2, j + 1])
        above += 0.1 * (grid[k + 1, i + 1, j] + grid[k + 1, i + 1, j + 2])
        own = 0.5 * (grid[k, i + 1, j + 1] - grid[k + 1, i + 1, j + 1])
        real[at.LIGHT, row] = math.exp(-scale * (above + own))


@compiled
def _cell(real: Any, row: Any, reach: Any, top: Any) -> Any:
    i = int((real[at.END_X, row] + reach) / (2.0 * reach) * CELLS)
    j = int((real[at.END_Y, row] + reach) / (2.0 * reach) * CELLS)
    k = int(max(real[at.END_Z, row], np.float32(0.0)) / top * CELLS)
    return min(max(i, 0), CELLS - 1), min(max(j, 0), CELLS - 1), min(max(k, 0), CELLS - 1)


@compiled
def demand(tree: Any) -> None:
    """Demand of each segment: its lit tips, summed towards the base."""
    real, whole, _ids, _pools, count = tree
    count_children(tree)
    for row in range(count[0]):
        real[at.DEMAND, row] = 0.0
        tip = whole[at.CHILDREN, row] == 0 and not whole[at.FLAGS, row] & at.DEAD
        if tip and (not whole[at.FLAGS, row] & at.CUT_END or buds_below(tree, row) > 0):
            real[at.DEMAND, row] = max(real[at.LIGHT, row], np.float32(0.01))
    sum_down(tree, at.DEMAND)


@compiled
def growth_factor(tree: Any, par: Any) -> Any:
    """What pot, roots, reserves, year and the tree's own vigour leave of growth in open ground."""
    pools = tree[3]
    pot = min(1.0, (pools[at.LITRES] / par[at.P_REFERENCE_L]) ** par[at.P_POT])
    need = max(_LEAST_NEED, pools[at.LEAF_FLUSH] / (par[at.P_CAPACITY] * pot))
    root = min(_ROOT_SURPLUS, (pools[at.ROOT] / need) ** par[at.P_ROOT])
    overdue = max(0.0, pools[at.SINCE_REPOT] - par[at.P_INTERVAL])
    bound = max(par[at.P_BOUND_FLOOR], 1.0 - par[at.P_BOUND] * overdue)
    if math.isinf(pools[at.LITRES]):
        bound = 1.0
    food = par[at.P_RESERVE] + (1.0 - par[at.P_RESERVE]) * pools[at.RESERVE]
    return pot * root * bound * food * math.exp(pools[at.WEATHER] + par[at.P_VIGOUR])


@compiled
def share(tree: Any) -> None:
    """Share the vigour at the base among all tips, fork by fork; at a fork the sum is kept."""
    real, whole, _ids, _pools, count = tree
    n = count[0]
    for row in range(n):
        whole[at.MARK, row] = -1
    for row in range(1, n):
        parent = whole[at.PARENT, row]
        main = whole[at.MARK, parent]
        if main < 0 or _leads(real, whole, row, main):
            whole[at.MARK, parent] = row
    for row in range(1, n):
        parent = whole[at.PARENT, row]
        main = whole[at.MARK, parent]
        main_demand = real[at.DEMAND, main]
        side_demand = real[at.DEMAND, parent] - main_demand
        control = real[at.CONTROL, main]
        weight = control * main_demand + (1.0 - control) * side_demand
        if weight <= 0.0 or real[at.DEMAND, row] <= 0.0:
            real[at.VIGOUR, row] = 0.0
        elif row == main:
            real[at.VIGOUR, row] = real[at.VIGOUR, parent] * control * main_demand / weight
        else:
            part = (1.0 - control) * side_demand / weight
            real[at.VIGOUR, row] = real[at.VIGOUR, parent] * part * real[at.DEMAND, row] / side_demand
    for row in range(n):
        whole[at.MARK, row] = 0


@compiled
def _leads(real: Any, whole: Any, row: Any, main: Any) -> Any:
    if whole[at.ORDER, row] != whole[at.ORDER, main]:
        return whole[at.ORDER, row] < whole[at.ORDER, main]
    return real[at.WOOD, row] > real[at.WOOD, main]


@compiled
def leaf_out(tree: Any, par: Any, luck: Any) -> None:
    """New leaves: a shoot's leaf on each resting tip, its share on each new unit, within what roots feed."""
    real, whole, _ids, pools, count = tree
    total = 0.0
    for row in range(count[0]):
        bare = whole[at.FLAGS, row] & (at.CUT_END | at.DEAD)
        leaf = 0.0
        if whole[at.BORN, row] == luck[2] and row > 0:
            leaf = pools[at.LEAF_UNIT] / par[at.P_UNITS]
        elif whole[at.CHILDREN, row] == 0 and not bare:
            leaf = pools[at.LEAF_UNIT]
            whole[at.FLAGS, row] |= at.SHORT_SHOOT
        real[at.LEAF, row] = leaf
        total += leaf
    pot = min(1.0, (pools[at.LITRES] / par[at.P_REFERENCE_L]) ** par[at.P_POT])
    most = par[at.P_CAPACITY] * pot * min(1.0, 0.3 + pools[at.ROOT]) * (0.5 + 0.5 * pools[at.RESERVE])
    scale = min(1.0, most / total) if total > 0.0 else 1.0
    for row in range(count[0]):
        real[at.LEAF, row] *= scale
    pools[at.LEAF_FLUSH] = total * scale


@compiled
def spring(tree: Any, par: Any, luck: Any, grid: Any) -> None:
    """The spring half of a year; the year's weather is set before."""
    pools = tree[3]
    if luck[2] == 0:
        light(tree, par, grid)  # later years go by the light of the summer before
    demand(tree)
    tree[0][at.VIGOUR, 0] = par[at.P_BUDGET] * tree[0][at.DEMAND, 0] * growth_factor(tree, par)
    share(tree)
    pot = min(1.0, (pools[at.LITRES] / par[at.P_REFERENCE_L]) ** par[at.P_POT])
    pools[at.UNIT] = par[at.P_UNIT] * (1.0 + _FIELD_STRETCH * pot * pot)
    flush(tree, par, luck)
    leaf_out(tree, par, luck)
    grow_roots(pools, par)


@compiled
def grow_roots(pools: Any, par: Any) -> None:
    """Half a year of root regrowth towards a full pot; a ring set for a layer starves the roots below."""
    r = max(pools[at.ROOT], 0.02)
    if pools[at.LAYER_STATE] == at.SET or pools[at.LAYER_STATE] == at.ROOTED:
        pools[at.ROOT] = r * 0.92
    else:
        pools[at.ROOT] = 1.0 / (1.0 + (1.0 / r - 1.0) * math.exp(-0.5 / par[at.P_ROOT_YEARS]))


@compiled
def ring(tree: Any, par: Any) -> None:
    """A year's wood: what the leaf above asks for beyond living sapwood, within the wood budget."""
    real, _whole, _ids, pools, count = tree
    n = count[0]
    for row in range(n):
        real[at.ABOVE, row] = real[at.LEAF, row]
    sum_down(tree, at.ABOVE)
    unit = max(pools[at.LEAF_UNIT], 1e-3)
    wanted, lit = 0.0, 0.0
    for row in range(n):
        need = pipe_demand(real[at.ABOVE, row], par, unit)
        gap = need - real[at.SAPWOOD, row] * (1.0 - 1.0 / par[at.P_SAPWOOD])
        least = par[at.P_RING] * need if pools[at.RESERVE] > par[at.P_FLOOR] else 0.0
        real[at.VIGOUR, row] = max(max(gap, 0.0), least)
        wanted += real[at.VIGOUR, row] * real[at.LENGTH, row]
        lit += real[at.LEAF, row] * real[at.LIGHT, row]
    pot = min(1.0, (pools[at.LITRES] / par[at.P_REFERENCE_L]) ** par[at.P_POT])
    budget = par[at.P_WOOD] * lit * max(pot, 0.2) * math.exp(par[at.P_VIGOUR])
    scale = min(1.0, budget / wanted) if wanted > 0.0 else 0.0
    pools[at.RING] = scale
    year = math.exp(pools[at.WEATHER])
    for row in range(n):
        added = real[at.VIGOUR, row] * scale
        before = math.sqrt(real[at.WOOD, row] * (4.0 / math.pi))
        real[at.WOOD, row] += added * year
        left = real[at.SAPWOOD, row] * (1.0 - 1.0 / par[at.P_SAPWOOD]) + added
        real[at.SAPWOOD, row] = min(left, real[at.WOOD, row])
        real[at.GROWN, row] = math.sqrt(real[at.WOOD, row] * (4.0 / math.pi)) - before


@compiled
def pipe_demand(above_cm2: Any, par: Any, unit_cm2: Any) -> Any:
    """Sapwood area that the leaf above asks for; the tree's vigour widens it."""
    if above_cm2 <= 0.0:
        return 0.0
    power = (above_cm2 / unit_cm2) ** (2.0 / par[at.P_EXPONENT])
    return par[at.P_PIPE] * math.exp(par[at.P_VIGOUR]) * unit_cm2 * power


@compiled
def close_wounds(tree: Any, par: Any) -> None:
    """A year of wound closure by the growth of the wood beside each wound."""
    real, _whole, _ids, _pools, count = tree
    for row in range(count[0]):
        width, grown = real[at.WOUND, row], real[at.GROWN, row]
        if width > 0.0:
            real[at.WOUND_YEARS, row] += 1.0
            if grown > 0.0:
                shape = (width / par[at.P_WIDTH_REFERENCE]) ** par[at.P_WIDTH]
                shape *= (grown / par[at.P_GROWTH_REFERENCE]) ** par[at.P_GROWTH]
                real[at.WOUND, row] = max(0.0, width - par[at.P_CLOSURE] * shape * grown)


@compiled
def shed(tree: Any, par: Any, luck: Any) -> None:
    """Mark starved twigs and dead ends; the year's end drops them."""
    real, whole, ids, _pools, count = tree
    count_children(tree)
    key = draw_key(luck, _SUMMER, _SHED)
    for row in range(1, count[0]):
        if whole[at.CHILDREN, row] == 0 and real[at.WOOD, row] < _STUB_MM2:
            old = whole[at.BORN, row] < luck[2]
            dark = real[at.LIGHT, row] < par[at.P_SHED]
            weak = (
                real[at.LIGHT, row] < 4.0 * par[at.P_SHED] and uniform(key, ids[row]) < par[at.P_SHED_CHANCE]
            )
            if old and (real[at.LEAF, row] <= 0.0 or dark or weak):
                whole[at.MARK, row] = 1


@compiled
def store(tree: Any, par: Any) -> None:
    """Reserves and clocks at the end of the season."""
    pools = tree[3]
    full = min(1.0, pools[at.LEAF_FLUSH] / max(pools[at.LEAF_REFERENCE], 1e-6))
    target = full * (0.55 + 0.45 * min(1.0, pools[at.ROOT] * 1.25))
    pools[at.RESERVE] += par[at.P_RECOVERY] * (target - pools[at.RESERVE])
    pools[at.RESERVE] = min(1.0, max(0.0, pools[at.RESERVE]))
    pools[at.LEAF_REFERENCE] += 0.3 * (pools[at.LEAF_FLUSH] - pools[at.LEAF_REFERENCE])
    pools[at.SINCE_REPOT] += 1.0
    pools[at.HEAVY_YEARS] += 1.0
    pools[at.ROOT_CUT] = 0.0
    pools[at.LAYER_SET] = 0.0
    pools[at.TOP_CUT] = 0.0
    pools[at.WORKED] = 0.0


@compiled
def summer(tree: Any, par: Any, luck: Any, grid: Any) -> None:
    """The summer half of a year: light, wood, wounds, stores; `end_year` drops what was marked."""
    place_ends(tree)
    light(tree, par, grid)
    ring(tree, par)
    close_wounds(tree, par)
    shed(tree, par, luck)
    grow_roots(tree[3], par)
    store(tree, par)


@compiled
def end_year(tree: Any) -> None:
    """Drop what was shed or cut back this year."""
    remove_marked(tree)
