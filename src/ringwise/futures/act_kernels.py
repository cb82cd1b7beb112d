"""One step of a course done on a tree, compiled: the effect of its operation, and its hours."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.tree_kernels import draw_key, normal, remove_marked
from ringwise.kit.kernels import compiled_in_place as compiled
from ringwise.operations import effect_codes as do
from ringwise.operations.care_effects import cut_back, feed, guy, pinch, take_leaf
from ringwise.operations.conflict_effects import SLIGHT_CROWN, begin_work, end_work
from ringwise.operations.effects import chop, lift, lifted_share, repot, root_prune, root_rescue
from ringwise.operations.graft_effects import (
    APPROACH,
    THREAD,
    abandon_graft,
    notch_graft,
    root_graft,
    set_graft,
    sever_graft,
)
from ringwise.operations.layer_effects import separate, set_layer, split_clump
from ringwise.operations.wood_effects import head_back, prune, unwire, wire

_HOURS = np.int64(11)  # purpose of draws, as in kit.chance
_DEGREE_RAD = math.pi / 180.0


@compiled
def spend(tree: Any, par: Any, luck: Any, half: Any, operation: Any, minutes: Any) -> None:
    """Add the hours of one piece of work."""
    z = normal(draw_key(luck, half, _HOURS), np.uint64(operation))
    tree[3][at.HOURS] += minutes[operation] / 60.0 * math.exp(par[at.P_HOURS] * z)


@compiled
def root_share(pools: Any, par: Any, operation: Any, amount: Any) -> Any:
    """Share of the roots that a work takes, the usual one where the step names none."""
    if operation == do.LIFT:
        return amount if amount > 0.0 else lifted_share(pools, par)
    if operation == do.ROOT_PRUNE:
        return amount if amount > 0.0 else par[at.P_ROOT_PRUNE]
    if operation == do.FIELD_PLANT:
        return amount if amount > 0.0 else par[at.P_FIELD_SHARE]
    if operation == do.REPOT:
        return amount if amount > 0.0 else par[at.P_FRACTION]
    return 0.0


@compiled
def act(trees: Any, par: Any, luck: Any, step: Any, plan: Any) -> None:
    """One step of a course; `step` is (half, operation, site, amount, litres, clock or -1, extra)."""
    half, operation, _site, amount, _litres, clock, _extra = step
    tree = trees[0]
    if tree[3][at.ALIVE] <= 0.0:
        return
    share = root_share(tree[3], par, operation, amount)
    if operation == do.WIRE and clock >= 0.0:
        share = 1.0  # a bend counts as heavy wire, wire all over as light
    rules = plan[8]  # the conflicts of works
    begin_work(tree, par, rules, half, (operation, share))
    _root_work(trees, par, luck, step, share)
    _graft_work(tree, par, luck, step)
    _wood_work(tree, par, luck, step, plan)
    _care_work(tree, par, step)
    slight = operation == do.PRUNE and tree[3][at.TOP_CUT] < rules[3][SLIGHT_CROWN]
    if not slight:
        end_work(tree, rules, half, (operation, share))


@compiled
def _root_work(trees: Any, par: Any, luck: Any, step: Any, share: Any) -> None:
    half, operation, site, _amount, litres, _clock, extra = step
    tree, second = trees
    if operation == do.LIFT:
        lift(tree, par, luck, half, (share, litres, extra))
    elif operation == do.REPOT:
        repot(tree, par, luck, half, (share, litres, operation, extra))
    elif operation == do.FIELD_PLANT:
        repot(tree, par, luck, half, (share, math.inf, operation, 0.0))
    elif operation == do.ROOT_PRUNE:
        root_prune(tree, par, luck, half, share)
    elif operation == do.ROOT_RESCUE:
        root_rescue(tree, par, luck, half, (litres, extra))
    elif operation == do.GROUND_LAYER or operation == do.AIR_LAYER:
        set_layer(tree, par, luck, half, site)
    elif operation == do.SEPARATE:
        separate(tree, second, par, luck, half)
    elif operation == do.SPLIT_CLUMP:
        split_clump(tree, second, par, luck, half, litres)


@compiled
def _graft_work(tree: Any, par: Any, luck: Any, step: Any) -> None:
    half, operation, site, _amount, _litres, clock, _extra = step
    if operation == do.ROOT_GRAFT:
        root_graft(tree, par, luck, half)
    elif operation == do.APPROACH_GRAFT:
        set_graft(tree, par, luck, half, (APPROACH, site, clock))
    elif operation == do.THREAD_GRAFT:
        set_graft(tree, par, luck, half, (THREAD, site, clock))
    elif operation == do.NOTCH_GRAFT:
        notch_graft(tree, par)
    elif operation == do.SEVER_GRAFT:
        sever_graft(tree, par, luck)
    elif operation == do.ABANDON_GRAFT:
        abandon_graft(tree, par)


@compiled
def _wood_work(tree: Any, par: Any, luck: Any, step: Any, plan: Any) -> None:
    half, operation, site, amount, _litres, clock, extra = step
    if operation == do.CHOP:
        chop(tree, par, luck, half, site)
    elif operation == do.PRUNE:
        prune(tree, par, half, (site, clock, extra))
    elif operation == do.HEAD_BACK:
        head_back(tree, par, half, (site, clock, amount))
    elif operation == do.WIRE:
        wire(tree, par, (site, clock, extra * _DEGREE_RAD))
    elif operation == do.UNWIRE:
        unwire(tree)
    elif operation == do.CUT_BACK and par[at.P_AIM_HEIGHT] > 0.0:
        cut_back(tree, par, luck, plan[4])
        remove_marked(tree)


@compiled
def _care_work(tree: Any, par: Any, step: Any) -> None:
    _half, operation, _site, amount, _litres, _clock, extra = step
    if operation == do.PINCH:
        pinch(tree, par, amount if amount > 0.0 else 1.0)
    elif operation == do.PARTIAL_DEFOLIATION:
        take_leaf(tree, amount if amount > 0.0 else par[at.P_PARTIAL])
    elif operation == do.FULL_DEFOLIATION:
        take_leaf(tree, 1.0)
    elif operation == do.FEED:
        feed(tree, par, extra)
    elif operation == do.GUY:
        guy(tree, max(extra, 1.0))
    elif operation == do.UNGUY:
        guy(tree, 0.0)
