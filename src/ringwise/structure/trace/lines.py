"""One branch on one photo: stations along the clicked line, snapped to the wood, with a width at each.

Overlaps only ever widen what is seen, so the trend of a line is taken from the lower part of its widths; a
flank that stands off that trend lies over other wood, and its width is refused.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.ndimage import gaussian_filter1d, median_filter, percentile_filter
from scipy.spatial.distance import cdist

from ringwise.kit.types import BoolArray, Float32Array, FloatArray
from ringwise.structure.photo.edge_snap import Snapped, normals_of, snap_edges
from ringwise.structure.polyline import way_along
from ringwise.structure.trace.rules import TraceRules

_LOW_PCT = 35.0  # of the widths in a window: of those clear of other wood about the middle one
_REACH_FACTOR = 1.8  # of the usual half width of a line: edges are looked for so far
_ROUNDS = 2  # the second one with the normals of the snapped line


@dataclass(frozen=True)
class SeenLine:
    """A branch on a photo at n stations; `clean` where both flanks follow the trend.

    `drawn` marks widths that a person set. Without a picture all widths are NaN and nothing is clean.
    """

    line_px: FloatArray  # (n, 2) middle of the wood
    normals: FloatArray
    left_px: FloatArray  # offsets of the edges along the normal, NaN where none is clear
    right_px: FloatArray
    trend_px: FloatArray
    clean: BoolArray
    drawn: BoolArray

    @property
    def width_px(self) -> FloatArray:
        """Between the edges."""
        return self.right_px - self.left_px

    @property
    def along_px(self) -> FloatArray:
        """Length of the line up to each station."""
        return way_along(self.line_px)


def stations(clicks_px: FloatArray, step_px: float) -> FloatArray:
    """A line through clicks, at stations of equal distance.

    Parameters
    ----------
    clicks_px : (k, 2) float
        Two clicks or more.
    step_px : float
        About the distance of two stations.

    Returns
    -------
    (n, 2) float
        At least three; the first and the last are those of the clicks.

    Source
    ------
    own: a cubic that does not overshoot, over the length along the clicks.

    Examples
    --------
    >>> stations(np.array([[0.0, 0.0], [4.0, 0.0]]), 2.0)[:, 0].tolist()
    [0.0, 2.0, 4.0]
    """
    along = way_along(clicks_px)
    count = max(3, round(float(along[-1]) / step_px) + 1)
    at = np.linspace(0.0, along[-1], count)
    return np.asarray(PchipInterpolator(along, clicks_px, axis=0)(at))


def seen_line(
    clicks_px: FloatArray,
    shares: Float32Array | None,
    *,
    px_per_mm: float,
    usual_px: float,
    drawn_px: FloatArray | None,
    rules: TraceRules,
    before: Sequence[SeenLine] = (),
) -> SeenLine:
    """A branch as a photo shows it.

    Parameters
    ----------
    clicks_px : (k, 2) float
        From base to tip.
    shares : (h, w) float32, optional
        Wood as numbers, from `wood_shares`; None where there is no picture.
    px_per_mm : float
        Scale at the trunk.
    usual_px : float
        No width is looked for beyond about this.
    drawn_px : (m, 2, 2) float, optional
        Pairs of places across the branch that a person drew; they stand for what is found next to them.
    rules : TraceRules
        From the table.
    before : sequence of SeenLine
        Thicker branches of the same photo; where the line runs over one of them nothing tells its width.

    Returns
    -------
    SeenLine
        Stations from base to tip.

    Source
    ------
    own: half-way edges, then flanks held against the lower part of their neighbours' widths.

    Examples
    --------
    >>> from ringwise.structure.trace.rules import trace_rules
    >>> line = seen_line(np.array([[0.0, 0.0], [4.0, 0.0]]), None, px_per_mm=2.0, usual_px=9.0,
    ...                  drawn_px=None, rules=trace_rules())
    >>> len(line.line_px), bool(line.clean.any())
    (3, False)
    """
    line = stations(clicks_px, rules.station_px)
    n = len(line)
    nothing = np.full(n, np.nan)
    if shares is None:
        left, right, trend, clean = nothing, nothing, nothing, np.zeros(n, dtype=bool)
    else:
        window = max(5, round(2.0 * rules.trend_mm * px_per_mm / rules.station_px) | 1)
        reach_px = usual_px
        for _round in range(_ROUNDS):
            found = _shown(snap_edges(shares, line, normals_of(line), reach_px, rules.snap), line, before)
            trend = _trend(found.width_px, window)
            line, found = _centred(line, found, trend, rules)
            known = np.isfinite(trend)
            if known.any():
                most_px = _REACH_FACTOR * float(np.nanmax(trend))
                reach_px = min(usual_px, max(most_px, rules.snap.near_px + rules.snap.edge_zone_px))
        found = _shown(snap_edges(shares, line, normals_of(line), reach_px, rules.snap), line, before)
        trend = _trend(found.width_px, window)
        left, right = found.left_px, found.right_px
        clean = _clean(found, trend, rules)
    seen = SeenLine(line, normals_of(line), left, right, trend, clean, np.zeros(n, dtype=bool))
    return seen if drawn_px is None or len(drawn_px) == 0 else _with_drawn(seen, drawn_px, rules)


def _shown(found: Snapped, line: FloatArray, before: Sequence[SeenLine]) -> Snapped:
    """Edges without those that are another branch's: where the line runs over its strip."""
    hidden = np.zeros(len(line), dtype=bool)
    for other in before:
        half = 0.5 * np.nan_to_num(other.trend_px)
        room = float(half.max(initial=0.0))
        low, high = other.line_px.min(axis=0) - room, other.line_px.max(axis=0) + room
        near = np.nonzero(np.all((line >= low) & (line <= high), axis=1))[0]
        if len(near) > 0:
            gap = cdist(line[near], other.line_px)
            hidden[near] |= (gap < half[None, :]).any(axis=1)
    return Snapped(np.where(hidden, np.nan, found.left_px), np.where(hidden, np.nan, found.right_px))


