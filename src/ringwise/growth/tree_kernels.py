"""Compiled ground work on a tree's arrays: keyed draws, sums along the wood, removal, new shoots.

A tree is a tuple (real, whole, ids, pools, count) of arrays laid out by `layout`; `count[0]` is the
number of segments in use, `ids` are stable names of segments: a hash of the path and year that made
them, so that a cut elsewhere shifts no draw. `luck` is (seed, future, year).
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.rank_kernels import close_ranks, is_empty, move_up
from ringwise.kit.kernels import compiled_in_place as compiled

_GOLDEN = np.uint64(0x9E3779B97F4A7C15)
_MIX_1 = np.uint64(0xBF58476D1CE4E5B9)
_MIX_2 = np.uint64(0x94D049BB133111EB)
_POSITIVE = np.uint64(0x3FFFFFFFFFFFFFFF)  # ids stay positive, also doubled for the two uniforms of a normal
_SLOTS = np.int64(16)  # more than any node has buds
_UNIT = 1.0 / 9007199254740992.0  # 2 to the -53: spacing of the uniforms
_TURN_RAD = math.pi * (3.0 - math.sqrt(5.0))  # the golden angle of alternate buds
_PART, _PART_UNIT = np.uint64(0x1FFFFF), 1.0 / 2097151.0
_SIDE_RAD = 0.85  # angle of a side shoot from its mother, about 49 degrees; form only
_SIDE_COS, _SIDE_SIN = math.cos(_SIDE_RAD), math.sin(_SIDE_RAD)
_PLACES = 64  # places round the stem after which the golden spiral is taken to begin anew
_SPIRAL = np.array([[math.cos(k * _TURN_RAD), math.sin(k * _TURN_RAD)] for k in range(_PLACES)])
_CROSS = np.array([[1.0, 0.0], [0.0, 1.0]])
_PURPOSE_DIRECTION = np.int64(5)  # NumPy integers, since plain ones would be compiled once for each value
_SPRING, _ON = np.int64(0), np.int64(0)
_MIDDLE = 0.35  # of the height of the leaf: from there shoots turn outward; form only
_LEAST_RISE = 0.12  # shoots do not grow into the soil
_SOIL_MM = 8.0


@compiled
def mix64(value: Any) -> Any:
    """One round of splitmix64."""
    z = value + _GOLDEN
    z = (z ^ (z >> np.uint64(30))) * _MIX_1
    z = (z ^ (z >> np.uint64(27))) * _MIX_2
    return z ^ (z >> np.uint64(31))


@compiled
def draw_key(luck: Any, half: Any, purpose: Any) -> Any:
    """The hash of (seed, future, year, half, purpose), to be finished with an entity."""
    state = mix64(np.uint64(luck[0]))
    state = mix64(state ^ np.uint64(luck[1]))
    state = mix64(state ^ np.uint64(luck[2]))
    state = mix64(state ^ np.uint64(half))
    return mix64(state ^ np.uint64(purpose))


@compiled
def uniform(key: Any, entity: Any) -> Any:
    """A uniform draw; equal to `kit.chance.uniform` for the same key parts."""
    state = mix64(key ^ np.uint64(entity))
    return (np.float64(np.int64(state >> np.uint64(11))) + 0.5) * _UNIT


@compiled
def normal(key: Any, entity: Any) -> Any:
    """A standard normal draw; equal to `kit.chance.normal`."""
    twice = np.uint64(entity) * np.uint64(2)
    u = uniform(key, twice)
    v = uniform(key, twice + np.uint64(1))
    return math.sqrt(-2.0 * math.log(u)) * math.cos(2.0 * math.pi * v)


@compiled
def child_id(parent_id: Any, slot: Any, year: Any) -> Any:
    """The stable name of a new segment: its parent's, which bud, which year."""
    return mix64(parent_id ^ (np.uint64(slot + 1) * np.uint64(1000003) + np.uint64(year + 5000))) & _POSITIVE


@compiled
def logistic(x: Any) -> Any:
    """The logistic function."""
    return 1.0 / (1.0 + math.exp(-x))


@compiled
def count_children(tree: Any) -> None:
    """Children of each segment, into its column."""
    _real, whole, _ids, _pools, count = tree
    for row in range(count[0]):
        whole[at.CHILDREN, row] = 0
    for row in range(1, count[0]):
        whole[at.CHILDREN, whole[at.PARENT, row]] += 1


