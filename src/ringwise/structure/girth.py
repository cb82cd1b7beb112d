"""Girth as a tape reads it: the length of a string drawn tight round the trunk.

A tape bridges every hollow, so a girth is the perimeter of the convex outline. Where only widths are
seen, as in photographs, Cauchy's formula gives the same figure: pi times the mean width over all
directions.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwise.kit.errors import out_of_range
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _

FINE_DIRECTIONS = 720  # an outline is drawn this fine before the string: the chords then cost 0.0003 %
LEAST_DIRECTIONS = 3  # fewer radii enclose nothing


def convex_girth_mm(points_mm: ArrayLike) -> float:
    """Length of a string drawn tight round points in a plane.

    Parameters
    ----------
    points_mm : (k, 2) float
        Points of an outline, in any order.

    Returns
    -------
    float
        Perimeter of their convex hull, in mm; twice the distance for two points.

    Source
    ------
    own: convex hull by sorting (the monotone chain), from memory.

    Examples
    --------
    >>> convex_girth_mm([[0, 0], [4, 0], [4, 3], [0, 3], [2, 1]])
    14.0
    """
    points = np.asarray(points_mm, dtype=np.float64).reshape(-1, 2)
    hull = _hull(points)
    steps = np.diff(np.vstack([hull, hull[:1]]), axis=0)
    return float(np.hypot(steps[:, 0], steps[:, 1]).sum())


def outline_girth_mm(radii_mm: ArrayLike) -> float:
    """Girth of an outline given by its radii, every 360/m degrees round the axis.

    Parameters
    ----------
    radii_mm : (m,) float
        Distances of the bark from the axis; the outline between them is taken as smooth.

    Returns
    -------
    float
        In mm.

    Raises
    ------
    RangeError
        For fewer than three radii.

    Source
    ------
    own: the radii's Fourier series, drawn fine, then `convex_girth_mm`.

    Examples
    --------
    >>> round(outline_girth_mm([25.0] * 12), 2)
    157.08
    """
    return convex_girth_mm(outline_points_mm(radii_mm))


def outline_points_mm(radii_mm: ArrayLike, directions: int = FINE_DIRECTIONS) -> FloatArray:
    """Points of the smooth outline through radii, about the axis.

    Parameters
    ----------
    radii_mm : (m,) float
        Distances of the bark from the axis, every 360/m degrees from +x, anticlockwise from above.
    directions : int
        How many points.

    Returns
    -------
    (directions, 2) float
        In mm.

    Raises
    ------
    RangeError
        For fewer than three radii.

    Source
    ------
    own: Fourier series of the radii.

    Examples
    --------
    >>> outline_points_mm([5.0, 5.0, 5.0, 5.0], 4).round(6).tolist()
    [[5.0, 0.0], [0.0, 5.0], [-5.0, 0.0], [-0.0, -5.0]]
    """
    radii = np.asarray(radii_mm, dtype=np.float64)
    if len(radii) < LEAST_DIRECTIONS:
        raise out_of_range(_("radii of a section"), str(len(radii)), _("three or more"))
    waves = np.fft.rfft(radii) / len(radii)
    if len(radii) % 2 == 0:
        waves[-1] *= 0.5  # the shared last wave of an even count; halved so that the radii are met
    turn = np.linspace(0.0, 2.0 * math.pi, directions, endpoint=False)
    number = np.arange(1, len(waves))
    fine = waves[0].real + 2.0 * (np.exp(1j * np.outer(turn, number)) @ waves[1:]).real
    points: FloatArray = fine[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    return points


def girth_of_widths_mm(widths_mm: ArrayLike) -> float:
    """Girth from widths seen from evenly spread directions.

    Parameters
    ----------
    widths_mm : (k,) float
        Distance between the two flanks in each view.

    Returns
    -------
    float
        Pi times their mean, in mm.

    Source
    ------
    cauchy1832: the perimeter of a convex outline is pi times its mean width.

    Examples
    --------
    >>> round(girth_of_widths_mm([50.0, 50.0]), 2)
    157.08
    """
    return math.pi * float(np.mean(np.asarray(widths_mm, dtype=np.float64)))


def _hull(points: FloatArray) -> FloatArray:
    order = np.lexsort((points[:, 1], points[:, 0]))
    ordered = points[order]
    lower, upper = _chain(ordered), _chain(ordered[::-1])
    return np.array([*lower[:-1], *upper[:-1]]) if len(lower) > 1 else ordered[:1]


def _chain(points: NDArray[Any]) -> list[NDArray[Any]]:
    line: list[NDArray[Any]] = []
    for point in points:
        while len(line) > 1 and _turn(line[-2], line[-1], point) <= 0.0:
            line.pop()
        if not line or (point != line[-1]).any():
            line.append(point)
    return line


def _turn(a: NDArray[Any], b: NDArray[Any], c: NDArray[Any]) -> float:
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
