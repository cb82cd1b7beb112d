"""New shoots, compiled: how many segments, which way each heads, and all that a new segment begins with.

First each bud that opens takes its rows and notes there what it will be; then all shoots of a spring are
written in one go, so that what they share is worked out once. Ways and places are float32, as they are kept.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.tree_kernels import child_id, draw_key, mix64
from ringwise.kit.kernels import compiled_in_place as compiled
from ringwise.kit.kernels import compiled_inside

_SLOTS = np.int64(16)  # more than any node has buds
_TURN_RAD = math.pi * (3.0 - math.sqrt(5.0))  # the golden angle of alternate buds
_PART, _PART_UNIT = np.uint64(0x1FFFFF), np.float32(1.0 / 2097151.0)
_HALF, _ONE, _ZERO = np.float32(0.5), np.float32(1.0), np.float32(0.0)
_SIDE_RAD = 0.85  # angle of a side shoot from its mother, about 49 degrees; form only
_SIDE_COS, _SIDE_SIN = np.float32(math.cos(_SIDE_RAD)), np.float32(math.sin(_SIDE_RAD))
_STEEP = np.float32(0.95)  # rise of a segment from which on its side is told from another axis
_PLACES = 64  # places round the stem after which the golden spiral is taken to begin anew
_SPIRAL = np.array([[math.cos(k * _TURN_RAD), math.sin(k * _TURN_RAD)] for k in range(_PLACES)], np.float32)
_CROSS = np.array([[1.0, 0.0], [0.0, 1.0]], np.float32)
_PURPOSE_DIRECTION = np.int64(5)  # NumPy integers, since plain ones would be compiled once for each value
_SPRING, _ON, _ASIDE, _NEXT = np.int64(0), np.int64(0), np.int64(1), np.uint64(1)
_MIDDLE = 0.35  # of the height of the leaf: from there shoots turn outward; form only
_LEAST_RISE = np.float32(0.12)  # shoots do not grow into the soil
_SOIL_MM = np.float32(8.0)


@compiled_inside
def three(bits: Any) -> Any:
    """Three uniform draws from -0.5 to 0.5 out of one hash."""
    low = np.float32(np.int64(bits & _PART)) * _PART_UNIT - _HALF
    middle = np.float32(np.int64((bits >> np.uint64(21)) & _PART)) * _PART_UNIT - _HALF
    return low, middle, np.float32(np.int64((bits >> np.uint64(42)) & _PART)) * _PART_UNIT - _HALF


@compiled
def shoot_luck(luck: Any) -> Any:
    """Luck as those need it who make shoots: with the key of their directions, which is the year's own."""
    return luck[0], luck[1], luck[2], draw_key(luck, _SPRING, _PURPOSE_DIRECTION)


@compiled_inside
def shoot_units(pools: Any, par: Any, units: Any) -> Any:
    """Segments of a shoot of so many units."""
    return max(1, int(min(units, par[at.P_SHOOT_MOST]) * pools[at.FINE]))


@compiled_inside
def shoot_of(pools: Any, par: Any, units: Any) -> Any:
    """Length and leaf of each segment of a shoot of so many units: strong ones have long internodes."""
    number = shoot_units(pools, par, units)
    units = min(units, par[at.P_SHOOT_MOST])
    strong = min(1.0, units / par[at.P_STRETCH_UNITS]) ** 2
    most = max(units, 0.5) / number
    length_mm = pools[at.UNIT] * (1.0 + par[at.P_STRETCH] * strong) * most
    leaf_cm2 = pools[at.LEAF_UNIT] / par[at.P_UNITS] * (1.0 + par[at.P_LEAFY] * strong) * most
    return length_mm, leaf_cm2


@compiled
def bearing(tree: Any, par: Any) -> Any:
    """What turns every new segment of a year: (sway, outward, upward, height from which outward counts)."""
    high_mm = np.float32(_MIDDLE * tree[3][at.TOP])
    return np.float32(par[at.P_SWAY]), np.float32(par[at.P_OUTWARD]), np.float32(par[at.P_UPWARD]), high_mm


