"""Silhouettes of a turning as paths: small enough for a phone, all futures of a course at one scale."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ringwise.kit.types import FloatArray

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.futures.view import FuturesView
    from ringwise.structure.silhouette import Silhouette

FINE_FRAC = 0.0018  # of the tallest tree: half a pixel where that is drawn 300 px high
SHORT_FRAC = 0.006  # of the tallest tree: a shoot shorter than this is less than two pixels


def drawings_of(view: FuturesView) -> dict[str, Shape]:
    """The drawn futures of each course.

    Parameters
    ----------
    view : FuturesView
        With its drawings.

    Returns
    -------
    dict of str to dict
        By the course's letter: its futures in order, each with its tree after so many years.
    """
    trees = [tree for cell in view.cells for tree in cell.trees]
    drawn = [each for tree in trees for each in (tree.silhouette, tree.second) if each is not None]
    tallest_mm = max((each.top_mm for each in drawn), default=100.0)
    return {course.key: _of_course(view, course.key, tallest_mm) for course in view.courses}


def _of_course(view: FuturesView, course: str, tallest_mm: float) -> Shape:
    cells = [view.cell(course, year) for year in view.horizons]
    now = cells[0].trees[0] if cells[0].trees else None
    order = [tree.future for tree in cells[-1].trees] if len(cells) > 1 else []
    futures = []
    for place, future in enumerate(order):
        trees = [cell.trees[place] if place < len(cell.trees) else None for cell in cells[1:]]
        futures.append(
            {
                "future": future,
                "years": [
                    {"after_years": year, "tree": _paths(tree.silhouette if tree else None, tallest_mm)}
                    | {"second": _paths(tree.second if tree else None, tallest_mm)}
                    for year, tree in zip(view.horizons[1:], trees, strict=True)
                ],
            }
        )
    return {
        "course": course,
        "tallest_mm": round(tallest_mm, 1),
        "now": _paths(now.silhouette if now else None, tallest_mm),
        "futures": futures,
    }


def _paths(drawing: Silhouette | None, tallest_mm: float) -> Shape | None:
    return None if drawing is None else tree_paths(drawing, tallest_mm)


def tree_paths(drawing: Silhouette, tallest_mm: float) -> Shape:
    """A silhouette as paths in mm around the foot of the trunk, y down.

    Parameters
    ----------
    drawing : Silhouette
        Of a tree.
    tallest_mm : float
        Of the trees drawn beside it: what cannot be seen at that scale is left out.

    Returns
    -------
    dict
        Keys left_mm, right_mm, top_mm, base_mm, wood (all outlines in one path) and twigs (lines by width).

    Examples
    --------
    >>> from ringwise.structure.silhouette import silhouette
    >>> from ringwise.structure.table import single_segment
    >>> drawn = silhouette(single_segment(length_mm=300.0, diameter_mm=30.0), roots=False)
    >>> tree_paths(drawn, 300.0)["wood"][:1]
    'M'
    """
    fine_mm, short_mm = FINE_FRAC * tallest_mm, SHORT_FRAC * tallest_mm
    wood: list[str] = []
    twigs: dict[float, list[str]] = {}
    for shape in drawing.shapes:
        points = shape.points_mm
        if float(np.ptp(points, axis=0).max()) < short_mm:
            continue
        if shape.width_mm == 0.0:
            wood.append(_path(_turned(points), fine_mm, closed=True))
        else:
            width = max(round(shape.width_mm, 1), 0.1)
            twigs.setdefault(width, []).append(_path(points, fine_mm, closed=False))
    return {
        "left_mm": round(drawing.left_mm, 1),
        "right_mm": round(drawing.right_mm, 1),
        "top_mm": round(drawing.top_mm, 1),
        "base_mm": round(drawing.base_mm, 1),
        "wood": "".join(wood),
        "twigs": [{"width_mm": width, "d": "".join(lines)} for width, lines in sorted(twigs.items())],
    }


def _turned(points: FloatArray) -> FloatArray:
    """All outlines turn the same way round, so that none cuts a hole into another."""
    x, y = points[:, 0], points[:, 1]
    area = float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))
    return points if area >= 0 else points[::-1]


def _path(points: FloatArray, fine_mm: float, *, closed: bool) -> str:
    """Steps in tenths of mm, written in mm; corners nearer than can be seen fall together."""
    ticks = np.rint(points * np.array([10.0, -10.0])).astype(np.int64).tolist()
    least = fine_mm * 10.0
    x, y = ticks[0]
    text = [f"M{_tenth(x)} {_tenth(y)}l"]
    last = len(ticks) - 1
    for number in range(1, last + 1):
        across, down = ticks[number][0] - x, ticks[number][1] - y
        if number < last and abs(across) + abs(down) < least:
            continue
        text.append(_joined(across, first=len(text) == 1) + _joined(down, first=False))
        x, y = ticks[number]
    return "".join(text) + ("z" if closed else "")


def _joined(ticks: int, *, first: bool) -> str:
    return _tenth(ticks) if ticks < 0 or first else " " + _tenth(ticks)


def _tenth(ticks: int) -> str:
    whole, rest = divmod(abs(ticks), 10)
    sign = "-" if ticks < 0 else ""
    return f"{sign}{whole}" if rest == 0 else f"{sign}{whole or ''}.{rest}"
