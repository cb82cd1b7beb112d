"""Compiled: cheapest ways through the carved wood, and the paths that cover it."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.kit.kernels import compiled
from ringwise.structure.turntable.carve_kernels import cell_at


@compiled
def _push(heap: Any, keys: Any, size: Any, node: Any, key: Any) -> Any:
    spot = size
    while spot > 0:
        above = (spot - 1) >> 1
        if keys[above] <= key:
            break
        heap[spot] = heap[above]
        keys[spot] = keys[above]
        spot = above
    heap[spot] = node
    keys[spot] = key
    return size + 1


@compiled
def _pop(heap: Any, keys: Any, size: Any) -> Any:
    size -= 1
    node, key = heap[size], keys[size]
    spot = 0
    while True:
        child = 2 * spot + 1
        if child >= size:
            break
        if child + 1 < size and keys[child + 1] < keys[child]:
            child += 1
        if keys[child] >= key:
            break
        heap[spot] = heap[child]
        keys[spot] = keys[child]
        spot = child
    heap[spot] = node
    keys[spot] = key
    return size


@compiled
def cheapest_ways(cells: Any, blocks: Any, rows: Any, price: Any, root: Any) -> Any:
    """Cost from the root to every cell over 26 neighbours, and the cell before it, -1 where none leads."""
    n = len(cells)
    cost = np.full(n, np.inf, np.float64)
    before = np.full(n, -1, np.int32)
    room = 4 * n + 64
    heap = np.empty(room, np.int32)
    keys = np.empty(room, np.float64)
    size = _push(heap, keys, 0, root, 0.0)
    cost[root] = 0.0
    while size > 0:
        node, key = heap[0], keys[0]
        size = _pop(heap, keys, size)
        if key > cost[node]:
            continue
        for di in range(-1, 2):
            for dj in range(-1, 2):
                for dk in range(-1, 2):
                    span = di * di + dj * dj + dk * dk
                    if span == 0:
                        continue
                    other = cell_at(
                        blocks, rows, cells[node, 0] + di, cells[node, 1] + dj, cells[node, 2] + dk
                    )
                    if other < 0:
                        continue
                    next_cost = key + math.sqrt(span) * 0.5 * (price[node] + price[other])
                    if next_cost < cost[other]:
                        cost[other] = next_cost
                        before[other] = node
                        if size >= room:
                            room *= 2
                            more, more_keys = np.empty(room, np.int32), np.empty(room, np.float64)
                            more[:size], more_keys[:size] = heap[:size], keys[:size]
                            heap, keys = more, more_keys
                        size = _push(heap, keys, size, other, next_cost)
    return cost, before


@compiled
def _cover(cells: Any, blocks: Any, rows: Any, covered: Any, spot: Any) -> None:
    node, reach = spot
    most = np.int64(math.ceil(reach))
    for di in range(-most, most + 1):
        for dj in range(-most, most + 1):
            for dk in range(-most, most + 1):
                if di * di + dj * dj + dk * dk <= reach * reach:
                    other = cell_at(
                        blocks, rows, cells[node, 0] + di, cells[node, 1] + dj, cells[node, 2] + dk
                    )
                    if other >= 0:
                        covered[other] = 1


@compiled
def covering_paths(grid: Any, order: Any, before: Any, reach: Any, least: Any) -> Any:
    """Paths from the farthest uncovered cell down to those there are, until all is covered.

    `reach` is each cell's covering radius and `least` the shortest free way, both in cells. Packed: nodes
    of path p are nodes[first[p]:first[p + 1]], foot first; the foot lies on the path `parent[p]`.
    """
    cells, blocks, rows = grid
    n = len(cells)
    covered = np.zeros(n, np.uint8)
    owner = np.full(n, -1, np.int32)
    nodes = np.empty(2 * n + 16, np.int32)
    first = np.zeros(n + 2, np.int32)
    parent = np.full(n + 1, -1, np.int32)
    way = np.empty(n + 1, np.int32)
    count, filled = 0, 0
    for spot in range(n):
        start = order[spot]
        if covered[start] or (before[start] < 0 and count > 0):
            continue
        length, free, node, steps = 0.0, 0.0, start, 0
        while True:
            way[steps] = node
            steps += 1
            if owner[node] >= 0 or before[node] < 0:
                break
            below = before[node]
            span = 0.0
            for axis in range(3):
                span += (cells[node, axis] - cells[below, axis]) ** 2
            length += math.sqrt(span)
            if not covered[node]:
                free = length
            node = below
        if count > 0 and (free < least or owner[node] < 0):
            continue
        parent[count] = owner[node]
        for back in range(steps - 1, -1, -1):
            nodes[filled] = way[back]
            filled += 1
            if owner[way[back]] < 0:
                owner[way[back]] = count
            _cover(cells, blocks, rows, covered, (way[back], reach[way[back]]))
        count += 1
        first[count] = filled
    return nodes[:filled].copy(), first[: count + 1].copy(), parent[:count].copy()
