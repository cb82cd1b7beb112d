"""Which points of a drawing are hidden by nearer wood, and which nodes of a line can be left out, compiled.

A piece of wood is a tapered round rod: x, y and depth of both ends, and both radii, in mm; depth grows
towards the viewer. Pieces are found through a grid of square cells over the drawing.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.kit.kernels import compiled


@compiled
def hidden_points(points: Any, line: Any, pieces: Any, piece_line: Any, cells: Any, inside_frac: Any) -> Any:
    """For each point (x, y, depth) whether a piece covers it and is nearer.

    `cells` is (left_mm, low_mm, cell_mm, columns, rows). A point counts as covered where it lies further
    inside a piece's outline than a share of the piece's radius there: an edge lies on its own piece.
    `inside_frac` is that share for another line's piece and for one of the point's own line.
    """
    left_mm, low_mm, cell_mm = cells[0], cells[1], cells[2]
    columns, rows = int(cells[3]), int(cells[4])
    first, items = _filled(pieces, left_mm, low_mm, cell_mm, columns, rows)
    out = np.zeros(len(points), dtype=np.bool_)
    for at in range(len(points)):
        column = min(max(int((points[at, 0] - left_mm) / cell_mm), 0), columns - 1)
        row = min(max(int((points[at, 1] - low_mm) / cell_mm), 0), rows - 1)
        cell = row * columns + column
        for place in range(first[cell], first[cell + 1]):
            piece = items[place]
            share = inside_frac[1] if piece_line[piece] == line[at] else inside_frac[0]
            if _covers(pieces[piece], points[at], share):
                out[at] = True
                break
    return out


@compiled
def _span(low: float, high: float, start_mm: float, cell_mm: float, most: int) -> tuple[int, int]:
    """The cells that a stretch touches along one axis, the last included."""
    first = min(max(int((low - start_mm) / cell_mm), 0), most - 1)
    last = min(max(int((high - start_mm) / cell_mm), 0), most - 1)
    return first, last


@compiled
def _box(piece: Any) -> tuple[float, float, float, float]:
    """Left, right, low and high edge of a piece."""
    return (
        min(piece[0] - piece[3], piece[4] - piece[7]),
        max(piece[0] + piece[3], piece[4] + piece[7]),
        min(piece[1] - piece[3], piece[5] - piece[7]),
        max(piece[1] + piece[3], piece[5] + piece[7]),
    )


@compiled
def _filled(
    pieces: Any, left_mm: float, low_mm: float, cell_mm: float, columns: int, rows: int
) -> tuple[Any, Any]:
    """The pieces of each cell: where its list begins, and the lists one after the other."""
    count = np.zeros(columns * rows + 1, dtype=np.int64)
    for piece in range(len(pieces)):
        left, right, low, high = _box(pieces[piece])
        x0, x1 = _span(left, right, left_mm, cell_mm, columns)
        y0, y1 = _span(low, high, low_mm, cell_mm, rows)
        for y in range(y0, y1 + 1):
            for x in range(x0, x1 + 1):
                count[y * columns + x + 1] += 1
    first = np.cumsum(count)
    items = np.empty(first[-1], dtype=np.int64)
    filled = first.copy()
    for piece in range(len(pieces)):
        left, right, low, high = _box(pieces[piece])
        x0, x1 = _span(left, right, left_mm, cell_mm, columns)
        y0, y1 = _span(low, high, low_mm, cell_mm, rows)
        for y in range(y0, y1 + 1):
            for x in range(x0, x1 + 1):
                cell = y * columns + x
                items[filled[cell]] = piece
                filled[cell] += 1
    return first, items


@compiled
def _covers(piece: Any, point: Any, inside_frac: float) -> bool:
    """Whether a piece covers a point and its near side lies before it."""
    x, y = piece[4] - piece[0], piece[5] - piece[1]
    flat2 = x * x + y * y
    off_x, off_y = point[0] - piece[0], point[1] - piece[1]
    share = -1.0
    if flat2 > 1e-12:
        share = (off_x * x + off_y * y) / flat2
    if share >= 0.0 and share <= 1.0:
        radius = piece[3] + share * (piece[7] - piece[3])
        gap_x, gap_y = off_x - share * x, off_y - share * y
        within = radius - math.sqrt(gap_x * gap_x + gap_y * gap_y) > inside_frac * radius
        if within and _front(piece, off_x, off_y, x, y, flat2, radius) > point[2] + inside_frac * radius:
            return True
    return bool(_ball(piece, 0, point, inside_frac) or _ball(piece, 4, point, inside_frac))


@compiled
def _ball(piece: Any, end: int, point: Any, inside_frac: float) -> bool:
    """Whether the ball at an end of a piece covers a point and lies before it.

    It is as thick as the thinner end: that of the thick end would stand out of a piece that tapers fast.
    """
    radius = min(piece[3], piece[7])
    gap_x, gap_y = point[0] - piece[end], point[1] - piece[end + 1]
    gap2 = gap_x * gap_x + gap_y * gap_y
    if radius - math.sqrt(gap2) <= inside_frac * radius:
        return False
    front = piece[end + 2] + math.sqrt(max(radius * radius - gap2, 0.0))
    return bool(front > point[2] + inside_frac * radius)


@compiled
def _front(
    piece: Any, off_x_mm: float, off_y_mm: float, x_mm: float, y_mm: float, flat_mm2: float, radius_mm: float
) -> float:
    """Depth of the near side of a piece under a point: the highest of the balls along its axis."""
    rise = piece[6] - piece[2]
    if flat_mm2 < 1e-12:
        return float(max(piece[2], piece[6]) + radius_mm)
    flat = math.sqrt(flat_mm2)
    along = (off_x_mm * x_mm + off_y_mm * y_mm) / flat
    aside2 = max(off_x_mm * off_x_mm + off_y_mm * off_y_mm - along * along, 0.0)
    reach = math.sqrt(max(radius_mm * radius_mm - aside2, 0.0))
    slope = rise / flat
    # max over s of slope * s + sqrt(reach^2 - (s - along)^2), s along the axis as seen
    best = along + reach * slope / math.sqrt(1.0 + slope * slope)
    best = min(max(best, 0.0), flat)
    bulge = math.sqrt(max(reach * reach - (best - along) * (best - along), 0.0))
    return float(piece[2] + slope * best + bulge)


@compiled
def thinned_runs(points: Any, first: Any, fine_mm: float) -> Any:
    """Which nodes of many lines are kept, run i being points first[i] to first[i + 1] - 1.

    The node farthest from the chord is kept while it lies farther than `fine_mm`; both halves alike.
    """
    keep = np.zeros(len(points), dtype=np.bool_)
    low = np.empty(len(points) + 1, dtype=np.int64)
    high = np.empty(len(points) + 1, dtype=np.int64)
    for run in range(len(first) - 1):
        low[0], high[0] = first[run], first[run + 1] - 1
        keep[low[0]], keep[high[0]] = True, True
        depth = 1
        while depth > 0:
            depth -= 1
            start, end = low[depth], high[depth]
            x, y = points[end, 0] - points[start, 0], points[end, 1] - points[start, 1]
            size = math.sqrt(x * x + y * y)
            farthest, at = fine_mm, -1
            for node in range(start + 1, end):
                off_x, off_y = points[node, 0] - points[start, 0], points[node, 1] - points[start, 1]
                away = math.sqrt(off_x * off_x + off_y * off_y)
                if size > 1e-9:
                    away = abs(off_x * y - off_y * x) / size
                if away > farthest:
                    farthest, at = away, node
            if at >= 0:
                keep[at] = True
                low[depth], high[depth] = start, at
                low[depth + 1], high[depth + 1] = at, end
                depth += 2
    return keep
