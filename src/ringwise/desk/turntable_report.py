"""What a report on a turn shows: each photo, and on it the measured tree as the camera would see it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from ringwise.desk.turntable_told import quality_lines, turn_lines
from ringwise.kit.types import FloatArray

if TYPE_CHECKING:
    from ringwise.desk.turntable_result import TurnResult
    from ringwise.desk.turntable_wish import Turn
    from ringwise.structure.cameras import Camera
    from ringwise.structure.measured import MeasuredTree

SHOWN_PX = 1000  # longer side of a photo in a report
_DIGITS = 1


@dataclass(frozen=True)
class ReportView:
    """One photo of a report: a JPEG, its size, and lines over it in its pixels."""

    name: str
    picture: bytes
    width_px: int
    height_px: int
    lines: tuple[tuple[tuple[float, float], ...], ...]
    words: str


@dataclass(frozen=True)
class TurnReport:
    """All that a report on a turn shows; texts are plain and made for people."""

    title: str
    lines: tuple[str, ...]
    refused: tuple[str, ...]
    views: tuple[ReportView, ...]
    data: dict[str, Any]


def turn_report(turn: Turn, result: TurnResult, title: str) -> TurnReport:
    """The content of a report.

    Parameters
    ----------
    turn : Turn
        With the photos.
    result : TurnResult
        As measured.
    title : str
        Heading.

    Returns
    -------
    TurnReport
        With photos made small.
    """
    from ringwise.structure.cameras import cameras_to_json

    quality = quality_lines(result)
    told = [line for line in turn_lines(result) if line not in quality]
    refused = tuple(each.line for each in result.refused)
    return TurnReport(
        title=title,
        lines=(*told, *quality[: len(quality) - len(refused)]),
        refused=refused,
        views=tuple(_views(turn, result)),
        data=cameras_to_json(result.cameras),
    )


def _views(turn: Turn, result: TurnResult) -> Iterator[ReportView]:
    from ringwise.kit.words import _
    from ringwise.structure.photo.sight import small_jpeg

    paths = {source.name: source for source in turn.sources}
    each_quality = {each["name"]: each for each in result.quality.get("views", ())}
    for camera in result.cameras:
        values = _pixels(paths[camera.name])
        picture, share = small_jpeg(values, SHOWN_PX)
        told = each_quality.get(camera.name)
        words = ""
        if told is not None:
            words = _("{covered:.1%} of its wood is covered, {true:.1%} of the tree lies on wood").format(
                covered=told["covered_frac"], true=told["true_frac"]
            )
        yield ReportView(
            name=camera.name,
            picture=picture,
            width_px=round(values.shape[1] * share),
            height_px=round(values.shape[0] * share),
            lines=overlay(camera, result.measured, share * values.shape[1] / camera.width_px),
            words=words,
        )


def _pixels(source: Any) -> Any:
    from pathlib import Path

    from ringwise.records.pictures import read_pixels
    from ringwise.structure.photo.board import threshold

    longest_px = int(threshold("picture", "longest_px"))
    return read_pixels(source.path, longest_px=longest_px, shown=Path(source.name)).values


def overlay(
    camera: Camera, measured: MeasuredTree, share: float = 1.0
) -> tuple[tuple[tuple[float, float], ...], ...]:
    """The outline of each branch as a camera would see it: both flanks of its chain of segments.

    Parameters
    ----------
    camera : Camera
        With its pose.
    measured : MeasuredTree
        The tree.
    share : float
        Size of the shown picture against the measured one.

    Returns
    -------
    tuple of polylines
        In pixels of the shown picture; thin branches are one line.
    """
    from ringwise.structure.orders import axes

    table = measured.table
    origin = np.asarray(measured.origin_mm)
    start, end = table.start_mm + origin, table.end_mm + origin
    lower, upper = 0.5 * table.diameter_mm, 0.5 * table.end_diameter_mm
    lines: list[tuple[tuple[float, float], ...]] = []
    lines_of_wood = axes(table)
    for number in range(lines_of_wood.n):
        rows = lines_of_wood.of(number)
        points = np.vstack([start[rows[0]], end[rows]])
        radii = np.concatenate([[lower[rows[0]]], upper[rows]])
        seen, depth = camera.project(points)
        if not np.isfinite(seen).all():
            continue
        seen = (seen + 0.5) * share - 0.5
        half = radii * camera.k[0, 0] / depth * share
        lines += [_told(line) for line in _flanks(seen, half)]
    return tuple(lines)


def _flanks(seen: FloatArray, half_px: FloatArray) -> list[FloatArray]:
    if half_px.max() < 0.7:
        return [seen]
    along = np.gradient(seen, axis=0)
    length = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)
    aside = np.stack([along[:, 1], -along[:, 0]], axis=1) / length[:, None] * half_px[:, None]
    return [seen + aside, seen - aside]


def _told(line: FloatArray) -> tuple[tuple[float, float], ...]:
    return tuple((round(float(x), _DIGITS), round(float(y), _DIGITS)) for x, y in line)
