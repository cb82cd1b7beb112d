"""Taper: a robust line of radii along each limb, led to its parent's wood and never thicker than it."""

from __future__ import annotations

import math

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.structure.turntable.limbs import Limb
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.views import Stack

_TUKEY = 4.685  # biweight constant, 95 % efficient for normal errors; recalled


def smooth_radii(arc_mm: FloatArray, radius_mm: FloatArray, sure: BoolArray) -> FloatArray:
    """A robust smooth line through radii along a limb; straight beyond the sure ones, nowhere growing out.

    Parameters
    ----------
    arc_mm : (n,) float
        Way along the axis.
    radius_mm : (n,) float
        Radii; unsure ones are not looked at.
    sure : (n,) bool
        Which are sure; at least one.

    Returns
    -------
    (n,) float
        Fitted radii.

    Source
    ------
    own: local straight lines with biweights; rows taper of turntable.csv.

    Examples
    --------
    >>> arc = np.arange(20.0)
    >>> radius = 10.0 - 0.1 * arc
    >>> radius[7] = 14.0
    >>> bool(abs(smooth_radii(arc, radius, np.ones(20, bool)) - (10.0 - 0.1 * arc)).max() < 1e-6)
    True
    """
    rows = np.nonzero(sure)[0]
    x, y = arc_mm[rows], radius_mm[rows]
    if len(rows) < 3:
        return np.full(len(arc_mm), float(np.median(y)))
    step = max(float(np.median(np.diff(x))), 1e-9)
    width = limit_of("taper", "window_nodes") * step
    floor = limit_of("taper", "floor_frac") * float(np.median(y))
    weight = np.ones(len(rows))
    for _round in range(4):
        fit = _local(x, y, weight, x, width)
        rest = y - fit
        scale = 1.4826 * float(np.median(np.abs(rest))) + floor
        weight = np.clip(1.0 - (rest / (_TUKEY * scale)) ** 2, 0.0, 1.0) ** 2 + 1e-6
    out = _local(x, y, weight, np.clip(arc_mm, x[0], x[-1]), width)
    return out + _beyond(arc_mm, x, out[rows], weight)


def _beyond(arc: FloatArray, x: FloatArray, fit: FloatArray, weight: FloatArray) -> FloatArray:
    """What to add before the first sure node: the slope of the first few, never widening outwards."""
    few = slice(0, int(limit_of("taper", "slope_nodes")))
    if len(x) < 3:
        return np.zeros(len(arc))
    slope = float(np.polyfit(x[few], fit[few], 1, w=np.sqrt(weight[few]))[0])
    slope = min(max(slope, -limit_of("taper", "steepest_ratio")), 0.0)
    return np.where(arc < x[0], slope * (arc - x[0]), 0.0)


def _local(x: FloatArray, y: FloatArray, weight: FloatArray, at: FloatArray, width_mm: float) -> FloatArray:
    apart = (x[None, :] - at[:, None]) / width_mm
    near = np.exp(-0.5 * apart**2) * weight[None, :]
    near += 1e-9 / (1.0 + apart**2)
    s0, s1, s2 = near.sum(1), (near * apart).sum(1), (near * apart**2).sum(1)
    t0, t1 = (near * y).sum(1), (near * apart * y).sum(1)
    det = s0 * s2 - s1 * s1
    line = (s2 * t0 - s1 * t1) / np.where(det > 1e-9 * s0 * s2, det, 1.0)
    return np.asarray(np.where(det > 1e-6 * s0 * np.maximum(s2, 1e-12), line, t0 / s0))


def straight_tips(limbs: list[Limb]) -> None:
    """Lead each limb straight on over its last radius, where the carved end would draw it to a corner.

    Parameters
    ----------
    limbs : list of Limb
        With radii; changed in place.

    Source
    ------
    own.

    Examples
    --------
    >>> up = np.array([[0, 0, z] for z in np.arange(0.0, 50.0, 5.0)])
    >>> up[-1, 0] = 6.0
    >>> one = Limb(up, np.full(10, 6.0), np.ones(10), np.ones(10, bool))
    >>> straight_tips([one])
    >>> one.points_mm[-1].tolist()
    [0.0, 0.0, 45.0]
    """
    for limb in limbs:
        arc, last = limb.arc_mm, len(limb.points_mm) - 1
        known = np.nonzero(limb.sure)[0]
        known = known[known >= limb.own]
        if len(known) < 3:
            continue
        radius = float(np.median(limb.radius_mm[known[-5:]]))
        begin = int(np.searchsorted(arc, arc[-1] - limit_of("taper", "tip_ratio") * radius)) - 1
        base = np.arange(max(begin - 3, limb.own), begin + 1)
        if len(base) < 2 or begin >= last:
            continue
        points = limb.points_mm
        way = points[base[-1]] - points[base[0]]
        way = way / np.linalg.norm(way)
        along = (points[begin + 1 :] - points[begin]) @ way
        along = np.maximum.accumulate(np.maximum(along, 1e-3 * np.arange(1, len(along) + 1)))
        points[begin + 1 :] = points[begin] + along[:, None] * way
        limb.sure[begin + 1 :] = False


