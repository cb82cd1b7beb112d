"""What a hand does to wood and roots of a growing tree, compiled: cuts, pots, and what luck makes of them.

Each effect changes the arrays of one tree (see `growth.layout`). Every chance is keyed by seed, future,
year, half and what it is for, so that work in one course moves no other luck. Chances of survival are
assumptions of the growth tables and are shown as such; what an effect takes its numbers from lies in
`data/effects.csv`, and what a conflict costs is in the pools before the work begins.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.tree_kernels import (
    base_row,
    child_id,
    continuation,
    copy_row,
    count_children,
    draw_key,
    logistic,
    place_ends,
    remove_marked,
    uniform,
    wound,
)
from ringwise.kit.kernels import compiled_in_place as compiled
from ringwise.operations import effect_codes as do

_SURVIVE = np.int64(7)  # purpose of draws, as in kit.chance
_SEAM = 0.98  # share of a segment from which on a cut falls on its end
_WHOLE = 0.95  # roots count as back at this share
_LEAST_YEARS = 0.05
_BEGUN_YEARS = 0.5  # roots were cut this year: no whole season to branch in yet
_EVEN = 1e-3  # a share that is given as four fifths counts as gentle whatever its last digit
_LOWER, _UPPER, _NO_YEAR = np.int64(14), np.int64(15), np.int64(-1)  # names of the parts of a split
_GRADES = 5.0  # vigour grades over the whole of the reserves


@compiled
def survives(tree: Any, par: Any, luck: Any, work: Any) -> Any:
    """Whether the tree lives through work; `work` is (half, operation, excess, off season)."""
    half, operation, excess, off = work
    pools = tree[3]
    lift = par[at.P_ALIVE] - par[at.P_EXCESS] * max(0.0, excess) - par[at.P_SEASON] * off
    if excess <= -(par[at.P_GENTLE_SHARE] - _EVEN) * par[at.P_FRACTION] and off == 0.0:
        lift += par[at.P_GENTLE]
    if pools[at.RESERVE] <= par[at.P_WEAK_RESERVE]:
        lift -= par[at.P_WEAK]
    lift -= pools[at.COST_LIFE]
    lives = uniform(draw_key(luck, half, _SURVIVE), np.uint64(operation)) < logistic(lift)
    if not lives:
        pools[at.ALIVE] = 0.0
    return lives


@compiled
def leaf_total(tree: Any) -> Any:
    """Leaf area of the whole tree."""
    real, count = tree[0], tree[4]
    total = 0.0
    for row in range(count[0]):
        total += real[at.LEAF, row]
    return total


@compiled
def cut_off(tree: Any, par: Any, row: Any) -> Any:
    """Remove a segment and all above it; the wound stays on its parent. How many segments went."""
    real, whole, _ids, pools, _count = tree
    if row <= 0:
        return 0
    before = leaf_total(tree)
    parent = whole[at.PARENT, row]
    width = math.sqrt(real[at.WOOD, row] * (4.0 / math.pi))
    if width > par[at.P_SCAR]:
        wound(tree, np.int64(parent), width)
    whole[at.MARK, row] = 1
    removed = remove_marked(tree)
    lost = 1.0 - leaf_total(tree) / before if before > 0.0 else 0.0
    pools[at.REMOVED] = min(1.0, pools[at.REMOVED] + lost)
    pools[at.TOP_CUT] = min(1.0, pools[at.TOP_CUT] + lost)
    return removed


@compiled
def trunk_row(tree: Any, height_mm: Any) -> Any:
    """The trunk's segment that holds a height, else its highest one; the trunk follows the thickest wood."""
    real = tree[0]
    row: Any = np.int64(0)
    best: Any = np.int64(0)
    while best >= 0 and real[at.END_Z, row] < height_mm:
        best = continuation(tree, row)
        if best >= 0:
            row = best
    return row


