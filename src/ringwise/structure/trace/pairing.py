"""Which place of a branch on one photo is which on the other: by height and by order along the branch.

A place on the first photo lies somewhere on a line of sight; seen from the side that line crosses the
branch, nearly level. Of all ways to walk both lines from base to tip without turning back, the one is taken
on which the lines of sight pass each other closest. Where a branch runs level every height fits, and the
share of its length decides; such places are called unsure.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy.ndimage import gaussian_filter1d

from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.structure.cameras import Camera
from ringwise.structure.polyline import places_at
from ringwise.structure.trace.rules import TraceRules

_MOST_PLACES = 140  # a line is thinned to so many for the walk
_FINER = 3  # columns of the walk for each row: steps between whole places
_LONGEST_STEP = 12  # columns that one row may pass
_STEP_WEIGHT = 0.3  # costs of a step twice as long as usual, in squared sd of height
_WORST_SD = 8.0  # nothing costs more than this: one bad click must not bend the walk
_HEIGHT_SD_FRAC = 0.5  # of the sd of a click: snapped lines are surer


class Anchor(NamedTuple):
    """A place known on both lines, as shares of their lengths in stations, and its spread on the second."""

    first_frac: float
    second_frac: float
    sd: float


@dataclass(frozen=True)
class Paired:
    """Places of a branch in the world, and where they lie along the lines of both photos.

    `first_at` and `second_at` count stations and may lie between two of them; `apart_px` tells how far the
    lines of sight miss each other on the second photo, downwards; `level` where the branch runs level.
    """

    points_mm: FloatArray
    first_at: FloatArray
    second_at: FloatArray
    apart_px: FloatArray
    level: BoolArray


def paired(
    first_px: FloatArray,
    second_px: FloatArray,
    cameras: tuple[Camera, Camera],
    rules: TraceRules,
    anchors: Sequence[Anchor] = (),
) -> Paired:
    """The branch in the world.

    Parameters
    ----------
    first_px, second_px : (n, 2), (m, 2) float
        Stations from base to tip on the two photos.
    cameras : tuple of Camera
        Their cameras.
    rules : TraceRules
        From the table.
    anchors : sequence of Anchor
        Places that are known to be the same on both, such as where a side branch begins.

    Returns
    -------
    Paired
        In order from base to tip.

    Source
    ------
    own: the least cost of a walk in order (dynamic programming), then the place nearest to both lines.

    Examples
    --------
    >>> k = np.array([[900.0, 0, 100], [0, 900, 100], [0, 0, 1]])
    >>> front = Camera("front", k, [[1, 0, 0], [0, 0, -1], [0, 1, 0]], [0, 0, 900.0])
    >>> side = Camera("side", k, [[0, 1, 0], [0, 0, -1], [-1, 0, 0]], [0, 0, 900.0])
    >>> line = np.linspace([0.0, 0, 0], [30.0, 20, 60], 21)
    >>> from ringwise.structure.trace.rules import trace_rules
    >>> found = paired(front.project(line)[0], side.project(line)[0], (front, side), trace_rules())
    >>> found.points_mm[-1].round(1).tolist()
    [30.0, 20.0, 60.0]
    """
    first_at = _thinned(len(first_px), _MOST_PLACES)
    second_at = np.linspace(0.0, len(second_px) - 1.0, _FINER * (len(first_at) - 1) + 1)
    a, b = _at(first_px, first_at), _at(second_px, second_at)
    sd_px = _HEIGHT_SD_FRAC * rules.click_sd_px
    cost = np.minimum(_miss_px(a, b, cameras) / sd_px, _WORST_SD) ** 2 / 2.0
    t = np.linspace(0.0, 1.0, len(b))
    length_px = float(np.linalg.norm(np.diff(second_px, axis=0), axis=1).sum())
    end_sd = max(rules.click_sd_px / max(length_px, 1.0), 0.5 / len(b))
    ends = (Anchor(0.0, 0.0, end_sd), Anchor(1.0, 1.0, end_sd))
    for anchor in (*anchors, *ends):
        row = round(anchor.first_frac * (len(a) - 1))
        cost[row] += np.minimum(np.abs(t - anchor.second_frac) / anchor.sd, _WORST_SD) ** 2 / 2.0
    chosen_at = _smoothed(second_at[_walked(cost)])
    return _placed(first_px, second_px, first_at, chosen_at, cameras, rules)


def _thinned(count: int, most: int) -> FloatArray:
    return np.linspace(0.0, count - 1.0, min(count, most))


def _at(line: FloatArray, at: FloatArray) -> FloatArray:
    """Places between the stations of a line."""
    return places_at(line, np.arange(len(line), dtype=np.float64), at)


def _miss_px(a: FloatArray, b: FloatArray, cameras: tuple[Camera, Camera]) -> FloatArray:
    """How far each place of the second photo lies off the sight of each place of the first, (n, m)."""
    one, other = cameras
    rays = one.rays(a)
    middle = one.t_mm[2]
    near, far = (
        other.project(one.centre_mm + rays * (middle * share / (rays @ one.axis))[:, None])[0]
        for share in (0.8, 1.2)
    )
    way = far - near
    way /= np.linalg.norm(way, axis=1)[:, None]
    off = b[None, :, :] - near[:, None, :]
    return np.asarray(off[..., 1] * way[:, None, 0] - off[..., 0] * way[:, None, 1]) * np.sign(way[:, :1])


def _walked(cost: FloatArray) -> IntArray:
    """For each row a column, never going back, with the least sum of costs and of uneven steps."""
    n, m = cost.shape
    total = cost[0].copy()
    came = np.zeros((n, m), dtype=np.int64)
    for row in range(1, n):
        best = np.full(m, np.inf)
        for step in range(_LONGEST_STEP + 1):
            uneven = _STEP_WEIGHT * (step / _FINER - 1.0) ** 2
            reached = np.full(m, np.inf)
            reached[step:] = total[: m - step] + uneven
            better = reached < best
            best = np.where(better, reached, best)
            came[row] = np.where(better, np.arange(m) - step, came[row])
        total = cost[row] + best
    out = np.empty(n, dtype=np.int64)
    out[-1] = int(np.argmin(total))
    for row in range(n - 1, 0, -1):
        out[row - 1] = came[row, out[row]]
    return out


def _smoothed(steps: FloatArray) -> FloatArray:
    """Places on the second line without the stairs of a walk over whole columns."""
    sd = max(1.0, len(steps) / 40.0)
    beyond = min(len(steps) - 1, int(np.ceil(4.0 * sd)))
    longer = np.pad(steps, beyond, mode="reflect", reflect_type="odd")
    smooth = gaussian_filter1d(longer, sd)[beyond : beyond + len(steps)]
    return np.maximum.accumulate(np.clip(smooth, steps.min(), steps.max()))


def _placed(
    first_px: FloatArray,
    second_px: FloatArray,
    first_at: FloatArray,
    second_at: FloatArray,
    cameras: tuple[Camera, Camera],
    rules: TraceRules,
) -> Paired:
    a, b = _at(first_px, first_at), _at(second_px, second_at)
    points = nearest_to_rays((cameras[0], a), (cameras[1], b))
    way = np.gradient(points, axis=0)
    rise = np.abs(way[:, 2]) / np.maximum(np.linalg.norm(way, axis=1), 1e-9)
    seen, _depth = cameras[1].project(points)
    other, _depth = cameras[0].project(points)
    apart = (b - seen)[:, 1] - (a - other)[:, 1]
    return Paired(points, first_at, second_at, apart, rise < np.sin(np.radians(rules.level_deg)))


def nearest_to_rays(*seen: tuple[Camera, FloatArray]) -> FloatArray:
    """Places nearest to the lines of sight of several cameras, in the least squares of the angle.

    Parameters
    ----------
    *seen : tuple of Camera and (n, 2) float
        A camera and the same n places on its photo.

    Returns
    -------
    (n, 3) float
        In the world.

    Source
    ------
    own: normal equations of the distances from the lines, weighted by one over the distance of the camera.

    Examples
    --------
    >>> k = np.array([[900.0, 0, 100], [0, 900, 100], [0, 0, 1]])
    >>> front = Camera("front", k, [[1, 0, 0], [0, 0, -1], [0, 1, 0]], [0, 0, 900.0])
    >>> side = Camera("side", k, [[0, 1, 0], [0, 0, -1], [-1, 0, 0]], [0, 0, 900.0])
    >>> place = np.array([[30.0, 20, 60]])
    >>> nearest_to_rays((front, front.project(place)[0]), (side, side.project(place)[0])).round(6).tolist()
    [[30.0, 20.0, 60.0]]
    """
    n = len(seen[0][1])
    matrix, wanted = np.zeros((n, 3, 3)), np.zeros((n, 3))
    for camera, pixels in seen:
        rays = camera.rays(pixels)
        across = (np.eye(3) - rays[:, :, None] * rays[:, None, :]) / camera.t_mm[2] ** 2
        matrix += across
        wanted += across @ camera.centre_mm
    return np.asarray(np.linalg.solve(matrix, wanted[..., None])[..., 0])
