"""Cuts and bends of single branches, compiled: taken off at the collar, headed back, wired and let go.

A branch is found by its height and its clock position, seen from above with the front at 6. A place at
which no branch stands is left alone.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.tree_kernels import continuation, place_ends
from ringwise.growth.wood_kernels import kept_bend
from ringwise.kit.kernels import compiled_in_place as compiled
from ringwise.operations.effects import split_segment, split_trunk, take_off

_HOUR_RAD = math.pi / 6.0


@compiled
def branch_at(tree: Any, par: Any, height_mm: Any, clock: Any) -> Any:
    """The first segment of the branch that stands nearest to a place on the trunk, -1 where none is near."""
    real, whole, _ids, _pools, count = tree
    top = 1.0
    for row in range(count[0]):
        top = max(top, real[at.END_Z, row])
    best: Any = np.int64(-1)
    least = 2.0
    for row in range(1, count[0]):
        parent = whole[at.PARENT, row]
        if whole[at.ORDER, row] <= whole[at.ORDER, parent] or whole[at.ORDER, parent] > 0:
            continue
        turn = math.atan2(real[at.DIR_X, row], real[at.DIR_Y, row]) - clock * _HOUR_RAD
        turn = abs(turn - 2.0 * math.pi * math.floor(turn / (2.0 * math.pi) + 0.5))
        rise = abs(real[at.END_Z, parent] - height_mm) / top
        if turn <= par[at.P_PLACE_TURN] and rise <= par[at.P_PLACE_RISE]:
            far = (turn / par[at.P_PLACE_TURN]) ** 2 + (rise / par[at.P_PLACE_RISE]) ** 2
            if far < least or (far == least and real[at.WOOD, row] > real[at.WOOD, best]):
                best, least = np.int64(row), far
    return best


@compiled
def prune(tree: Any, par: Any, half: Any, site: Any) -> Any:
    """Take a branch off at its collar, or all wood above a height; `site` is (height, clock or -1, stub)."""
    height_mm, clock, stub = site
    if clock >= 0.0:
        return take_off(tree, par, half, branch_at(tree, par, height_mm, clock), stub)
    return take_off(tree, par, half, split_trunk(tree, height_mm), stub) if height_mm > 0.0 else 0


@compiled
def head_back(tree: Any, par: Any, half: Any, site: Any) -> Any:
    """Shorten a branch to a share of its length; `site` is (height, clock, share kept or 0)."""
    height_mm, clock, kept = site
    row = branch_at(tree, par, height_mm, clock)
    if row < 0:
        return 0
    real = tree[0]
    total, last = real[at.LENGTH, row], row
    while continuation(tree, last) >= 0:
        last = continuation(tree, last)
        total += real[at.LENGTH, last]
    left = total * (kept if kept > 0.0 else par[at.P_HEAD_SHARE])
    while left > real[at.LENGTH, row] and continuation(tree, row) >= 0:
        left -= real[at.LENGTH, row]
        row = continuation(tree, row)
    upper = split_segment(tree, row, left / real[at.LENGTH, row])
    if upper < 0:
        return 0
    below = np.int64(tree[1][at.PARENT, upper])
    removed = take_off(tree, par, half, upper, 0.0)
    tree[1][at.BUDS, below] += 1
    return removed


@compiled
def turn_subtree(tree: Any, row: Any, angle_rad: Any) -> None:
    """Turn a branch about the level axis across it; a positive angle lowers it."""
    real, whole, _ids, _pools, count = tree
    x, y = real[at.DIR_X, row], real[at.DIR_Y, row]
    size = math.sqrt(x * x + y * y)
    if size <= 0.0:
        return
    ax, ay = -y / size, x / size  # level, so that turning about it lowers the branch
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    for each in range(row, count[0]):
        whole[at.MARK, each] = 1 if each == row or whole[at.MARK, whole[at.PARENT, each]] == 1 else 0
        if whole[at.MARK, each] == 1:
            dx, dy, dz = real[at.DIR_X, each], real[at.DIR_Y, each], real[at.DIR_Z, each]
            along = (ax * dx + ay * dy) * (1.0 - c)
            real[at.DIR_X, each] = dx * c + ay * dz * s + ax * along
            real[at.DIR_Y, each] = dy * c - ax * dz * s + ay * along
            real[at.DIR_Z, each] = dz * c + (ax * dy - ay * dx) * s
    for each in range(row, count[0]):
        whole[at.MARK, each] = 0
    place_ends(tree)


@compiled
def wire(tree: Any, par: Any, site: Any) -> Any:
    """Wire a branch and bend it, or all twigs without a bend; `site` is (height, clock or -1, radians)."""
    height_mm, clock, bend = site
    real, whole, _ids, _pools, count = tree
    if clock < 0.0:
        wired = 0
        for row in range(1, count[0]):
            if whole[at.ORDER, row] > 0 and real[at.WIRE_RADIUS, row] <= 0.0:
                real[at.WIRE_RADIUS, row] = math.sqrt(real[at.WOOD, row] / math.pi)
                wired += 1
        return wired
    first = branch_at(tree, par, height_mm, clock)
    if first < 0:
        return 0
    angle = bend if bend != 0.0 else par[at.P_BEND]
    turn_subtree(tree, first, angle)
    real[at.WIRE_ANGLE, first] += angle
    row, wired = first, 0
    while row >= 0:
        real[at.WIRE_RADIUS, row] = math.sqrt(real[at.WOOD, row] / math.pi)
        real[at.WIRE_YEARS, row] = 0.0
        wired += 1
        row = continuation(tree, row)
    return wired


@compiled
def unwire(tree: Any) -> Any:
    """Take all wire off; each bend springs back by what has not set. How many segments were freed."""
    real, count = tree[0], tree[4]
    freed = 0
    for row in range(count[0]):
        if real[at.WIRE_RADIUS, row] > 0.0:
            if real[at.WIRE_ANGLE, row] != 0.0:
                back = real[at.WIRE_ANGLE, row] * (1.0 - kept_bend(tree, row))
                turn_subtree(tree, row, -back)
            real[at.WIRE_RADIUS, row], real[at.WIRE_ANGLE, row], real[at.WIRE_YEARS, row] = 0.0, 0.0, 0.0
            freed += 1
    return freed
