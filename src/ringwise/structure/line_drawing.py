"""The leafless tree as a line drawing from any side and height: what nearer wood hides is left out.

Every line of wood gives its two edges, thin wood one stroke. The edges are walked in small steps, and a
step is left out where another piece of wood covers it and lies nearer; so nothing need be filled, and the
drawing stands on any ground. Thick wood is drawn heavier, its right and lower edge heavier still. Before
and after a cut are one drawing: what stays is ink, what goes is dashed `far`, and hides nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.structure.line_dimensions import dimensioned
from ringwise.structure.line_edges import STROKE_BELOW_PX, Edges, Look, Pieces, edges_of, pieces_of
from ringwise.structure.line_marks import LEVEL_UP_TO_DEG, Mark, Seen
from ringwise.structure.line_marks import LineDrawing as LineDrawing
from ringwise.structure.measured import MeasuredTree
from ringwise.structure.outline import Line, root_lines, with_flare
from ringwise.structure.silhouette import wood_lines
from ringwise.structure.table import Flag, SegmentTable
from ringwise.structure.tape import clock_direction
from ringwise.structure.topology import subtree_mask
from ringwise.structure.trunk_node import node_at

TALL_PX = 480.0  # the drawing is made for this size; weights of lines are in its pixels
FINE_PX = 0.35  # a node of a line nearer to its chord than this is left out
STEP_PX = 1.0  # how finely lines are walked
SHORTEST_PX = 1.4  # a bit of line shorter than this between two hidden ones is left out
INSIDE_FRAC = (0.12, 0.3)  # how far inside an outline a line must lie to be hidden: another's, its own wood's
CELLS = 96  # along the longer side of the grid in which pieces are looked up


@dataclass(frozen=True)
class Cut:
    """Where a tree is cut: through the trunk at a height, or at the foot of a segment."""

    height_mm: float | None = None
    row: int | None = None


def view_frame(view_clock: float, elevation_deg: float) -> FloatArray:
    """The viewer's axes as columns: right, up in the drawing, towards the viewer.

    Parameters
    ----------
    view_clock : float
        Where the viewer stands, by the clock from above; 6 is the recorded front.
    elevation_deg : float
        How far above the level the viewer looks from; 90 is from straight above.

    Returns
    -------
    (3, 3) float
        Orthonormal.

    Source
    ------
    own: parallel projection.

    Examples
    --------
    >>> view_frame(6.0, 0.0).round(6).tolist()
    [[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]
    """
    level = clock_direction(view_clock)
    up = np.array([0.0, 0.0, 1.0])
    angle = math.radians(elevation_deg)
    right = np.array([-level[1], level[0], 0.0])
    toward = math.cos(angle) * level + math.sin(angle) * up
    above = math.cos(angle) * up - math.sin(angle) * level
    return np.stack([right, above, toward], axis=1)


def line_drawing(
    tree: MeasuredTree | SegmentTable,
    *,
    view_clock: float = 6.0,
    elevation_deg: float = 0.0,
    cut: Cut | None = None,
    dimensions: bool = True,
    root_sectors: Sequence[bool] | None = None,
) -> LineDrawing:
    """The tree as lines, from any side and height.

    Parameters
    ----------
    tree : MeasuredTree or SegmentTable
        A tree.
    view_clock : float
        Where the viewer stands, by the clock from above; 6 is the recorded front.
    elevation_deg : float
        How far above the level the viewer looks from, -90 to 90.
    cut : Cut, optional
        What goes is drawn dashed.
    dimensions : bool
        Whether height, spread, the girth at the base, a scale and the cut are written beside it.
    root_sectors : sequence of bool, optional
        For each hour from 1 to 12 whether a surface root is seen; without it they are drawn all round.

    Returns
    -------
    LineDrawing
        In mm.

    Raises
    ------
    RangeError
        If the cut lies beyond the trunk.

    Source
    ------
    own: hidden where a nearer piece covers; flare and surface roots are drawing only.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=400.0, diameter_mm=30.0)
    >>> drawn = line_drawing(stem, dimensions=False)
    >>> sorted({mark.layer for mark in drawn.marks}), drawn.high_mm > 400.0
    (['hair', 'ink', 'twig'], True)
    """
    whole = tree.table if isinstance(tree, MeasuredTree) else tree
    table, gone, row = _cut_marked(whole, cut)
    frame = view_frame(view_clock, elevation_deg)
    spans = np.vstack([np.zeros(3), table.end_mm]) @ frame
    size_mm = max(float(np.ptp(spans[:, 1])), 0.75 * float(np.ptp(spans[:, 0])), 10.0)
    seen = Seen(table, frame, gone, size_mm / TALL_PX)
    marks = _tree_marks(seen, row, root_sectors, elevation_deg)
    box = _box(marks, seen.mm_per_px)
    drawn = LineDrawing(tuple(marks), (), *box, seen.mm_per_px, view_clock, elevation_deg)
    if not dimensions:
        return drawn
    return dimensioned(drawn, seen, row)


def _cut_marked(table: SegmentTable, cut: Cut | None) -> tuple[SegmentTable, BoolArray, int]:
    """The table with a node at the cut, what goes, and the lowest segment that goes (-1 without a cut)."""
    if cut is None or (cut.row is None and cut.height_mm is None):
        return table, np.zeros(table.n, dtype=np.bool_), -1
    if cut.row is not None:
        return table, subtree_mask(table, cut.row), cut.row
    table, row = node_at(table, float(cut.height_mm or 0.0))
    return table, subtree_mask(table, row), row


def _tree_marks(
    seen: Seen, row: int, root_sectors: Sequence[bool] | None, elevation_deg: float
) -> list[Mark]:
    """All lines of the tree, what stays before what goes."""
    table, px = seen.table, seen.mm_per_px
    breaks = np.zeros(table.n, dtype=np.bool_)
    if row >= 0:
        breaks[row] = True
    lines = wood_lines(table, breaks)
    base_mm = float(table.diameter_mm[0])
    slender_ratio = float(table.end_mm[:, 2].max()) / base_mm
    lines[0] = with_flare(lines[0], base_mm, slender_ratio)
    lines += [root for line in root_lines(base_mm, slender_ratio, root_sectors) for root in _thick(line, px)]
    look = Look(seen.frame, px, base_mm)
    kept = [line for line in lines if line.row < 0 or not seen.gone[line.row]]
    lost = [line for line in lines if line.row >= 0 and seen.gone[line.row]]
    pieces = pieces_of(kept, look)
    edges = edges_of(kept, look, faces=_faces(seen, row))
    marks = _seen_marks(edges, pieces, px, False)
    if lost:
        both = lost + kept  # numbered from what goes on, as its edges are
        marks += _seen_marks(edges_of(lost, look), pieces_of(both, look), px, True)
    if abs(elevation_deg) <= LEVEL_UP_TO_DEG:
        marks += _soil(marks, pieces.ends_mm, px)
    return marks


def _thick(root: Line, px: float) -> list[Line]:
    """A surface root from where it is thick enough for two edges; none where it never is."""
    thick = root.width_mm >= STROKE_BELOW_PX * px
    first = int(np.argmax(thick))
    if int(thick.sum()) < 3:
        return []
    return [replace(root, points_mm=root.points_mm[first:], width_mm=root.width_mm[first:])]


def _faces(seen: Seen, row: int) -> list[tuple[FloatArray, FloatArray, float]]:
    """Cut faces: centre, direction of the wood, diameter. That of this cut and those of earlier ones."""
    table = seen.table
    ended = (table.flags & int(Flag.CUT_END) > 0) & (table.continued_by < 0) & ~seen.gone
    faces = [
        (table.end_mm[at], table.direction[at].astype(np.float64), float(table.end_diameter_mm[at]))
        for at in np.nonzero(ended)[0].tolist()
    ]
    if row > 0:
        way = table.direction[row].astype(np.float64)
        below = int(table.parent[row])
        on_trunk = bool(table.continued_by[below] == row)
        out_mm = 0.0 if on_trunk else 0.5 * float(table.end_diameter_mm[below])
        faces.append((table.start_mm[row] + out_mm * way, way, float(table.diameter_mm[row])))
    return faces


def _seen_marks(edges: Edges, pieces: Pieces, px: float, gone: bool) -> list[Mark]:
    """The parts of edges that nothing hides, as lines with few nodes."""
    from ringwise.structure.hidden_kernels import hidden_points, thinned_runs

    points, owner = _walked(edges, STEP_PX * px)
    visible = _above_soil(edges, owner, points)
    if len(pieces.line):
        visible &= ~hidden_points(
            points,
            edges.line[owner],
            pieces.ends_mm,
            pieces.line,
            _cells(pieces.ends_mm, points),
            np.array(INSIDE_FRAC),
        )
    first, last = _runs(visible, owner)
    order = np.concatenate([np.arange(a, b) for a, b in zip(first, last, strict=True)] or [np.empty(0, int)])
    offsets = np.concatenate([[0], np.cumsum(last - first)])
    flat = np.ascontiguousarray(points[order, :2])
    keep = thinned_runs(flat, offsets, FINE_PX * px)
    marks = []
    for start, end, run in zip(
        offsets[:-1].tolist(), offsets[1:].tolist(), owner[first].tolist(), strict=True
    ):
        line = flat[start:end][keep[start:end]]
        if float(np.abs(line[-1] - line[0]).max()) < SHORTEST_PX * px and end - start < 4:
            continue
        marks.append(Mark(line, float(edges.width_mm[run]), _layer(edges.layer[run], gone)))
    return marks


def _layer(layer: str, gone: bool) -> str:
    return layer if not gone else {"ink": "gone", "twig": "gone_twig"}[layer]


def _walked(edges: Edges, step_mm: float) -> tuple[FloatArray, IntArray]:
    """Points along every edge, a step apart at most, and the edge of each."""
    points, first = edges.points_mm, edges.first
    size = np.linalg.norm(np.diff(points[:, :2], axis=0), axis=1)
    count = np.maximum(np.ceil(size / step_mm), 1).astype(np.int64)
    ends = np.asarray(first[1:]) - 1
    count[ends[:-1]] = 1  # from the end of one edge to the next edge: that end alone
    count = np.append(count, 1)
    owner_of_node = np.repeat(np.arange(len(first) - 1), np.diff(first))
    at = np.repeat(np.arange(len(points)), count)
    within = np.arange(len(at)) - np.repeat(np.cumsum(count) - count, count)
    share = (within / count[at])[:, None]
    onward = points[np.minimum(at + 1, len(points) - 1)]
    return points[at] + share * (onward - points[at]), owner_of_node[at]


def _above_soil(edges: Edges, owner: IntArray, points: FloatArray) -> BoolArray:
    """Roots sink into the soil: what would lie below it is not drawn."""
    rise = points[:, 1] * edges.up_of[0] + points[:, 2] * edges.up_of[1]
    out: BoolArray = (rise > -1e-6) | ~edges.sinks[owner]
    return out


def _runs(visible: BoolArray, owner: IntArray) -> tuple[IntArray, IntArray]:
    """Where stretches of at least two visible points of one edge begin and end (past the last)."""
    breaks = np.concatenate([[True], owner[1:] != owner[:-1]])
    starts = visible & (breaks | ~np.concatenate([[False], visible[:-1]]))
    closing = np.concatenate([breaks[1:], [True]])
    stops = visible & (closing | ~np.concatenate([visible[1:], [False]]))
    first, last = np.nonzero(starts)[0], np.nonzero(stops)[0] + 1
    long = last - first >= 2
    return first[long], last[long]


def _cells(pieces: FloatArray, points: FloatArray) -> FloatArray:
    """The grid: left edge, low edge, size of a cell, columns, rows."""
    low = np.minimum(points[:, :2].min(axis=0), pieces[:, :2].min(axis=0))
    high = np.maximum(points[:, :2].max(axis=0), pieces[:, :2].max(axis=0))
    cell_mm = max(float((high - low).max()) / CELLS, 1e-6)
    columns, rows = np.maximum(np.ceil((high - low) / cell_mm), 1).tolist()
    return np.array([low[0], low[1], cell_mm, columns, rows])


def _soil(marks: list[Mark], pieces: FloatArray, px: float) -> list[Mark]:
    """The surface of the soil as a hairline on both sides of the trunk, as wide as the crown."""
    every = np.concatenate([mark.points_mm for mark in marks])
    left, right = float(every[:, 0].min()), float(every[:, 0].max())
    low = (pieces[:, 1] - pieces[:, 3] <= 0.0) | (pieces[:, 5] - pieces[:, 7] <= 0.0)
    feet = pieces[low] if low.any() else pieces[:1]
    foot_left = float(np.minimum(feet[:, 0] - feet[:, 3], feet[:, 4] - feet[:, 7]).min())
    foot_right = float(np.maximum(feet[:, 0] + feet[:, 3], feet[:, 4] + feet[:, 7]).max())
    spans = [(min(left, foot_left - 24 * px), foot_left), (foot_right, max(right, foot_right + 24 * px))]
    return [Mark(np.array([[a, 0.0], [b, 0.0]]), px, "hair") for a, b in spans]


def _box(marks: list[Mark], px: float) -> tuple[float, float, float, float]:
    every = np.concatenate([mark.points_mm for mark in marks])
    (left, low), (right, high) = every.min(axis=0).tolist(), every.max(axis=0).tolist()
    pad = 4.0 * px
    return left - pad, right + pad, low - pad, high + pad
