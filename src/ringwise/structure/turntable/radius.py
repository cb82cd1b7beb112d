"""Radii and axes from both edges of a branch in every view: the narrow views are the clean ones."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.views import Stack


@dataclass(frozen=True)
class Flanks:
    """Edges of nodes in views: distances from the axis along a direction; NaN where not both are seen."""

    first_mm: FloatArray
    second_mm: FloatArray
    first_way: FloatArray
    second_way: FloatArray

    @property
    def direction(self) -> FloatArray:
        """Direction across the axis and the sight, (nodes, views, 3)."""
        return np.asarray(0.5 * (self.first_way + self.second_way))

    @property
    def width_mm(self) -> FloatArray:
        """Distance between both edges, (nodes, views)."""
        return np.asarray(np.abs(self.first_mm - self.second_mm))

    @property
    def offset_mm(self) -> FloatArray:
        """How far the middle between the edges lies from the axis, along the direction."""
        return np.asarray(0.5 * (self.first_mm + self.second_mm))


def flanks_of(stack: Stack, points_mm: FloatArray, tangents: FloatArray, radius_mm: FloatArray) -> Flanks:
    """Both edges of each node in each view, where the coverage passes one half.

    Parameters
    ----------
    stack : Stack
        The views.
    points_mm, tangents : (n, 3) float
        Nodes and the directions of their axes.
    radius_mm : (n,) float
        Expected radii.

    Returns
    -------
    Flanks
        For each node and view.

    Source
    ------
    own: rows axis of turntable.csv.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_views
    >>> from ringwise.structure.turntable.looking import stacked
    >>> stack, _middle = stacked(rod_views())
    >>> up = np.array([[0.0, 0.0, 1.0]])
    >>> width = flanks_of(stack, np.array([[0.0, 0.0, 40.0]]), up, np.array([9.0])).width_mm
    >>> bool(abs(np.nanmean(width) - 20.0) < 0.1)
    True
    """
    from ringwise.structure.turntable import radius_kernels

    out = np.full((len(points_mm), len(stack.names), 8), np.nan)
    rules = (limit_of("axis", "reach_ratio"), limit_of("axis", "reach_px"), limit_of("axis", "least_slant"))
    nodes = (np.ascontiguousarray(points_mm), np.ascontiguousarray(tangents), radius_mm)
    radius_kernels.flanks(nodes, stack.coverage, stack.cameras, rules, out)
    return Flanks(out[..., 0], out[..., 1], out[..., 2:5], out[..., 5:])


def clean_views(width_mm: FloatArray, pixel_mm: float) -> BoolArray:
    """Which widths are clean: those near the low end, since overlaps only ever widen a silhouette.

    Parameters
    ----------
    width_mm : (n, views) float
        Widths, NaN where unseen.
    pixel_mm : float
        What a pixel is worth at the tree.

    Returns
    -------
    (n, views) bool
        True for clean.

    Source
    ------
    own: rows radius of turntable.csv.

    Examples
    --------
    >>> clean_views(np.array([[2.0, 2.01, 3.1, np.nan]]), 0.4).tolist()
    [[True, True, False, False]]
    """
    ordered = np.sort(width_mm, axis=1)
    seen = np.isfinite(width_mm).sum(1)
    rank = np.floor(limit_of("radius", "low_frac") * np.maximum(seen - 1, 0)).astype(np.int64)
    low = ordered[np.arange(len(ordered)), rank][:, None]
    band = limit_of("radius", "band_frac") * low + limit_of("radius", "band_px") * pixel_mm
    with np.errstate(invalid="ignore"):
        return np.asarray(np.abs(width_mm - low) <= band)


def radii_of(width_mm: FloatArray, clean: BoolArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Radius of each node from its clean widths, with its spread and how many views it rests on.

    Parameters
    ----------
    width_mm : (n, views) float
        Widths.
    clean : (n, views) bool
        Which of them are clean.

    Returns
    -------
    radius_mm, sd_mm, views : (n,) float
        NaN where no view is clean.

    Source
    ------
    own.

    Examples
    --------
    >>> [each.round(3).tolist() for each in radii_of(np.array([[2.0, 2.2]]), np.array([[True, True]]))]
    [[1.05], [0.05], [2.0]]
    """
    count = clean.sum(1).astype(np.float64)
    safe = np.maximum(count, 1.0)
    mean = np.where(clean, width_mm, 0.0).sum(1) / safe
    spread = np.where(clean, (width_mm - mean[:, None]) ** 2, 0.0).sum(1) / np.maximum(count - 1.0, 1.0)
    sd = 0.5 * np.sqrt(spread / safe)
    return np.where(count > 0, 0.5 * mean, np.nan), np.where(count > 0, sd, np.nan), count
