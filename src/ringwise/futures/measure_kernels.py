"""The measures of a future at the end of a year, compiled: two passes over the wood, then its branches.

Each measure is that of `structure` on the same tree; `limits` are its thresholds (see `measure_limits`).
Where two shoots of one fork are equally thick, the earlier one counts as going on.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.futures import outcome as out
from ringwise.growth import layout as at
from ringwise.growth.float_kernels import most, most_below, product_total
from ringwise.growth.tree_kernels import base_row
from ringwise.kit.kernels import compiled

_BRANCHES = 192  # most branches of one trunk that are looked at one by one
_BINS, _BIN_MM = 400, 0.5  # places of the histogram from which the middle internode is read
_HEIGHT, _WIDTH, _TRUNK, _EAST, _NORTH, _WEIGHT, _ANGLE = range(7)  # columns of a branch
_FULL_TURN = 2.0 * math.pi
_TIP_END = 0.6  # thickness of a tip's end against its start, as the segment table has it


@compiled
def measure(tree: Any, second: Any, limits: Any, row: Any) -> None:
    """The measures of a future at the end of a year."""
    pools = tree[3]
    for each in range(out.KEPT):
        row[each] = 0.0
    row[out.ALIVE] = pools[at.ALIVE]
    row[out.HOURS] = pools[at.HOURS] + second[3][at.HOURS]  # both trees of a layer are cared for
    row[out.SECOND] = pools[at.SECOND] * second[3][at.ALIVE]
    row[out.SEEN] = pools[at.CHECKS]
    row[out.LAYER], row[out.GRAFT] = pools[at.LAYER_STATE], pools[at.GRAFT_STATE]
    if row[out.SECOND] > 0.0:
        row[out.SECOND_BASE] = _across(second[0][at.WOOD, base_row(second)])
        _size_up(second, row)
    if pools[at.ALIVE] <= 0.0:
        return
    row[out.LEAF] = pools[at.LEAF_FLUSH]
    sectors = int(pools[at.SECTORS])
    for sector in range(12):
        row[out.SECTORS] += (sectors >> sector) & 1
    _first_tree(tree, limits, row)
    row[out.FAULTS] += _one_sided(sectors, limits)


@compiled
def _first_tree(tree: Any, limits: Any, row: Any) -> None:
    """All that is read from the wood of the living tree."""
    onward, branches = np.empty(tree[4][0], np.int32), np.zeros((7, _BRANCHES))
    _from_the_tips(tree, onward, row)
    base = base_row(tree)
    row[out.BASE] = _across(tree[0][at.WOOD, base])
    found, lowest = _from_the_root(tree, onward, limits, row, branches)
    volume = _whole_tree(tree, row)
    _blemishes(tree, row)
    _trunk_line(tree, onward, (base, lowest, volume), limits, row)
    row[out.TAPER] = _taper(tree, onward, row)
    row[out.FIRST_BRANCH], row[out.BRANCH_RATIO] = out.UNKNOWN, out.UNKNOWN
    if lowest >= 0:
        below = tree[1][at.PARENT, lowest]
        row[out.FIRST_BRANCH] = tree[0][at.END_Z, below] / row[out.HEIGHT]
        row[out.BRANCH_RATIO] = _across(tree[0][at.WOOD, lowest]) / _above(tree, onward, below)
    row[out.FAULTS] += _branch_faults(branches, found, limits, row[out.HEIGHT])


@compiled
def _across(wood_mm2: Any) -> Any:
    return math.sqrt(wood_mm2 * (4.0 / math.pi))


@compiled
def _above(tree: Any, onward: Any, row: Any) -> Any:
    """Thickness of the upper end of a segment: that of the wood which goes on, never more than its own."""
    return _across(min(tree[0][at.WOOD, row], tree[0][at.WOOD, onward[row]]))


@compiled
def _size_up(second: Any, row: Any) -> None:
    """Height and tips of the second tree."""
    real, whole, _ids, _pools, count = second
    for each in range(count[0]):
        row[out.SECOND_HEIGHT] = max(row[out.SECOND_HEIGHT], real[at.END_Z, each])
        row[out.SECOND_TIPS] += whole[at.CHILDREN, each] == 0


@compiled
def _from_the_tips(tree: Any, onward: Any, row: Any) -> None:
    """Which child goes on, orders of branching, and the middle way from the last fork to the tip."""
    real, whole, _ids, _pools, count = tree
    n = count[0]
    wood, lengths, ways = real[at.WOOD], real[at.LENGTH], real[at.ABOVE]
    parents, children, marks = whole[at.PARENT], whole[at.CHILDREN], whole[at.MARK]
    bins = np.zeros(_BINS, np.int32)
    onward[:n], marks[:n], ways[:n] = -1, 0, 0.0
    for each in range(n - 1, 0, -1):
        parent, mark = np.uint32(parents[each]), marks[each]
        order = max((mark >> 1) + (mark & 1), 1)
        other = onward[parent]
        if other < 0 or wood[each] >= wood[np.uint32(other)]:
            onward[parent] = each
        if order == 1:  # a last shoot: its way ends at a fork, or goes on with the segment below
            way = lengths[each] + (ways[each] if children[each] == 1 else 0.0)
            if other < 0:
                ways[parent] = way
            else:
                bins[min(int(way / _BIN_MM), _BINS - 1)] += 1
        if other >= 0 and ways[parent] > 0.0:  # a fork: the first way that waited ends here too
            bins[min(int(ways[parent] / _BIN_MM), _BINS - 1)] += 1
            ways[parent] = 0.0
        highest = marks[parent] >> 1
        if order > highest:
            marks[parent] = order << 1
        elif order == highest:
            marks[parent] |= 1
    mark = marks[0]
    row[out.STRAHLER] = (mark >> 1) + (mark & 1) if mark > 0 else 1
    row[out.INTERNODE] = _middle(bins) if row[out.STRAHLER] > 1 else out.UNKNOWN


@compiled
def _middle(bins: Any) -> Any:
    """The median of a histogram, in proportion within its place."""
    total = 0
    for each in range(_BINS):
        total += bins[each]
    seen, lower = 0, -1.0
    for each in range(_BINS):
        if bins[each] > 0 and lower >= 0.0:  # half of all lie below, half from here on
            return 0.5 * (lower + each * _BIN_MM)
        if bins[each] > 0 and 2 * (seen + bins[each]) > total:
            return (each + (0.5 * total - seen) / bins[each]) * _BIN_MM
        seen += bins[each]
        if 2 * seen == total:
            lower = (each + 1) * _BIN_MM
            total = 2 * total + 2  # no place is the middle one any more
    return out.UNKNOWN


@compiled
def _from_the_root(tree: Any, onward: Any, limits: Any, row: Any, branches: Any) -> Any:
    """The trunk marked -1, each branch and all on it by its number; how many branches, and the lowest."""
    real, whole, _ids, _pools, count = tree
    wood, thickest, end_z, lengths = real[at.WOOD], real[at.ABOVE], real[at.END_Z], real[at.LENGTH]
    end_x, end_y, parents, marks = real[at.END_X], real[at.END_Y], whole[at.PARENT], whole[at.MARK]
    easts, norths, weights = branches[_EAST], branches[_NORTH], branches[_WEIGHT]
    least = _least(limits, row)
    found, lowest = 0, np.int64(-1)
    marks[0], thickest[0] = -1, 0.0
    for each in range(1, count[0]):
        parent = np.uint32(parents[each])
        mark = marks[parent]
        if mark < 0:
            mark = 0
            if onward[parent] == each:
                mark = -1
                thickest[each] = 0.0  # from here on the thickest side branch of the trunk's segment
            elif wood[each] >= least:
                thickest[parent] = max(thickest[parent], wood[each])
                if lowest < 0 or end_z[parent] < end_z[parents[lowest]]:
                    lowest = np.int64(each)
                found = min(found + 1, _BRANCHES - 1)
                mark = found
                branches[_HEIGHT, found], branches[_ANGLE, found] = end_z[parent], parent
                branches[_WIDTH, found] = _across(wood[each])
                branches[_TRUNK, found] = _above(tree, onward, parent)
        marks[each] = mark
        if mark > 0:
            length, branch = lengths[each], np.uint32(mark)
            easts[branch] += end_x[each] * length
            norths[branch] += end_y[each] * length
            weights[branch] += length
    _to_angles(tree, branches, found)
    return found, lowest


@compiled
def _least(limits: Any, row: Any) -> Any:
    """Wood area from which on a side shoot is a branch."""
    return (limits[out.LEAST_BRANCH] * row[out.BASE]) ** 2 * (math.pi / 4.0)


@compiled
def _whole_tree(tree: Any, row: Any) -> Any:
    """Size and tips over all segments; the wood's volume. Leaves no marks behind."""
    real, whole, _ids, _pools, count = tree
    n = count[0]
    east, north, children = real[at.END_X], real[at.END_Y], whole[at.CHILDREN]
    away, tips = np.int32(0), np.int32(0)
    for each in range(n):  # squares are from 0 up: their bits are in order as whole numbers, see `most`
        square = np.float32(east[each] * east[each] + north[each] * north[each])
        away = max(away, square.view(np.int32))
    for each in range(n):
        tips += np.int32(children[each] == 0)
    whole[at.MARK, :n] = 0
    top = most(real[at.END_Z], n)
    row[out.SPREAD], row[out.HEIGHT] = 2.0 * math.sqrt(np.int32(away).view(np.float32)), top
    row[out.TIPS] = tips
    box = np.float64(most(east, n) + most_below(east, n)) * top * 1e-4
    row[out.TIPS_DM2] = tips / box if box > 0.0 else out.UNKNOWN
    return product_total(real[at.WOOD], real[at.LENGTH], n)


