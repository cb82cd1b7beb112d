"""What a line drawing is made of: lines, words, the box that holds them, the tree as the viewer sees it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.structure.table import SegmentTable

LEVEL_UP_TO_DEG = 12.0  # from higher up the soil is no line, and heights would be read too small


@dataclass(frozen=True)
class Mark:
    """An open line in mm, y up from the soil; `layer` is ink, twig, gone (dashed), gone_twig or hair."""

    points_mm: FloatArray  # (k, 2)
    width_mm: float
    layer: str = "ink"


@dataclass(frozen=True)
class Label:
    """Words in a drawing: where, how they stand to the place ("start", "middle", "end"), turned or not."""

    x_mm: float
    y_mm: float
    text: str
    anchor: str = "middle"
    turned: bool = False


@dataclass(frozen=True)
class LineDrawing:
    """Lines and words, the box that holds them, and how many mm a pixel of the plain size is."""

    marks: tuple[Mark, ...]
    labels: tuple[Label, ...]
    left_mm: float
    right_mm: float
    low_mm: float
    high_mm: float
    mm_per_px: float
    view_clock: float
    elevation_deg: float

    @property
    def lines_mm(self) -> float:
        """Length of all that is drawn."""
        return sum(float(np.linalg.norm(np.diff(m.points_mm, axis=0), axis=1).sum()) for m in self.marks)


@dataclass(frozen=True)
class Seen:
    """A tree in the viewer's frame: what is to be drawn round it needs no more than this."""

    table: SegmentTable
    frame: FloatArray  # (3, 3): points @ frame are right, up, towards the viewer
    gone: BoolArray
    mm_per_px: float

    def flat(self, points_mm: FloatArray) -> FloatArray:
        """Points as seen: right and up."""
        out: FloatArray = (points_mm @ self.frame)[..., :2]
        return out


def boxed(drawn: LineDrawing, marks: Sequence[Mark], labels: Sequence[Label], pad: FloatArray) -> LineDrawing:
    """The drawing with more lines and words, and margins (left, right, low, high) in pixels for them.

    Parameters
    ----------
    drawn : LineDrawing
        A drawing.
    marks, labels : sequence of Mark, sequence of Label
        Added on top.
    pad : (4,) float
        Margins, in pixels of the plain size.

    Returns
    -------
    LineDrawing
        With a larger box.

    Source
    ------
    own.

    Examples
    --------
    >>> drawn = LineDrawing((), (), 0.0, 90.0, 0.0, 90.0, 0.5, 6.0, 0.0)
    >>> boxed(drawn, (), (), np.array([10.0, 0.0, 0.0, 0.0])).left_mm
    -5.0
    """
    px = drawn.mm_per_px
    return replace(
        drawn,
        marks=(*drawn.marks, *marks),
        labels=(*drawn.labels, *labels),
        left_mm=drawn.left_mm - float(pad[0]) * px,
        right_mm=drawn.right_mm + float(pad[1]) * px,
        low_mm=drawn.low_mm - float(pad[2]) * px,
        high_mm=drawn.high_mm + float(pad[3]) * px,
    )
