"""Ghosts: limbs that the silhouettes allow but nothing needs are let go."""

from __future__ import annotations

import numpy as np

from ringwise.kit.types import FloatArray, IntArray
from ringwise.structure.turntable.limbs import Limb, kept, packed
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.views import Stack


def without_ghosts(stack: Stack, limbs: list[Limb], pixel_mm: float) -> tuple[list[Limb], int]:
    """The limbs that explain enough pixels of their own, and how many others there were.

    Parameters
    ----------
    stack : Stack
        The views.
    limbs : list of Limb
        With first own nodes and radii.
    pixel_mm : float
        What a pixel is worth at the tree.

    Returns
    -------
    limbs : list of Limb
        Those that stay.
    cut : int
        How many were let go.

    Source
    ------
    own: rows ghost of turntable.csv.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_paths
    >>> from ringwise.structure.turntable.limbs import limbs_of
    >>> stack, paths = rod_paths()
    >>> without_ghosts(stack, limbs_of(paths, paths.radius_mm), 1.0)[1]
    0
    """
    from ringwise.structure.turntable import ghost_kernels as kernels

    points, radii, first = packed(limbs)
    radii = np.where(np.isfinite(radii), radii, pixel_mm)
    counts = np.zeros(stack.coverage.shape, np.uint16)
    size = (int(stack.coverage.shape[1]), int(stack.coverage.shape[2]))
    pixels, start = kernels.cover_all(
        (points, radii, first), stack.cameras, limit_of("ghost", "more_px"), size, counts
    )
    parent = np.array([each.parent for each in limbs])
    least = np.full(len(limbs), limit_of("ghost", "least_alone_frac"))
    least += limit_of("ghost", "alone_a_view_frac") * max(
        len(stack.names) - limit_of("ghost", "usual_views"), 0.0
    )
    least = np.maximum(least, _least_share(limbs, parent, pixel_mm))
    keep = np.ones(len(limbs), np.uint8)
    kernels.prune(parent, (pixels, start), counts, least, keep)
    stays = keep.astype(bool)
    return kept(limbs, stays), int((~stays).sum())


def _least_share(limbs: list[Limb], parent: IntArray, pixel_mm: float) -> FloatArray:
    """More is asked of short limbs; no share saves those without a radius, or that end on the soil."""
    known = [each.radius_mm[each.own :] for each in limbs]
    radius = np.array([np.median(r[np.isfinite(r)]) if np.isfinite(r).any() else np.nan for r in known])
    free = np.array([each.free_mm for each in limbs])
    tips = np.setdiff1d(np.arange(len(limbs)), parent)
    twig = float(np.nanmedian(radius[tips])) if np.isfinite(radius[tips]).any() else pixel_mm
    ratio = limit_of("ghost", "least_twig_ratio")
    out = np.zeros(len(limbs))
    out[free < 2.0 * ratio * twig] = limit_of("ghost", "short_alone_frac")
    low = min(float(each.points_mm[:, 2].min()) for each in limbs)
    ends = np.array([each.points_mm[-1, 2] for each in limbs])
    out[ends < low + limit_of("ghost", "soil_px") * pixel_mm] = 1.5
    out[~np.isfinite(radius) | (free < np.maximum(np.nan_to_num(radius), 0.5 * ratio * twig))] = 1.5
    return out