def reach_tips(stack: Stack, limbs: list[Limb], pixel_mm: float) -> None:
    """Let each limb end where the silhouettes end along its last way.

    Parameters
    ----------
    stack : Stack
        The views.
    limbs : list of Limb
        With straight tips; changed in place.
    pixel_mm : float
        What a pixel is worth at the tree.

    Source
    ------
    own: the least signed distance over the views is 0 at the end; row taper.tip_search_px of turntable.csv.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_paths
    >>> from ringwise.structure.turntable.limbs import limbs_of
    >>> stack, paths = rod_paths()
    >>> rod = limbs_of(paths, paths.radius_mm)
    >>> rod[0].points_mm = rod[0].points_mm * [0.0, 0.0, 1.0]
    >>> reach_tips(stack, rod, 1.0)
    >>> bool(abs(rod[0].points_mm[-1, 2] - 80.0) < 0.6)
    True
    """
    from ringwise.structure.turntable import carve_kernels as kernels

    least = limit_of("taper", "tip_search_px") * pixel_mm
    for limb in limbs:
        known = limb.radius_mm[limb.sure]
        # A blunt end lies up to its radius beyond the last node whose flanks are seen.
        reach = max(least, float(np.median(known[-5:])) if len(known) else 0.0)
        tried = np.arange(0.0, 2.0 * reach, 0.1 * pixel_mm)
        last = len(limb.points_mm) - 1
        if last < 2:
            continue
        tip = limb.points_mm[-1].copy()
        way = tip - limb.points_mm[-2]
        size = float(np.linalg.norm(way))
        if size < 1e-9:
            continue
        way = way / size
        back = min(reach, float(limb.arc_mm[-1]) - limb.exit_mm)
        start = tip - back * way
        inside = np.empty(len(tried), np.float32)
        rules = (-1e5, limit_of("carve", "least_seen_frac"), 0.0)
        kernels.depths(start + tried[:, None] * way, stack.distance_px, stack.cameras, rules, inside)
        ends = np.nonzero(inside <= 0.0)[0]
        if len(ends) == 0 or ends[0] == 0:
            continue
        end = float(tried[ends[0]]) - back
        # Nodes that the end passes by would turn back; they go, and the tip with its radius stays.
        ahead = (limb.points_mm - tip) @ way
        stays = np.arange(last + 1) < last
        stays &= ~((ahead > end - 0.2 * size) & (np.arange(last + 1) > last - 6))
        stays[: max(limb.own, 1)] = True
        stays[last] = True
        limb.points_mm[last] = tip + end * way
        for name in ("points_mm", "radius_mm", "sd_mm", "sure"):
            setattr(limb, name, getattr(limb, name)[stays])


def fit_tapers(limbs: list[Limb], twig_mm: float) -> list[BoolArray]:
    """Give every node its fitted radius, parents first, each limb capped by its parent.

    Parameters
    ----------
    limbs : list of Limb
        Joined to their parents' axes; changed in place.
    twig_mm : float
        Radius for a limb that shows none.

    Returns
    -------
    list of (n,) bool
        Which radii of each limb were filled and not read.

    Source
    ------
    own: rows fork and taper of turntable.csv.

    Examples
    --------
    >>> one = Limb(np.diag([0, 1, 2.0]), np.array([3, math.nan, 3]), np.ones(3), np.array([1, 0, 1], bool))
    >>> fit_tapers([one], 1.0)[0].tolist(), one.radius_mm.tolist()
    ([False, True, False], [3.0, 3.0, 3.0])
    """
    filled: list[BoolArray] = [np.zeros(0, bool)] * len(limbs)
    done = np.zeros(len(limbs), bool)
    while not done.all():
        for row, limb in enumerate(limbs):
            if done[row] or (limb.parent >= 0 and not done[limb.parent]):
                continue
            filled[row] = _fit(limb, limbs[limb.parent] if limb.parent >= 0 else None, twig_mm)
            done[row] = True
    return filled


def _fit(limb: Limb, parent: Limb | None, twig_mm: float) -> BoolArray:
    arc = limb.arc_mm
    sure = limb.sure.copy()
    most = math.inf
    if parent is not None:
        sure[: limb.own] = False
        most = 0.999 * float(np.interp(limb.foot_mm, parent.arc_mm, parent.radius_mm))
        clear = sure & (arc > limit_of("fork", "zone_ratio") * most)
        sure = clear if clear.sum() >= 3 else sure
    if not sure.any():
        limb.radius_mm = np.full(len(arc), min(twig_mm, most))
        limb.sd_mm = limit_of("taper", "unseen_sd_frac") * limb.radius_mm
        return np.ones(len(arc), bool)
    limb.radius_mm = np.minimum(smooth_radii(arc, limb.radius_mm, sure), most)
    known = np.where(sure, limb.sd_mm, np.nan)
    spread = float(np.nanmedian(known)) if np.isfinite(known).any() else 0.1 * twig_mm
    limb.sd_mm = np.where(np.isfinite(known), known, limit_of("taper", "filled_sd_ratio") * spread)
    least = limit_of("taper", "thinnest_ratio") * min(float(np.min(limb.radius_mm[sure])), twig_mm)
    limb.radius_mm = np.maximum(limb.radius_mm, least)
    return ~sure
