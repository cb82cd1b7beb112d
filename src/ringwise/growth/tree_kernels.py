"""Compiled ground work on a tree's arrays: keyed draws, sums along the wood, removal.

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
from ringwise.kit.kernels import compiled_inside

_GOLDEN = np.uint64(0x9E3779B97F4A7C15)
_MIX_1 = np.uint64(0xBF58476D1CE4E5B9)
_MIX_2 = np.uint64(0x94D049BB133111EB)
_POSITIVE = np.uint64(0x3FFFFFFFFFFFFFFF)  # ids stay positive, also doubled for the two uniforms of a normal
_UNIT = 1.0 / 9007199254740992.0  # 2 to the -53: spacing of the uniforms


@compiled_inside
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


@compiled_inside
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


@compiled_inside
def child_id(parent_id: Any, slot: Any, year: Any) -> Any:
    """The stable name of a new segment: its parent's, which bud, which year."""
    return mix64(parent_id ^ (np.uint64(slot + 1) * np.uint64(1000003) + np.uint64(year + 5000))) & _POSITIVE


@compiled
def logistic(x: Any) -> Any:
    """The logistic function."""
    return 1.0 / (1.0 + math.exp(-x))


@compiled
def count_children(tree: Any) -> None:
    """Children of each segment, into its column; shoots, cuts and closing ranks then keep it up to date."""
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
