"""Sections of the trunk: outline and girth from the edges that all views show, as a tape would read it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.structure.section import Section
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.radius import flanks_of
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
    order = int(limit_of("section", "waves"))
    order = min(order, max((len(angle_rad) // 2 - 2) // 2, 0))
    if len(angle_rad) < limit_of("section", "least_edges"):
        return None
    basis = _basis(angle_rad, order)
    weight: FloatArray = np.asarray(np.ones(len(angle_rad)))
    coarse = _basis(angle_rad, min(order, 2))
    rest = reach_mm - coarse @ np.linalg.lstsq(coarse, reach_mm, rcond=None)[0]
    damp = 1e-3 * np.arange(basis.shape[1])[:, None] ** 2 * np.eye(basis.shape[1])
    solved = np.zeros(basis.shape[1])
    scale = 0.15 * pixel_mm
    for turn in range(12):
        used = coarse if turn < 6 else basis
        ridge = damp[: used.shape[1], : used.shape[1]]
        inverse = np.linalg.solve(used.T @ (used * weight[:, None]) + ridge, used.T @ (weight * reach_mm))
        solved = np.asarray(inverse, dtype=np.float64)
        rest = reach_mm - used @ solved
        scale = max(1.4826 * float(np.median(np.abs(rest))), 0.15 * pixel_mm)
        # Cover only ever lies outside the bark: an edge too far out is let go sooner than one too near.
        ratio = rest / (np.where(rest > 0.0, 3.0, 5.0) * scale)
        weight = np.asarray(np.clip(1.0 - ratio**2, 0.0, 1.0) ** 2)
    good = (rest < 4.0 * scale) & (rest > -6.0 * scale)
    if good.sum() < max(limit_of("section", "least_edges"), 0.4 * len(rest), basis.shape[1] + 2):
        return None
    # The weights lean inwards; the last fit takes all clean edges alike.
    last = basis[good]
    solved = np.asarray(np.linalg.solve(last.T @ last + damp, last.T @ reach_mm[good]), dtype=np.float64)
    rest, weight = reach_mm - basis @ solved, np.where(good, 1.0, 0.0)
    error = math.sqrt(float((weight * rest**2).sum() / max(weight.sum() - len(solved), 1.0)))
    sd = 2.0 * math.pi * error / math.sqrt(float(weight.sum()))
    area = math.pi * float(solved[0] ** 2)
    for wave in range(1, order + 1):
        power = float(solved[2 * wave - 1] ** 2 + solved[2 * wave] ** 2)
        area += 0.5 * math.pi * (1.0 - wave**2) * power
    return Outline(solved, 2.0 * math.pi * float(solved[0]), sd, area, int(good.sum()))


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
    stack: Stack, points_mm: FloatArray, tangents: FloatArray, radius_mm: FloatArray, pixel_mm: float
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

    Returns
    -------
    tuple of Outline or None
        One a node.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_paths
    >>> stack, paths = rod_paths()
    >>> up = np.tile([0.0, 0.0, 1.0], (len(paths.points_mm), 1))
    >>> outline = trunk_outlines(stack, paths.points_mm, up, paths.radius_mm, 1.0)[5]
    >>> bool(abs(outline.girth_mm - 62.83) < 0.15)
    True
    """
    flanks = flanks_of(stack, points_mm, tangents, radius_mm)
    out: list[Outline | None] = []
    for row in range(len(points_mm)):
        east, north = _frame(tangents[row])
        seen = np.isfinite(flanks.first_mm[row])
        out.append(_outline(flanks_at(flanks, row, seen), (east, north), pixel_mm))
    return tuple(out)


def flanks_at(flanks: object, row: int, seen: BoolArray) -> tuple[FloatArray, FloatArray]:
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
    >>> from ringwise.structure.turntable.radius import Flanks
    >>> way = np.array([[[1.0, 0, 0]]])
    >>> flanks_at(Flanks(np.array([[2.0]]), np.array([[-3.0]]), way, way), 0, np.array([True]))[1].tolist()
    [2.0, 3.0]
    """
    first, second = flanks.first_mm[row][seen], flanks.second_mm[row][seen]  # type: ignore[attr-defined]
    ways = [flanks.first_way[row][seen], flanks.second_way[row][seen]]  # type: ignore[attr-defined]
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


def sections_of(
    outlines: tuple[Outline | None, ...], height_mm: FloatArray, spacing_mm: float
) -> tuple[Section, ...]:
    """Sections at rising heights from the outlines along the trunk.

    Parameters
    ----------
    outlines : tuple of Outline or None
        At the trunk's nodes.
    height_mm : (n,) float
        Heights of the nodes above the soil.
    spacing_mm : float
        Least distance of sections.

    Returns
    -------
    tuple of Section
        From below.

    Source
    ------
    own: row section.directions of turntable.csv.

    Examples
    --------
    >>> turn = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    >>> one = outline_of(turn, np.full(48, 25.0), 0.4)
    >>> [round(each.girth_mm, 1) for each in sections_of((one, None, one), np.array([0, 5, 10.0]), 2.0)]
    [157.1, 157.1]
    """
    count = int(limit_of("section", "directions"))
    out: list[Section] = []
    for outline, height in zip(outlines, height_mm, strict=True):
        if outline is None or height < 0.0 or (out and height - out[-1].height_mm < spacing_mm):
            continue
        radii = outline_radii_mm(outline, count)
        if np.all(radii > 0.0):
            out.append(Section(float(height), outline.girth_mm, outline.girth_sd_mm, radii))
    return tuple(out)
