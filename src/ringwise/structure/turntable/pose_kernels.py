"""Compiled: what each view says of a place, and which sights of a view meet wood of the others."""

from __future__ import annotations

from typing import Any

import numpy as np

from ringwise.kit.kernels import compiled
from ringwise.structure.turntable.carve_kernels import FX, HEIGHT, WIDTH, T, between, depth_at, place
from ringwise.structure.turntable.radius_kernels import sight


@compiled
def depths_by_view(points: Any, distance: Any, cameras: Any, rules: Any, out: Any) -> None:
    """Distance to the silhouette's edge in each view, in mm; NaN where a view does not see the point.

    `rules`: floor below which a view excludes a point, and how many may; with one more the row stays NaN.
    """
    floor, most = rules
    out[:] = np.nan
    for row in range(len(points)):
        excluded = 0
        for view in range(len(cameras)):
            camera = cameras[view]
            u, v, depth = place(camera, points[row, 0], points[row, 1], points[row, 2])
            if depth <= 0.0 or u < 0.0 or v < 0.0 or u > camera[WIDTH] - 1.0 or v > camera[HEIGHT] - 1.0:
                continue
            value = between(distance[view], u, v) * depth / camera[FX]
            out[row, view] = value
            if value < floor:
                excluded += 1
                if excluded > most:
                    out[row] = np.nan
                    break


@compiled
def meets(pixels: Any, camera: Any, reach: Any, others: Any, rules: Any) -> Any:
    """How many pixels of a camera look at a point whose `depth_at` by the others is not below the floor.

    `reach`: nearest and farthest way along the sights and the step, in mm; `others`: distances and cameras;
    `rules` as for `depth_at`.
    """
    near, far, step = reach
    distance, cameras = others
    ray, point, centre = np.empty(3), np.empty(3), np.empty(3)
    for axis in range(3):
        centre[axis] = -(
            camera[axis] * camera[T] + camera[3 + axis] * camera[T + 1] + camera[6 + axis] * camera[T + 2]
        )
    found = 0
    for row in range(len(pixels)):
        sight(camera, pixels[row, 0], pixels[row, 1], ray)
        way = near
        while way <= far:
            for axis in range(3):
                point[axis] = centre[axis] + way * ray[axis]
            value, _who = depth_at(point, distance, cameras, rules)
            if value >= rules[0]:
                found += 1
                break
            way += step
    return found
