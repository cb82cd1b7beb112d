"""Clouds of points of scanned trees: the stem's diameter in a slice, and why a cloud is taller than a model.

Clouds are laid against cylinder models that are read in from forestry; Ringwise makes none itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.errors import FileFormatError, InputError, out_of_range
from ringwise.kit.tables import load_table
from ringwise.kit.types import BoolArray, FloatArray
from ringwise.kit.words import _

MM_PER_M = 1000.0  # exact
_EVEN_STEPS = np.sqrt(np.array([2.0, 3.0, 5.0]))  # square roots of primes: no step is a sum of the others
_SEPARATORS = str.maketrans(",;\t", "   ")


@dataclass(frozen=True)
class StemCircle:
    """A circle through the points of a slice; `spread_mm` is how far its points lie off, `seen_frac` how much
    of its way round holds points.
    """

    diameter_mm: float
    x_mm: float
    y_mm: float
    spread_mm: float
    points: int
    used: int
    seen_frac: float


@dataclass(frozen=True)
class HeightGap:
    """Heights of a cloud and of a model; what the cloud has more above the model's top and below its foot."""

    cloud_mm: float
    model_mm: float
    above_mm: float
    below_mm: float

    @property
    def frac(self) -> float:
        """How much taller the cloud is, as a share of the model."""
        return self.cloud_mm / self.model_mm - 1.0


def _number(key: str, parameter: str) -> float:
    return load_table("ringwise.structure", "cloud").get(key, parameter).number


def cloud_from_text(text: str) -> FloatArray:
    """Points from lines of x, y, z in metres; further columns and lines before the first number are left out.

    Parameters
    ----------
    text : str
        Columns parted by blanks, tabs, commas or semicolons.

    Returns
    -------
    (n, 3) float
        In mm.

    Raises
    ------
    FileFormatError
        For a line without three numbers, by its number, or where there are no points at all.

    Source
    ------
    own.

    Examples
    --------
    >>> cloud_from_text("x y z\\n0.1 0.2 1.5\\n")
    array([[ 100.,  200., 1500.]])
    """
    points: list[tuple[float, float, float]] = []
    for number, line in enumerate(text.splitlines(), start=1):
        words = line.translate(_SEPARATORS).split()
        if not words:
            continue
        try:
            x, y, z = (float(word) for word in words[:3])
        except ValueError:
            if not points:
                continue
            raise FileFormatError(
                _("x, y and z were expected, in metres"), where=_("line {number}").format(number=number)
            ) from None
        points.append((x, y, z))
    if not points:
        raise FileFormatError(_("the file holds no points; lines of x, y and z in metres are read"))
    cloud = np.array(points) * MM_PER_M
    if not np.isfinite(cloud).all():
        raise FileFormatError(_("the cloud holds a point that is not a number"))
    return cloud


def stem_circle(points_mm: FloatArray, *, at_mm: float | None = None) -> StemCircle:
    """The stem's diameter in a slice of a cloud, by a circle that leaves and branches do not pull.

    Parameters
    ----------
    points_mm : (n, 3) float
        The cloud, z upwards.
    at_mm : float, optional
        Height of the slice's middle above the lowest point; 1.3 m where not given.

    Returns
    -------
    StemCircle
        The circle.

    Raises
    ------
    RangeError
        For a height outside the cloud.
    InputError
        If the slice holds too few points, or points of too small a part of a circle.

    Source
    ------
    own: circles through three points, the one that most points lie near, then least squares on those.

    Examples
    --------
    >>> turn = np.linspace(0.0, 6.2, 60)
    >>> ring = np.column_stack([80 * np.cos(turn), 80 * np.sin(turn), np.full(60, 1300.0)])
    >>> round(stem_circle(np.vstack([ring, [[0.0, 0.0, 0.0], [0.0, 0.0, 9000.0]]])).diameter_mm, 6)
    160.0
    """
    at_mm = _number("slice", "height_mm") if at_mm is None else at_mm
    heights = points_mm[:, 2] - points_mm[:, 2].min()
    if not 0.0 <= at_mm <= heights.max():
        raise out_of_range(
            _("height of the slice"), f"{at_mm:g} mm", _("0 to {mm} mm").format(mm=f"{heights.max():.0f}")
        )
    slab = points_mm[np.abs(heights - at_mm) <= 0.5 * _number("slice", "thick_mm"), :2]
    least = int(_number("circle", "least_points"))
    if len(slab) < least:
        raise InputError(
            _("{n} points lie in the slice at {mm} mm; {least} are needed. Take another height.").format(
                n=len(slab), mm=f"{at_mm:g}", least=least
            )
        )
    middle = slab.mean(axis=0)
    flat = slab - middle
    x, y, radius, spread, near = _fitted(flat, *_tried(flat))
    turn = np.arctan2(flat[near, 1] - y, flat[near, 0] - x)
    sectors = int(_number("circle", "sectors"))
    seen = len(np.unique(np.floor((turn + np.pi) / (2.0 * np.pi) * sectors) % sectors)) / sectors
    if seen < _number("circle", "least_seen_frac"):
        raise InputError(
            _("points lie on {seen:.0%} of the stem's way round at {mm} mm, too little for its size.").format(
                seen=seen, mm=f"{at_mm:g}"
            )
        )
    return StemCircle(
        2.0 * radius,
        float(middle[0] + x),
        float(middle[1] + y),
        spread,
        len(slab),
        int(near.sum()),
        seen,
    )


