"""Care of a tree in training, compiled: cut back, pinched, leaf cut, fed, guyed.

The yearly cut back holds outline and tips. Leaf cuts, feed and ties are told to the year's growth through
pools, as shares of the year; growth takes them from there and forgets them at the end of the season.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.float_kernels import angle
from ringwise.growth.tree_kernels import (
    continuation,
    draw_key,
    remove_marked,
    uniform,
    wound,
)
from ringwise.kit.kernels import compiled_in_place as compiled
from ringwise.kit.kernels import compiled_inside
from ringwise.operations.effects import free_leader, leaf_total, split_trunk, take_off

_CUT, _COLLAR = np.int64(6), np.int64(12)  # purposes of draws: a twig that goes; a bud on old wood
_HALF_CARE = np.int64(3)  # the half-year number of draws for care, after spring 0 and summer 1


@compiled_inside
def outline_share(tree: Any, par: Any, row: Any, aim: Any, outline: Any) -> Any:
    """Where a segment ends against the outline that is held: 1 on it, more outside."""
    real, whole = tree[0], tree[1]
    height_mm, reach_mm, part = aim
    x, y, z = real[at.END_X, row], real[at.END_Y, row], real[at.END_Z, row]
    layers, sides = outline.shape
    layer = min(max(np.int64(z / height_mm * layers), np.int64(0)), layers - 1)
    side = np.int64(math.floor(angle(x, y) / (2.0 * math.pi) * sides))
    side += sides if side < 0 else 0  # of a full turn, half lies on either side of the start
    across = math.sqrt(x * x + y * y)
    dome = 1.0 + par[at.P_HELD_DOME] * (across / reach_mm) ** 2
    # A grafted branch fills a gap of the outline: there the reach of the whole crown counts.
    side_mm = reach_mm if whole[at.FLAGS, row] & at.GRAFT_AXIS else part * outline[layer, side]
    return max(z / height_mm * dome, across / max(side_mm, 1.0))


@compiled_inside
def astray(tree: Any, par: Any, row: Any, aim: Any) -> Any:
    """Whether wood grown since the start hangs down, or turns back to the middle of the crown."""
    real, whole = tree[0], tree[1]
    if whole[at.BORN, row] < 0 or whole[at.FLAGS, row] & at.TRUNK:
        return False
    height_mm, reach_mm, _part = aim
    if real[at.DIR_Z, row] < par[at.P_HANGS]:
        return True
    x, y = real[at.END_X, row], real[at.END_Y, row]
    high = max(real[at.END_Z, row] - par[at.P_INWARD_FROM] * height_mm, 0.0)
    away = real[at.DIR_X, row] * x + real[at.DIR_Y, row] * y + real[at.DIR_Z, row] * high
    return away < 0.0 and x * x + y * y + high * high > (par[at.P_INWARD_NEAR] * reach_mm) ** 2


@compiled
def _run_lengths(tree: Any, year: Any) -> Any:
    """Units of this year's shoot below and with each segment, into `ABOVE`; those since a fork or a bend,
    into `DEMAND`; how many tips there are."""
    real, whole, _ids, _pools, count = tree
    ups, runs, born, orders = real[at.ABOVE], real[at.DEMAND], whole[at.BORN], whole[at.ORDER]
    parents, children = whole[at.PARENT], whole[at.CHILDREN]
    tips = np.int64(children[0] == 0)
    ups[0], runs[0] = (1.0 if born[0] == year else 0.0), 0.0
    for row in range(1, count[0]):
        parent = np.uint32(parents[row])
        up = 0.0
        if born[row] == year:
            up = ups[parent] + 1.0 if born[parent] == year else 1.0
        alone = born[row] >= 0 and children[parent] == 1 and orders[row] == orders[parent]
        ups[row], runs[row] = up, (runs[parent] + 1.0 if alone else 0.0)
        tips += children[row] == 0
    return tips


@compiled_inside
def _outgrown(tree: Any, par: Any, year: Any, row: Any, held: Any) -> Any:
    """Whether a segment is one of too many units, hangs or turns back, or stands outside the outline.

    `held` is (aim, outline, units that a full crown keeps less). Where it stands costs most to tell, so it is
    asked last.
    """
    real = tree[0]
    aim, outline, less = held
    up, inner, outer = real[at.ABOVE, row], par[at.P_KEEP_INNER] - less, par[at.P_KEEP_OUTER] - less
    if up > max(inner, outer) or real[at.DEMAND, row] > par[at.P_LEGGY] or astray(tree, par, row, aim):
        return True
    where = outline_share(tree, par, row, aim, outline)
    outside = where > 1.0 and not first_unit(tree, year, row, aim)
    return outside or up > (inner if where < par[at.P_HELD_INNER] else outer)


@compiled
def cut_back(tree: Any, par: Any, luck: Any, outline: Any) -> Any:
    """Mark what goes: shoots beyond a few units or the outline, the weakest tips; how many marks."""
    real, whole, ids, pools, count = tree
    tips = _run_lengths(tree, luck[2])
    part = 1.0 - pools[at.AIM_LESS]
    wanted = max(par[at.P_TIPS] * math.sqrt(pools[at.LITRES]), par[at.P_AIM_TIPS] * part**2)
    excess = max(0.0, 1.0 - wanted / tips)
    less = par[at.P_FULL_LESS] if excess > 0.0 else 0.0
    aim = (aim_height(pools, par), max(0.5 * par[at.P_AIM_SPREAD] * part, 1.0), part)
    key, collar = draw_key(luck, _HALF_CARE, _CUT), draw_key(luck, _HALF_CARE, _COLLAR)
    marked = 0
    for row in range(1, count[0]):
        if spared(tree, par, luck[2], row, aim):
            continue
        goes = _outgrown(tree, par, luck[2], row, (aim, outline, less))
        forked = whole[at.CHILDREN, whole[at.PARENT, row]] > 1
        if not goes and forked and whole[at.CHILDREN, row] <= 1 and excess > 0.0:
            # The top is thinned hardest, so that light falls on the lower branches.
            high = min(1.0, real[at.END_Z, row] / aim[0])
            old = 1.0 if whole[at.BORN, row] == luck[2] else par[at.P_THIN_OLD]
            low = par[at.P_THIN_LOW]
            goes = uniform(key, ids[row]) < excess * old * (low + (1.0 - low) * high)
        if goes:
            whole[at.MARK, row] = 1
            marked += 1
            leave_collar(tree, par, row, collar)
    return marked


@compiled_inside
def spared(tree: Any, par: Any, year: Any, row: Any, aim: Any) -> Any:
    """Whether care leaves a segment alone: thick old wood, a leader that runs free, the joint of a graft."""
    real, whole, pools = tree[0], tree[1], tree[3]
    thick = real[at.WOOD, row] > par[at.P_HELD_TWIG] and whole[at.BORN, row] < year
    free = pools[at.FREE_YEARS] > 0.0 and runs_free(tree, par, row, aim)
    return thick or free or whole[at.FLAGS, row] & at.JOINED != 0


@compiled_inside
def first_unit(tree: Any, year: Any, row: Any, aim: Any) -> Any:
    """Whether a segment is the first unit of a shoot of this year: it stays for a year even out to the side.

    What feeds a twig at the outline is borne by it alone; once it is old wood it goes, and the twig behind
    it shoots anew. Nothing rises above the height that is held.
    """
    real = tree[0]
    new = tree[1][at.BORN, row] == year and real[at.ABOVE, row] <= 1.0
    return new and real[at.END_Z, row] <= aim[0]


@compiled_inside
def runs_free(tree: Any, par: Any, row: Any, aim: Any) -> Any:
    """Whether a shoot belongs to a leader that is left to run: above the chop, and not out to the side."""
    real, pools = tree[0], tree[3]
    across = real[at.END_X, row] ** 2 + real[at.END_Y, row] ** 2
    return pools[at.FREE_MM] < real[at.END_Z, row] <= par[at.P_FREE_TO] * aim[0] and across <= aim[1] ** 2


@compiled_inside
def leave_collar(tree: Any, par: Any, row: Any, key: Any) -> None:
    """A shoot or thin twig that is taken off at its base leaves a bud in its collar, mostly."""
    whole, ids = tree[1], tree[2]
    parent = whole[at.PARENT, row]
    at_base = whole[at.BORN, parent] < whole[at.BORN, row]
    if at_base and uniform(key, ids[row]) < par[at.P_COLLAR]:
        whole[at.BUDS, parent] += 1


@compiled
def aim_height(pools: Any, par: Any) -> Any:
    """The height a tree is held at: a layered top's in proportion to its own trunk."""
    return par[at.P_AIM_HEIGHT] * (1.0 - pools[at.AIM_LESS])


