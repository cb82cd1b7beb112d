"""From lines of wood to what a pen draws of them: two edges and a cap of thick wood, a stroke of thin."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.structure.outline import Line, end_cap, normals, strokes

STROKE_BELOW_PX = 2.0  # thinner wood is a stroke: its two edges would fall on one another
THINNEST_PX = 0.55  # a twig's stroke
STROKE_FRAC = 0.72  # of a twig's width: a full stroke looks heavier than two edges
LIGHT_PX, HEAVY_PX = 0.7, 1.0  # weight of an edge: that of the finest, and how much a trunk's has more
SHADE = 1.3  # how much heavier the right and lower edge is: light comes from the upper left
WEIGHT_STEP = 1.3  # edges whose weights differ by less are drawn alike
FACE_POINTS = 24
FACE_LIFT_FRAC = 0.6  # a cut face is drawn a little nearer than its wood, else the wood's end hides it


@dataclass(frozen=True)
class Look:
    """The viewer's frame, mm a pixel, and the trunk's diameter against which wood is thick or thin."""

    frame: FloatArray
    mm_per_px: float
    base_mm: float


@dataclass(frozen=True)
class Pieces:
    """Tapered rods (right, up, towards and radius of both ends), and the line of wood of each."""

    ends_mm: FloatArray  # (k, 8)
    line: IntArray


@dataclass(frozen=True)
class _Run:
    """A line for the pen before it is walked."""

    points_mm: FloatArray
    width_mm: float
    layer: str
    line: int
    sinks: bool = False


@dataclass(frozen=True)
class Edges:
    """Lines to be walked: run i is points first[i] to first[i + 1] - 1 (right, up, towards the viewer).

    `line` is the line of wood of each run; `up_of` tells how height above the soil follows from up and
    towards; `sinks` which runs may sink in.
    """

    points_mm: FloatArray  # (k, 3)
    first: IntArray
    line: IntArray
    width_mm: FloatArray
    layer: tuple[str, ...]
    sinks: BoolArray
    up_of: tuple[float, float]


def _thick_nodes(line: Line, look: Look) -> int:
    """How many nodes from its foot a line is thick, so that it has edges; 0 where it is a stroke."""
    thin = line.width_mm < STROKE_BELOW_PX * look.mm_per_px
    count = int(np.argmax(thin)) if thin.any() else len(thin)
    return count if count >= 2 else 0


def pieces_of(lines: Sequence[Line], look: Look) -> Pieces:
    """Thick wood as tapered rods that hide what lies behind them.

    Parameters
    ----------
    lines : sequence of Line
        Of a tree.
    look : Look
        The view.

    Returns
    -------
    Pieces
        Lines are numbered as given.

    Source
    ------
    own.

    Examples
    --------
    >>> post = Line(np.array([[0.0, 0, 0], [0, 0, 90.0]]), np.array([8.0, 6.0]))
    >>> pieces_of([post], Look(np.eye(3), 0.2, 8.0)).ends_mm[0, [3, 7]].tolist()
    [4.0, 3.0]
    """
    found, owner = [np.empty((0, 8))], [np.empty(0, dtype=np.int64)]
    for number, line in enumerate(lines):
        thick = _thick_nodes(line, look)
        if thick:
            ends = np.column_stack([line.points_mm[:thick] @ look.frame, line.width_mm[:thick] / 2.0])
            found.append(np.hstack([ends[:-1], ends[1:]]))
            owner.append(np.full(thick - 1, number))
    return Pieces(np.ascontiguousarray(np.vstack(found)), np.concatenate(owner))


def edges_of(
    lines: Sequence[Line], look: Look, faces: Sequence[tuple[FloatArray, FloatArray, float]] = ()
) -> Edges:
    """Edges and strokes of lines of wood, and the rims of cut faces.

    Parameters
    ----------
    lines : sequence of Line
        Of a tree; a line of row -1 is a root and may sink into the soil.
    look : Look
        The view.
    faces : sequence of (centre, direction, diameter)
        Cut faces, in mm.

    Returns
    -------
    Edges
        Not yet tested against what lies nearer.

    Source
    ------
    own.

    Examples
    --------
    >>> post = Line(np.array([[0.0, 0, 0], [0, 0, 90.0]]), np.array([8.0, 6.0]), flat_base=True)
    >>> edges_of([post], Look(np.eye(3)[[0, 2, 1]], 0.2, 8.0)).layer
    ('ink', 'ink', 'ink')
    """
    runs: list[_Run] = []
    for number, line in enumerate(lines):
        runs += _line_runs(line, number, look)
    for centre, way, diameter_mm in faces:
        if diameter_mm >= STROKE_BELOW_PX * look.mm_per_px:
            rim = _rim(centre, way, diameter_mm, look)
            runs.append(_Run(rim, _weight_mm(diameter_mm, look), "ink", -1))
    up = look.frame[2]
    return Edges(
        np.concatenate([run.points_mm for run in runs] or [np.empty((0, 3))]),
        np.cumsum([0, *(len(run.points_mm) for run in runs)]),
        np.array([run.line for run in runs], dtype=np.int64),
        np.array([run.width_mm for run in runs]),
        tuple(run.layer for run in runs),
        np.array([run.sinks for run in runs], dtype=np.bool_),
        (float(up[1]), float(up[2])),
    )


def _line_runs(line: Line, number: int, look: Look) -> list[_Run]:
    seen = line.points_mm @ look.frame
    thick, sinks = _thick_nodes(line, look), line.row < 0
    runs: list[_Run] = []
    if thick:
        nodes, half = seen[:thick], line.width_mm[:thick, None] / 2.0
        normal = normals(nodes[:, :2])
        weight_mm = _weight_mm(float(line.width_mm[0] + line.width_mm[thick - 1]) / 2.0, look)
        left, right = nodes.copy(), nodes.copy()
        left[:, :2] += half * normal
        right[:, :2] -= half * normal
        shaded = 1 if float((normal[:, 0] - normal[:, 1]).sum()) < 0 else 0
        for side, edge in enumerate((left, right)):
            weight = weight_mm * (SHADE if side == shaded else 1.0)
            runs.append(_Run(edge, weight, "ink", number, sinks))
        if thick == len(seen) and not line.flat_top:
            middle = end_cap(nodes[-1, :2], normal[-1], float(half[-1, 0]))
            flat = np.vstack([left[-1, :2], middle, right[-1, :2]])
            cap = np.column_stack([flat, np.full(len(flat), nodes[-1, 2])])
            runs.append(_Run(cap, weight_mm, "ink", number, sinks))
    start = max(thick - 1, 0)
    for points, width_mm in strokes(seen[start:], line.width_mm[start:]):
        width = max(STROKE_FRAC * width_mm, THINNEST_PX * look.mm_per_px)
        runs.append(_Run(points, width, "twig", number, sinks))
    return runs


def _weight_mm(diameter_mm: float, look: Look) -> float:
    """Weight of an edge by the thickness of its wood, in steps a fixed ratio apart."""
    weight_px = LIGHT_PX + HEAVY_PX * math.sqrt(min(diameter_mm / look.base_mm, 1.0))
    step = round(math.log(weight_px) / math.log(WEIGHT_STEP))
    return look.mm_per_px * math.pow(WEIGHT_STEP, step)


def _rim(centre: FloatArray, way: FloatArray, diameter_mm: float, look: Look) -> FloatArray:
    """The rim of a face square to the wood, as seen."""
    aside = np.array([1.0, 0.0, 0.0]) if abs(way[0]) < 0.9 else np.array([0.0, 1.0, 0.0])
    first = np.cross(way, aside)
    first /= np.linalg.norm(first)
    second = np.cross(way, first)
    angle = np.linspace(0.0, 2.0 * math.pi, FACE_POINTS + 1)
    ring = centre + diameter_mm / 2.0 * (np.outer(np.cos(angle), first) + np.outer(np.sin(angle), second))
    seen: FloatArray = ring @ look.frame
    seen[:, 2] = seen[:, 2].mean() + FACE_LIFT_FRAC * diameter_mm
    return seen