def _tried(flat: FloatArray) -> tuple[float, float, float]:
    """Of circles through three points each, the one whose median distance to all points is least."""
    # Spread evenly over all threes, by steps that never repeat: the same cloud gives the same circle.
    steps = np.arange(1, int(_number("circle", "trials")) + 1)[:, None] * _EVEN_STEPS
    chosen = flat[np.floor((steps % 1.0) * len(flat)).astype(np.int64)]
    a, b, c = chosen[:, 0], chosen[:, 1], chosen[:, 2]
    ab, ac = b - a, c - a
    twice = 2.0 * (ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0])
    sound = np.abs(twice) > 1e-9
    twice = np.where(sound, twice, 1.0)
    ab2, ac2 = np.sum(ab * ab, axis=1), np.sum(ac * ac, axis=1)
    x = a[:, 0] + (ac[:, 1] * ab2 - ab[:, 1] * ac2) / twice
    y = a[:, 1] + (ab[:, 0] * ac2 - ac[:, 0] * ab2) / twice
    radius = np.hypot(x - a[:, 0], y - a[:, 1])
    sound &= radius <= 0.5 * _number("circle", "largest_mm")
    if not sound.any():
        raise InputError(_("the points of the slice lie on no circle; take another height."))
    far = np.abs(np.hypot(flat[None, :, 0] - x[:, None], flat[None, :, 1] - y[:, None]) - radius[:, None])
    off = np.where(sound, np.median(far, axis=1), np.inf)
    best = int(np.argmin(off))
    return float(x[best]), float(y[best]), float(radius[best])


def _fitted(
    flat: FloatArray, x_mm: float, y_mm: float, radius_mm: float
) -> tuple[float, float, float, float, BoolArray]:
    """Least squares on the points near the circle, again and again; what is near follows their spread."""
    x, y, radius = x_mm, y_mm, radius_mm
    near: NDArray[Any] = np.ones(len(flat), dtype=bool)
    spread = 0.0
    for _round in range(int(_number("circle", "rounds"))):
        across, down = flat[:, 0] - x, flat[:, 1] - y
        far = np.maximum(np.hypot(across, down), 1e-9)
        off = far - radius
        spread = max(1.4826 * float(np.median(np.abs(off))), _number("circle", "least_spread_mm"))
        near = np.abs(off) <= _number("circle", "near_ratio") * spread
        slope = np.column_stack([-across / far, -down / far, -np.ones(len(flat))])[near]
        step = np.linalg.lstsq(slope, -off[near], rcond=None)[0]
        x, y, radius = x + float(step[0]), y + float(step[1]), radius + float(step[2])
    return x, y, radius, spread, near


def height_gap(points_mm: FloatArray, foot_mm: float, top_mm: float) -> HeightGap:
    """How much taller a cloud is than a model of the same tree, and at which end.

    Parameters
    ----------
    points_mm : (n, 3) float
        The cloud.
    foot_mm, top_mm : float
        Lowest and highest z of the model, in the cloud's own heights.

    Returns
    -------
    HeightGap
        Below zero at an end where the model reaches further.

    Raises
    ------
    RangeError
        If the model has no height.

    Source
    ------
    own: twig points above the last cylinder, and soil or roots below the stem, are in a cloud and not in a
    model.

    Examples
    --------
    >>> gap = height_gap(np.array([[0.0, 0.0, -40.0], [0.0, 0.0, 1060.0]]), 0.0, 1000.0)
    >>> gap.above_mm, gap.below_mm, round(gap.frac, 3)
    (60.0, 40.0, 0.1)
    """
    if not top_mm > foot_mm:
        raise out_of_range(
            _("top of the model"), f"{top_mm:g} mm", _("above its foot, {mm} mm").format(mm=f"{foot_mm:g}")
        )
    low, high = float(points_mm[:, 2].min()), float(points_mm[:, 2].max())
    return HeightGap(high - low, top_mm - foot_mm, high - top_mm, foot_mm - low)
