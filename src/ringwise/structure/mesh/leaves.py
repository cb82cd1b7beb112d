"""Leaves and buds on the twigs, as places where one blade is set again and again; drawing only.

How many there are follows the leaf area that the table carries; where they sit is a keyed draw, so that the
same tree has the same leaves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringwise.kit import chance
from ringwise.kit.chance import Purpose
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray, IntArray
from ringwise.structure.measured import MeasuredTree
from ringwise.structure.mesh.blades import Blade, blade
from ringwise.structure.mesh.look import TreeLook, known_stage, look_for
from ringwise.structure.table import SegmentTable

GOLDEN_RAD = math.pi * (3.0 - math.sqrt(5.0))
CM2_TO_MM2 = 100.0  # exact


@dataclass(frozen=True)
class Leaves:
    """One blade set in many places: where, how turned (quaternion x y z w), how large, in which tone."""

    blade: Blade
    places_mm: NDArray[np.float32]  # (m, 3)
    turns: NDArray[np.float32]  # (m, 4)
    sizes_mm: NDArray[np.float32]  # (m, 3) width, length, thickness of the unit blade
    tone: NDArray[np.uint8]  # (m,) index into `tones`
    segment: NDArray[np.uint32]  # (m,)
    tones: tuple[str, ...]

    @property
    def n(self) -> int:
        """How many there are."""
        return len(self.segment)


def leaves_of(
    measured: MeasuredTree, *, stage: str, keys: tuple[str, ...] = (), seed: int = 0
) -> Leaves | None:
    """What stands on the twigs in a stage of the year.

    Parameters
    ----------
    measured : MeasuredTree
        A tree; segments with leaf area bear leaves, and tips bear buds.
    stage : str
        One of `look.STAGES`.
    keys : tuple of str
        Species, genus, group: whose blade and colours.
    seed : int
        Which of the equally likely arrangements.

    Returns
    -------
    Leaves or None
        None for a bare tree.

    Raises
    ------
    UnknownNameError
        For a stage that is not known.

    Source
    ------
    own: tables `tree_look` and `mesh` rows `leaf`, drawing only.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> seedling = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0, leaf_cm2=20.0))
    >>> leaves_of(seedling, stage="hardened", keys=("acer_palmatum",)).n
    3
    """
    if known_stage(stage) == "none":
        return None
    look = look_for(keys)
    if stage in {"bud", "swelling"}:
        return _buds(measured.table, look, stage, seed)
    return _blades(measured.table, look, stage, seed)


def _rules(stage: str) -> tuple[float, float, float]:
    """Length and width against the grown leaf, and how far it is folded towards the shoot."""
    row = load_table("ringwise.structure", "mesh").of(f"leaf_{stage}")
    return row["length_ratio"].number, row["width_ratio"].number, row["upright_frac"].number


def _most() -> int:
    return round(load_table("ringwise.structure", "mesh").get("leaf", "most").number)


def _blades(table: SegmentTable, look: TreeLook, stage: str, seed: int) -> Leaves | None:
    shape = blade(look.blade)
    long, wide, upright_frac = _rules(stage)
    area_cm2 = shape.area_ratio * look.leaf_mm**2 / CM2_TO_MM2
    count = np.ceil(table.leaf_cm2.astype(np.float64) / area_cm2 - 0.5).astype(np.int64)
    count = np.where(table.leaf_cm2 > 0.0, np.maximum(count, 1), 0)
    total = int(count.sum())
    if total == 0:
        return None
    # Fewer and larger ones where there would be too many to draw: the area stays.
    thinned = min(1.0, _most() / total)
    rows = np.repeat(np.arange(table.n), count)
    number = np.arange(total) - np.repeat(np.cumsum(count) - count, count)
    if thinned < 1.0:
        kept = np.nonzero(np.floor(np.arange(1, total + 1) * thinned) > np.floor(np.arange(total) * thinned))
        rows, number = rows[kept], number[kept]
    own_mm = np.sqrt(table.leaf_cm2[rows] * CM2_TO_MM2 / count[rows] / thinned / shape.area_ratio)
    luck = _Luck(seed, rows, number)
    length_mm = own_mm * long * luck.between(0, 0.82, 1.15)
    share = (number + luck.between(1, 0.15, 0.85)) / count[rows]
    way, normal = _held(table, rows, number, luck, upright_frac)
    base = table.start_mm[rows] + (0.25 + 0.75 * share)[:, None] * (table.end_mm[rows] - table.start_mm[rows])
    base = base + way * (table.end_diameter_mm[rows] / 2.0)[:, None]
    sizes = np.stack([length_mm * wide / long, length_mm, length_mm], axis=1)
    return _set(shape, base, _turns(way, normal), sizes, rows, look.tones(stage), luck)


def _buds(table: SegmentTable, look: TreeLook, stage: str, seed: int) -> Leaves | None:
    rows = np.nonzero(table.continued_by < 0)[0]
    most = _most()
    rows = rows[: most if len(rows) > most else len(rows)]
    long, wide, _upright = _rules(stage)
    luck = _Luck(seed, rows, np.zeros(len(rows), np.int64))
    # A bud is hardly thicker than twice its shoot.
    length_mm = np.minimum(look.bud_mm, 3.0 * table.diameter_mm[rows]) * long * luck.between(0, 0.85, 1.15)
    way = table.direction[rows].astype(np.float64)
    sizes = np.stack([length_mm * wide, length_mm, length_mm * wide], axis=1)
    base = table.end_mm[rows] - way * (0.15 * length_mm)[:, None]
    return _set(blade("bud"), base, _turns(way, _across(way)), sizes, rows, look.tones(stage), luck)


class _Luck:
    """Draws for each leaf, keyed by its segment and its number there."""

    def __init__(self, seed: int, rows: IntArray, number: IntArray) -> None:
        self._seed, self._rows, self._number = seed, rows, number

    def between(self, which: int, low: float, high: float) -> FloatArray:
        draw = chance.uniform(self._seed, which, self._number, 0, Purpose.DIRECTION, self._rows)
        return low + (high - low) * draw


def _unit(vectors: FloatArray) -> FloatArray:
    out: FloatArray = vectors / np.maximum(np.linalg.norm(vectors, axis=1, keepdims=True), 1e-12)
    return out


def _across(way: FloatArray) -> FloatArray:
    """Any unit vectors at right angles to others."""
    steep = np.abs(way[:, 2:3]) > 0.9
    other = np.where(steep, [1.0, 0.0, 0.0], [0.0, 0.0, 1.0])
    return _unit(other - way * (other * way).sum(axis=1, keepdims=True))


def _held(
    table: SegmentTable, rows: IntArray, number: IntArray, luck: _Luck, upright_frac: float
) -> tuple[FloatArray, FloatArray]:
    """Which way each blade points, and which way it faces: out from the shoot, towards the light."""
    shoot = table.direction[rows].astype(np.float64)
    side = _across(shoot)
    turn = (
        number * GOLDEN_RAD + luck.between(2, 0.0, 2.0 * math.pi) * (number == 0) + luck.between(3, -0.4, 0.4)
    )
    radial = np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * np.cross(shoot, side)
    hang = np.array([0.0, 0.0, -1.0]) * luck.between(4, 0.0, 0.45)[:, None] * (1.0 - upright_frac)
    way = _unit((1.0 - upright_frac) * radial + (0.45 + upright_frac) * shoot + hang)
    up = np.array([0.0, 0.0, 1.0]) + 0.5 * radial
    up += np.stack([luck.between(5, -0.3, 0.3), luck.between(6, -0.3, 0.3), np.zeros(len(rows))], axis=1)
    normal = up - way * (up * way).sum(axis=1, keepdims=True)
    flat = np.linalg.norm(normal, axis=1, keepdims=True) < 1e-3
    return way, _unit(np.where(flat, _across(way), normal))


def _turns(way: FloatArray, normal: FloatArray) -> FloatArray:
    """Quaternions that take +y to `way` and +z to `normal`."""
    right = np.cross(way, normal)
    m = np.stack([right, way, normal], axis=2)
    # Of the four usual forms that with the largest root is taken for each, so that none divides by little.
    trace = m[:, 0, 0] + m[:, 1, 1] + m[:, 2, 2]
    squares = np.stack(
        [2.0 * m[:, 0, 0] - trace, 2.0 * m[:, 1, 1] - trace, 2.0 * m[:, 2, 2] - trace, trace], 1
    )
    largest = np.argmax(squares, axis=1)
    root = np.sqrt(1.0 + np.take_along_axis(squares, largest[:, None], 1)[:, 0])
    pair = {
        (0, 1): m[:, 1, 0] + m[:, 0, 1],
        (0, 2): m[:, 0, 2] + m[:, 2, 0],
        (1, 2): m[:, 2, 1] + m[:, 1, 2],
        (0, 3): m[:, 2, 1] - m[:, 1, 2],
        (1, 3): m[:, 0, 2] - m[:, 2, 0],
        (2, 3): m[:, 1, 0] - m[:, 0, 1],
    }
    out = np.empty((len(way), 4))
    for part in range(4):
        others = np.select(
            [largest == each for each in range(4) if each != part],
            [pair[(min(each, part), max(each, part))] for each in range(4) if each != part],
        )
        out[:, part] = np.where(largest == part, 0.5 * root, 0.5 * others / root)
    return out


def _set(
    shape: Blade,
    base: FloatArray,
    turns: FloatArray,
    sizes: FloatArray,
    rows: IntArray,
    tones: tuple[str, ...],
    luck: _Luck,
) -> Leaves:
    tone = np.minimum((luck.between(7, 0.0, 1.0) * len(tones)).astype(np.int64), len(tones) - 1)
    return Leaves(
        shape,
        base.astype(np.float32),
        turns.astype(np.float32),
        sizes.astype(np.float32),
        tone.astype(np.uint8),
        rows.astype(np.uint32),
        tones,
    )