@compiled
def sum_down(tree: Any, column: Any) -> None:
    """Each segment's value plus all above it, in place."""
    real, whole, _ids, _pools, count = tree
    for row in range(count[0] - 1, 0, -1):
        real[column, whole[at.PARENT, row]] += real[column, row]


@compiled
def place_ends(tree: Any) -> None:
    """Upper ends of all segments, the root starting at the origin."""
    real, whole, _ids, _pools, count = tree
    length, parents = real[at.LENGTH], whole[at.PARENT]
    dir_x, dir_y, dir_z = real[at.DIR_X], real[at.DIR_Y], real[at.DIR_Z]
    end_x, end_y, end_z = real[at.END_X], real[at.END_Y], real[at.END_Z]
    x, y, z = np.float32(0.0), np.float32(0.0), np.float32(0.0)
    for row in range(count[0]):
        if row > 0 and parents[row] != row - 1:  # else it goes on where the last one ended
            parent = np.uint32(parents[row])
            x, y, z = end_x[parent], end_y[parent], end_z[parent]
        x += length[row] * dir_x[row]
        y += length[row] * dir_y[row]
        z += length[row] * dir_z[row]
        end_x[row], end_y[row], end_z[row] = x, y, z


@compiled
def copy_row(tree: Any, source: Any, target: Any, row: Any) -> None:
    """One segment from a tree to a row of another (or the same) tree."""
    real, whole, ids, _pools, _count = tree
    for column in range(at.REALS):
        target[0][column, row] = real[column, source]
    for column in range(at.WHOLES):
        target[1][column, row] = whole[column, source]
    target[2][row] = ids[source]


@compiled
def remove_marked(tree: Any) -> Any:
    """Take out every segment with a mark, and all above it; a parent left bare is marked as cut."""
    _real, whole, _ids, _pools, count = tree
    n = count[0]
    mark = whole[at.MARK]
    mark[0] = 0
    if is_empty(mark, n):
        return 0
    count_children(tree)
    first = 0
    while mark[first] == 0:
        first += 1
    for row in range(first):
        mark[row] = row + 1  # the new place, counted from 1
    kept = close_ranks(tree, first)
    move_up(tree, first, kept - first)
    count[0] = kept
    for row in range(n):
        mark[row] = 0
    return n - kept


@compiled
def wound(tree: Any, parent: Any, width_mm: Any) -> None:
    """Open a wound on a segment, or widen the one that is there."""
    real = tree[0]
    if width_mm >= real[at.WOUND, parent]:
        real[at.WOUND, parent] = width_mm
        real[at.WOUND_YEARS, parent] = 0.0


@compiled
def three(bits: Any) -> Any:
    """Three uniform draws from -0.5 to 0.5 out of one hash."""
    low = np.float64(np.int64(bits & _PART)) * _PART_UNIT - 0.5
    middle = np.float64(np.int64((bits >> np.uint64(21)) & _PART)) * _PART_UNIT - 0.5
    return low, middle, np.float64(np.int64((bits >> np.uint64(42)) & _PART)) * _PART_UNIT - 0.5


@compiled
def _heading(tree: Any, par: Any, row: Any, from_way: Any, bits: Any) -> Any:
    """The way of a new unit: its mother's or bud's, swayed, turned up and away from the crown's middle."""
    real, base = tree[0], np.uint64(row)
    a, b, c = three(bits)
    x, y, z = real[at.END_X, base], real[at.END_Y, base], real[at.END_Z, base]
    low = z < _SOIL_MM
    high = max(z - _MIDDLE * tree[3][at.TOP], 0.0)
    out = par[at.P_OUTWARD] / math.sqrt(x * x + y * y + high * high + 1.0)
    sway = par[at.P_SWAY]
    x = from_way[0] + sway * a + out * x
    y = from_way[1] + sway * b + out * y
    z = from_way[2] + sway * c + out * high + par[at.P_UPWARD]
    if low and z < _LEAST_RISE:
        z = _LEAST_RISE
    per_size = 1.0 / math.sqrt(x * x + y * y + z * z)
    return x * per_size, y * per_size, z * per_size