@compiled
def pinch(tree: Any, par: Any, share: Any) -> None:
    """Take soft tips: units of the flush to come are shorter, and each axis loses a little of its control."""
    real, pools = tree[0], tree[3]
    pools[at.PINCHED] = max(pools[at.PINCHED], share)
    for row in range(tree[4][0]):
        less = real[at.CONTROL, row] - par[at.P_PINCH_CONTROL] * share
        real[at.CONTROL, row] = max(par[at.P_CONTROL_LEAST], less)


@compiled
def take_leaf(tree: Any, share: Any) -> None:
    """Take a share of the leaves; two cuts of one year add up."""
    pools = tree[3]
    pools[at.DEFOLIATED] = 1.0 - (1.0 - pools[at.DEFOLIATED]) * (1.0 - share)


@compiled
def feed(tree: Any, par: Any, factor: Any) -> None:
    """Feed for a season; `factor` multiplies the budget, 0 is the usual. None to the weak or freshly cut."""
    pools = tree[3]
    if pools[at.RESERVE] <= par[at.P_WEAK_RESERVE] or pools[at.ROOT_CUT] > 0.0:
        return
    added = factor - 1.0 if factor > 0.0 else par[at.P_FEED]
    pools[at.FED] = min(par[at.P_FEED_MOST], max(par[at.P_FEED_LEAST], added))


