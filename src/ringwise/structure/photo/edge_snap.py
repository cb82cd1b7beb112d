"""Edges of wood across a line drawn on a photo, to a part of a pixel.

At each station of the line the picture is sampled along the normal. The levels of wood and backdrop are told
by strips on both sides of each edge, taken together with those of the neighbouring stations; the edge is
where the picture crosses half way between them. Where wood or backdrop do not stand out there is no edge.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import map_coordinates, median_filter

from ringwise.kit.types import BoolArray, Float32Array, FloatArray

_NEIGHBOURS = 7  # stations that tell a level together; an odd number, so that it has a middle one
_HALF = 0.5  # between backdrop 0 and wood 1


@dataclass(frozen=True)
class SnapRule:
    """How far wood is looked for and what counts as an edge; see the rows `snap` of the table of tracing."""

    step_px: float
    near_px: float
    edge_zone_px: float
    blur_px: float
    least_contrast_frac: float
    least_width_px: float
    least_apart_index: float


@dataclass(frozen=True)
class Snapped:
    """Edges at n stations, as offsets along the normal, `left_px` the lesser; NaN where none is clear."""

    left_px: FloatArray
    right_px: FloatArray

    @property
    def width_px(self) -> FloatArray:
        """Between the edges."""
        return self.right_px - self.left_px

    @property
    def middle_px(self) -> FloatArray:
        """Half way between the edges."""
        return 0.5 * (self.left_px + self.right_px)

    @property
    def clear(self) -> BoolArray:
        """Where both edges were found."""
        return np.isfinite(self.left_px) & np.isfinite(self.right_px)


def wood_shares(picture: NDArray[Any], wood_px: FloatArray, rule: SnapRule) -> Float32Array | None:
    """A photo as one number a pixel: about 0 on the backdrop and 1 on wood.

    Parameters
    ----------
    picture : (h, w) or (h, w, 3)
        Grey or colour, 0 to 255.
    wood_px : (n, 2) float
        Places x, y of which more than half lie on wood, such as the clicks along the trunk.
    rule : SnapRule
        Least contrast.

    Returns
    -------
    (h, w) float32 or None
        None where wood and backdrop cannot be told apart.

    Source
    ------
    own: the backdrop is the commonest colour along the picture's border, wood the median under the clicks.

    Examples
    --------
    >>> grey = np.full((40, 40), 200, np.uint8)
    >>> grey[:, 18:23] = 60
    >>> rule = SnapRule(0.5, 7.0, 4.0, 1.5, 0.35, 2.5, 12.0)
    >>> wood_shares(grey, np.array([[20.0, y] for y in range(5, 35)]), rule)[20, [0, 20]].tolist()
    [0.0, 1.0]
    """
    seen = np.asarray(picture)
    colours = seen[..., None] if seen.ndim == 2 else seen
    height, width = colours.shape[:2]
    border = np.concatenate([colours[0], colours[:, 0], colours[:, -1]]).astype(np.float64)
    backdrop = np.median(border, axis=0)
    x = np.clip(np.rint(wood_px[:, 0]).astype(int), 0, width - 1)
    y = np.clip(np.rint(wood_px[:, 1]).astype(int), 0, height - 1)
    towards = np.median(colours[y, x].astype(np.float64), axis=0) - backdrop
    apart = float(np.linalg.norm(towards))
    if apart < rule.least_apart_index:
        return None
    weights = (towards / apart**2).astype(np.float32)
    shares = colours.astype(np.float32) @ weights - np.float32(backdrop @ weights)
    return np.ascontiguousarray(shares, dtype=np.float32)


def normals_of(line_px: FloatArray) -> FloatArray:
    """Unit normals of a line, to the right of its way as seen on the picture (y down).

    Parameters
    ----------
    line_px : (n, 2) float
        Two stations or more, x right and y down.

    Returns
    -------
    (n, 2) float
        At right angles to the mean of the ways before and after each station.

    Source
    ------
    own.

    Examples
    --------
    >>> normals_of(np.array([[0.0, 9.0], [0.0, 0.0]])).tolist()
    [[1.0, 0.0], [1.0, 0.0]]
    """
    way = np.gradient(line_px, axis=0)
    length = np.linalg.norm(way, axis=1)
    way = way / np.where(length > 0, length, 1.0)[:, None]
    return np.column_stack([-way[:, 1], way[:, 0]]) + 0.0  # no -0


def snap_edges(
    shares: Float32Array, line_px: FloatArray, normals: FloatArray, reach_px: float, rule: SnapRule
) -> Snapped:
    """Both edges of the wood under a line.

    Parameters
    ----------
    shares : (h, w) float32
        From `wood_shares`.
    line_px, normals : (n, 2) float
        Stations in order, and unit vectors across the line there.
    reach_px : float
        How far from the line an edge may lie.
    rule : SnapRule
        From the table.

    Returns
    -------
    Snapped
        NaN where no clear edge lies within reach, or the line runs beside the wood.

    Source
    ------
    own: half-way crossing of the grey profile; overlapping wood can only widen what is found.

    Examples
    --------
    >>> x = np.arange(60.0)  # edges at 20.25 and 32.5, each blurred over 2 px
    >>> blurred = np.clip((x - 20.25) / 2 + 0.5, 0, 1) * np.clip((32.5 - x) / 2 + 0.5, 0, 1)
    >>> shares = np.tile(blurred.astype(np.float32), (30, 1))
    >>> line = np.column_stack([np.full(20, 25.0), np.arange(5.0, 25.0)])
    >>> rule = SnapRule(0.5, 7.0, 4.0, 1.5, 0.35, 2.5, 12.0)
    >>> found = snap_edges(shares, line, np.tile([1.0, 0.0], (20, 1)), 15.0, rule)
    >>> round(float(found.width_px[10]), 3)
    12.25
    """
    steps = int(np.ceil(reach_px / rule.step_px))
    offsets: FloatArray = np.arange(-steps, steps + 1).astype(np.float64) * rule.step_px
    profile = _profiles(shares, line_px, normals, offsets)
    start = _start(profile, offsets, rule.near_px)
    found = start >= 0
    start = np.where(found, start, steps)
    half = np.full(len(line_px), _HALF)
    left, right = _out(profile, offsets, start, half, -1), _out(profile, offsets, start, half, 1)
    stands_out = [found, found]  # once an edge does not, its levels are not asked again
    for _round in range(2):
        edges = ((left, -1), (right, 1))
        levels = [_levels(profile, offsets, edge, side, rule) for edge, side in edges]
        stands_out = [
            so_far & (wood - ground >= rule.least_contrast_frac)
            for so_far, (wood, ground) in zip(stands_out, levels, strict=True)
        ]
        left, right = (
            np.where(good, _out(profile, offsets, start, 0.5 * (wood + ground), side), np.nan)
            for (wood, ground), good, side in zip(levels, stands_out, (-1, 1), strict=True)
        )
    thin = ~(right - left >= rule.least_width_px)
    return Snapped(np.where(thin, np.nan, left), np.where(thin, np.nan, right))


def _profiles(
    shares: Float32Array, line_px: FloatArray, normals: FloatArray, offsets: FloatArray
) -> FloatArray:
    """The picture along each normal, (n, m); NaN outside of it."""
    places = line_px[:, None, :] + normals[:, None, :] * offsets[None, :, None]
    rows_columns = np.stack([places[..., 1], places[..., 0]])
    return np.asarray(
        map_coordinates(shares, rows_columns, output=np.float64, order=1, mode="constant", cval=np.nan)
    )


def _start(profile: FloatArray, offsets: FloatArray, near_px: float) -> NDArray[np.int64]:
    """Index of the wood nearest to the line at each station, -1 where there is none near."""
    away = np.where(profile >= _HALF, np.abs(offsets)[None, :], np.inf)
    nearest = np.argmin(away, axis=1)
    near = away[np.arange(len(profile)), nearest] <= near_px
    return np.where(near, nearest, -1)


def _out(
    profile: FloatArray, offsets: FloatArray, start: NDArray[np.int64], level: FloatArray, side: int
) -> FloatArray:
    """Offset at which each profile first falls below a level on its way out; NaN where it never does."""
    index = np.arange(profile.shape[1])[None, :]
    ahead = index <= start[:, None] if side < 0 else index >= start[:, None]
    below = ahead & (profile < level[:, None])  # nothing is below a level outside of the picture
    if side < 0:
        outer = np.where(below, index, -1).max(axis=1)
        bad = (outer < 0) | (outer >= start)
    else:
        most = profile.shape[1]
        outer = np.where(below, index, most).min(axis=1)
        bad = (outer >= most) | (outer <= start)
    outer = np.where(bad, start, outer)
    inner = np.clip(outer - side, 0, profile.shape[1] - 1)
    rows = np.arange(len(profile))
    low, high = profile[rows, outer], profile[rows, inner]
    rise = high - low
    part = np.where(rise > 0, (level - low) / np.where(rise > 0, rise, 1.0), 0.0)
    return np.where(bad, np.nan, offsets[outer] - side * part * (offsets[1] - offsets[0]))


def _levels(
    profile: FloatArray, offsets: FloatArray, edge: FloatArray, side: int, rule: SnapRule
) -> tuple[FloatArray, FloatArray]:
    """Level of the wood inside and the backdrop outside of an edge, shared among neighbouring stations."""
    out_px = (offsets[None, :] - np.where(np.isnan(edge), np.inf, edge)[:, None]) * side
    inside = (out_px <= -rule.blur_px) & (out_px >= -rule.edge_zone_px) & (profile >= _HALF)
    outside = (out_px >= rule.blur_px) & (out_px <= rule.edge_zone_px) & (profile < _HALF)
    wood = _shared(np.where(inside, profile, np.nan), 1.0)
    return wood, _shared(np.where(outside, profile, np.nan), 0.0)


def _shared(samples: FloatArray, otherwise_frac: float) -> FloatArray:
    """Mean of each row, then the median of its neighbours; what no row knows is as in the whole photo."""
    known = np.isfinite(samples)
    count = known.sum(axis=1)
    total = np.where(known, samples, 0.0).sum(axis=1)
    own = np.where(count > 0, total / np.maximum(count, 1), otherwise_frac)
    return np.asarray(median_filter(own, size=_NEIGHBOURS, mode="nearest"))
