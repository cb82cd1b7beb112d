"""Compiled: which pixels each limb covers in each view, and which limbs nothing needs."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.kit.kernels import compiled
from ringwise.structure.turntable.carve_kernels import FX, HEIGHT, WIDTH, place


@compiled
def cover(limb: Any, camera: Any, more_px: Any, stamp: Any, out: Any) -> Any:
    """Pixels of one limb in one view: marked in `stamp` by its number, and listed in `out` while it has room.

    `limb`: points, radii, number. Returns how many pixels it covers.
    """
    points, radii, number = limb
    high, wide = int(camera[HEIGHT]), int(camera[WIDTH])
    found = 0
    for row in range(max(len(points) - 1, 1)):
        last = min(row + 1, len(points) - 1)
        u, v, depth = place(camera, points[row, 0], points[row, 1], points[row, 2])
        u2, v2, depth2 = place(camera, points[last, 0], points[last, 1], points[last, 2])
        if depth <= 0.0 or depth2 <= 0.0:
            continue
        r = radii[row] * camera[FX] / depth + more_px
        r2 = radii[last] * camera[FX] / depth2 + more_px
        most = max(r, r2)
        du, dv = u2 - u, v2 - v
        square = max(du * du + dv * dv, 1e-12)
        left, right = max(int(min(u, u2) - most), 0), min(int(max(u, u2) + most) + 1, wide - 1)
        top, foot = max(int(min(v, v2) - most), 0), min(int(max(v, v2) + most) + 1, high - 1)
        for y in range(top, foot + 1):
            for x in range(left, right + 1):
                if stamp[y, x] == number:
                    continue
                part = ((x - u) * du + (y - v) * dv) / square
                # Both ends of a limb are cut flat; between its pieces the joints are round.
                if (part < 0.0 and row == 0) or (part > 1.0 and row >= len(points) - 2):
                    continue
                part = min(max(part, 0.0), 1.0)
                a, b, c = x - u - part * du, y - v - part * dv, r + part * (r2 - r)
                if c > 0.0 and a * a + b * b <= c * c:
                    stamp[y, x] = number
                    if found < len(out):
                        out[found] = y * wide + x
                    found += 1
    return found


@compiled
def cover_all(limbs: Any, cameras: Any, more_px: Any, size: Any, counts: Any) -> Any:
    """Pixels of all limbs in all views, packed; `counts` (views, pixels) is how many limbs cover each.

    `limbs`: points, radii, first row of each. The list of limb l in view v begins at start[l * views + v].
    """
    points, radii, first = limbs
    views, number = len(cameras), len(first) - 1
    start = np.zeros(number * views + 1, np.int64)
    room = 1 << 20
    pixels = np.empty(room, np.int32)
    taken = np.empty(0, np.int32)
    for view in range(views):
        stamp = np.full(size, -1, np.int32)
        for limb in range(number):
            rows = (points[first[limb] : first[limb + 1]], radii[first[limb] : first[limb + 1]], limb)
            start[limb * views + view + 1] = cover(rows, cameras[view], more_px, stamp, taken)
    for spot in range(number * views):
        start[spot + 1] += start[spot]
    pixels = np.empty(start[-1], np.int32)
    wide = size[1]
    for view in range(views):
        stamp = np.full(size, -1, np.int32)
        for limb in range(number):
            rows = (points[first[limb] : first[limb + 1]], radii[first[limb] : first[limb + 1]], limb)
            spot = limb * views + view
            own = pixels[start[spot] : start[spot + 1]]
            cover(rows, cameras[view], more_px, stamp, own)
            for pixel in own:
                counts[view, pixel // wide, pixel % wide] += 1
    return pixels, start


@compiled
def alone(limb: Any, views: Any, pixels: Any, start: Any, counts: Any) -> Any:
    """Share of a limb's pixels that no other limb covers, mean over the best quarter of the views."""
    wide = counts.shape[2]
    shares = np.zeros(views, np.float64)
    for view in range(views):
        own = pixels[start[limb * views + view] : start[limb * views + view + 1]]
        single = 0
        for pixel in own:
            if counts[view, pixel // wide, pixel % wide] == 1:
                single += 1
        shares[view] = single / max(len(own), 1)
    shares.sort()
    best = max(views // 4, 1)
    return shares[views - best :].mean()


@compiled
def prune(parent: Any, packed: Any, counts: Any, least: Any, keep: Any) -> Any:
    """Let go of end limbs that explain too little alone, the least first, until each of the rest does.

    `keep` is 1 for each limb that stays; returns the share of each limb when it was last looked at.
    """
    pixels, start = packed
    number, views = len(parent), counts.shape[0]
    wide = counts.shape[2]
    share = np.ones(number, np.float64)
    children = np.zeros(number, np.int64)
    for limb in range(number):
        if parent[limb] >= 0:
            children[parent[limb]] += 1
    changed = True
    while changed:
        changed = False
        for limb in range(number):
            share[limb] = 2.0
            if keep[limb] and children[limb] == 0 and parent[limb] >= 0:
                share[limb] = alone(limb, views, pixels, start, counts)
        for limb in np.argsort(share):
            if share[limb] >= 2.0 or not keep[limb]:
                continue
            if share[limb] >= least[limb]:
                continue
            share[limb] = alone(limb, views, pixels, start, counts)
            if share[limb] >= least[limb]:
                continue
            keep[limb] = 0
            changed = True
            children[parent[limb]] -= 1
            for view in range(views):
                own = pixels[start[limb * views + view] : start[limb * views + view + 1]]
                for pixel in own:
                    counts[view, pixel // wide, pixel % wide] -= 1
    return share


@compiled
def accounted(limbs: Any, cameras: Any, pictures: Any, foot: Any) -> Any:
    """For each view: wood pixels, those that the limbs cover, and pixels that the limbs cover at all.

    `limbs`: points and radii for each view, since wood that is not round looks different from each side, and
    first rows. Rows of a picture from `foot` down show the cut base from above and do not count.
    Pixels below 0 tell nothing and do not count.
    """
    points, radii, first = limbs
    views = len(cameras)
    out = np.zeros((views, 3), np.int64)
    high, wide = pictures.shape[1], pictures.shape[2]
    none = np.empty(0, np.int32)
    for view in range(views):
        stamp = np.full((high, wide), -1, np.int32)
        for limb in range(len(first) - 1):
            own = slice(first[limb], first[limb + 1])
            cover((points[view, own], radii[view, own], limb), cameras[view], 0.0, stamp, none)
        for y in range(min(high, foot[view])):
            for x in range(wide):
                if pictures[view, y, x] < 0.0:
                    continue
                wood = pictures[view, y, x] > 0.5
                covered = stamp[y, x] >= 0
                out[view, 0] += wood
                out[view, 1] += wood and covered
                out[view, 2] += covered
    return out


@compiled
def within(point: Any, points: Any, radii: Any) -> Any:
    """How far a place lies from a chain of cones, less their radius; negative inside."""
    best = 1e9
    for row in range(len(points) - 1):
        square, along = 0.0, 0.0
        for axis in range(3):
            span = points[row + 1, axis] - points[row, axis]
            square += span * span
            along += span * (point[axis] - points[row, axis])
        part = min(max(along / max(square, 1e-12), 0.0), 1.0)
        gap = 0.0
        for axis in range(3):
            place_on = points[row, axis] + part * (points[row + 1, axis] - points[row, axis])
            gap += (point[axis] - place_on) ** 2
        value = math.sqrt(gap) - (radii[row] + part * (radii[row + 1] - radii[row]))
        best = min(best, value)
    return best
