"""A traced branch in the world: its line, and a radius wherever a photo shows it clear of other wood."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.structure.polyline import places_at, way_along
from ringwise.structure.ramify import Luck
from ringwise.structure.trace.lines import SeenLine
from ringwise.structure.trace.pairing import Anchor, paired
from ringwise.structure.trace.poses import Pose
from ringwise.structure.trace.rules import TraceRules


@dataclass(frozen=True)
class Base:
    """Where a branch leaves its parent, and the spread of one coordinate of that place."""

    place_mm: FloatArray
    sd_mm: float


ROOT = Base(np.zeros(3), 0.0)  # of every trunk


@dataclass(frozen=True)
class Axis:
    """Places of a branch from base to tip; `radius_mm` is NaN where no clean width was seen.

    `widths_mm` holds the widths seen on each photo by view, NaN where not clean; `place_sd_mm` the spread
    of one coordinate; `sure` where all photos agree on the width; `level` where depth is unsure because the
    branch runs level.
    """

    points_mm: FloatArray
    radius_mm: FloatArray
    radius_sd_mm: FloatArray
    widths_mm: Mapping[str, FloatArray]
    place_sd_mm: FloatArray
    sure: BoolArray
    level: BoolArray
    apart_px: float  # how far the two photos' heights differ, median; NaN from one photo

    def at_nearest(self, pixel: FloatArray, pose: Pose) -> Base:
        """The place that a photo shows nearest to a pixel, for what stands on this branch."""
        pixels, _depth = pose.camera.project(self.points_mm)
        nearest = int(np.nanargmin(np.linalg.norm(pixels - pixel, axis=1)))
        return Base(np.asarray(self.points_mm[nearest]), float(self.place_sd_mm[nearest]))

    @property
    def along_mm(self) -> FloatArray:
        """Length of the line up to each place."""
        return way_along(self.points_mm)


def axis_of_two(
    seen: Mapping[str, SeenLine],
    poses: Mapping[str, Pose],
    forks_px: Sequence[Mapping[str, FloatArray]],
    *,
    is_trunk: bool,
    rules: TraceRules,
) -> Axis:
    """A branch that both photos show.

    Parameters
    ----------
    seen : mapping
        Its line by view.
    poses : mapping
        Cameras by view.
    forks_px : sequence of mapping
        Where its side branches begin, by view.
    is_trunk : bool
        A trunk is measured by its girth: the mean of both widths; a branch by the smaller one where they
        differ, because wood behind it can only widen it.
    rules : TraceRules
        From the table.

    Returns
    -------
    Axis
        In the world.

    Source
    ------
    own: width in mm = width in px times the distance over the focal length. Girth = pi times mean width
    (Cauchy).

    Examples
    --------
    >>> axis_of_two.__name__
    'axis_of_two'
    """
    longest = sorted(seen, key=lambda name: -float(seen[name].along_px[-1]) * poses[name].mm_per_px)
    one, other = longest
    anchors = [
        _anchor(seen[one], seen[other], fork[one], fork[other], rules) for fork in forks_px if len(fork) > 1
    ]
    found = paired(
        seen[one].line_px, seen[other].line_px, (poses[one].camera, poses[other].camera), rules, anchors
    )
    points = found.points_mm
    widths = {
        one: _width_mm(seen[one], found.first_at, points, poses[one], rules),
        other: _width_mm(seen[other], found.second_at, points, poses[other], rules),
    }
    px_mm = max(pose.mm_per_px for pose in poses.values())
    radius = _trunk_radius(widths) if is_trunk else _branch_radius(widths, rules)
    sure = _sure(widths, px_mm, is_trunk, rules)
    along = way_along(points)
    place_sd = np.hypot(
        0.5 * rules.click_sd_px * px_mm, rules.scale_sd_frac * np.linalg.norm(points, axis=1)
    ) + np.where(found.level, rules.level_sd_frac * along, 0.0)
    apart = float(np.median(np.abs(found.apart_px)))
    return Axis(points, radius, _radius_sd(radius, px_mm, rules), widths, place_sd, sure, found.level, apart)


def axis_of_one(
    seen: SeenLine, pose: Pose, base: Base, luck: Luck, *, is_trunk: bool, rules: TraceRules
) -> Axis:
    """A branch that one photo shows: its slope towards or away from the camera is drawn by luck.

    Parameters
    ----------
    seen : SeenLine
        Its line.
    pose : Pose
        The camera.
    base : Base
        Where it leaves its parent, or the root.
    luck : Luck
        Draws of this branch.
    is_trunk : bool
        A trunk leans less than a branch does.
    rules : TraceRules
        From the table.

    Returns
    -------
    Axis
        One of the equally likely branches.

    Source
    ------
    own reasoning: slopes are drawn evenly between their limits, the same along the branch. Of depths y =
    x tan s with s even in (-m, m) the mean square is x^2 (tan m / m - 1), and about one that was drawn it is
    larger by the square of that one; what the branch stands on adds its own spread. Wood that is not round
    shows one side of itself.

    Examples
    --------
    >>> axis_of_one.__name__
    'axis_of_one'
    """
    camera = pose.camera
    count = min(len(seen.line_px), 140)
    at = np.linspace(0.0, len(seen.line_px) - 1.0, count)
    whole = np.arange(len(seen.line_px), dtype=np.float64)
    pixels = places_at(seen.line_px, whole, at)
    depth_mm = float((camera.r @ base.place_mm + camera.t_mm)[2])
    spread = np.radians(rules.trunk_slope_deg if is_trunk else rules.branch_slope_deg)
    most = min(np.sqrt(3.0) * spread, np.radians(rules.most_slope_deg))
    rise = np.tan(luck.between(-most, most))
    run_mm = way_along(pixels) * pose.mm_per_px
    rays = camera.rays(pixels)
    reach = (depth_mm + run_mm * rise) / (rays @ camera.axis)
    points = camera.centre_mm + rays * reach[:, None]
    width = _width_mm(seen, at, points, pose, rules)
    radius = 0.5 * width
    depth_sd = np.hypot(base.sd_mm, run_mm * np.sqrt(np.tan(most) / most - 1.0 + rise**2))
    unseen_frac = np.hypot(rules.one_side_sd_frac, depth_sd / depth_mm)
    radius_sd = np.hypot(_radius_sd(radius, pose.mm_per_px, rules), unseen_frac * radius)
    place_sd = np.hypot(rules.click_sd_px * pose.mm_per_px, depth_sd)
    level = np.zeros(count, dtype=bool)
    return Axis(points, radius, radius_sd, {camera.name: width}, place_sd, np.isfinite(width), level, np.nan)


def _anchor(
    one: SeenLine, other: SeenLine, first_px: FloatArray, second_px: FloatArray, rules: TraceRules
) -> Anchor:
    """Where a side branch begins on both lines; its click may lie anywhere on the wood."""
    rows = [
        int(np.linalg.norm(line.line_px - place, axis=1).argmin())
        for line, place in ((one, first_px), (other, second_px))
    ]
    counts = [len(line.line_px) - 1 for line in (one, other)]
    half = 0.25 * float(np.nan_to_num(other.trend_px[rows[1]]))
    sd_px = float(np.hypot(rules.click_sd_px, half))
    return Anchor(rows[0] / counts[0], rows[1] / counts[1], sd_px / rules.station_px / counts[1])


def _sure(widths: Mapping[str, FloatArray], px_mm: float, is_trunk: bool, rules: TraceRules) -> BoolArray:
    """Where both photos show the wood clear and of one width; a trunk need not be round."""
    a, b = widths.values()
    with np.errstate(invalid="ignore"):
        alike = np.abs(a - b) <= rules.agree_frac * np.fmin(a, b) + rules.noise_px * px_mm
    both = np.isfinite(a) & np.isfinite(b)
    return np.asarray(both & (alike | is_trunk))


def _width_mm(
    seen: SeenLine, at: FloatArray, points: FloatArray, pose: Pose, rules: TraceRules
) -> FloatArray:
    """Clean widths at places between stations, scaled with the depth of each place."""
    clean = seen.clean & np.isfinite(seen.width_px)
    n = len(clean)
    depth = (points @ pose.camera.r.T + pose.camera.t_mm)[:, 2]
    if not clean.any():
        return np.full(len(at), np.nan)
    stations = np.arange(n, dtype=np.float64)
    width_px = np.interp(at, stations[clean], _steadied(seen.width_px[clean]))
    nearest = np.abs(at[:, None] - stations[clean][None, :]).min(axis=1)
    spacing = max(1.0, float(np.median(np.diff(at))) if len(at) > 1 else 1.0)
    near = nearest <= spacing
    return np.where(near, width_px * depth / pose.camera.k[0, 0], np.nan)


def _steadied(width_px: FloatArray) -> FloatArray:
    from scipy.ndimage import median_filter

    return np.asarray(median_filter(width_px, size=min(7, len(width_px)), mode="nearest"))


def _trunk_radius(widths: Mapping[str, FloatArray]) -> FloatArray:
    """Half the mean of both widths; where one is hidden, by the ratio that holds around."""
    a, b = widths.values()
    both = np.isfinite(a) & np.isfinite(b)
    at = np.arange(len(a), dtype=np.float64)
    ratio = np.interp(at, at[both], (b[both] / a[both])) if both.any() else np.ones(len(a))
    mean = np.where(
        both, 0.5 * (a + b), np.where(np.isfinite(a), 0.5 * a * (1.0 + ratio), 0.5 * b * (1.0 + 1.0 / ratio))
    )
    return np.asarray(0.5 * mean)


def _branch_radius(widths: Mapping[str, FloatArray], rules: TraceRules) -> FloatArray:
    """Half the mean of both widths where they agree, else half of the smaller, or of the only one."""
    a, b = widths.values()
    smaller = np.fmin(a, b)
    with np.errstate(invalid="ignore"):
        agree = np.abs(a - b) <= rules.agree_frac * smaller
    return np.asarray(0.5 * np.where(agree, 0.5 * (a + b), smaller))


def _radius_sd(radius: FloatArray, px_mm: float, rules: TraceRules) -> FloatArray:
    return np.hypot(0.5 * rules.edge_sd_px * px_mm, rules.scale_sd_frac * radius)


def nearest_on(line_mm: FloatArray, place_mm: FloatArray) -> tuple[float, FloatArray, float]:
    """Where a place is nearest to a line.

    Parameters
    ----------
    line_mm : (n, 3) float
        Nodes.
    place_mm : (3,) float
        Any.

    Returns
    -------
    along_mm : float
        Length of the line up to there.
    foot_mm : (3,) float
        The place on the line.
    gap_mm : float
        How far away it is.

    Source
    ------
    own.

    Examples
    --------
    >>> nearest_on(np.array([[0.0, 0, 0], [0, 0, 10]]), np.array([3.0, 0, 4]))[::2]
    (4.0, 3.0)
    """
    steps = np.diff(line_mm, axis=0)
    square = np.maximum(np.sum(steps * steps, axis=1), 1e-12)
    share = np.clip(np.sum((place_mm - line_mm[:-1]) * steps, axis=1) / square, 0.0, 1.0)
    feet = line_mm[:-1] + share[:, None] * steps
    gaps = np.linalg.norm(place_mm - feet, axis=1)
    best = int(np.argmin(gaps))
    lengths = np.sqrt(square)
    along = float(lengths[:best].sum() + share[best] * lengths[best])
    return along, feet[best], float(gaps[best])


def distances(line_mm: FloatArray, radii_mm: NDArray[np.float64], places_mm: FloatArray) -> FloatArray:
    """How far places lie from a line, in radii of the line there.

    Parameters
    ----------
    line_mm : (n, 3) float
        Nodes.
    radii_mm : (n,) float
        Radius at each.
    places_mm : (m, 3) float
        Any.

    Returns
    -------
    (m,) float
        1 on the surface.

    Source
    ------
    own.

    Examples
    --------
    >>> distances(np.array([[0.0, 0, 0], [0, 0, 10]]), np.array([2.0, 2.0]), np.array([[3.0, 0, 4]])).tolist()
    [1.5]
    """
    along = way_along(line_mm)
    found = [nearest_on(line_mm, place) for place in places_mm]
    return np.array([gap / np.interp(at, along, radii_mm) for at, _foot, gap in found])