@compiled
def _blemishes(tree: Any, row: Any) -> None:
    """Wounds, decay, wire marks and the grafted branch."""
    real, whole, _ids, _pools, count = tree
    n = count[0]
    row[out.WOUND], row[out.BITE] = most(real[at.WOUND], n), most(real[at.BITE], n)
    if row[out.WOUND] > 0.0:
        for each in range(n):
            row[out.WOUNDS] += real[at.WOUND, each] > 0.0
    flags, seen = whole[at.FLAGS], np.int32(0)
    for each in range(n):
        seen |= flags[each]
    if seen & (at.DECAYED | at.GRAFT_AXIS):
        for each in range(n):
            row[out.DECAYED] += 1.0 if flags[each] & at.DECAYED else 0.0
            if flags[each] & at.GRAFT_AXIS:
                row[out.GRAFT_MM] = max(row[out.GRAFT_MM], _across(real[at.WOOD, each]))


@compiled
def _to_angles(tree: Any, branches: Any, found: Any) -> None:
    """Where each branch's wood lies, seen from above from its foot."""
    for branch in range(1, found + 1):
        foot = int(branches[_ANGLE, branch])
        east = branches[_EAST, branch] / branches[_WEIGHT, branch] - tree[0][at.END_X, foot]
        north = branches[_NORTH, branch] / branches[_WEIGHT, branch] - tree[0][at.END_Y, foot]
        branches[_ANGLE, branch] = math.atan2(north, east)


