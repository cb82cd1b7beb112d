"""Outlines for drawings: a tapered ribbon along a line, strokes for thin wood, flare and surface roots."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.structure.polyline import places_at, way_along
from ringwise.structure.tape import SECTORS, clock_direction

ALL_ROUND = (
    0.7,
    2.1,
    3.4,
    4.9,
    6.5,
    8.2,
    9.3,
    10.9,
)  # where roots are drawn when nobody looked, by the clock
SLENDER_FROM, SLENDER_TO = 10.0, 30.0  # height to base between which flare and roots fade from old to young
WIDTH_STEP = 1.35  # strokes whose widths differ by less are drawn alike
STRAIGHT_COS = 0.93  # a turn of less than about 21 degrees needs no rounding
CAP_POINTS = 3  # of the half circle at an end
FLARE_RATIO = 0.34  # widening at the soil of an old trunk; drawing only


@dataclass(frozen=True)
class Line:
    """A line of wood in space: nodes, their widths, and whether its foot is cut flat by the soil.

    `row` is its lowest segment, -1 where it is drawing only, as a surface root; `flat_top` whether its end
    was cut.
    """

    points_mm: FloatArray  # (k, 3)
    width_mm: FloatArray
    flat_base: bool = False
    row: int = -1
    flat_top: bool = False


def normals(points: FloatArray) -> FloatArray:
    """Unit normals at the nodes of a flat line, to the left of its way; steady where it does not move.

    Parameters
    ----------
    points : (k, 2) float
        Nodes, at least two.

    Returns
    -------
    (k, 2) float
        Unit vectors.

    Source
    ------
    own.

    Examples
    --------
    >>> normals(np.array([[0.0, 0.0], [0.0, 10.0]])).tolist()
    [[-1.0, 0.0], [-1.0, 0.0]]
    """
    steps = np.diff(points, axis=0)
    size = np.linalg.norm(steps, axis=1)
    still = size < 1e-9
    way = np.where(still[:, None], [0.0, 1.0], steps / np.where(still, 1.0, size)[:, None])
    mean = np.vstack([way[:1], way[:-1] + way[1:], way[-1:]])
    norm = np.linalg.norm(mean, axis=1)
    flat = np.vstack([way, way[-1:]])
    mean = np.where(norm[:, None] < 1e-6, flat, mean / np.where(norm < 1e-6, 1.0, norm)[:, None])
    return np.stack([-mean[:, 1], mean[:, 0]], axis=1)


def ribbon(points: FloatArray, width: FloatArray, flat_base: bool = False) -> FloatArray:
    """The outline of a tapered ribbon along a flat line, rounded at its end and, unless flat, at its foot.

    Parameters
    ----------
    points : (k, 2) float
        Nodes, at least two.
    width : (k,) float
        Full width at each node, in the unit of the points.
    flat_base : bool
        Whether the foot is cut square.

    Returns
    -------
    (m, 2) float
        A closed outline without the repeated first point.

    Source
    ------
    own.

    Examples
    --------
    >>> outline = ribbon(np.array([[0.0, 0.0], [0.0, 10.0]]), np.array([2.0, 2.0]), flat_base=True)
    >>> float(outline[:, 0].min()), float(outline[:, 0].max())
    (-1.0, 1.0)
    """
    half = width / 2.0
    normal = normals(points)
    left, right = points + normal * half[:, None], points - normal * half[:, None]
    end = end_cap(points[-1], normal[-1], half[-1])
    foot = np.empty((0, 2)) if flat_base else end_cap(points[0], -normal[0], half[0])
    return np.vstack([left, end, right[::-1], foot])


def end_cap(centre: FloatArray, normal: FloatArray, radius_mm: float) -> FloatArray:
    """Points of the half circle beyond an end, from the left side round to the right, both left out.

    Parameters
    ----------
    centre, normal : (2,) float
        The end, and the unit normal to the left of the line's way there.
    radius_mm : float
        Half the width at the end.

    Returns
    -------
    (k, 2) float
        In the order in which an outline goes on.

    Source
    ------
    own.

    Examples
    --------
    >>> float(end_cap(np.zeros(2), np.array([-1.0, 0.0]), 2.0)[1, 1])
    2.0
    """
    onward = np.array([normal[1], -normal[0]])
    angles = np.linspace(0.0, math.pi, CAP_POINTS + 2)[1:-1]
    out: FloatArray = centre + radius_mm * (
        np.outer(np.cos(angles), normal) + np.outer(np.sin(angles), onward)
    )
    return out


def smoothed(line: Line) -> Line:
    """The line with a point between its nodes on a smooth curve, where it turns sharply; nodes stay.

    Parameters
    ----------
    line : Line
        Straight pieces.

    Returns
    -------
    Line
        The same line where it hardly turns.

    Source
    ------
    own: midpoints of cubic Hermite pieces; wood bends over a length, nodes are only where it was cut up.

    Examples
    --------
    >>> bent = Line(np.array([[0.0, 0, 0], [0, 0, 9.0], [9.0, 0, 9.0]]), np.array([3.0, 2.0, 1.0]))
    >>> len(smoothed(bent).points_mm)
    5
    """
    points = line.points_mm
    steps = np.diff(points, axis=0)
    size = np.linalg.norm(steps, axis=1)
    if len(points) < 3 or size.min() <= 0:
        return line
    way = steps / size[:, None]
    if float((way[:-1] * way[1:]).sum(axis=1).min()) > STRAIGHT_COS:
        return line
    tangent = np.vstack([way[:1], way[:-1] + way[1:], way[-1:]])
    norm = np.linalg.norm(tangent, axis=1)
    tangent /= np.where(norm < 1e-6, 1.0, norm)[:, None]
    middle = (points[:-1] + points[1:]) / 2.0 + (tangent[:-1] - tangent[1:]) * size[:, None] / 8.0
    out = np.empty((2 * len(points) - 1, 3))
    out[::2], out[1::2] = points, middle
    width = np.empty(len(out))
    width[::2], width[1::2] = line.width_mm, (line.width_mm[:-1] + line.width_mm[1:]) / 2.0
    return replace(line, points_mm=out, width_mm=width)


def strokes(points: FloatArray, width: FloatArray) -> list[tuple[FloatArray, float]]:
    """A thin line as runs of nearly equal width.

    Parameters
    ----------
    points : (k, 2) float
        Nodes.
    width : (k,) float
        Width at each node.

    Returns
    -------
    list of ((m, 2) float, float)
        Open lines and their widths; empty for fewer than two nodes.

    Source
    ------
    own: widths fall into classes a fixed ratio apart, so that equal ones can be drawn together.

    Examples
    --------
    >>> [w for _, w in strokes(np.array([[0.0, 0.0], [0.0, 1.0]]), np.array([0.3, 0.3]))]
    [0.301]
    """
    if len(points) < 2:
        return []
    each_mm = width.tolist()
    classes = [round(math.log((low + high) / 2.0) / math.log(WIDTH_STEP)) for low, high in pairwise(each_mm)]
    runs, first = [], 0
    for at in range(1, len(classes) + 1):
        if at == len(classes) or classes[at] != classes[first]:
            runs.append((points[first : at + 1], round(math.pow(WIDTH_STEP, classes[first]), 3)))
            first = at
    return runs


def _age(slender_ratio: float) -> float:
    """1 for a stout old trunk, 0.15 for a whip."""
    frac = (SLENDER_TO - slender_ratio) / (SLENDER_TO - SLENDER_FROM)
    return min(1.0, max(0.15, frac))


def with_flare(line: Line, base_mm: float, slender_ratio: float) -> Line:
    """The trunk's line widened towards the soil.

    Parameters
    ----------
    line : Line
        The trunk.
    base_mm : float
        Its diameter at the base.
    slender_ratio : float
        Height to base diameter: slender young trees hardly flare.

    Returns
    -------
    Line
        With more nodes near the soil.

    Source
    ------
    own: drawing only.

    Examples
    --------
    >>> trunk = Line(np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 99.0]]), np.array([20.0, 10.0]))
    >>> bool(with_flare(trunk, 20.0, 5.0).width_mm[0] > 20.0)
    True
    """
    along = way_along(line.points_mm)
    extra = np.array([0.1, 0.22, 0.36, 0.55, 0.8]) * base_mm
    at = np.unique(np.concatenate([along, extra[extra < along[-1]]]))
    points = places_at(line.points_mm, along, at)
    width = np.interp(at, along, line.width_mm)
    flare = FLARE_RATIO * _age(slender_ratio) * np.exp(-3.2 * at / base_mm)
    return replace(line, points_mm=points, width_mm=width * (1.0 + flare))


def root_lines(base_mm: float, slender_ratio: float, sectors: Sequence[bool] | None) -> list[Line]:
    """Surface roots as lines that leave the flare and sink into the soil.

    Parameters
    ----------
    base_mm : float
        Diameter of the trunk at the base.
    slender_ratio : float
        Height to base diameter.
    sectors : sequence of bool, optional
        For each hour from 1 to 12 whether a root is seen; None draws them all round.

    Returns
    -------
    list of Line
        None for a whip.

    Source
    ------
    practice: root spread 1.5 to 3 times the trunk's diameter; the shape is drawing only.

    Examples
    --------
    >>> len(root_lines(90.0, 6.0, [True] * 3 + [False] * 9))
    3
    """
    age = _age(slender_ratio)
    if sectors is None:
        clocks = list(ALL_ROUND) if age > 0.3 else []
    else:
        clocks = [hour for hour in range(1, SECTORS + 1) if sectors[hour - 1]]
    t = np.linspace(0.0, 1.0, 9)[:, None]
    lines = []
    for number, clock in enumerate(clocks):
        long_frac = 0.82 + 0.3 * math.sin(2.4 * number + 0.6) ** 2
        way, up = clock_direction(clock), np.array([0.0, 0.0, 1.0])
        start = 0.22 * base_mm * way + 0.42 * age * base_mm * up
        middle = 0.52 * base_mm * way + 0.07 * base_mm * up
        end = (0.55 + 0.5 * age * long_frac) * base_mm * way
        points = start * (1 - t) ** 2 + 2 * middle * t * (1 - t) + end * t**2
        width = base_mm * (0.62 * t[:, 0] ** 0.7 * (1 - t[:, 0]) ** 1.1 + 0.035)
        lines.append(Line(points, width))
    return lines
