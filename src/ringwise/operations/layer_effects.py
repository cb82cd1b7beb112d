"""Layers and splits, compiled: one tree becomes two, and both are kept.

A layer's height is the upper edge of its ring, the new base; the stump ends at the lower edge, and the
wood of the ring is lost from both.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.tree_kernels import (
    base_row,
    copy_row,
    count_children,
    draw_key,
    normal,
    place_ends,
    remove_marked,
    uniform,
    wound,
)
from ringwise.kit.kernels import compiled_in_place as compiled
from ringwise.operations import effect_codes as do
from ringwise.operations.conflict_effects import settle_layer, shifted
from ringwise.operations.effects import (
    free_leader,
    leaf_total,
    mark_cut,
    move_to,
    odds_shift,
    split_trunk,
    survives,
    trunk_row,
)

_SURVIVE, _ROOTING = np.int64(7), np.int64(8)  # purposes of draws, as in kit.chance
_SECOND = 1000  # draws of the second tree of a split lie apart from those of the first


@compiled
def ring_width_mm(par: Any, diameter_mm: Any) -> Any:
    """Usual width of the ring on a stem: wider against thin stems, never above the most."""
    ratio = par[at.P_RING_THIN] if diameter_mm <= par[at.P_RING_LIMIT] else par[at.P_RING_THICK]
    return min(par[at.P_RING_MOST], ratio * diameter_mm)


@compiled
def cut_ring(tree: Any, par: Any, height_mm: Any) -> Any:
    """Mark the ring whose upper edge is at a height; the first segment above it."""
    real, whole, _ids, pools, _count = tree
    held = trunk_row(tree, height_mm)
    diameter = math.sqrt(real[at.WOOD, held] * (4.0 / math.pi))
    pools[at.RING_MM] = ring_width_mm(par, diameter)
    foot = height_mm - pools[at.RING_MM]
    low = split_trunk(tree, foot) if foot > 0.0 else np.int64(0)
    row = split_trunk(tree, height_mm)
    if row > 0:
        whole[at.FLAGS, row] |= at.LAYERED
        below = np.int64(whole[at.PARENT, row])
        while below >= low and below >= 0:
            whole[at.FLAGS, below] |= at.RINGED
            below = np.int64(whole[at.PARENT, below])
    return row


@compiled
def ring_row(tree: Any) -> Any:
    """The first segment above a ring that is on the tree, -1 without one."""
    for row in range(tree[4][0]):
        if tree[1][at.FLAGS, row] & at.LAYERED:
            return row
    return -1


@compiled
def set_layer(tree: Any, par: Any, luck: Any, half: Any, height_mm: Any) -> None:
    """Ring the trunk at a height; luck decides now whether and when roots will come."""
    real, _whole, _ids, pools, _count = tree
    if pools[at.LAYER_STATE] == at.SEPARATED or pools[at.LAYER_STATE] == at.ROOTED:
        return
    row = ring_row(tree)
    if row < 0:
        row = cut_ring(tree, par, height_mm)
    if row <= 0:
        return
    pools[at.LAYER_STATE] = at.SET
    pools[at.LAYER_SET], pools[at.LAYER_YEARS] = 1.0, 0.0
    thick = math.sqrt(real[at.WOOD, row] * (4.0 / math.pi)) > par[at.P_THICK_MM]
    shift = (par[at.P_THICK] if thick else 0.0) + odds_shift(tree, par)
    key = draw_key(luck, half, _ROOTING)
    pools[at.LAYER_DRAW] = uniform(key, np.uint64(0))
    pools[at.LAYER_CHANCE] = shifted(par[at.P_LAYER], shift)
    weeks = par[at.P_ROOT_WEEKS] * math.exp(par[at.P_ROOT_SD] * normal(key, np.uint64(1)))
    pools[at.LAYER_WEEKS] = weeks * (1.0 + pools[at.COST_SLOW])
    settle_layer(pools, par)
    if pools[at.COST_LIFE] > 0.0:
        survives(tree, par, luck, (half, np.int64(do.GROUND_LAYER), 0.0, 0.0))


@compiled
def part(tree: Any, second: Any) -> Any:
    """Split a layered tree: the part above the ring stays in `tree`, the rest goes to `second`; its rows."""
    _real, whole, _ids, _pools, count = tree
    ring: Any = np.int64(-1)
    for row in range(count[0]):
        if whole[at.FLAGS, row] & at.LAYERED:
            ring = row
    if ring <= 0:
        return 0
    for row in range(count[0]):
        whole[at.MARK, row] = 0
    above: Any = np.int64(0)
    below: Any = np.int64(0)
    for row in range(count[0]):
        parent = whole[at.PARENT, row]
        top = row == ring or (parent >= 0 and whole[at.MARK, parent] > 0)
        if top:
            above += 1
        else:
            copy_row(tree, row, second, below)
            if parent >= 0:
                second[1][at.PARENT, below] = -whole[at.MARK, parent] - 1
            if whole[at.PARENT, ring] == row:
                second[1][at.FLAGS, below] |= at.CUT_END
            below += 1
        whole[at.MARK, row] = above if top else -below
    _close_up(tree, second, ring, (above, below))
    return below


@compiled
def _close_up(tree: Any, second: Any, ring: Any, sizes: Any) -> None:
    _real, whole, _ids, _pools, count = tree
    place = 0
    for row in range(count[0]):
        if whole[at.MARK, row] > 0:
            parent = whole[at.PARENT, row]
            whole[at.PARENT, row] = -1 if row == ring else whole[at.MARK, parent] - 1
    for row in range(count[0]):
        if whole[at.MARK, row] > 0:
            copy_row(tree, row, tree, place)
            place += 1
    count[0], second[4][0] = sizes[0], sizes[1]
    whole[at.FLAGS, 0] &= ~at.LAYERED
    for each in (tree, second):
        for row in range(each[4][0]):
            each[1][at.MARK, row] = 0
        count_children(each)
        place_ends(each)


@compiled
def lose_ring(stump: Any) -> Any:
    """Drop the wood of the ring from the stump; how many segments went. A ring at the soil takes it all."""
    whole, count = stump[1], stump[4]
    if count[0] > 0 and whole[at.FLAGS, 0] & at.RINGED:
        gone = count[0]
        count[0] = 0
        return gone
    for row in range(count[0]):
        whole[at.MARK, row] = 1 if whole[at.FLAGS, row] & at.RINGED else 0
    return remove_marked(stump)


@compiled
def begin_second(tree: Any, second: Any) -> None:
    """The pools of a second tree, as those of the first when they part."""
    for pool in range(at.POOLS):
        second[3][pool] = tree[3][pool]
    second[3][at.HOURS] = 0.0


@compiled
def can_live(tree: Any) -> Any:
    """Whether a stump has a bud or leaf to go on from."""
    live = False
    for row in range(tree[4][0]):
        live = live or tree[1][at.BUDS, row] > 0 or tree[0][at.LEAF, row] > 0.0
    return live


@compiled
def separate(tree: Any, second: Any, par: Any, luck: Any, half: Any) -> None:
    """Cut a layer from its roots: two trees, the top on new roots, the stump on its old ones."""
    pools = tree[3]
    rooted = pools[at.LAYER_STATE] == at.ROOTED
    pools[at.WORKED] = 1.0
    ring = ring_row(tree)
    if ring <= 0 or pools[at.SECOND] > 0.0:
        return
    below = np.int64(tree[1][at.PARENT, ring])
    base_mm = np.float64(tree[0][at.END_Z, below])
    while below >= 0 and tree[1][at.FLAGS, below] & at.RINGED:
        below = np.int64(tree[1][at.PARENT, below])
    begin_second(tree, second)
    own_ratio = math.sqrt(tree[0][at.WOOD, ring] / max(tree[0][at.WOOD, base_row(tree)], 1e-6))
    if part(tree, second) == 0:
        return
    hold_smaller(tree, par, own_ratio)
    part_heights(pools, second[3], base_mm)
    lose_ring(second)
    second[3][at.LAYER_STATE] = at.SEPARATED
    second[3][at.REMOVED] = 1.0
    if below >= 0:
        cut_mm = math.sqrt(second[0][at.WOOD, below] * (4.0 / math.pi))
        wound(second, below, cut_mm)
        mark_cut(second, par, below, (half, cut_mm, 0.0))
        free_leader(second[3], par, np.float64(second[0][at.END_Z, below]))
    second[3][at.LEAF_FLUSH] = leaf_total(second)
    second[3][at.ALIVE] = 1.0 if can_live(second) else 0.0
    pools[at.SECOND] = second[3][at.ALIVE]
    _new_base(pools, par, luck, half)
    shift = (0.0 if rooted else par[at.P_UNROOTED]) - pools[at.COST_LIFE]
    if pools[at.RESERVE] <= par[at.P_WEAK_RESERVE]:
        shift -= par[at.P_WEAK]
    chance = shifted(par[at.P_SEVERED], shift)
    if uniform(draw_key(luck, half, _SURVIVE), np.uint64(do.SEPARATE)) >= chance:
        pools[at.ALIVE] = 0.0


@compiled
def part_heights(pools: Any, stump: Any, base_mm: Any) -> None:
    """Heights of a top are told from its own new base; a graft goes with the half that it stands on."""
    pools[at.FREE_MM] = max(0.0, pools[at.FREE_MM] - base_mm)
    if pools[at.GRAFT_HEIGHT] >= base_mm:
        pools[at.GRAFT_HEIGHT] -= base_mm
        stump[at.GRAFT_STATE] = at.NONE
    elif at.PRESSED <= pools[at.GRAFT_STATE] <= at.ESTABLISHED:
        pools[at.GRAFT_STATE] = at.NONE


@compiled
def hold_smaller(tree: Any, par: Any, trunk_ratio: Any) -> None:
    """A layered top is held in proportion to its own trunk, though not below what it stands at."""
    pools, top = tree[3], 0.0
    for row in range(tree[4][0]):
        top = max(top, tree[0][at.END_Z, row])
    if par[at.P_AIM_HEIGHT] > 0.0:
        kept = min(1.0, max(trunk_ratio, top / par[at.P_AIM_HEIGHT]))
        pools[at.AIM_LESS] = 1.0 - (1.0 - pools[at.AIM_LESS]) * kept


@compiled
def _new_base(pools: Any, par: Any, luck: Any, half: Any) -> None:
    key = draw_key(luck, half, _ROOTING)
    bits = 0
    for sector in range(12):
        if uniform(key, np.uint64(100 + sector)) < par[at.P_SECTOR]:
            bits |= 1 << sector
    pools[at.SECTORS] = bits
    pools[at.LAYER_STATE] = at.SEPARATED
    pools[at.ROOT] = par[at.P_LAYER_ROOTS]
    pools[at.SINCE_REPOT] = pools[at.ROOT_YEARS] = pools[at.NEAR_YEARS] = 0.0


@compiled
def second_stem(tree: Any, par: Any) -> Any:
    """The thickest other stem that starts at the foot of a clump, -1 where there is one stem only."""
    real, whole, _ids, _pools, count = tree
    top = 0.0
    for row in range(count[0]):
        top = max(top, real[at.END_Z, row])
    best: Any = np.int64(-1)
    for row in range(1, count[0]):
        parent = whole[at.PARENT, row]
        low = real[at.END_Z, parent] <= par[at.P_CLUMP_FOOT] * top
        stem = low and whole[at.ORDER, row] == 1 and whole[at.ORDER, parent] == 0
        if stem and (best < 0 or real[at.WOOD, row] > real[at.WOOD, best]):
            best = np.int64(row)
    return best


@compiled
def move_subtree(tree: Any, second: Any, first: Any) -> Any:
    """Move a segment with all above it to `second`, where it becomes the root; how many segments went."""
    whole, count = tree[1], tree[4]
    moved = 0
    for row in range(count[0]):
        whole[at.MARK, row] = 0
    for row in range(first, count[0]):
        parent = whole[at.PARENT, row]
        if row == first or whole[at.MARK, parent] > 0:
            copy_row(tree, row, second, moved)
            second[1][at.PARENT, moved] = -1 if row == first else whole[at.MARK, parent] - 1
            moved += 1
            whole[at.MARK, row] = moved
    second[4][0] = moved
    lowest = second[1][at.ORDER, 0]
    for row in range(moved):
        second[1][at.ORDER, row] -= lowest
        second[1][at.MARK, row] = 0
    remove_marked(tree)
    count_children(second)
    place_ends(second)
    return moved


@compiled
def split_clump(tree: Any, second: Any, par: Any, luck: Any, half: Any, litres: Any) -> Any:
    """Part a clump: the second stem with its share of the roots becomes a tree; how many segments went."""
    real, pools = tree[0], tree[3]
    row = second_stem(tree, par)
    if row <= 0 or pools[at.SECOND] > 0.0:
        return 0
    part_area, whole_area = real[at.WOOD, row], real[at.WOOD, tree[1][at.PARENT, row]]
    share = min(0.5, part_area / max(whole_area, part_area))
    begin_second(tree, second)
    moved = move_subtree(tree, second, row)
    scar = math.sqrt(part_area * (4.0 / math.pi))
    wound(tree, np.int64(0), scar)
    wound(second, np.int64(0), scar)
    off = 1.0 if half == 1 else 0.0
    for number in range(2):
        each = tree if number == 0 else second
        own = each[3]
        kept = (share if number == 1 else 1.0 - share) * (1.0 - par[at.P_SPLIT_LOSS])
        own[at.ROOT] = max(0.02, own[at.ROOT] * kept)
        own[at.ROOT_CUT], own[at.SINCE_REPOT] = 1.0 - kept, 0.0
        own[at.LEAF_FLUSH] = leaf_total(each)
        excess = par[at.P_SPLIT_LOSS] - par[at.P_FRACTION]
        survives(each, par, luck, (half, np.int64(do.SPLIT_CLUMP + number * _SECOND), excess, off))
    if litres > 0.0:
        move_to(second, par, litres)
    pools[at.SECOND] = second[3][at.ALIVE]
    return moved


@compiled
def pass_layer(tree: Any) -> None:
    """A summer of a ring: roots come, or wait for the next one."""
    pools = tree[3]
    if pools[at.LAYER_STATE] == at.SET:
        pools[at.LAYER_YEARS] += 1.0
        if pools[at.LAYER_PENDING] == 1.0:
            pools[at.LAYER_STATE] = at.ROOTED
        elif pools[at.LAYER_PENDING] == 2.0:
            pools[at.LAYER_PENDING] = 1.0