@compiled
def _trunk_line(tree: Any, onward: Any, ends: Any, limits: Any, row: Any) -> None:
    """Taper and inverse taper, how high the leader leads and its share of the wood; `ends` are (base,
    lowest branch, wood of the tree)."""
    real, whole = tree[0], tree[1]
    base, lowest, volume = ends
    fork = whole[at.PARENT, lowest] if lowest >= 0 else -1
    thin, more = real[at.WOOD, base], (1.0 + limits[out.LEAST_INVERSE]) ** 2
    top, below, led = 0.0, 0.0, 0.0
    leads, inverse, past_base, past_fork = True, False, False, False
    each = np.int64(0)
    while each >= 0:
        wood, piece = real[at.WOOD, each], real[at.WOOD, each] * real[at.LENGTH, each]
        past_base = past_base or each == base
        if past_base:
            inverse = inverse or wood > thin * more
            thin = min(thin, wood)
        below += 0.0 if past_fork else piece
        led += piece if past_fork else 0.0
        past_fork = past_fork or each == fork
        top = max(top, real[at.END_Z, each]) if leads else top
        following = onward[each]
        if following >= 0 and real[at.ABOVE, each] > limits[out.RIVAL] ** 2 * real[at.WOOD, following]:
            leads = False
        each = np.int64(following)
    row[out.LEADER] = top / row[out.HEIGHT]
    row[out.LEADER_WOOD] = led / (volume - below) if past_fork and volume > below else out.UNKNOWN
    row[out.FAULTS] += out.INVERSE_TAPER if inverse else 0


