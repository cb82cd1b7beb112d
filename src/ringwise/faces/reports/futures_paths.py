"""Silhouettes as short SVG paths: whole ticks, without nodes that bend nothing and wood that is not seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringwise.faces.reports.futures_markup import Html, join, short, tag
from ringwise.kit.types import FloatArray, IntArray
from ringwise.structure.outline import CAP_POINTS
from ringwise.structure.silhouette import Shape, Silhouette

HALO_FROM_PX = 2.4  # thinner wood has no room for a light edge


@dataclass(frozen=True)
class Pen:
    """How finely a drawing is drawn: the step of its numbers and what is left out at its size."""

    tick_px: float
    bend_px: float  # a node closer than this to the line between its neighbours bends nothing
    least_px: float  # shorter wood is not seen
    stroke_px: float  # thinner wood is a stroke, not an outline
    width_step_px: float  # strokes whose widths differ by less are drawn alike
    most_n: int  # strokes at most, the longest and thickest first
    halo: bool


LARGE = Pen(tick_px=0.2, bend_px=0.16, least_px=1.2, stroke_px=1.6, width_step_px=0.15, most_n=520, halo=True)
SMALL = Pen(tick_px=0.25, bend_px=0.3, least_px=1.6, stroke_px=3.0, width_step_px=0.3, most_n=170, halo=False)


def path_text(points: IntArray, closed: bool, start: tuple[int, int] = (0, 0)) -> str:
    """Path data of one shape in whole steps from `start`, the end of the shape before it."""
    steps = np.diff(points, axis=0, prepend=np.array([start], dtype=points.dtype))
    keep = np.any(steps != 0, axis=1)
    keep[0] = True
    if int(keep.sum()) == 1:
        keep[-1] = True
    return "m" + _numbers(steps[keep].ravel().tolist()) + ("z" if closed else "")


def _numbers(values: Sequence[int]) -> str:
    text = " ".join(map(str, values))
    return text.replace(" -", "-")


def thinned(points: FloatArray, sizes: IntArray, bend_px: float) -> tuple[FloatArray, IntArray]:
    """Nodes of many shapes at once without those that lie on the line between their neighbours.

    `sizes` counts the nodes of each shape, which lie one after the other in `points`; first and last stay.
    """
    shape = np.repeat(np.arange(len(sizes)), sizes)
    for _ in range(3):
        for odd in (0, 1):
            place = np.arange(len(points)) - np.repeat(np.cumsum(sizes) - sizes, sizes)
            inner = (place > 0) & (place < np.repeat(sizes, sizes) - 1) & (place % 2 == odd)
            at = np.nonzero(inner)[0]
            chord, own = points[at + 1] - points[at - 1], points[at] - points[at - 1]
            along = (chord * own).sum(axis=1) / np.maximum((chord**2).sum(axis=1), 1e-12)
            off = own - np.clip(along, 0.0, 1.0)[:, None] * chord
            keep = np.ones(len(points), dtype=np.bool_)
            keep[at[np.hypot(off[:, 0], off[:, 1]) < bend_px]] = False
            points, shape = points[keep], shape[keep]
            sizes = np.bincount(shape, minlength=len(sizes))
    return points, sizes


def as_stroke(points: FloatArray, foot: int) -> tuple[FloatArray, float]:
    """The middle line of a tapered outline and its mean width."""
    half = (len(points) - CAP_POINTS - foot) // 2
    left, right = points[:half], points[half + CAP_POINTS : 2 * half + CAP_POINTS][::-1]
    return (left + right) / 2.0, float(np.hypot(*(left - right).T).mean())


def _placed(drawing: Silhouette, px_per_mm: float, centre_px: float, soil_px: float) -> list[FloatArray]:
    """The points of every shape on the page; wood ends at the soil, what lies deeper is the pot's."""
    every = np.concatenate([shape.points_mm for shape in drawing.shapes])
    every = every * np.array([px_per_mm, -px_per_mm]) + np.array([centre_px, soil_px])
    every[:, 1] = np.minimum(every[:, 1], soil_px)
    cuts = np.cumsum([len(shape.points_mm) for shape in drawing.shapes])[:-1]
    return np.split(every, cuts)


