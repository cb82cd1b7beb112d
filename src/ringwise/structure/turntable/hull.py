"""The hull of a trunk's section by its support function: outline, area, and girth as a tape would read it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.structure.turntable.limits import limit_of

_ROUNDS = 12  # until the edges on the hull are told from those that are covered
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


def outline_of(
    angle_rad: FloatArray,
    reach_mm: FloatArray,
    pixel_mm: float,
    unsure_mm: FloatArray | None = None,
    lean: FloatArray | None = None,
) -> Outline | None:
    """The hull whose tangents lie at given distances in given directions.

    Parameters
    ----------
    angle_rad : (k,) float
        Directions in which the edges were seen.
    reach_mm : (k,) float
        Their distances from the axis; those of covered edges too large.
    pixel_mm : float
        What a pixel is worth.
    unsure_mm : (k,) float, optional
        Spread of these distances beyond that of an edge in its picture; none, if not given.
    lean : (k,) float, optional
        What a distance loses for each mm that its sight touches the hull anticlockwise of the direction.

    Returns
    -------
    Outline or None
        None where too few edges are clean.

    Source
    ------
    own: Fourier series of the support function, covered edges weighed down; the girth is its mean times
    2 pi (cauchy1832). No wave k of a hull is larger than 2 / (k^2 - 1) of its mean, which holds the waves
    where no edge shows them.

    Examples
    --------
    >>> turn = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    >>> round(outline_of(turn, np.full(48, 25.0), 0.4).girth_mm, 2)
    157.08
    """
    if len(angle_rad) < limit_of("section", "least_edges"):
        return None
    basis = basis_of(angle_rad, int(limit_of("section", "waves")))
    if lean is not None:
        basis = basis - lean[:, None] * _turned(basis)
    least_mm = limit_of("section", "edge_px") * pixel_mm
    trust = np.ones(len(reach_mm)) if unsure_mm is None else least_mm / np.hypot(least_mm, unsure_mm)
    hold = _hold(basis.shape[1], float(np.median(reach_mm)))
    good = _clean_edges(basis, hold, (reach_mm, trust), least_mm)
    if good.sum() < max(
        limit_of("section", "least_edges"), limit_of("section", "least_clean_frac") * len(reach_mm)
    ):
        return None
    if _widest_gap_deg(angle_rad[good]) > limit_of("section", "most_gap_deg"):
        return None
    # The weights lean inwards; the last fits take all clean edges alike.
    error = least_mm
    for _round in range(3):
        solved, inverse, whole = _solved(basis[good], reach_mm[good], trust[good] ** 2, error**2 * hold)
        rest = trust[good] * (reach_mm[good] - basis[good] @ solved)
        free = max(float(good.sum() - np.trace(inverse @ whole)), 1.0)
        error = max(math.sqrt(float((rest**2).sum()) / free), least_mm)
    if _swings(solved, reach_mm[good]):
        return None
    # Directions that no edge shows widen the spread of the mean.
    floor_mm = limit_of("section", "floor_frac") * float(solved[0])
    sd = 2.0 * math.pi * math.hypot(error * math.sqrt(float(inverse[0, 0])), floor_mm)
    area = _area_mm2(solved)
    girth = 2.0 * math.pi * float(solved[0])
    if area < limit_of("section", "least_round_frac") * girth**2 / (4.0 * math.pi):
        return None
    if sd > limit_of("section", "fill_frac") * girth:
        return None
    return Outline(solved, girth, sd, area, int(good.sum()), float(good.mean()))


def _hold(columns: int, mean_mm: float) -> FloatArray:
    """What holds each wave near none, over the squared error of the edges; the mean and a shift are free."""
    wave = (np.arange(columns) + 1) // 2
    usual = limit_of("section", "wave_ratio") * 2.0 * mean_mm / np.maximum(wave**2 - 1, 1e-6)
    return np.where(wave >= 2, 1.0 / usual**2, 1e-9)


def _solved(
    basis: FloatArray, reach_mm: FloatArray, weight: FloatArray, damp: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Waves by weighted least squares, the inverse of their normal matrix, and that matrix undamped."""
    whole = basis.T @ (basis * weight[:, None])
    inverse = np.linalg.inv(whole + np.diag(damp))
    return np.asarray(inverse @ (basis.T @ (weight * reach_mm))), np.asarray(inverse), np.asarray(whole)


def _clean_edges(
    basis: FloatArray, hold: FloatArray, edges: tuple[FloatArray, FloatArray], least_mm: float
) -> BoolArray:
    """Which edges lie on the hull."""
    from ringwise.structure.turntable.hull_kernels import clean_edges

    first_mm = limit_of("section", "first_spread_frac") * float(np.median(edges[0]))
    rules = (first_mm, least_mm, limit_of("section", "far_scales"), limit_of("section", "near_scales"))
    clean = np.empty(len(edges[0]), dtype=bool)
    clean_edges(np.ascontiguousarray(basis), hold, edges, (*rules, _ROUNDS), clean)
    return clean


def _swings(waves: FloatArray, reach_mm: FloatArray) -> bool:
    """Whether a fitted outline swings beyond all its edges."""
    turn = np.linspace(0.0, 2.0 * math.pi, 72)
    everywhere = basis_of(turn, (len(waves) - 1) // 2) @ waves
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


def _widest_gap_deg(angle_rad: FloatArray) -> float:
    """The widest angle without an edge."""
    turn = np.sort(np.mod(angle_rad, 2.0 * math.pi))
    return float(np.degrees(np.max(np.diff(np.concatenate([turn, turn[:1] + 2.0 * math.pi])))))


def basis_of(angle_rad: FloatArray, order: int) -> FloatArray:
    """Columns of a Fourier series: the mean, then cosine and sine of each wave.

    Parameters
    ----------
    angle_rad : (k,) float
        Directions.
    order : int
        How many waves.

    Returns
    -------
    (k, 2 order + 1) float
        In the order of `Outline.waves`.

    Source
    ------
    own.

    Examples
    --------
    >>> basis_of(np.array([0.0]), 2).tolist()
    [[1.0, 1.0, 0.0, 1.0, 0.0]]
    """
    columns = [np.ones(len(angle_rad))]
    for wave in range(1, order + 1):
        columns += [np.cos(wave * angle_rad), np.sin(wave * angle_rad)]
    return np.stack(columns, axis=1)


def _turned(basis: FloatArray) -> FloatArray:
    """How the columns of `basis_of` change with the angle."""
    out = np.zeros_like(basis)
    for column in range(1, basis.shape[1], 2):
        wave = (column + 1) // 2
        out[:, column], out[:, column + 1] = -wave * basis[:, column + 1], wave * basis[:, column]
    return out


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
    reach = basis_of(turn, order) @ centred
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