@compiled
def guy(tree: Any, years: Any) -> None:
    """Tie the trunk so that it cannot move, for so many seasons; 0 lets it go."""
    pools = tree[3]
    pools[at.GUY_YEARS] = years
    pools[at.GUYED] = 1.0 if years > 0.0 else 0.0


@compiled
def keep_guyed(pools: Any) -> None:
    """At the start of a year: a tie that is still on holds for it, one whose time is over is taken off."""
    pools[at.GUYED] = 1.0 if pools[at.GUY_YEARS] > 0.0 else 0.0
    pools[at.GUY_YEARS] = max(0.0, pools[at.GUY_YEARS] - 1.0)


@compiled
def height_of(tree: Any) -> Any:
    """The highest end of all wood."""
    top = np.float32(0.0)
    for row in range(tree[4][0]):
        top = max(top, tree[0][at.END_Z, row])
    return top


@compiled
def cut_top(tree: Any, par: Any) -> Any:
    """Cut a leader back that outgrew the height aimed at, unless it still runs free; how many went.

    In the ground the new one then runs free for some seasons, as after a chop.
    """
    pools = tree[3]
    ground = math.isinf(pools[at.LITRES])
    most = par[at.P_TALL_FIELD] if ground else par[at.P_TALL_POT]
    high = aim_height(pools, par)
    to_mm = par[at.P_HEAD_TO] * high
    if pools[at.FREE_YEARS] > 0.0 or height_of(tree) <= most * high:
        return 0
    row = split_trunk(tree, to_mm)
    if row <= 0:
        return 0
    below = tree[1][at.PARENT, row]  # below the cut, so that it keeps its row
    removed = take_off(tree, par, np.int64(0), row, 0.0)
    tree[1][at.BUDS, below] += 1
    if ground:
        free_leader(pools, par, to_mm)
        return removed
    return removed + head_limbs(tree, par)


@compiled
def head_limbs(tree: Any, par: Any) -> Any:
    """Cut every limb that rises above the height aimed at, however thick; how many segments went."""
    real, whole, _ids, pools, count = tree
    high, before = aim_height(pools, par), 0.0
    for row in range(1, count[0]):
        parent, width = whole[at.PARENT, row], math.sqrt(real[at.WOOD, row] * (4.0 / math.pi))
        before += real[at.LEAF, row]
        if real[at.END_Z, row] > high >= real[at.END_Z, parent]:
            whole[at.MARK, row] = 1
            if width > par[at.P_SCAR]:
                wound(tree, np.int64(parent), width)
    removed = remove_marked(tree)
    lost = 1.0 - leaf_total(tree) / before if before > 0.0 else 0.0
    pools[at.REMOVED] = min(1.0, pools[at.REMOVED] + max(lost, 0.0))
    return removed


@compiled
def end_free(tree: Any, par: Any) -> None:
    """A leader runs free a year less; once it no longer does, the stub that stands above it is cut off."""
    pools = tree[3]
    before = pools[at.FREE_YEARS]
    pools[at.FREE_YEARS] = max(0.0, before - 1.0)
    if 0.0 < before <= 1.0:
        trim_stub(tree, par)


@compiled
def trim_stub(tree: Any, par: Any) -> Any:
    """Cut what a chop left above its new leader, where that rises below the cut; how many went."""
    real, whole, _ids, pools, count = tree
    row, stub, thickest = np.int64(0), np.int64(-1), np.float32(0.0)
    while real[at.END_Z, row] < pools[at.FREE_MM] - 1.0:
        above = continuation(tree, row)
        if above < 0:
            return 0
        near = real[at.END_Z, row] >= par[at.P_NEAR_CUT] * pools[at.FREE_MM]
        for child in range(row + 1, count[0]):
            side = whole[at.PARENT, child] == row and child != above
            if side and near and real[at.WOOD, child] > thickest:
                stub, thickest = np.int64(above), real[at.WOOD, child]
        row = np.int64(above)
    end = continuation(tree, row)
    if stub < 0 or (end >= 0 and real[at.WOOD, end] >= thickest):
        return 0
    return take_off(tree, par, np.int64(1), stub, 0.0)
