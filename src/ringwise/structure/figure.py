"""A tree as a small figure for a plan: a silhouette with few points, or a sketch where little is known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.drawing import drawing
from ringwise.structure.forms import TreeForm
from ringwise.structure.outline import ribbon
from ringwise.structure.silhouette import Silhouette
from ringwise.structure.tape import clock_direction
from ringwise.structure.tape_sure import SureTape, sure, usual_key

FINE_FRAC = 0.004  # of the height: a detail smaller than this cannot be seen in a plan
SHORT_FRAC = 0.015  # of the height: twigs shorter than this are left out
_LIMB_POINTS = 7
_CROWN_POINTS = 48


@dataclass(frozen=True)
class Stroke:
    """A polygon to fill (`width_mm` 0) or an open line; `tone` is "wood" or "crown" (guessed)."""

    points_mm: FloatArray  # (k, 2), x to the viewer's right, y up from the soil
    width_mm: float
    tone: str = "wood"


@dataclass(frozen=True)
class Figure:
    """Strokes from the back to the front and what they span, in mm."""

    strokes: tuple[Stroke, ...]
    left_mm: float
    right_mm: float
    top_mm: float
    base_mm: float


def figure_of(drawn: Silhouette, *, fine_frac: float = FINE_FRAC) -> Figure:
    """A silhouette with as few points as a plan can show.

    Parameters
    ----------
    drawn : Silhouette
        Of a measured tree.
    fine_frac : float
        Largest shift of an outline, as a share of the height.

    Returns
    -------
    Figure
        The same tree; twigs too short to be seen are left out.

    Source
    ------
    own: lines are thinned by the greatest distance from the chord.

    Examples
    --------
    >>> from ringwise.structure.silhouette import silhouette
    >>> from ringwise.structure.table import single_segment
    >>> drawn = silhouette(single_segment(length_mm=300.0, diameter_mm=30.0), roots=False)
    >>> figure_of(drawn).top_mm == drawn.top_mm
    True
    """
    fine_mm = fine_frac * max(drawn.top_mm, 1.0)
    kept = []
    for shape in drawn.shapes:
        extent = float(np.ptp(shape.points_mm, axis=0).max())
        if extent < SHORT_FRAC * drawn.top_mm:
            continue
        kept.append(Stroke(thinned(shape.points_mm, fine_mm), shape.width_mm))
    return Figure(tuple(kept), drawn.left_mm, drawn.right_mm, drawn.top_mm, drawn.base_mm)


def thinned(points: FloatArray, fine_mm: float) -> FloatArray:
    """A line without the points that lie nearer than a distance to the chord over them.

    Parameters
    ----------
    points : (k, 2) float
        Nodes; the first and the last are kept.
    fine_mm : float
        The distance, in mm as the points.

    Returns
    -------
    (m, 2) float
        A part of the points, in order.

    Source
    ------
    own: the greatest distance decides, halves are treated alike.

    Examples
    --------
    >>> thinned(np.array([[0.0, 0.0], [5.0, 0.1], [10.0, 0.0]]), 0.5).tolist()
    [[0.0, 0.0], [10.0, 0.0]]
    """
    keep = np.zeros(len(points), dtype=bool)
    keep[[0, -1]] = True
    spans = [(0, len(points) - 1)]
    while spans:
        first, last = spans.pop()
        if last - first < 2:
            continue
        chord = points[last] - points[first]
        size = float(np.hypot(*chord))
        off = points[first + 1 : last] - points[first]
        if size < 1e-9:
            far = np.hypot(off[:, 0], off[:, 1])
        else:
            far = np.abs(off[:, 0] * chord[1] - off[:, 1] * chord[0]) / size
        at = int(far.argmax())
        if far[at] > fine_mm:
            middle = first + 1 + at
            keep[middle] = True
            spans += [(first, middle), (middle, last)]
    return points[keep]


def plain_figure(form: TreeForm, *, height_mm: float, trunk_mm: float, seed: int = 0) -> Figure:
    """A sketch of a tree of which only species, height and trunk are known.

    Parameters
    ----------
    form : TreeForm
        Habit of the species.
    height_mm, trunk_mm : float
        Its height and the width of its trunk.
    seed : int
        Which of the plausible ones.

    Returns
    -------
    Figure
        Trunk and main limbs, and an outline of the crown that claims no branch.

    Source
    ------
    practice: branches by the trade's proportions, as in `structure.basics`; shares for drawing only are
    those of table `drawing`.

    Examples
    --------
    >>> round(plain_figure(TreeForm(), height_mm=500.0, trunk_mm=60.0).top_mm)
    500
    """
    tape = sure(tape_from_basics(trunk_mm, height_mm, form, seed=seed), form, seed=seed)
    base_mm = drawing().flare_ratio * trunk_mm
    trunk = _trunk_line(form, height_mm, seed)
    widths = np.interp(trunk[:, 1] / height_mm, [0.0, 0.06, 1.0], [base_mm, trunk_mm, 0.08 * trunk_mm])
    narrow_frac = drawing().whip_limb_ratio if usual_key(form, height_mm / trunk_mm) == "whip" else 1.0
    limbs = [_limb(tape, row, trunk, form, narrow_frac) for row in range(len(tape.branches))]
    crown = _crown(np.vstack([limb for limb, _w in limbs] + [trunk[-1:]]), height_mm)
    wood = [Stroke(ribbon(line, width), 0.0) for line, width in limbs]
    wood.append(Stroke(ribbon(trunk, widths, flat_base=True), 0.0))
    every = np.vstack([crown, *(stroke.points_mm for stroke in wood)])
    return Figure(
        (Stroke(crown, 0.0, "crown"), *wood),
        float(every[:, 0].min()),
        float(every[:, 0].max()),
        height_mm,
        base_mm,
    )


def _trunk_line(form: TreeForm, height_mm: float, seed: int) -> FloatArray:
    up = np.linspace(0.0, 1.0, 13)
    side = -1.0 if seed % 2 else 1.0
    sway = 1.6 * side * form.movement_frac * height_mm * up * np.sin(2.0 * np.pi * up)
    return np.stack([sway, up * height_mm], axis=1)


def _limb(
    tape: SureTape, row: int, trunk: FloatArray, form: TreeForm, narrow_frac: float
) -> tuple[FloatArray, FloatArray]:
    """A branch as seen from the front: foreshortened where it comes towards the viewer, bent upwards."""
    branch = tape.branches[row]
    foot = np.array([np.interp(branch.height_mm, trunk[:, 1], trunk[:, 0]), branch.height_mm])
    length_mm = branch.length_mm * narrow_frac
    reach = float(clock_direction(branch.clock)[0]) * length_mm * np.cos(form.side_angle_rad / 2.0)
    rise = length_mm * np.sin(form.side_angle_rad / 2.0)
    along = np.linspace(0.0, 1.0, _LIMB_POINTS)
    line = foot + np.stack([reach * along, rise * along ** (1.0 + 4.0 * form.lift_factor)], axis=1)
    line[:, 1] = np.minimum(line[:, 1], tape.height_mm)
    width = branch.diameter_mm * (1.0 - (1.0 - drawing().limb_tip_ratio) * along)
    return line, width


def _crown(points: FloatArray, height_mm: float) -> FloatArray:
    """A smooth closed outline a little beyond the limbs, from their reach in every direction."""
    low, high = float(points[:, 1].min()), float(points[:, 1].max())
    middle = np.array([float(points[:, 0].mean()), (low + high) / 2.0])
    off = points - middle
    angle, reach = np.arctan2(off[:, 1], off[:, 0]), np.hypot(off[:, 0], off[:, 1])
    around = np.linspace(-np.pi, np.pi, _CROWN_POINTS, endpoint=False)
    away = np.abs((around[:, None] - angle[None, :] + np.pi) % (2.0 * np.pi) - np.pi)
    edge = (reach[None, :] * np.exp(-((away / 0.6) ** 2))).max(axis=1)
    edge = np.maximum(edge, 0.25 * edge.max())
    smooth = sum(np.roll(edge, shift) for shift in (-2, -1, 0, 1, 2)) / 5.0 * 1.12
    outline = middle + np.stack([np.cos(around) * smooth, np.sin(around) * smooth], axis=1)
    outline[:, 1] = np.clip(outline[:, 1], 0.04 * height_mm, height_mm)
    return np.asarray(outline, dtype=np.float64)
