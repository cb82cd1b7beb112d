"""Sections of the trunk: the edges that all views show across it, and how its outline looks from a side."""

from __future__ import annotations

import math

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.structure.polyline import way_along
from ringwise.structure.turntable.hull import Outline, basis_of, outline_of
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.radius import Flanks, flanks_of
from ringwise.structure.turntable.views import Stack

_TANGENTS = 72  # of an outline, for what lies inside it


def trunk_outlines(
    stack: Stack,
    points_mm: FloatArray,
    tangents: FloatArray,
    radius_mm: FloatArray,
    pixel_mm: float,
    soil_mm: float = -math.inf,
    least_slope: FloatArray | float = 0.0,
) -> tuple[Outline | None, ...]:
    """An outline across the trunk at each node, where enough of it is seen.

    Parameters
    ----------
    stack : Stack
        The views.
    points_mm, tangents : (n, 3) float
        The trunk's axis.
    radius_mm : (n,) float
        Expected radii.
    pixel_mm : float
        What a pixel is worth.
    soil_mm : float
        Height of the soil.
    least_slope : (n,) float or float
        Slope of the bark that must be reckoned with where the radii do not tell it.

    Returns
    -------
    tuple of Outline or None
        One a node.

    Source
    ------
    own: a cone of slope s seen at an angle e to its section looks wider by 1 / sqrt(1 - (s tan e)^2). Where
    it is not round, a sight touches it beside the section, higher or lower by tan e, where it is thinner or
    thicker by s; a share of that stays unsure.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_paths
    >>> stack, paths = rod_paths()
    >>> up = np.tile([0.0, 0.0, 1.0], (len(paths.points_mm), 1))
    >>> outline = trunk_outlines(stack, paths.points_mm, up, paths.radius_mm, 1.0)[5]
    >>> bool(abs(outline.girth_mm - 62.83) < 0.15)
    True
    """
    flanks = flanks_of(stack, points_mm, tangents, radius_mm * limit_of("section", "reach_ratio"))
    slope = _slopes(points_mm, radius_mm)
    steep = np.maximum(np.abs(slope), least_slope)
    centres = np.array([-each[:9].reshape(3, 3).T @ each[9:12] for each in stack.cameras])
    out: list[Outline | None] = []
    for row in range(len(points_mm)):
        east, north = _frame(tangents[row])
        sight = points_mm[row] - centres
        along = sight @ tangents[row]
        flat = sight - along[:, None] * tangents[row]
        far = np.maximum(np.linalg.norm(flat, axis=1), 1e-9)
        rise, flat = along / far, flat / far[:, None]
        tilt = np.abs(rise)
        # Seen from above, a flare's edge is the bark lower down; below the soil there is none.
        touched = points_mm[row, 2] - radius_mm[row] * steep[row] * tilt**2 > soil_mm
        seen = np.isfinite(flanks.first_mm[row]) & touched
        seen &= steep[row] * tilt <= limit_of("section", "most_cone")
        ways, reach = flanks_at(flanks, row, seen)
        narrow = np.tile(np.sqrt(1.0 - np.minimum(slope[row] * tilt[seen], 0.9) ** 2), 2)
        unsure = (
            limit_of("section", "cone_unsure_frac") * steep[row] * radius_mm[row] * np.tile(tilt[seen], 2)
        )
        turn = np.sum(np.cross(tangents[row], ways) * np.tile(flat[seen], (2, 1)), axis=1)
        angle = np.arctan2(ways @ north, ways @ east)
        lean = slope[row] * np.tile(rise[seen], 2) * turn
        out.append(outline_of(angle, reach * narrow, pixel_mm, unsure, lean))
    return tuple(out)


def _slopes(points_mm: FloatArray, radius_mm: FloatArray) -> FloatArray:
    """How steeply the bark closes in along the axis, over about its own radius."""
    arc = way_along(points_mm)
    low = np.interp(np.maximum(arc - 0.5 * radius_mm, 0.0), arc, radius_mm)
    high = np.interp(np.minimum(arc + 0.5 * radius_mm, arc[-1]), arc, radius_mm)
    reach = np.minimum(arc + 0.5 * radius_mm, arc[-1]) - np.maximum(arc - 0.5 * radius_mm, 0.0)
    return np.asarray((low - high) / np.maximum(reach, 1e-9))