@compiled
def split_segment(tree: Any, row: Any, share: Any) -> Any:
    """Part a segment in two at a share of its length; the upper part's row, or -1 where no room is left."""
    real, whole, ids, _pools, count = tree
    n = count[0]
    if n >= whole.shape[1] or not 1.0 - _SEAM < share < _SEAM:
        return -1
    for below in range(n - 1, row, -1):
        copy_row(tree, below, tree, below + 1)
    for child in range(row + 2, n + 1):
        if whole[at.PARENT, child] >= row:
            whole[at.PARENT, child] += 1
    copy_row(tree, row, tree, row + 1)
    whole[at.PARENT, row + 1] = row
    ids[row + 1] = child_id(ids[row], _UPPER, _NO_YEAR)
    ids[row] = child_id(ids[row], _LOWER, _NO_YEAR)
    length = real[at.LENGTH, row]
    real[at.LENGTH, row] = length * share
    real[at.LENGTH, row + 1] = length * (1.0 - share)
    real[at.LEAF, row] = 0.0
    real[at.WOUND, row + 1], real[at.WIRE_ANGLE, row + 1] = 0.0, 0.0
    whole[at.BUDS, row] = 0
    count[0] = n + 1
    place_ends(tree)
    count_children(tree)
    return row + 1


@compiled
def split_trunk(tree: Any, height_mm: Any) -> Any:
    """The trunk's segment that starts at a height, made by parting one if needed; never the root itself."""
    real = tree[0]
    row = trunk_row(tree, height_mm)
    start = real[at.END_Z, row] - real[at.LENGTH, row] * real[at.DIR_Z, row]
    rise = real[at.END_Z, row] - start
    share = (height_mm - start) / rise if rise > 0.0 else 0.0
    if share >= _SEAM:  # so near the upper end that the cut is the next segment's foot
        above = continuation(tree, row)
        return above if above > 0 else row
    new = split_segment(tree, row, share)
    return new if new > 0 else row


@compiled
def mark_cut(tree: Any, par: Any, row: Any, cut: Any) -> None:
    """What the season of a cut and its stub take from its closing; `cut` is (half, width, stub in mm)."""
    half, width, stub = cut
    real = tree[0]
    if width > par[at.P_SCAR] and real[at.WOUND, row] <= np.float32(width):
        season = par[at.P_SEASON_SUMMER] if half == 1 else 1.0
        real[at.WOUND_LOSS, row] = 1.0 - season * max(0.0, 1.0 - par[at.P_STUB] * stub)


@compiled
def take_off(tree: Any, par: Any, half: Any, row: Any, stub: Any) -> Any:
    """Cut a segment off with all above it in a half-year, leaving a stub; how many segments went."""
    if row <= 0:
        return 0
    parent = np.int64(tree[1][at.PARENT, row])
    width = math.sqrt(tree[0][at.WOOD, row] * (4.0 / math.pi))
    removed = cut_off(tree, par, row)
    mark_cut(tree, par, parent, (half, width, stub))
    return removed


@compiled
def free_leader(pools: Any, par: Any, height_mm: Any) -> None:
    """From now on all that grows above a height is left to run, for some seasons."""
    pools[at.FREE_YEARS], pools[at.FREE_MM] = par[at.P_FREE_YEARS], height_mm


@compiled
def chop(tree: Any, par: Any, luck: Any, half: Any, height_mm: Any) -> None:
    """Cut the trunk through at a height."""
    row = split_trunk(tree, height_mm)
    if row > 0:
        below = tree[1][at.PARENT, row]  # below the cut, so that it keeps its row
        take_off(tree, par, half, row, 0.0)
        tree[1][at.BUDS, below] += 1
        free_leader(tree[3], par, height_mm)
    survives(tree, par, luck, (half, np.int64(do.CHOP), 0.0, 0.0))


@compiled
def repot(tree: Any, par: Any, luck: Any, half: Any, work: Any) -> None:
    """Take a share of the roots; `work` is (share, litres or 0, operation, openness of the mix or 0)."""
    share, litres, operation, openness = work
    pools = tree[3]
    open_mix = 2.0 * openness - 1.0 if openness > 0.0 else 0.0  # half-way is the usual mix
    pools[at.ROOT] = max(0.02, pools[at.ROOT] * (1.0 - share))
    pools[at.ROOT_CUT] = max(pools[at.ROOT_CUT], share)
    pools[at.SINCE_REPOT] = -par[at.P_MIX_YEARS] * open_mix
    if litres > 0.0:
        move_to(tree, par, litres)
    pools[at.COST_LIFE] -= par[at.P_MIX_LIFE] * open_mix
    survives(tree, par, luck, (half, operation, share - par[at.P_FRACTION], 1.0 if half == 1 else 0.0))


