"""Compiled: where points fall on many views, and how deep they lie inside all silhouettes."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.kit.kernels import compiled

FAR_OUTSIDE = np.float32(-1e6)
# Columns of the packed cameras: R by rows, t, fx, fy, cx, cy, k1, width, height.
T, FX, FY, CX, CY, K1, WIDTH, HEIGHT, COLUMNS = 9, 12, 13, 14, 15, 16, 17, 18, 19


@compiled
def place(camera: Any, x: Any, y: Any, z: Any) -> Any:
    """Pixel and depth of a point; depth 0 or less where the camera cannot see it."""
    depth = camera[6] * x + camera[7] * y + camera[8] * z + camera[T + 2]
    if depth <= 1e-9:
        return 0.0, 0.0, -1.0
    a = (camera[0] * x + camera[1] * y + camera[2] * z + camera[T]) / depth
    b = (camera[3] * x + camera[4] * y + camera[5] * z + camera[T + 1]) / depth
    square = a * a + b * b
    if 1.0 + 3.0 * camera[K1] * square <= 0.0:
        return 0.0, 0.0, -1.0
    bend = 1.0 + camera[K1] * square
    return camera[FX] * a * bend + camera[CX], camera[FY] * b * bend + camera[CY], depth


@compiled
def between(picture: Any, u: Any, v: Any) -> Any:
    """Bilinear value of a picture; places outside take the nearest edge."""
    high, wide = picture.shape
    u = min(max(u, 0.0), wide - 1.001)
    v = min(max(v, 0.0), high - 1.001)
    i, j = int(v), int(u)
    p, q = v - i, u - j
    upper = picture[i, j] * (1.0 - q) + picture[i, j + 1] * q
    lower = picture[i + 1, j] * (1.0 - q) + picture[i + 1, j + 1] * q
    return upper * (1.0 - p) + lower * p


@compiled
def depth_at(point: Any, distance: Any, cameras: Any, rules: Any) -> Any:
    """Least distance to a silhouette's edge over the views, in mm, and the view that says so.

    `rules`: floor below which the search stops, share of views that must see the point, radius in mm
    within which a point beyond the frame still counts as seen.
    """
    floor, least_seen, reach = rules
    views = len(cameras)
    least, who, seen = 1e6, -1, 0
    for view in range(views):
        camera = cameras[view]
        u, v, depth = place(camera, point[0], point[1], point[2])
        if depth <= 0.0:
            continue
        scale = depth / camera[FX]
        beyond = max(max(-u, u - camera[WIDTH] + 1.0), max(-v, v - camera[HEIGHT] + 1.0))
        if beyond > 0.0:
            if beyond * scale <= reach:
                seen += 1
            continue
        seen += 1
        value = between(distance[view], u, v) * scale
        if value < least:
            least, who = value, view
            if least < floor:
                return least, who
    if seen < least_seen * views:
        return -1e6, -1
    return least, who


@compiled
def depths(points: Any, distance: Any, cameras: Any, rules: Any, out: Any) -> None:
    """`depth_at` of many points."""
    for row in range(len(points)):
        value, _who = depth_at(points[row], distance, cameras, rules)
        out[row] = value


@compiled
def hold(cells: Any, blocks: Any, count: Any) -> Any:
    """A sparse grid: for each block of 8 x 8 x 8 cells the row of each cell, -1 where there is none."""
    rows = np.full((count, 8, 8, 8), -1, np.int32)
    for row in range(len(cells)):
        i, j, k = cells[row, 0], cells[row, 1], cells[row, 2]
        rows[blocks[i >> 3, j >> 3, k >> 3], i & 7, j & 7, k & 7] = row
    return rows


@compiled
def number_blocks(cells: Any, blocks: Any) -> Any:
    """Number the blocks that hold a cell."""
    count = 0
    for row in range(len(cells)):
        i, j, k = cells[row, 0] >> 3, cells[row, 1] >> 3, cells[row, 2] >> 3
        if blocks[i, j, k] < 0:
            blocks[i, j, k] = count
            count += 1
    return count


@compiled
def cell_at(blocks: Any, rows: Any, i: Any, j: Any, k: Any) -> Any:
    """Row of a cell, -1 where there is none."""
    if i < 0 or j < 0 or k < 0:
        return -1
    a, b, c = i >> 3, j >> 3, k >> 3
    if a >= blocks.shape[0] or b >= blocks.shape[1] or c >= blocks.shape[2]:
        return -1
    block = blocks[a, b, c]
    if block < 0:
        return -1
    return rows[block, i & 7, j & 7, k & 7]


@compiled
def climb(points: Any, tangents: Any, distance: Any, cameras: Any, rules: Any) -> None:
    """Move points uphill of the inside depth, at right angles to their axis; `rules` with a fourth: step."""
    floor, least_seen, reach, step = rules
    plain = (floor, least_seen, reach)
    side = np.empty((2, 3))
    trial = np.empty(3)
    for row in range(len(points)):
        t = tangents[row]
        flat = math.sqrt(t[0] * t[0] + t[1] * t[1])
        if flat > 1e-3:
            side[0, 0], side[0, 1], side[0, 2] = -t[1] / flat, t[0] / flat, 0.0
        else:
            side[0, 0], side[0, 1], side[0, 2] = 1.0, 0.0, 0.0
        side[1, 0] = t[1] * side[0, 2] - t[2] * side[0, 1]
        side[1, 1] = t[2] * side[0, 0] - t[0] * side[0, 2]
        side[1, 2] = t[0] * side[0, 1] - t[1] * side[0, 0]
        best, _who = depth_at(points[row], distance, cameras, plain)
        size = step
        for _try in range(12):
            moved = False
            for way in range(4):
                sign = 1.0 if way < 2 else -1.0
                for axis in range(3):
                    trial[axis] = points[row, axis] + sign * size * side[way % 2, axis]
                value, _who = depth_at(trial, distance, cameras, plain)
                if value > best:
                    best, moved = value, True
                    for axis in range(3):
                        points[row, axis] = trial[axis]
            if not moved:
                size *= 0.5
                if size < 0.1 * step:
                    break
