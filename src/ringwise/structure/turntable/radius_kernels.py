"""Compiled: the two edges of a branch in every view, as distances of sight rays from its axis."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.kit.kernels import compiled
from ringwise.structure.turntable.carve_kernels import CX, CY, FX, FY, HEIGHT, K1, WIDTH, T, between, place


@compiled
def sight(camera: Any, u: Any, v: Any, out: Any) -> None:
    """Unit vector in the world along which a pixel looks."""
    bent_a = (u - camera[CX]) / camera[FX]
    bent_b = (v - camera[CY]) / camera[FY]
    a, b = bent_a, bent_b
    if camera[K1] != 0.0:
        for _round in range(8):
            bend = 1.0 + camera[K1] * (a * a + b * b)
            a, b = bent_a / bend, bent_b / bend
    norm = 1.0 / math.sqrt(a * a + b * b + 1.0)
    for axis in range(3):
        out[axis] = (camera[axis] * a + camera[3 + axis] * b + camera[6 + axis]) * norm


@compiled
def _edge(picture: Any, start: Any, step: Any, along: Any, most: Any) -> Any:
    """How far from a place, in px, the coverage first falls through one half; -1 where it does not."""
    u, v = start
    du, dv = step
    tu, tv = along
    before = -1.0
    far = 0.0
    while far <= most:
        x, y = u + far * du, v + far * dv
        value = 0.5 * between(picture, x, y)
        value += 0.25 * between(picture, x + tu, y + tv) + 0.25 * between(picture, x - tu, y - tv)
        if value < 0.5:
            if before < 0.0:
                return -1.0
            return far - 0.5 * (0.5 - value) / (before - value)
        before = value
        far += 0.5
    return -1.0


@compiled
def _apart(point: Any, tangent: Any, camera: Any, ray: Any, cross: Any) -> Any:
    """Signed distance between a sight ray and an axis; `cross` becomes the direction it is along."""
    cross[0] = ray[1] * tangent[2] - ray[2] * tangent[1]
    cross[1] = ray[2] * tangent[0] - ray[0] * tangent[2]
    cross[2] = ray[0] * tangent[1] - ray[1] * tangent[0]
    slant = math.sqrt(cross[0] ** 2 + cross[1] ** 2 + cross[2] ** 2)
    apart = 0.0
    for axis in range(3):
        # The centre is -R^T t; the ray leaves it, so that point - centre is what is left of the axis.
        centre = -(
            camera[axis] * camera[T] + camera[3 + axis] * camera[T + 1] + camera[6 + axis] * camera[T + 2]
        )
        cross[axis] /= slant
        apart += (centre - point[axis]) * cross[axis]
    return apart, slant


@compiled
def flanks(nodes: Any, pictures: Any, cameras: Any, rules: Any, out: Any) -> None:
    """Both edges of each node in each view.

    `nodes`: points, tangents, expected radii in mm. `rules`: most times the expected half width to look,
    px added to it, least sine between sight and axis. `out` (n, views, 8): the edges' signed distances from
    the axis in mm, each with the direction that it is along; NaN where there are not two edges.
    """
    points, tangents, radii = nodes
    reach, more, least_slant = rules
    ray, cross = np.empty(3), np.empty(3)
    for row in range(len(points)):
        p, t = points[row], tangents[row]
        for view in range(len(cameras)):
            out[row, view, 0] = np.nan
            camera = cameras[view]
            u, v, depth = place(camera, p[0], p[1], p[2])
            if depth <= 0.0 or u < 1.0 or v < 1.0 or u > camera[WIDTH] - 2.0 or v > camera[HEIGHT] - 2.0:
                continue
            scale = depth / camera[FX]
            u2, v2, depth2 = place(camera, p[0] + scale * t[0], p[1] + scale * t[1], p[2] + scale * t[2])
            du, dv = u2 - u, v2 - v
            size = math.sqrt(du * du + dv * dv)
            if depth2 <= 0.0 or size < least_slant:
                continue
            du, dv = du / size, dv / size
            most = reach * radii[row] / scale + more
            one = _edge(pictures[view], (u, v), (-dv, du), (du, dv), most)
            if one < 0.0:
                continue
            other = _edge(pictures[view], (u, v), (dv, -du), (du, dv), most)
            if other < 0.0:
                continue
            sight(camera, u - one * dv, v + one * du, ray)
            first, _slant = _apart(p, t, camera, ray, cross)
            out[row, view, 2], out[row, view, 3], out[row, view, 4] = cross[0], cross[1], cross[2]
            sight(camera, u + other * dv, v - other * du, ray)
            second, _slant = _apart(p, t, camera, ray, cross)
            out[row, view, 0] = first
            out[row, view, 1] = second
            out[row, view, 5], out[row, view, 6], out[row, view, 7] = cross[0], cross[1], cross[2]