def flanks_at(flanks: Flanks, row: int, seen: BoolArray) -> tuple[FloatArray, FloatArray]:
    """Outward directions of the edges of a node and their distances.

    Parameters
    ----------
    flanks : Flanks
        Of many nodes.
    row : int
        Which node.
    seen : (views,) bool
        In which views.

    Returns
    -------
    ways : (k, 3) float
        Outward directions.
    reach_mm : (k,) float
        Distances, above 0.

    Source
    ------
    own.

    Examples
    --------
    >>> way = np.array([[[1.0, 0, 0]]])
    >>> flanks_at(Flanks(np.array([[2.0]]), np.array([[-3.0]]), way, way), 0, np.array([True]))[1].tolist()
    [2.0, 3.0]
    """
    first, second = flanks.first_mm[row][seen], flanks.second_mm[row][seen]
    ways = [flanks.first_way[row][seen], flanks.second_way[row][seen]]
    sides = (1.0, -1.0) if len(first) == 0 or np.median(first) > 0 else (-1.0, 1.0)
    return (
        np.concatenate([sides[0] * ways[0], sides[1] * ways[1]]),
        np.concatenate([sides[0] * first, sides[1] * second]),
    )


def seen_from(outline: Outline, tangent: FloatArray, sights: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Half the width that an outline shows along sights, and where its middle seems to lie.

    Parameters
    ----------
    outline : Outline
        About its own middle.
    tangent : (3,) float
        Direction of the axis.
    sights : (n, 3) float
        Directions of the sights.

    Returns
    -------
    half_mm : (n,) float
        Half the width.
    shift_mm : (n, 3) float
        From the axis to the middle between both flanks.

    Source
    ------
    own: the support function in both directions across the sight.

    Examples
    --------
    >>> turn = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    >>> one = outline_of(turn, np.full(48, 25.0), 0.4)
    >>> seen_from(one, np.array([0.0, 0.0, 1.0]), np.array([[1.0, 0.0, 0.0]]))[0].round(6).tolist()
    [25.0]
    """
    across = np.cross(sights, tangent)
    across = across / np.maximum(np.linalg.norm(across, axis=1), 1e-9)[:, None]
    east, north = _frame(tangent)
    angle = np.arctan2(across @ north, across @ east)
    waves = np.array(outline.waves)
    waves[1:3] = 0.0
    order = (len(waves) - 1) // 2
    far, near = basis_of(angle, order) @ waves, basis_of(angle + math.pi, order) @ waves
    return np.asarray(0.5 * (far + near)), np.asarray(0.5 * (far - near)[:, None] * across)


def axis_shift_mm(outline: Outline, tangent: FloatArray) -> FloatArray:
    """How far the middle of an outline lies from the axis it was measured about.

    Parameters
    ----------
    outline : Outline
        As fitted.
    tangent : (3,) float
        Direction of the axis.

    Returns
    -------
    (3,) float
        In mm.

    Source
    ------
    own: the first wave of a support function is a shift.

    Examples
    --------
    >>> turn = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    >>> beside = outline_of(turn, 25.0 + 2.0 * np.cos(turn), 0.4)
    >>> (axis_shift_mm(beside, np.array([0.0, 0.0, 1.0])).round(2) + 0.0).tolist()  # no -0.0
    [2.0, 0.0, 0.0]
    """
    if len(outline.waves) < 3:
        return np.zeros(3)
    east, north = _frame(tangent)
    return np.asarray(outline.waves[1] * east + outline.waves[2] * north)


def beyond_mm(outline: Outline, tangent: FloatArray, away_mm: FloatArray) -> float:
    """How far a place lies outside an outline.

    Parameters
    ----------
    outline : Outline
        About its own middle.
    tangent : (3,) float
        Direction of the axis.
    away_mm : (3,) float
        From the axis to the place.

    Returns
    -------
    float
        The most by which it exceeds a tangent of the outline; below 0 inside.

    Source
    ------
    own: a place lies in a hull if no tangent has it on its outer side.

    Examples
    --------
    >>> turn = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    >>> one = outline_of(turn, np.full(48, 25.0), 0.4)
    >>> round(beyond_mm(one, np.array([0.0, 0.0, 1.0]), np.array([0.0, 20.0, 7.0])), 3)
    -5.0
    """
    east, north = _frame(tangent)
    turn = np.linspace(0.0, 2.0 * math.pi, _TANGENTS, endpoint=False)
    waves = np.array(outline.waves)
    waves[1:3] = 0.0
    reach = basis_of(turn, (len(waves) - 1) // 2) @ waves
    return float(np.max(away_mm @ east * np.cos(turn) + away_mm @ north * np.sin(turn) - reach))


def _frame(tangent: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Two directions across an axis, the first as near to +x as can be, anticlockwise from its end."""
    east = np.array([1.0, 0.0, 0.0]) - tangent[0] * tangent
    if np.linalg.norm(east) < 1e-3:
        east = np.array([0.0, 1.0, 0.0]) - tangent[1] * tangent
    east = east / np.linalg.norm(east)
    return east, np.cross(tangent, east)