@compiled_inside
def heading(turn: Any, foot: Any, way: Any, bits: Any) -> Any:
    """The way of a new segment: that of the one below or of its bud, swayed, turned up and outward."""
    sway, outward, upward, high_mm = turn
    a, b, c = three(bits)
    x, y, z = foot
    low = z < _SOIL_MM
    high = max(z - high_mm, _ZERO)
    out = outward / math.sqrt(x * x + y * y + high * high + _ONE)
    x = way[0] + sway * a + out * x
    y = way[1] + sway * b + out * y
    z = way[2] + sway * c + out * high + upward
    if low and z < _LEAST_RISE:
        z = _LEAST_RISE
    per_size = _ONE / math.sqrt(x * x + y * y + z * z)
    return x * per_size, y * per_size, z * per_size


@compiled_inside
def side_heading(tree: Any, row: Any, turn: Any, wider_rad: Any) -> Any:
    """Direction of a side shoot at an angle to its segment; `turn` is its place as (cosine, sine)."""
    real, base = tree[0], np.uint64(row)
    x, y, z = real[at.DIR_X, base], real[at.DIR_Y, base], real[at.DIR_Z, base]
    if abs(z) < _STEEP:
        ux, uy, uz = y, -x, _ZERO
    else:
        ux, uy, uz = _ZERO, z, -y
    per_size = _ONE / math.sqrt(ux * ux + uy * uy + uz * uz)
    ux, uy, uz = ux * per_size, uy * per_size, uz * per_size
    wx, wy, wz = y * uz - z * uy, z * ux - x * uz, x * uy - y * ux
    c, s = turn
    wider = np.float32(wider_rad)
    flat = _ONE - _HALF * wider * wider  # the angle's own cosine and sine, near the usual one
    a, b = _SIDE_COS * flat - _SIDE_SIN * wider, _SIDE_SIN * flat + _SIDE_COS * wider
    return a * x + b * (c * ux + s * wx), a * y + b * (c * uy + s * wy), a * z + b * (c * uz + s * wz)


@compiled_inside
def bud_turn(tree: Any, row: Any, slot: Any, par: Any) -> Any:
    """Cosine and sine of where round its segment a bud stands: crosswise pairs, or the golden spiral."""
    place = np.int64(tree[2][np.uint64(row)] % np.uint64(_PLACES))
    side = np.float32(1 - 2 * (slot & 1))
    if par[at.P_OPPOSITE] > _HALF:
        return side * _CROSS[place & 1, 0], side * _CROSS[place & 1, 1]
    return side * _SPIRAL[place, 0], side * _SPIRAL[place, 1]


@compiled_inside
def note_shoot(tree: Any, par: Any, row: Any, bud: Any) -> Any:
    """Take rows for a shoot out of a bud, noted in the first of them for `write_shoots`; -1 without room.

    `bud` is (slot, units, rad wider than usual, 1 beside the axis or 0 on it).
    """
    real, whole, _ids, pools, count = tree
    slot, units, wider_rad, aside = bud
    room = whole.shape[1] - count[0]
    if room <= 0:
        return np.int64(-1)
    first, mother = np.uint64(count[0]), np.uint64(row)  # an index without a sign is taken as it is
    real[at.VIGOUR, first], real[at.ABOVE, first] = units, wider_rad
    number = min(shoot_units(pools, par, real[at.VIGOUR, first]), room)
    whole[at.PARENT, first], whole[at.MARK, first] = row, number
    # Two shoots of one year may come from one slot; the children already there tell them apart.
    whole[at.BUDS, first] = slot + aside + _SLOTS * whole[at.CHILDREN, mother]
    whole[at.ORDER, first] = whole[at.ORDER, mother] + aside
    whole[at.CHILDREN, mother] += 1
    count[0] += number
    return np.int64(first)


@compiled_inside
def _bud_way(tree: Any, par: Any, shoot: Any, mother: Any) -> Any:
    """The way out of a bud: on along the axis, or off to a side."""
    real, whole = tree[0], tree[1]
    if whole[at.ORDER, shoot] == whole[at.ORDER, mother]:
        return real[at.DIR_X, mother], real[at.DIR_Y, mother], real[at.DIR_Z, mother]
    slot = np.int64(whole[at.BUDS, shoot]) % _SLOTS - 1
    return side_heading(tree, mother, bud_turn(tree, mother, slot, par), real[at.ABOVE, shoot])


