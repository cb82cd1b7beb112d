"""Ends of limbs: read again to where the wood ends, so that a cut end stays blunt."""

from __future__ import annotations

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.structure.turntable.limbs import Limb
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.radius import clean_views, flanks_of, radii_of
from ringwise.structure.turntable.views import Stack


def read_ends(stack: Stack, limbs: list[Limb], pixel_mm: float) -> None:
    """Read the radii of each limb's last nodes about its straight end; what its edges show wins over a taper.

    Parameters
    ----------
    stack : Stack
        The views.
    limbs : list of Limb
        With straight ends that reach to where the silhouettes end; changed in place.
    pixel_mm : float
        What a pixel is worth at the tree.

    Source
    ------
    own: rows radius and taper of turntable.csv. A cut face seen from above, and a round end, close in faster
    than the limb's own taper: from there on nothing is read.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_paths
    >>> from ringwise.structure.turntable.limbs import limbs_of
    >>> stack, paths = rod_paths()
    >>> rod = limbs_of(paths, paths.radius_mm * 0.01)
    >>> rod[0].points_mm = rod[0].points_mm * [0.0, 0.0, 1.0]
    >>> rod[0].radius_mm[:], rod[0].sure[-4:] = 10.0, False
    >>> read_ends(stack, rod, 1.0)
    >>> rod[0].sure[-4:].tolist()
    [True, True, True, False]
    """
    for limb in limbs:
        known = np.nonzero(limb.sure)[0]
        known = known[known >= limb.own]
        last = len(limb.points_mm) - 1
        if len(known) < 3 or known[-1] + 1 >= last:
            continue
        rows = np.arange(known[-1] + 1, last)
        expected = _led_on(limb, known, rows)
        way = limb.points_mm[last] - limb.points_mm[known[-1]]
        way = way / max(float(np.linalg.norm(way)), 1e-9)
        radius, sd, read = _read(stack, limb.points_mm[rows], way, expected, pixel_mm)
        least = expected * (1.0 - limit_of("radius", "band_frac")) - limit_of("radius", "band_px") * pixel_mm
        with np.errstate(invalid="ignore"):
            read &= np.logical_and.accumulate(~(radius < least))
        limb.radius_mm[rows] = np.where(read, radius, np.nan)
        limb.sd_mm[rows] = np.where(read, sd, np.nan)
        limb.sure[rows] = read


def _led_on(limb: Limb, known: IntArray, rows: IntArray) -> FloatArray:
    """Radii that the line through the last known ones leads to, never growing."""
    few = known[-int(limit_of("taper", "slope_nodes")) :]
    arc, radius = limb.arc_mm, limb.radius_mm[few]
    slope = float(np.polyfit(arc[few], radius, 1)[0])
    slope = min(max(slope, -limit_of("taper", "steepest_ratio")), 0.0)
    return np.asarray(np.median(radius - slope * arc[few]) + slope * arc[rows])


def _read(
    stack: Stack, points_mm: FloatArray, way: FloatArray, expected_mm: FloatArray, pixel_mm: float
) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Radii about places of one straight way, their spread, and where enough views show them."""
    count = len(points_mm)
    flanks = flanks_of(stack, points_mm, np.tile(way, (count, 1)), expected_mm)
    radius, sd, views = radii_of(flanks.width_mm, clean_views(flanks.width_mm, pixel_mm))
    return radius, sd, np.asarray(views >= limit_of("radius", "least_views"))
