"""What a hand does to a growing tree, compiled: cuts, roots, layers, grafts, and what luck makes of them.

Each effect changes the arrays of one tree (see `growth.layout`). Every chance is keyed by seed, future,
year, half and what it is for, so that work in one course moves no other luck. Chances of survival are
assumptions of the growth tables and are shown as such.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.tree_kernels import (
    child_id,
    continuation,
    copy_row,
    count_children,
    draw_key,
    logistic,
    normal,
    place_ends,
    remove_marked,
    uniform,
    wound,
)
from ringwise.kit.kernels import compiled
from ringwise.operations import effect_codes as do

_SURVIVE, _ROOTING = np.int64(7), np.int64(8)  # purposes of draws, as in kit.chance
_WEAK_RESERVE = 0.35  # reserves of a tree of vigour 2
_SCAR_MM = 3.0  # narrower cuts close unseen
_SEAM = 0.98  # share of a segment from which on a cut falls on its end
_LAYER_ROOTS = 0.2  # roots of a fresh layer against a full pot
_GENTLE = 0.199  # work that leaves this part of the safe root share untouched is gentle
_LOWER, _UPPER, _NO_YEAR = np.int64(14), np.int64(15), np.int64(-1)  # names of the parts of a split
_GRADES = 5.0  # vigour grades over the whole of the reserves


@compiled
def survives(tree: Any, par: Any, luck: Any, work: Any) -> Any:
    """Whether the tree lives through work; `work` is (half, operation, excess, off season)."""
    half, operation, excess, off = work
    pools = tree[3]
    lift = par[at.P_ALIVE] - par[at.P_EXCESS] * max(0.0, excess) - par[at.P_SEASON] * off
    if excess <= -_GENTLE * par[at.P_FRACTION] and off == 0.0:
        lift += par[at.P_GENTLE]
    if pools[at.RESERVE] <= _WEAK_RESERVE:
        lift -= par[at.P_WEAK]
    if (pools[at.ROOT_CUT] > 0.0) + (pools[at.LAYER_SET] > 0.0) + (pools[at.TOP_CUT] > 0.3) >= 2:
        lift -= par[at.P_CONFLICT]
        pools[at.RESERVE] = max(0.0, pools[at.RESERVE] - par[at.P_CONFLICT_C])
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
def cut_off(tree: Any, row: Any) -> Any:
    """Remove a segment and all above it; the wound stays on its parent. How many segments went."""
    real, whole, _ids, pools, _count = tree
    if row <= 0:
        return 0
    before = leaf_total(tree)
    parent = whole[at.PARENT, row]
    width = math.sqrt(real[at.WOOD, row] * (4.0 / math.pi))
    if width > _SCAR_MM:
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
    real[at.WOUND, row + 1] = 0.0
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
def chop(tree: Any, par: Any, luck: Any, half: Any, height_mm: Any) -> None:
    """Cut the trunk through at a height."""
    row = split_trunk(tree, height_mm)
    if row > 0:
        stub = tree[1][at.PARENT, row]  # below the cut, so that it keeps its row
        cut_off(tree, row)
        tree[1][at.BUDS, stub] += 1
    survives(tree, par, luck, (half, np.int64(do.CHOP), 0.0, 0.0))


@compiled
def repot(tree: Any, par: Any, luck: Any, half: Any, work: Any) -> None:
    """Take a share of the roots; `work` is (share, litres of the new pot or 0, operation)."""
    share, litres, operation = work
    pools = tree[3]
    pools[at.ROOT] = max(0.02, pools[at.ROOT] * (1.0 - share))
    pools[at.ROOT_CUT] = max(pools[at.ROOT_CUT], share)
    pools[at.SINCE_REPOT] = 0.0
    if litres > 0.0:
        old = pools[at.LITRES]
        pools[at.LITRES] = litres
        if not math.isinf(old):
            pools[at.ROOT] = min(1.0, pools[at.ROOT] * old / litres)
    survives(tree, par, luck, (half, operation, share - par[at.P_FRACTION], 1.0 if half == 1 else 0.0))


@compiled
def vigour_shift(tree: Any, par: Any) -> Any:
    """What vigour adds to the odds of roots and unions, on the logit; vigour 4 adds nothing."""
    grade = _GRADES * tree[3][at.RESERVE] - 4.0
    return par[at.P_GRADE] * min(1.0, max(-3.0, grade))


@compiled
def shifted(prob: Any, shift: Any) -> Any:
    """A chance moved on the logit scale."""
    p = min(max(prob, 1e-6), 1.0 - 1e-6)
    return logistic(math.log(p / (1.0 - p)) + shift)


@compiled
def roots_cut_shift(tree: Any, par: Any) -> Any:
    """What root work of the same season takes from rooting and unions."""
    cut = tree[3][at.ROOT_CUT]
    return -par[at.P_CONFLICT_ROOT] * (1.0 if cut >= 0.3 else 0.5 if cut > 0.0 else 0.0)


@compiled
def set_layer(tree: Any, par: Any, luck: Any, half: Any, height_mm: Any) -> None:
    """Ring the trunk at a height; luck decides now whether and when roots will come."""
    real, whole, _ids, pools, _count = tree
    if pools[at.LAYER_STATE] == at.SEPARATED:
        return
    row: Any = np.int64(-1)
    for each in range(tree[4][0]):
        if whole[at.FLAGS, each] & at.LAYERED:
            row = each
    if row < 0:
        row = split_trunk(tree, height_mm)
        whole[at.FLAGS, row] |= at.LAYERED
    pools[at.LAYER_STATE] = at.SET
    pools[at.LAYER_SET] = 1.0
    thick = par[at.P_THICK] if real[at.WOOD, row] > 1256.6 else 0.0  # 40 mm across
    shift = thick + vigour_shift(tree, par) + roots_cut_shift(tree, par)
    key = draw_key(luck, half, _ROOTING)
    roots = uniform(key, np.uint64(0)) < shifted(par[at.P_LAYER], shift)
    weeks = par[at.P_ROOT_WEEKS] * math.exp(par[at.P_ROOT_SD] * normal(key, np.uint64(1)))
    pools[at.LAYER_PENDING] = 0.0
    if roots:
        pools[at.LAYER_PENDING] = 1.0 if weeks <= par[at.P_SEASON_WEEKS] else 2.0
    if pools[at.ROOT_CUT] > 0.0:
        survives(tree, par, luck, (half, np.int64(do.GROUND_LAYER), 0.0, 0.0))


@compiled
def part(tree: Any, second: Any) -> Any:
    """Split a layered tree: the part above the ring stays in `tree`, the rest goes to `second`; its rows."""
    _real, whole, _ids, _pools, count = tree
    ring: Any = np.int64(-1)
    for row in range(count[0]):
        if whole[at.FLAGS, row] & at.LAYERED:
            ring = row
    if ring < 0:
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
def separate(tree: Any, second: Any, par: Any, luck: Any, half: Any) -> None:
    """Cut a layer from its roots: two trees, the top on new roots, the stump on its old ones."""
    pools = tree[3]
    rooted = pools[at.LAYER_STATE] == at.ROOTED
    pools[at.WORKED] = 1.0
    for pool in range(at.POOLS):
        second[3][pool] = pools[pool]
    if part(tree, second) == 0:
        return
    second[3][at.LAYER_STATE] = at.SEPARATED
    second[3][at.REMOVED] = 1.0
    second[3][at.LEAF_FLUSH] = leaf_total(second)
    live = False
    for row in range(second[4][0]):
        live = live or second[1][at.BUDS, row] > 0 or second[0][at.LEAF, row] > 0.0
    second[3][at.ALIVE] = 1.0 if live else 0.0
    key = draw_key(luck, half, _ROOTING)
    bits = 0
    for sector in range(12):
        if uniform(key, np.uint64(100 + sector)) < par[at.P_SECTOR]:
            bits |= 1 << sector
    pools[at.SECTORS] = bits
    pools[at.LAYER_STATE] = at.SEPARATED
    pools[at.ROOT] = _LAYER_ROOTS
    pools[at.SINCE_REPOT] = 0.0
    pools[at.SECOND] = 1.0 if live else 0.0
    shift = 0.0 if rooted else -4.0
    if pools[at.RESERVE] <= _WEAK_RESERVE:
        shift -= par[at.P_WEAK]
    chance = shifted(par[at.P_SEVERED], shift)
    if uniform(draw_key(luck, half, _SURVIVE), np.uint64(do.SEPARATE)) >= chance:
        pools[at.ALIVE] = 0.0


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