@compiled
def _taper(tree: Any, onward: Any, row: Any) -> Any:
    """The trunk at half the tree's height against its base, in proportion between its nodes."""
    real = tree[0]
    half, foot, each = 0.5 * row[out.HEIGHT], 0.0, np.int64(0)
    while True:
        lower, following = _across(real[at.WOOD, each]), np.int64(onward[each])
        upper = _across(real[at.WOOD, following]) if following >= 0 else lower * _TIP_END
        end = real[at.END_Z, each]
        if end >= half > foot:
            return (lower + (upper - lower) * (half - foot) / (end - foot)) / row[out.BASE]
        if following < 0:
            return upper / row[out.BASE]
        foot, each = end, following


@compiled
def _by_height(branches: Any, found: Any, top: Any) -> Any:
    """Numbers of the branches below the apex, from the lowest up; of one height the later first."""
    order = np.empty(found, np.int64)
    kept = 0
    for branch in range(1, found + 1):
        if branches[_HEIGHT, branch] < top:
            place = kept
            while place > 0 and branches[_HEIGHT, order[place - 1]] >= branches[_HEIGHT, branch]:
                order[place] = order[place - 1]
                place -= 1
            order[place] = branch
            kept += 1
    return order[:kept]


@compiled
def _branch_faults(branches: Any, found: Any, limits: Any, height: Any) -> Any:
    """Kinds of faults among the branches below the apex, as bits."""
    order = _by_height(branches, found, limits[out.APEX] * height)
    bits, first = 0, 0
    for place in range(order.size):
        each = order[place]
        if branches[_WIDTH, each] > limits[out.THICK] * branches[_TRUNK, each]:
            bits |= out.THICK_BRANCH
        last = place + 1 == order.size
        gap = 0.0 if last else branches[_HEIGHT, order[place + 1]] - branches[_HEIGHT, order[first]]
        if last or gap > limits[out.LEVEL] * height:
            bits |= _level(branches, order[first : place + 1], limits)
            first = place + 1
    return bits | _thick_high(branches, order, limits)


@compiled
def _level(branches: Any, group: Any, limits: Any) -> Any:
    """Branches of one level: a wheel, or a bar where two stand opposite."""
    if group.size >= limits[out.WHEEL_OF]:
        return out.WHEEL
    for one in range(group.size):
        for other in range(one + 1, group.size):
            apart = abs(branches[_ANGLE, group[one]] - branches[_ANGLE, group[other]])
            if min(apart, _FULL_TURN - apart) > limits[out.OPPOSITE]:
                return out.BAR
    return 0


@compiled
def _thick_high(branches: Any, order: Any, limits: Any) -> Any:
    """Whether a branch is clearly thicker than a main branch below it."""
    if order.size == 0:
        return 0
    main = limits[out.MAIN] * np.median(branches[_WIDTH][order])
    thinnest = np.inf
    for place in range(order.size):
        width = branches[_WIDTH, order[place]]
        if width > limits[out.OVER] * thinnest:
            return out.THICK_HIGH
        if main <= width < thinnest:
            thinnest = width
    return 0


@compiled
def _one_sided(sectors: Any, limits: Any) -> Any:
    """Whether too many sectors in a row hold no root; a base nobody looked at is not judged."""
    if sectors == 0:
        return 0
    run = 0
    for place in range(24):
        run = 0 if (sectors >> (place % 12)) & 1 else run + 1
        if run >= limits[out.EMPTY_SECTORS]:
            return out.ONE_SIDED
    return 0
