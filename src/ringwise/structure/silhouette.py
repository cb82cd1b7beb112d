"""The tree as a drawing from one side: tapered ribbons along each line of wood, twigs as strokes.

Each chain of segments along the thickest child becomes one outline, so that a tree of thousands of
segments is a few hundred shapes. Millimetres, x to the viewer's right, y up from the soil, sorted from
the back to the front. The flare and the surface roots at the base are drawing only: they come from the
base diameter and, where known, from the sectors in which roots were seen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.structure.outline import CAP_POINTS, Line, ribbon, root_lines, smoothed, strokes, with_flare
from ringwise.structure.table import Flag, SegmentTable
from ringwise.structure.tape import clock_direction

STROKE_BELOW_MM = 0.4  # thinner wood is a stroke: its two edges would fall on one another
BURIED_FRAC = 0.75  # how far towards the bark a branch's foot is hidden in its parent
COLLAR_RATIO = 1.22  # widening of a branch's foot; drawing only


@dataclass(frozen=True)
class Shape:
    """A filled outline (`width_mm` 0) or an open stroke of a width; `depth_mm` grows towards the viewer.

    An outline's last `foot` points round its lower end, which lies inside the wood it grows from: an edge
    drawn round the outline leaves them out.
    """

    points_mm: FloatArray  # (k, 2)
    width_mm: float
    depth_mm: float
    foot: int = 0


@dataclass(frozen=True)
class Silhouette:
    """Shapes from the back to the front, and what they span; `base_mm` is the trunk's diameter drawn."""

    shapes: tuple[Shape, ...]
    left_mm: float
    right_mm: float
    top_mm: float
    base_mm: float
    view_clock: float

    @property
    def polygons(self) -> list[FloatArray]:
        """The filled outlines alone."""
        return [shape.points_mm for shape in self.shapes if shape.width_mm == 0.0]

    @property
    def width_mm(self) -> float:
        """From the leftmost to the rightmost wood."""
        return self.right_mm - self.left_mm

    @property
    def height_mm(self) -> float:
        """From the soil to the highest wood."""
        return self.top_mm


def silhouette(
    table: SegmentTable,
    *,
    view_clock: float = 6.0,
    stroke_below_mm: float = STROKE_BELOW_MM,
    root_sectors: Sequence[bool] | None = None,
    roots: bool = True,
) -> Silhouette:
    """The leafless tree as seen from a clock position, ready to draw.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    view_clock : float
        Where the viewer stands, by the clock from above; 6 is the recorded front.
    stroke_below_mm : float
        Wood thinner than this becomes strokes; raise it for small drawings of large trees.
    root_sectors : sequence of bool, optional
        For each hour from 1 to 12 whether a surface root is seen; without it roots are drawn all round.
    roots : bool
        Whether to draw flare and surface roots.

    Returns
    -------
    Silhouette
        In mm.

    Source
    ------
    own: parallel projection; flare and roots are drawing only.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> drawing = silhouette(single_segment(length_mm=40.0, diameter_mm=3.0), roots=False)
    >>> len(drawing.shapes), round(drawing.base_mm, 3)
    (1, 3.0)
    """
    toward = clock_direction(view_clock)
    frame = np.array([[-toward[1], 0.0, toward[0]], [toward[0], 0.0, toward[1]], [0.0, 1.0, 0.0]])
    lines = wood_lines(table)
    base_mm = float(table.diameter_mm[0])
    if roots:
        slender_ratio = float(table.end_mm[:, 2].max()) / base_mm
        lines[0] = with_flare(lines[0], base_mm, slender_ratio)
        lines += root_lines(base_mm, slender_ratio, root_sectors)
    shapes: list[Shape] = []
    for line in lines:
        seen = line.points_mm @ frame
        shapes += _shapes(line, seen[:, :2], float(seen[:, 2].mean()), stroke_below_mm)
    shapes.sort(key=lambda shape: shape.depth_mm)
    spans = np.concatenate([shape.points_mm for shape in shapes])
    left_mm, right_mm, top_mm = spans[:, 0].min(), spans[:, 0].max(), spans[:, 1].max()
    return Silhouette(tuple(shapes), float(left_mm), float(right_mm), float(top_mm), base_mm, view_clock)


def _shapes(line: Line, flat: FloatArray, depth_mm: float, stroke_below_mm: float) -> list[Shape]:
    """One line as an outline while it is thick, then as strokes."""
    thin = line.width_mm < stroke_below_mm
    split = int(np.argmax(thin)) if thin.any() else len(thin)
    shapes = []
    if split >= 2:
        outline = ribbon(flat[:split], line.width_mm[:split], line.flat_base)
        shapes.append(Shape(outline, 0.0, depth_mm, 0 if line.flat_base else CAP_POINTS))
    first = max(split - 1, 0)
    shapes += [
        Shape(points_mm, width_mm, depth_mm)
        for points_mm, width_mm in strokes(flat[first:], line.width_mm[first:])
    ]
    return shapes


def wood_lines(table: SegmentTable, breaks: BoolArray | None = None) -> list[Line]:
    """One line of wood for each chain along the thickest child; the trunk's is the first.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    breaks : (n,) bool, optional
        Rows at which a line of its own begins although it continues another, as at a cut.

    Returns
    -------
    list of Line
        By the row of their lowest segment (`Line.row`), from the root up.

    Source
    ------
    own: wood inside the parent is not seen; a collar widens a branch's foot, for drawing only.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> [len(line.points_mm) for line in wood_lines(single_segment(length_mm=40.0, diameter_mm=3.0))]
    [2]
    """
    child, start, end = table.continued_by, table.start_mm, table.end_mm
    own, upper = table.diameter_mm, table.end_diameter_mm
    heads = np.ones(table.n, dtype=np.bool_)
    heads[child[child >= 0]] = False
    parted = np.zeros(table.n, dtype=np.bool_) if breaks is None else breaks & ~heads
    heads |= parted
    lines = []
    for head in np.nonzero(heads)[0].tolist():
        rows = [head]
        while child[rows[-1]] >= 0 and not parted[child[rows[-1]]]:
            rows.append(int(child[rows[-1]]))
        points = np.empty((len(rows) + 1, 3))
        width = np.empty(len(rows) + 1)
        points[0], points[1:] = start[head], end[rows]
        width[:-1], width[-1] = own[rows], upper[rows[-1]]
        below = int(table.parent[head])
        if below >= 0 and not parted[head]:
            inside_mm = min(BURIED_FRAC * upper[below] / 2.0, BURIED_FRAC * float(table.length_mm[head]))
            points[0] = start[head] + inside_mm * table.direction[head]
            width[0] *= COLLAR_RATIO
        stub = child[rows[-1]] >= 0 or bool(table.flags[rows[-1]] & Flag.CUT_END)
        lines.append(smoothed(Line(points, width, head == 0, head, stub)))
    return lines