@compiled
def lift(tree: Any, par: Any, luck: Any, half: Any, work: Any) -> None:
    """From the ground into a pot, or back into it; `work` is (share of roots lost, litres or 0, mix)."""
    share, litres, openness = work
    pools = tree[3]
    if litres <= 0.0 and math.isinf(pools[at.LITRES]):
        # Roots in the ground come back by the trunk's size: the ball is narrow against the roots it had.
        across_mm = math.sqrt(tree[0][at.WOOD, base_row(tree)] * (4.0 / math.pi))
        kept = min(max(pools[at.ROOT] * (1.0 - share), 0.02), _WHOLE - 0.05)
        steps = math.log(_WHOLE / (1.0 - _WHOLE)) - math.log(kept / (1.0 - kept))
        pools[at.ROOT_YEARS] = max(par[at.P_LIFT_YEARS] * across_mm / steps, _LEAST_YEARS)
    repot(tree, par, luck, half, (share, litres, np.int64(do.LIFT), openness))


@compiled
def root_prune(tree: Any, par: Any, luck: Any, half: Any, share: Any) -> None:
    """Cut roots round a tree in the ground: a share is lost now, what comes back branches near the trunk."""
    pools = tree[3]
    if not math.isinf(pools[at.LITRES]):
        return
    pools[at.ROOT] = max(0.02, pools[at.ROOT] * (1.0 - share))
    pools[at.ROOT_CUT] = max(pools[at.ROOT_CUT], share)
    pools[at.NEAR_YEARS] = max(pools[at.NEAR_YEARS], _BEGUN_YEARS)
    off = 1.0 if half == 1 else 0.0
    survives(tree, par, luck, (half, np.int64(do.ROOT_PRUNE), share - par[at.P_FRACTION], off))


@compiled
def lifted_share(pools: Any, par: Any) -> Any:
    """Share of the roots that a lift loses: less the longer cut roots have branched near the trunk."""
    seasons = min(1.0, math.floor(pools[at.NEAR_YEARS]) / par[at.P_NEAR_YEARS])
    kept = (1.0 - par[at.P_LIFT_SHARE]) * (1.0 + (par[at.P_NEAR_MOST] - 1.0) * seasons)
    return 1.0 - min(kept, _WHOLE)


@compiled
def move_to(tree: Any, par: Any, litres: Any) -> None:
    """Into another volume, infinite in the ground: the roots fill less of a larger one."""
    pools = tree[3]
    old = pools[at.LITRES]
    pools[at.LITRES] = litres
    pools[at.ROOT_YEARS] = pools[at.NEAR_YEARS] = 0.0
    if not math.isinf(old):
        room = max(par[at.P_REFERENCE_L], old) if math.isinf(litres) else litres
        pools[at.ROOT] = max(0.02, min(1.0, pools[at.ROOT] * old / room))


@compiled
def root_rescue(tree: Any, par: Any, luck: Any, half: Any, work: Any) -> None:
    """Take dead roots and sour soil, no healthy root; `work` is (litres or 0, openness of the mix)."""
    litres, openness = work
    pools = tree[3]
    repot(tree, par, luck, half, (0.0, litres, np.int64(do.ROOT_RESCUE), openness))
    pools[at.RESERVE] = min(1.0, pools[at.RESERVE] + par[at.P_RESCUE_GAIN])


@compiled
def odds_shift(tree: Any, par: Any) -> Any:
    """What vigour and this season's other works add to the odds of roots and unions, on the logit."""
    pools = tree[3]
    grade = _GRADES * pools[at.RESERVE] - 4.0  # vigour 4 adds nothing
    return par[at.P_GRADE] * min(1.0, max(-3.0, grade)) - pools[at.COST_ODDS]