@compiled
def side_heading(tree: Any, row: Any, turn: Any, wider_rad: Any) -> Any:
    """Direction of a side shoot at an angle to its segment; `turn` is its place as (cosine, sine)."""
    real, base = tree[0], np.uint64(row)
    x, y, z = real[at.DIR_X, base], real[at.DIR_Y, base], real[at.DIR_Z, base]
    if abs(z) < 0.95:
        ux, uy, uz = y, -x, 0.0
    else:
        ux, uy, uz = 0.0, z, -y
    size = math.sqrt(ux * ux + uy * uy + uz * uz)
    ux, uy, uz = ux / size, uy / size, uz / size
    wx, wy, wz = y * uz - z * uy, z * ux - x * uz, x * uy - y * ux
    c, s = turn
    flat = 1.0 - 0.5 * wider_rad * wider_rad  # the angle's own cosine and sine, near the usual one
    a, b = _SIDE_COS * flat - _SIDE_SIN * wider_rad, _SIDE_SIN * flat + _SIDE_COS * wider_rad
    return (a * x + b * (c * ux + s * wx), a * y + b * (c * uy + s * wy), a * z + b * (c * uz + s * wz))


@compiled
def bud_turn(tree: Any, row: Any, slot: Any, opposite: bool) -> Any:
    """Cosine and sine of where round its segment a bud stands: crosswise pairs, or the golden spiral."""
    place = np.int64(tree[2][row] % np.uint64(_PLACES))
    side = 1.0 - 2.0 * (slot & 1)
    if opposite:
        return side * _CROSS[place & 1, 0], side * _CROSS[place & 1, 1]
    return side * _SPIRAL[place, 0], side * _SPIRAL[place, 1]


@compiled
def clear_tail(tree: Any, units: Any) -> None:
    """Clear wounds and wire of the rows that so many new units will take."""
    real, _whole, _ids, pools, count = tree
    last = min(real.shape[1], count[0] + np.int64(units))
    for column in range(at.WOUND, at.REALS):
        if not at.GROWN < column < at.WOUND_LOSS:
            real[column, count[0] : last] = np.float32(0.0)
    pools[at.CLEAN] = last


@compiled
def shoot_luck(luck: Any) -> Any:
    """Luck as those need it who make shoots: with the key of their directions, which is the year's own."""
    return luck[0], luck[1], luck[2], draw_key(luck, _SPRING, _PURPOSE_DIRECTION)


@compiled
def new_unit(tree: Any, par: Any, luck: Any, parent: Any, slot: Any, way: Any) -> Any:
    """Add one growth unit on a segment, heading a way with some sway, bare yet; -1 where no room is left."""
    real, whole, ids, pools, count = tree
    row = count[0]
    if row >= whole.shape[1]:
        return -1
    new, mother = np.uint64(row), np.uint64(parent)  # an index without a sign is taken as it is
    # Two shoots of one year may come from one slot; the children already there tell them apart.
    ids[new] = child_id(ids[mother], slot + _SLOTS * whole[at.CHILDREN, mother], luck[2])
    x, y, z = _heading(tree, par, parent, way, mix64(luck[3] ^ ids[new]))
    if row >= pools[at.CLEAN]:
        for column in range(at.WOUND, at.REALS):
            real[column, new] = 0.0
    whole[at.MARK, new] = whole[at.CHILDREN, new] = 0
    real[at.DIR_X, new], real[at.DIR_Y, new], real[at.DIR_Z, new] = x, y, z
    real[at.CONTROL, new] = real[at.CONTROL, mother]
    real[at.LIGHT, new] = real[at.LIGHT, mother]
    whole[at.PARENT, new] = parent
    whole[at.ORDER, new] = whole[at.ORDER, mother]
    whole[at.BORN, new] = luck[2]
    whole[at.BUDS, new] = 2 if par[at.P_OPPOSITE] > 0.5 else 1
    whole[at.CLONE, new] = whole[at.CLONE, mother]
    whole[at.FLAGS, new] = whole[at.FLAGS, mother] & at.GRAFT_AXIS
    whole[at.CHILDREN, mother] += 1
    count[0] = row + 1
    return row


