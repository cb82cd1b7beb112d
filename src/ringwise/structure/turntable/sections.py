"""Sections of the trunk: outline and girth from the edges that all views show, as a tape would read it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.structure.polyline import way_along
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.radius import Flanks, flanks_of
from ringwise.structure.turntable.views import Stack

_FINE = 720  # directions that an outline is drawn with before its radii are read


@dataclass(frozen=True)
class Outline:
    """A hull by its support function: mean, waves (cosine, sine), spread of the mean, area and girth."""

    waves: FloatArray
    girth_mm: float
    girth_sd_mm: float
    area_mm2: float
    views: int
    clean_frac: float = 1.0  # of the edges that were seen


def outline_of(angle_rad: FloatArray, reach_mm: FloatArray, pixel_mm: float) -> Outline | None:
    """The hull whose tangents lie at given distances in given directions.

    Parameters
    ----------
    angle_rad : (k,) float
        Directions in which the edges were seen.
    reach_mm : (k,) float
        Their distances from the axis; those of covered edges too large.
    pixel_mm : float
        What a pixel is worth.

    Returns
    -------
    Outline or None
        None where too few edges are clean.

    Source
    ------
    own: Fourier series of the support function, covered edges weighed down; the girth is its mean times
    2 pi (cauchy1832).

    Examples
    --------
    >>> turn = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    >>> round(outline_of(turn, np.full(48, 25.0), 0.4).girth_mm, 2)
    157.08
    """
    order = _waves(int(limit_of("section", "waves")), len(angle_rad))
    if len(angle_rad) < limit_of("section", "least_edges"):
        return None
    basis = _basis(angle_rad, order)
    damp = 1e-3 * np.arange(basis.shape[1])[:, None] ** 2 * np.eye(basis.shape[1])
    good = _clean_edges((basis, damp), _basis(angle_rad, min(order, 2)), reach_mm, pixel_mm)
    if good.sum() < max(
        limit_of("section", "least_edges"), limit_of("section", "least_clean_frac") * len(reach_mm)
    ):
        return None
    if _widest_gap_deg(angle_rad[good]) > limit_of("section", "most_gap_deg"):
        return None
    # The weights lean inwards; the last fit takes all clean edges alike.
    order = _waves(order, int(good.sum()))
    basis, damp = basis[:, : 2 * order + 1], damp[: 2 * order + 1, : 2 * order + 1]
    last = basis[good]
    solved = np.asarray(np.linalg.solve(last.T @ last + damp, last.T @ reach_mm[good]), dtype=np.float64)
    if _swings(solved, reach_mm[good]):
        return None
    rest, weight = reach_mm - basis @ solved, np.where(good, 1.0, 0.0)
    error = math.sqrt(float((weight * rest**2).sum() / max(weight.sum() - len(solved), 1.0)))
    # Directions that no edge shows widen the spread of the mean.
    error = max(error, limit_of("section", "edge_px") * pixel_mm)
    inverse = np.asarray(np.linalg.inv(last.T @ last + damp), dtype=np.float64)
    floor_mm = limit_of("section", "floor_frac") * float(solved[0])
    sd = 2.0 * math.pi * math.hypot(error * math.sqrt(float(inverse[0, 0])), floor_mm)
    area = _area_mm2(solved)
    girth = 2.0 * math.pi * float(solved[0])
    if area < limit_of("section", "least_round_frac") * girth**2 / (4.0 * math.pi):
        return None
    if sd > limit_of("section", "fill_frac") * girth:
        return None
    return Outline(solved, girth, sd, area, int(good.sum()), float(good.mean()))


def _clean_edges(
    whole: tuple[FloatArray, FloatArray], coarse: FloatArray, reach_mm: FloatArray, pixel_mm: float
) -> BoolArray:
    """Which edges lie on the hull: a coarse fit first, then all waves, far edges weighed down."""
    basis, damp = whole
    weight: FloatArray = np.asarray(np.ones(len(reach_mm)))
    rest = reach_mm - coarse @ np.linalg.lstsq(coarse, reach_mm, rcond=None)[0]
    solved = np.zeros(basis.shape[1])
    scale = least = limit_of("section", "edge_px") * pixel_mm
    far, near = limit_of("section", "far_scales"), limit_of("section", "near_scales")
    for turn in range(12):
        used = coarse if turn < 6 else basis
        ridge = damp[: used.shape[1], : used.shape[1]]
        inverse = np.linalg.solve(used.T @ (used * weight[:, None]) + ridge, used.T @ (weight * reach_mm))
        solved = np.asarray(inverse, dtype=np.float64)
        rest = reach_mm - used @ solved
        scale = max(1.4826 * float(np.median(np.abs(rest))), least)
        # Cover only ever lies outside the bark: an edge too far out is let go sooner than one too near.
        # It loses its weight one spread before it is let go.
        ratio = rest / (np.where(rest > 0.0, far - 1.0, near - 1.0) * scale)
        weight = np.asarray(np.clip(1.0 - ratio**2, 0.0, 1.0) ** 2)
    return np.asarray((rest < far * scale) & (rest > -near * scale))


def _swings(waves: FloatArray, reach_mm: FloatArray) -> bool:
    """Whether a fitted outline swings beyond all its edges."""
    turn = np.linspace(0.0, 2.0 * math.pi, 72)
    everywhere = _basis(turn, (len(waves) - 1) // 2) @ waves
    swing = limit_of("section", "most_swing_frac")
    short = everywhere.min() < (1.0 - swing) * reach_mm.min()
    return bool(short or everywhere.max() > (1.0 + swing) * reach_mm.max())


def _area_mm2(waves: FloatArray) -> float:
    """Area within a hull by its support function."""
    area = math.pi * float(waves[0] ** 2)
    for wave in range(1, (len(waves) - 1) // 2 + 1):
        power = float(waves[2 * wave - 1] ** 2 + waves[2 * wave] ** 2)
        area += 0.5 * math.pi * (1.0 - wave**2) * power
    return area


def _waves(most: int, edges: int) -> int:
    """How many waves so many edges can tell."""
    return min(most, max((edges - 5) // 4, 0))


def _widest_gap_deg(angle_rad: FloatArray) -> float:
    """The widest angle without an edge."""
    turn = np.sort(np.mod(angle_rad, 2.0 * math.pi))
    return float(np.degrees(np.max(np.diff(np.concatenate([turn, turn[:1] + 2.0 * math.pi])))))


def _basis(angle: FloatArray, order: int) -> FloatArray:
    columns = [np.ones(len(angle))]
    for wave in range(1, order + 1):
        columns += [np.cos(wave * angle), np.sin(wave * angle)]
    return np.stack(columns, axis=1)


def outline_radii_mm(outline: Outline, count: int) -> FloatArray:
    """Radii of an outline about its middle, every 360/count degrees.

    Parameters
    ----------
    outline : Outline
        As fitted.
    count : int
        How many.

    Returns
    -------
    (count,) float
        In mm.

    Source
    ------
    own: the hull's points from its support function and its slope.

    Examples
    --------
    >>> turn = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    >>> outline_radii_mm(outline_of(turn, np.full(48, 25.0), 0.4), 4).round(6).tolist()
    [25.0, 25.0, 25.0, 25.0]
    """
    turn = np.linspace(0.0, 2.0 * math.pi, _FINE, endpoint=False)
    order = (len(outline.waves) - 1) // 2
    wave = np.arange(1, order + 1)
    slope = np.zeros(_FINE)
    centred = np.array(outline.waves)
    centred[1:3] = 0.0
    reach = _basis(turn, order) @ centred
    for each in wave:
        slope -= each * centred[2 * each - 1] * np.sin(each * turn)
        slope += each * centred[2 * each] * np.cos(each * turn)
    x = reach * np.cos(turn) - slope * np.sin(turn)
    y = reach * np.sin(turn) + slope * np.cos(turn)
    angle = np.unwrap(np.arctan2(y, x))
    rows = np.argsort(np.mod(angle, 2.0 * math.pi))
    at = np.mod(angle, 2.0 * math.pi)[rows]
    return np.asarray(
        np.interp(
            np.linspace(0.0, 2.0 * math.pi, count, endpoint=False),
            at,
            np.hypot(x, y)[rows],
            period=2 * math.pi,
        )
    )


def trunk_outlines(
    stack: Stack,
    points_mm: FloatArray,
    tangents: FloatArray,
    radius_mm: FloatArray,
    pixel_mm: float,
    soil_mm: float = -math.inf,
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

    Returns
    -------
    tuple of Outline or None
        One a node.

    Source
    ------
    own: a cone of slope s seen at an angle e to its section looks wider by 1 / sqrt(1 - (s tan e)^2).

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
    centres = np.array([-each[:9].reshape(3, 3).T @ each[9:12] for each in stack.cameras])
    out: list[Outline | None] = []
    for row in range(len(points_mm)):
        east, north = _frame(tangents[row])
        sight = points_mm[row] - centres
        rise = np.abs(sight @ tangents[row]) / np.linalg.norm(sight, axis=1)
        tilt = rise / np.sqrt(np.maximum(1.0 - rise**2, 1e-6))
        cone = slope[row] * tilt
        # Seen from above, a flare's edge is the bark lower down; below the soil there is none.
        touched = points_mm[row, 2] - radius_mm[row] * cone * tilt > soil_mm
        seen = np.isfinite(flanks.first_mm[row]) & touched & (cone <= limit_of("section", "most_cone"))
        ways, reach = flanks_at(flanks, row, seen)
        narrow = np.sqrt(1.0 - np.minimum(cone[seen], 0.9) ** 2)
        out.append(_outline((ways, reach * np.tile(narrow, 2)), (east, north), pixel_mm))
    return tuple(out)


def _slopes(points_mm: FloatArray, radius_mm: FloatArray) -> FloatArray:
    """How steeply the bark closes in along the axis, over about its own radius."""
    arc = way_along(points_mm)
    low = np.interp(np.maximum(arc - 0.5 * radius_mm, 0.0), arc, radius_mm)
    high = np.interp(np.minimum(arc + 0.5 * radius_mm, arc[-1]), arc, radius_mm)
    reach = np.minimum(arc + 0.5 * radius_mm, arc[-1]) - np.maximum(arc - 0.5 * radius_mm, 0.0)
    return np.asarray(np.abs(high - low) / np.maximum(reach, 1e-9))


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


def seen_from(outline: Outline, tangent: FloatArray, sight: FloatArray) -> tuple[float, FloatArray]:
    """Half the width that an outline shows along a sight, and where its middle seems to lie.

    Parameters
    ----------
    outline : Outline
        About its own middle.
    tangent, sight : (3,) float
        Directions of the axis and of the sight.

    Returns
    -------
    half_mm : float
        Half the width.
    shift_mm : (3,) float
        From the axis to the middle between both flanks.

    Source
    ------
    own: the support function in both directions across the sight.

    Examples
    --------
    >>> turn = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    >>> one = outline_of(turn, np.full(48, 25.0), 0.4)
    >>> round(seen_from(one, np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0]))[0], 6)
    25.0
    """
    across = np.cross(sight, tangent)
    across = across / max(float(np.linalg.norm(across)), 1e-9)
    east, north = _frame(tangent)
    angle = math.atan2(float(across @ north), float(across @ east))
    waves = np.array(outline.waves)
    waves[1:3] = 0.0
    order = (len(waves) - 1) // 2
    far, near = _basis(np.array([angle, angle + math.pi]), order) @ waves
    return 0.5 * float(far + near), 0.5 * float(far - near) * across


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
    >>> axis_shift_mm(beside, np.array([0.0, 0.0, 1.0])).round(2).tolist()
    [2.0, 0.0, 0.0]
    """
    if len(outline.waves) < 3:
        return np.zeros(3)
    east, north = _frame(tangent)
    return np.asarray(outline.waves[1] * east + outline.waves[2] * north)


def _frame(tangent: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Two directions across an axis, the first as near to +x as can be, anticlockwise from its end."""
    east = np.array([1.0, 0.0, 0.0]) - tangent[0] * tangent
    if np.linalg.norm(east) < 1e-3:
        east = np.array([0.0, 1.0, 0.0]) - tangent[1] * tangent
    east = east / np.linalg.norm(east)
    return east, np.cross(tangent, east)


def _outline(
    edges: tuple[FloatArray, FloatArray], frame: tuple[FloatArray, FloatArray], pixel_mm: float
) -> Outline | None:
    ways, reach = edges
    if len(reach) == 0:
        return None
    return outline_of(np.arctan2(ways @ frame[1], ways @ frame[0]), reach, pixel_mm)