@compiled
def _lead(tree: Any, par: Any, luck: Any, first: Any) -> None:
    """Names, ways and ends of all new rows, each from the one before; their lengths are known."""
    real, whole, ids, _pools, count = tree
    turn, length = bearing(tree, par), real[at.LENGTH]
    parents, children, buds, numbers = whole[at.PARENT], whole[at.CHILDREN], whole[at.BUDS], whole[at.MARK]
    dir_x, dir_y, dir_z = real[at.DIR_X], real[at.DIR_Y], real[at.DIR_Z]
    end_x, end_y, end_z = real[at.END_X], real[at.END_Y], real[at.END_Z]
    row = np.uint64(first)
    while row < count[0]:
        mother, past = np.uint64(parents[row]), row + np.uint64(numbers[row])
        way = _bud_way(tree, par, row, mother)
        name, slot = ids[mother], np.int64(buds[row])
        x, y, z = end_x[mother], end_y[mother], end_z[mother]
        while row < past:
            name = child_id(name, slot, luck[2])
            way = heading(turn, (x, y, z), way, mix64(luck[3] ^ name))
            x, y, z = x + length[row] * way[0], y + length[row] * way[1], z + length[row] * way[2]
            ids[row], parents[row], children[row] = name, np.int64(mother), 1
            dir_x[row], dir_y[row], dir_z[row] = way
            end_x[row], end_y[row], end_z[row] = x, y, z
            mother, slot, row = row, _ON, row + _NEXT
        children[mother] = 0


@compiled
def _clothe(tree: Any, par: Any, first: Any) -> None:
    """Size of all new rows by their shoot's units, and what they have from its mother."""
    real, whole, _ids, pools, count = tree
    parents, numbers, orders = whole[at.PARENT], whole[at.MARK], whole[at.ORDER]
    flags, clones, lights, controls = whole[at.FLAGS], whole[at.CLONE], real[at.LIGHT], real[at.CONTROL]
    lengths, leaves, wood, sapwood = real[at.LENGTH], real[at.LEAF], real[at.WOOD], real[at.SAPWOOD]
    per_leaf = par[at.P_TWIG] * par[at.P_UNITS] / max(pools[at.LEAF_UNIT], 1e-6)
    row = np.uint64(first)
    while row < count[0]:
        mother, past = np.uint64(parents[row]), row + np.uint64(numbers[row])
        order, kept = orders[row], at.GRAFT_AXIS
        if order == orders[mother]:
            kept |= at.TRUNK
        flag, clone = flags[mother] & kept, clones[mother]
        light, control = lights[mother], controls[mother]
        length_mm, leaf_cm2 = shoot_of(pools, par, real[at.VIGOUR, row])
        length, leaf = np.float32(length_mm), np.float32(leaf_cm2)
        # A shoot with more leaf is thicker from the start.
        thick = np.float32(max(par[at.P_TWIG], leaf_cm2 * per_leaf))
        while row < past:
            lengths[row], leaves[row], wood[row], sapwood[row] = length, leaf, thick, thick
            orders[row], flags[row], clones[row] = order, flag, clone
            lights[row], controls[row] = light, control
            row += _NEXT


@compiled
def write_shoots(tree: Any, par: Any, luck: Any, first: Any) -> None:
    """Write all shoots that were noted, into the rows from `first` on."""
    real, whole, _ids, _pools, count = tree
    _clothe(tree, par, first)
    _lead(tree, par, luck, first)
    buds = np.int32(2 if par[at.P_OPPOSITE] > _HALF else 1)
    for row in range(first, count[0]):
        whole[at.BORN, row] = luck[2]
    for row in range(first, count[0]):
        whole[at.BUDS, row] = buds
    for row in range(first, count[0]):
        whole[at.MARK, row] = 0
    for column in range(at.WOUND, at.REALS):
        if not at.GROWN < column < at.WOUND_LOSS:
            for row in range(first, count[0]):
                real[column, row] = _ZERO


@compiled
def extend(tree: Any, par: Any, luck: Any, row: Any, units: Any) -> Any:
    """Carry an axis on from a tip by the whole units of its vigour; the first new row or -1."""
    first = note_shoot(tree, par, row, (_ON, units, 0.0, _ON))
    if first >= 0:
        write_shoots(tree, par, luck, first)
    return first


@compiled
def branch_off(tree: Any, par: Any, luck: Any, row: Any, shoot: Any) -> Any:
    """A side shoot on a segment; `shoot` is (slot, units, rad wider than usual); its first row or -1."""
    first = note_shoot(tree, par, row, (np.int64(shoot[0]), shoot[1], shoot[2], _ASIDE))
    if first >= 0:
        write_shoots(tree, par, luck, first)
    return first