@compiled
def set_length(tree: Any, row: Any, length_mm: Any) -> None:
    """Length of a new unit, and from it its upper end."""
    real, new = tree[0], np.uint64(row)
    mother = np.uint64(tree[1][at.PARENT, new])
    real[at.LENGTH, new] = length_mm
    for axis in range(3):
        real[at.END_X + axis, new] = real[at.END_X + axis, mother] + length_mm * real[at.DIR_X + axis, new]


@compiled
def shoot_of(tree: Any, par: Any, units: Any) -> Any:
    """A shoot of so many units as (segments, length and leaf of each): strong ones have long internodes."""
    pools = tree[3]
    units = min(units, par[at.P_SHOOT_MOST])
    number = max(1, int(units * pools[at.FINE]))
    strong = min(1.0, units / par[at.P_STRETCH_UNITS]) ** 2
    most = max(units, 0.5) / number
    length_mm = pools[at.UNIT] * (1.0 + par[at.P_STRETCH] * strong) * most
    leaf_cm2 = pools[at.LEAF_UNIT] / par[at.P_UNITS] * (1.0 + par[at.P_LEAFY] * strong) * most
    return number, length_mm, leaf_cm2


@compiled
def _clothe(tree: Any, par: Any, row: Any, shoot: Any) -> None:
    """Length and leaf of a new unit; a shoot with more leaf is thicker from the start."""
    _number, length_mm, leaf_cm2 = shoot
    real, pools = tree[0], tree[3]
    set_length(tree, row, length_mm)
    new = np.uint64(row)
    real[at.LEAF, new] = leaf_cm2
    thick = par[at.P_TWIG] * max(1.0, leaf_cm2 * par[at.P_UNITS] / max(pools[at.LEAF_UNIT], 1e-6))
    real[at.WOOD, new] = thick
    real[at.SAPWOOD, new] = thick


@compiled
def _carry_on(tree: Any, par: Any, luck: Any, row: Any, shoot: Any) -> Any:
    """Carry an axis on from a segment by the segments of a shoot."""
    last = row
    for _unit in range(shoot[0]):
        base = np.uint64(last)
        way = (tree[0][at.DIR_X, base], tree[0][at.DIR_Y, base], tree[0][at.DIR_Z, base])
        new = new_unit(tree, par, luck, last, _ON, way)
        if new < 0:
            return last
        if tree[1][at.FLAGS, last] & at.TRUNK:
            tree[1][at.FLAGS, new] |= at.TRUNK
        _clothe(tree, par, new, shoot)
        last = new
    return last


@compiled
def extend(tree: Any, par: Any, luck: Any, row: Any, units: Any) -> Any:
    """Carry an axis on from a tip by the whole units of its vigour, longer where a part is left over."""
    return _carry_on(tree, par, luck, row, shoot_of(tree, par, units))


@compiled
def branch_off(tree: Any, par: Any, luck: Any, row: Any, shoot: Any) -> Any:
    """A side shoot on a segment; `shoot` is (slot, units, rad wider than usual); its first row or -1."""
    slot, units, wider_rad = np.int64(shoot[0]), shoot[1], shoot[2]
    turn = bud_turn(tree, row, slot, par[at.P_OPPOSITE] > 0.5)
    new = new_unit(tree, par, luck, row, slot + 1, side_heading(tree, row, turn, wider_rad))
    if new < 0:
        return -1
    whole = tree[1]
    whole[at.ORDER, new] = whole[at.ORDER, row] + 1
    whole_shoot = shoot_of(tree, par, units)
    _clothe(tree, par, new, whole_shoot)
    _carry_on(tree, par, luck, new, (whole_shoot[0] - 1, whole_shoot[1], whole_shoot[2]))
    return new


@compiled
def continuation(tree: Any, row: Any) -> Any:
    """The thickest segment that grows on a segment's end, -1 where none does."""
    real, whole, _ids, _pools, count = tree
    best: Any = np.int64(-1)
    for child in range(row + 1, count[0]):
        if whole[at.PARENT, child] == row and (best < 0 or real[at.WOOD, child] > real[at.WOOD, best]):
            best = child
    return best


@compiled
def base_row(tree: Any) -> Any:
    """The first segment of the trunk above the root flare, which is not the trunk's thickness."""
    row: Any = np.int64(0)
    while tree[1][at.FLAGS, row] & at.FLARE:
        above = continuation(tree, row)
        if above < 0:
            break
        row = above
    return row
