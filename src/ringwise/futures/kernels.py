"""One future of one course, lived year by year, compiled.

A year: routine repot and spring steps at bud swell, spring flush, summer steps, wood, the yearly cut
back, then a row of measures. The second tree of a layer lives on beside the first.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.futures.act_kernels import act, spend
from ringwise.futures.check_kernels import step_holds, take_checks
from ringwise.futures.measure_kernels import measure
from ringwise.growth import layout as at
from ringwise.growth.kernels import end_year, spring, summer, weather_year
from ringwise.growth.start_kernels import begin_tree
from ringwise.growth.tree_kernels import copy_row
from ringwise.kit.kernels import compiled_in_place as compiled
from ringwise.operations import effect_codes as do
from ringwise.operations.care_effects import cut_back, cut_top, end_free
from ringwise.operations.effects import repot
from ringwise.operations.graft_effects import found_graft, pass_half
from ringwise.operations.year_effects import begin_growth, end_works

_SPRING, _SUMMER = np.int64(0), np.int64(1)
_SECOND = 1_000_000_000  # futures of second trees are numbered from here, so that their luck is their own


@compiled
def take_steps(trees: Any, par: Any, luck: Any, half: Any, plan: Any) -> None:
    """The checks of a half-year, then all its steps whose condition holds, in their order."""
    codes, sizes, minutes = plan[0], plan[1], plan[2]
    tree = trees[0]
    take_checks(tree, par, luck, half, plan)
    for each in range(codes.shape[0]):
        due = codes[each, 0] == luck[2] and codes[each, 1] == half
        if due and tree[3][at.ALIVE] > 0.0 and step_holds(tree, par, luck, plan, (each, False)):
            operation = codes[each, 2]
            spend(tree, par, luck, half, operation, minutes)
            if plan[3][each] > 0:
                tree[3][at.HEAVY_YEARS] = 0.0
            size = (sizes[each, 0], sizes[each, 1], sizes[each, 2], sizes[each, 3], sizes[each, 4])
            act(trees, par, luck, (half, operation, *size), plan)


@compiled
def heavy_season(tree: Any, par: Any, luck: Any, plan: Any) -> Any:
    """Whether the course did heavy work last year, or will this year, as far as bud swell shows."""
    codes, heavy = plan[0], plan[3]
    if tree[3][at.HEAVY_YEARS] < par[at.P_HEAVY_REST]:
        return True
    for each in range(codes.shape[0]):
        if heavy[each] > 0 and codes[each, 0] == luck[2] and step_holds(tree, par, luck, plan, (each, True)):
            return True
    return False


@compiled
def routine_repot(tree: Any, par: Any, luck: Any, plan: Any) -> None:
    """The repot of routine care when its interval is over and the course leaves the season free."""
    pools = tree[3]
    layered = pools[at.LAYER_STATE] == at.SET or pools[at.LAYER_STATE] == at.ROOTED
    due = not math.isinf(pools[at.LITRES]) and pools[at.SINCE_REPOT] >= par[at.P_INTERVAL]
    if due and not layered and not heavy_season(tree, par, luck, plan):
        spend(tree, par, luck, _SPRING, np.int64(do.REPOT), plan[2])
        share = par[at.P_ROUTINE] * par[at.P_FRACTION]
        repot(tree, par, luck, _SPRING, (share, 0.0, np.int64(do.REPOT), 0.0))


@compiled
def routine_top(trees: Any, par: Any, luck: Any, plan: Any) -> None:
    """A leader that outgrew the height aimed at is cut back, where the course leaves the season free."""
    tree, second = trees
    layered = tree[3][at.LAYER_STATE] == at.SET or tree[3][at.LAYER_STATE] == at.ROOTED
    if par[at.P_AIM_HEIGHT] <= 0.0:
        return
    free = tree[3][at.ALIVE] > 0.0 and not layered and not heavy_season(tree, par, luck, plan)
    if free and cut_top(tree, par) > 0:
        spend(tree, par, luck, _SPRING, np.int64(do.CHOP), plan[2])
    if second[3][at.ALIVE] > 0.0 and second[4][0] > 1 and cut_top(second, par) > 0:
        spend(second, par, luck, _SPRING, np.int64(do.CHOP), plan[2])


@compiled
def care(tree: Any, par: Any, luck: Any, plan: Any) -> None:
    """The yearly cut back, where the tree has an aim."""
    if par[at.P_AIM_HEIGHT] > 0.0 and not math.isinf(tree[3][at.LITRES]):
        spend(tree, par, luck, _SUMMER, np.int64(do.CUT_BACK), plan[2])
        cut_back(tree, par, luck, plan[4])


@compiled
def live_year(trees: Any, par: Any, luck: Any, plan: Any, grid: Any) -> None:
    """One year of both trees of a future."""
    tree = trees[0]
    for number in range(2):
        each = trees[number]
        if each[3][at.ALIVE] > 0.0 and each[4][0] > 0:
            own = (luck[0], luck[1] + number * _SECOND, luck[2])
            routine_repot(each, par, own, plan)
    routine_top(trees, par, luck, plan)
    take_steps(trees, par, luck, _SPRING, plan)
    for number in range(2):
        each = trees[number]
        if each[3][at.ALIVE] > 0.0 and each[4][0] > 0:
            own = (luck[0], luck[1] + number * _SECOND, luck[2])
            weather_year(each, par, luck)
            begin_growth(each, par)
            spring(each, par, own, grid)
    pass_half(tree, par, luck, _SPRING)
    take_steps(trees, par, luck, _SUMMER, plan)
    pass_half(tree, par, luck, _SUMMER)
    for number in range(2):
        each = trees[number]
        if each[3][at.ALIVE] > 0.0 and each[4][0] > 0:
            own = (luck[0], luck[1] + number * _SECOND, luck[2])
            summer(each, par, own, grid)
            care(each, par, own, plan)
            end_year(each)
            end_free(each, par)  # when marks are gone, so that the cut keeps its row
            end_works(each, par, own)


@compiled
def begin(trees: Any, start: Any, par: Any, luck: Any, grid: Any) -> None:
    """Put the start tree into the room of a worker."""
    tree, second = trees
    n = start[4][0]
    for row in range(n):
        copy_row(start, row, tree, row)
    for pool in range(at.POOLS):
        tree[3][pool] = start[3][pool]
        second[3][pool] = 0.0
    tree[4][0] = n
    second[4][0] = 0
    begin_tree(trees, par, luck, grid)
    if tree[3][at.GRAFT_STATE] >= at.PRESSED:
        found_graft(tree, par, luck)


@compiled
def live(trees: Any, start: Any, par: Any, key: Any, plan: Any, grid: Any, values: Any) -> None:
    """A whole future; `key` is (seed, future), `values` gets a row for now and for each year."""
    begin(trees, start, par, (key[0], key[1], np.int64(0)), grid)
    measure(trees[0], trees[1], plan[7], values[0])
    for year in range(values.shape[0] - 1):
        live_year(trees, par, (key[0], key[1], year), plan, grid)
        measure(trees[0], trees[1], plan[7], values[year + 1])
