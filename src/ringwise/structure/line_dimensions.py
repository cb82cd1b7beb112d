"""Dimensions beside a line drawing: height, spread, girth at the base, a scale bar, and what a cut takes."""

from __future__ import annotations

import math

import numpy as np

from ringwise.kit import show
from ringwise.kit.words import _
from ringwise.structure.line_marks import LEVEL_UP_TO_DEG, Label, LineDrawing, Mark, Seen, boxed
from ringwise.structure.measures import base_row

OFF_PX = 22.0  # from the tree to a dimension line
TICK_PX = 5.0
WORD_PX = 14.0  # a line of words
LEAST_SPREAD_PX = 20.0  # a stem without a crown has no spread to write
BARS_MM = (5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0)
BAR_MOST_FRAC = 0.3  # longest scale bar against the width of the drawing


def dimensioned(drawn: LineDrawing, seen: Seen, row: int) -> LineDrawing:
    """A line drawing with its dimensions.

    Parameters
    ----------
    drawn : LineDrawing
        Of the tree alone.
    seen : Seen
        The tree in the viewer's frame.
    row : int
        Lowest segment that a cut takes, -1 without a cut.

    Returns
    -------
    LineDrawing
        Height is written only where the tree is seen from the side; girth where it was not cut away.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.line_drawing import line_drawing
    >>> from ringwise.structure.table import single_segment
    >>> [each.text for each in line_drawing(single_segment(length_mm=400.0, diameter_mm=40.0)).labels]
    ['40 cm', 'girth 12.6 cm at 0 mm', '20 mm']
    """
    px = drawn.mm_per_px
    level = abs(drawn.elevation_deg) <= LEVEL_UP_TO_DEG
    marks: list[Mark] = []
    labels: list[Label] = []
    ends = np.vstack([np.zeros(3), seen.table.end_mm])
    flat = seen.flat(ends)
    if level:
        _height(drawn, ends, marks, labels)
    low = min(drawn.low_mm, 0.0)
    _spread(drawn, (float(flat[:, 0].min()), float(flat[:, 0].max())), low - OFF_PX * px, marks, labels)
    _girth(drawn, seen, marks, labels)
    if row > 0:
        _cut(drawn, seen, row, marks, labels)
    _bar(drawn, low - (OFF_PX + 2.6 * WORD_PX) * px, marks, labels)
    pad = np.array([OFF_PX + 26.0 if level else 8.0, 8.0, OFF_PX + 3.4 * WORD_PX, 10.0])
    return _fitted(boxed(drawn, marks, labels, pad))


def _rule(start: tuple[float, float], end: tuple[float, float], px: float) -> list[Mark]:
    """A dimension line with an oblique tick at both ends."""
    tick = TICK_PX * px / 2.0
    line = [Mark(np.array([start, end]), px, "hair")]
    for x, y in (start, end):
        line.append(Mark(np.array([[x - tick, y - tick], [x + tick, y + tick]]), 1.5 * px, "ink"))
    return line


def _height(drawn: LineDrawing, ends: np.ndarray, marks: list[Mark], labels: list[Label]) -> None:
    px = drawn.mm_per_px
    top_mm = float(ends[:, 2].max())
    x = drawn.left_mm - OFF_PX * px
    marks += _rule((x, 0.0), (x, top_mm), px)
    labels.append(Label(x - 6.0 * px, top_mm / 2.0, show.length(top_mm), "middle", turned=True))


def _spread(
    drawn: LineDrawing, span: tuple[float, float], y_mm: float, marks: list[Mark], labels: list[Label]
) -> None:
    px = drawn.mm_per_px
    if span[1] - span[0] < LEAST_SPREAD_PX * px:
        return
    marks += _rule((span[0], y_mm), (span[1], y_mm), px)
    words = _("{width} wide from here").format(width=show.length(span[1] - span[0]))
    labels.append(Label((span[0] + span[1]) / 2.0, y_mm - 1.2 * WORD_PX * px, words))


def _girth(drawn: LineDrawing, seen: Seen, marks: list[Mark], labels: list[Label]) -> None:
    table, px = seen.table, drawn.mm_per_px
    row = base_row(table)
    if seen.gone[row]:
        return
    at = seen.flat(table.start_mm[row])
    half = float(table.diameter_mm[row]) / 2.0
    y = float(at[1])
    end = drawn.right_mm - 4.0 * px
    marks.append(Mark(np.array([[float(at[0]) - half, y], [float(at[0]) + half, y]]), 1.5 * px, "ink"))
    marks.append(Mark(np.array([[float(at[0]) + half, y], [end, y + 8.0 * px]]), px, "hair"))
    words = _("girth {girth} at {height}").format(
        girth=show.length(math.pi * 2.0 * half), height=show.length(float(table.start_mm[row, 2]))
    )
    labels.append(Label(end + 4.0 * px, y + 5.0 * px, words, "start"))


def _cut(drawn: LineDrawing, seen: Seen, row: int, marks: list[Mark], labels: list[Label]) -> None:
    table, px = seen.table, drawn.mm_per_px
    at = seen.flat(table.start_mm[row])
    end = drawn.right_mm - 4.0 * px
    y = float(at[1])
    half = float(table.diameter_mm[row]) / 2.0
    marks.append(Mark(np.array([[float(at[0]) + half, y], [end, y + 14.0 * px]]), px, "hair"))
    height = show.length(float(table.start_mm[row, 2]))
    labels.append(Label(end + 4.0 * px, y + 20.0 * px, _("cut at {height}").format(height=height), "start"))
    face = _("face {width}").format(width=show.length(2.0 * half))
    labels.append(Label(end + 4.0 * px, y + (20.0 - WORD_PX) * px, face, "start"))


def _bar(drawn: LineDrawing, y_mm: float, marks: list[Mark], labels: list[Label]) -> None:
    px = drawn.mm_per_px
    room_mm = BAR_MOST_FRAC * max(drawn.right_mm - drawn.left_mm, 160.0 * px)
    size_mm = max((each for each in BARS_MM if each <= room_mm), default=BARS_MM[0])
    x = drawn.left_mm + 4.0 * px
    tick = TICK_PX * px / 2.0
    marks.append(Mark(np.array([[x, y_mm + tick], [x, y_mm - tick]]), px, "ink"))
    marks.append(Mark(np.array([[x, y_mm], [x + size_mm, y_mm]]), 1.5 * px, "ink"))
    marks.append(Mark(np.array([[x + size_mm, y_mm + tick], [x + size_mm, y_mm - tick]]), px, "ink"))
    labels.append(Label(x + size_mm + 8.0 * px, y_mm - 4.0 * px, show.length(size_mm), "start"))


def _fitted(drawn: LineDrawing) -> LineDrawing:
    """The box widened so that the words stand inside; about 7.4 pixels a letter at 14 pixels."""
    px = drawn.mm_per_px
    right = drawn.right_mm
    left = drawn.left_mm
    for each in drawn.labels:
        size = 7.4 * px * len(each.text)
        if each.turned:
            continue
        reach = {"start": (0.0, size), "middle": (size / 2.0, size / 2.0), "end": (size, 0.0)}[each.anchor]
        left, right = min(left, each.x_mm - reach[0]), max(right, each.x_mm + reach[1])
    from dataclasses import replace

    return replace(drawn, left_mm=left, right_mm=right)