def tree_paths(
    drawing: Silhouette, px_per_mm: float, centre_px: float, soil_px: float, pen: Pen = LARGE
) -> Html:
    """The tree itself: outlines from the back to the front, then its twigs, those of one width together."""
    placed = _placed(drawing, px_per_mm, centre_px, soil_px)
    outlines: list[tuple[FloatArray, int]] = []
    twigs: list[tuple[FloatArray, float]] = []
    for shape, points in zip(drawing.shapes, placed, strict=True):
        line, width_px = _line(shape, points, px_per_mm)
        if line is None or width_px >= pen.stroke_px:
            outlines.append((points, shape.foot))
        elif float(np.ptp(line, axis=0).max()) >= pen.least_px:
            twigs.append((line, width_px))
    return tag(
        "g",
        join(_outlines(outlines, pen), _twigs(twigs, pen)),
        transform=f"scale({pen.tick_px:g})",
        stroke_width=short(0.7 / pen.tick_px),
    )


def _line(shape: Shape, points: FloatArray, px_per_mm: float) -> tuple[FloatArray | None, float]:
    """A stroke's line and width in px; an outline's middle line, None where it has none."""
    if shape.width_mm > 0.0:
        return points, shape.width_mm * px_per_mm
    if len(points) < 4 + CAP_POINTS + shape.foot or (len(points) - CAP_POINTS - shape.foot) % 2:
        return None, 0.0
    return as_stroke(points, shape.foot)


def _ticks(lines: list[FloatArray], pen: Pen) -> list[IntArray]:
    """Lines thinned and rounded to whole ticks."""
    points, sizes = thinned(np.concatenate(lines), np.array([len(each) for each in lines]), pen.bend_px)
    whole = np.rint(points / pen.tick_px).astype(np.int64)
    return np.split(whole, np.cumsum(sizes)[:-1])


def _outlines(outlines: list[tuple[FloatArray, int]], pen: Pen) -> list[Html]:
    """Wood with two flanks; a light edge parts what stands in front from what lies behind."""
    out: list[Html] = []
    if not outlines:
        return out
    run: list[IntArray] = []
    for ticks, (points, foot) in zip(_ticks([each for each, _f in outlines], pen), outlines, strict=True):
        run.append(ticks)
        if pen.halo and _thick_px(points) >= HALO_FROM_PX:
            out.append(tag("path", class_="wood", d=_run(run, closed=True)))
            run = []
            sides = points[1 : len(points) - foot - 1] if foot else points
            out.append(tag("path", class_="edge", d=_run(_ticks([sides], pen), closed=False)))
    if run:
        out.append(tag("path", class_="wood", d=_run(run, closed=True)))
    return out


def _twigs(twigs: list[tuple[FloatArray, float]], pen: Pen) -> list[Html]:
    """Thin wood as strokes, what is seen most first where there is more than can be seen."""
    seen = sorted(twigs, key=lambda each: -float(np.ptp(each[0], axis=0).sum()) * each[1] ** 0.5)[
        : pen.most_n
    ]
    if not seen:
        return []
    by_width: dict[int, list[IntArray]] = {}
    for ticks, (_line_px, width_px) in zip(_ticks([each for each, _w in seen], pen), seen, strict=True):
        by_width.setdefault(max(2, round(width_px / pen.width_step_px)), []).append(ticks)
    return [
        tag(
            "path",
            class_="line",
            d=_run(sorted(lines, key=lambda each: (int(each[0, 1]), int(each[0, 0]))), closed=False),
            stroke_width=short(step * pen.width_step_px / pen.tick_px),
        )
        for step, lines in sorted(by_width.items(), reverse=True)
    ]


def _run(shapes: list[IntArray], closed: bool) -> str:
    """Several shapes in one path, each begun where the one before it ended."""
    parts, x, y = [], 0, 0
    for points in shapes:
        parts.append(path_text(points, closed, (x, y)))
        x, y = points[0 if closed else -1].tolist()
    return "".join(parts)


def _thick_px(points: FloatArray) -> float:
    """Rough mean width of an outline: its area over half its way round."""
    x, y = points[:, 0], points[:, 1]
    area = abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2.0
    around = float(np.linalg.norm(points - np.roll(points, -1, axis=0), axis=1).sum())
    return 2.0 * area / max(around, 1e-6)