def _trend(width_px: FloatArray, window: int) -> FloatArray:
    """The width that most stations around agree on, wood that lies over other wood left out."""
    known = np.isfinite(width_px)
    if known.sum() < 3:
        return np.full(len(width_px), np.nan)
    at = np.arange(len(width_px), dtype=np.float64)
    filled = np.interp(at, at[known], width_px[known])
    slope, foot = _taper(at[known], width_px[known])
    course = np.maximum(foot + slope * at, 0.25 * np.median(filled))
    ratio = percentile_filter(filled / course, _LOW_PCT, size=window, mode="nearest")
    return np.asarray(course * gaussian_filter1d(ratio, window / 8.0, mode="nearest"))


def _taper(at: FloatArray, width_px: FloatArray) -> tuple[float, float]:
    """Slope and foot of a line through widths, those above it given less and less weight."""
    weight = np.ones(len(at))
    slope, foot = 0.0, float(np.median(width_px))
    if len(at) < 6:
        return slope, foot
    for _round in range(8):
        slope, foot = np.polyfit(at, width_px, 1, w=np.sqrt(weight))
        off = (width_px - foot - slope * at) / max(foot + slope * at.mean(), 1.0)
        weight = np.where(off > 0, np.exp(-((off / 0.1) ** 2)), 1.0) + 1e-6
    return float(slope), float(foot)


def _centred(
    line: FloatArray, found: Snapped, trend: FloatArray, rules: TraceRules
) -> tuple[FloatArray, Snapped]:
    """The line moved to the middle of the wood where that is sure, smoothly in between."""
    width = found.width_px
    sure = np.isfinite(width) & (width <= (1.0 + rules.trend_frac) * trend + rules.noise_px)
    if sure.sum() < max(3.0, rules.least_clear_frac * len(line)):
        return line, found
    at = np.arange(len(line), dtype=np.float64)
    offset = np.interp(at, at[sure], found.middle_px[sure])
    size = max(3, round(rules.smooth_px / rules.station_px) | 1)
    smooth = gaussian_filter1d(median_filter(offset, size=size, mode="nearest"), size / 4.0, mode="nearest")
    return line + normals_of(line) * smooth[:, None], found


def _clean(found: Snapped, trend: FloatArray, rules: TraceRules) -> BoolArray:
    """Where both flanks, and the width, are those that the neighbours let expect."""
    half = 0.5 * trend
    slack = rules.trend_frac * half + rules.noise_px
    left, right = -found.left_px, found.right_px
    with np.errstate(invalid="ignore"):
        good = (np.abs(left - half) <= slack) & (np.abs(right - half) <= slack)
        good &= np.abs(found.width_px - trend) <= rules.trend_frac * trend
    # A single station among others that are refused is luck.
    return np.asarray(good & (median_filter(good.astype(np.uint8), size=5, mode="nearest") > 0))


def _with_drawn(seen: SeenLine, drawn_px: FloatArray, rules: TraceRules) -> SeenLine:
    """Widths that a person drew, each for the stations next to it, up to half way to the next one drawn."""
    left, right = seen.left_px.copy(), seen.right_px.copy()
    clean, drawn = seen.clean.copy(), seen.drawn.copy()
    middles = drawn_px.mean(axis=1)
    near = np.linalg.norm(seen.line_px[:, None] - middles[None], axis=2)
    nearest = near.argmin(axis=1)
    reach_px = max(4.0 * rules.station_px, 0.5 * rules.smooth_px)
    for number, pair in enumerate(drawn_px):
        own = int(near[:, number].argmin())
        rows = (nearest == number) & (near[:, number] <= reach_px)
        rows[own] = True
        offsets = np.sort((pair - seen.line_px[own]) @ seen.normals[own])
        left[rows], right[rows], clean[rows], drawn[rows] = offsets[0], offsets[1], True, True
    return SeenLine(seen.line_px, seen.normals, left, right, seen.trend_px, clean, drawn)
