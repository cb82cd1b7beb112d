"""How a board falls on sheets of paper: whole squares on each, a strip of the neighbour's to lay it on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.errors import InputError
from ringwise.kit.tables import load_table
from ringwise.kit.words import _
from ringwise.structure.photo.board import TABLE, Board, markers, opencv_board, threshold
from ringwise.structure.photo.looking import opencv

_MODULES = 7  # a marker is 5 x 5 cells in a black border one cell wide
Rect = tuple[float, float, float, float]  # left, top, width, height in mm; y grows downward on the sheet
Part = tuple[int, int]  # first square, square after the last
Cut = tuple[float, float, tuple[Part, ...], tuple[Part, ...]]


@dataclass(frozen=True)
class Sheet:
    """One sheet of paper: the part of the board on it, and what is printed about it, all in mm on the paper.

    `black` and `white` are drawn in this order; `ends` are the lines along which a neighbour is laid over;
    `middle_mm` is where the board's middle would lie, also off the paper.
    """

    number: int
    row: int
    column: int
    frame: Rect
    middle_mm: tuple[float, float]
    black: tuple[Rect, ...]
    white: tuple[Rect, ...]
    ends: tuple[Rect, ...]
    ruler_squares: int
    ruler_mm: float


@dataclass(frozen=True)
class Tiling:
    """A board on sheets of one paper, all of them turned the same way."""

    board: Board
    paper: str
    width_mm: float
    height_mm: float
    margin_mm: float
    foot_mm: float
    across: int
    down: int
    sheets: tuple[Sheet, ...]


def board_rectangles(board: Board) -> tuple[list[Rect], list[Rect]]:
    """What is printed of a board: black rectangles, and the white ones that lie on them.

    Parameters
    ----------
    board : Board
        Any.

    Returns
    -------
    (list, list)
        Black (squares and markers), white (cells of markers, joined along a row), from the upper left corner.

    Source
    ------
    own: the layout is that of OpenCV.

    Examples
    --------
    >>> black, white = board_rectangles(Board(8, 6, 24.0))
    >>> len(black)
    48
    """
    found = opencv_board(board)
    cv2 = opencv()
    marker_corners = [np.asarray(corners, dtype=np.float64) for corners in found.getObjPoints()]
    with_marker = {
        (int(corners[:, 0].mean() // board.square_mm), int(corners[:, 1].mean() // board.square_mm))
        for corners in marker_corners
    }
    side = board.square_mm
    black: list[Rect] = [
        (column * side, row * side, side, side)
        for row in range(board.rows)
        for column in range(board.columns)
        if (column, row) not in with_marker
    ]
    white: list[Rect] = []
    cell = board.marker_mm / _MODULES
    for number, corners in zip(found.getIds().ravel(), marker_corners, strict=True):
        left, top = corners[:, 0].min(), corners[:, 1].min()
        black.append((float(left), float(top), board.marker_mm, board.marker_mm))
        image = cv2.aruco.generateImageMarker(markers(), int(number), _MODULES)
        for down, across, count in _runs(image > 127):
            white.append((float(left + across * cell), float(top + down * cell), count * cell, cell))
    return black, white


def _runs(cells: NDArray[np.bool_]) -> Iterator[tuple[int, int, int]]:
    """Row, first column and length of each run of true cells."""
    for down, line in enumerate(cells):
        edges = np.flatnonzero(np.diff(np.concatenate([[0], line.astype(np.int8), [0]])))
        for first, after in zip(edges[::2], edges[1::2], strict=True):
            yield down, int(first), int(after - first)


def tiling(board: Board, paper: str) -> Tiling:
    """How a board is printed on sheets: whole squares on each, a strip of the neighbour's to lay it on.

    Parameters
    ----------
    board : Board
        Any.
    paper : str
        a4, a3 or letter; it is turned so that fewer sheets are needed.

    Returns
    -------
    Tiling
        Sheets row by row from the back left.

    Raises
    ------
    InputError
        If the paper is unknown or a square does not fit on it.

    Source
    ------
    own: rows board and paper of photo.csv.

    Examples
    --------
    >>> made = tiling(Board(16, 11, 24.0), "a4")
    >>> made.across, made.down
    (3, 1)
    """
    table = load_table(*TABLE)
    papers = [row.key.removeprefix("paper_") for row in table if row.parameter == "long_mm"]
    if paper not in papers:
        raise InputError(
            _("paper {paper} is not known; accepted: {papers}.").format(paper=paper, papers=", ".join(papers))
        )
    long_mm, short_mm = threshold(f"paper_{paper}", "long_mm"), threshold(f"paper_{paper}", "short_mm")
    choices = [_cut(board, width, height) for width, height in ((long_mm, short_mm), (short_mm, long_mm))]
    fitting = [each for each in choices if each is not None]
    if not fitting:
        raise InputError(
            _("a square of {side:g} mm does not fit on {paper}; take smaller ones or larger paper.").format(
                side=board.square_mm, paper=paper
            )
        )
    width, height, columns, rows = min(fitting, key=lambda each: len(each[2]) * len(each[3]))
    return _laid(board, paper, (width, height), columns, rows)


def _cut(board: Board, width_mm: float, height_mm: float) -> Cut | None:
    margin, foot = threshold("board", "margin_mm"), threshold("board", "foot_mm")
    columns = _parts(board.columns, board.square_mm, width_mm - 2 * margin)
    rows = _parts(board.rows, board.square_mm, height_mm - 2 * margin - foot)
    return None if columns is None or rows is None else (width_mm, height_mm, columns, rows)


def _parts(count: int, side_mm: float, room_mm: float) -> tuple[Part, ...] | None:
    """The squares of a row on as few sheets as hold them, spread evenly."""
    if count * side_mm <= room_mm:
        return ((0, count),)
    most = int((room_mm - threshold("board", "overlap_mm")) // side_mm)
    if most < 1:
        return None
    sheets = -(-count // most)
    bounds = [round(i * count / sheets) for i in range(sheets + 1)]
    return tuple(pairwise(bounds))


def _laid(
    board: Board, paper: str, size_mm: tuple[float, float], columns: tuple[Part, ...], rows: tuple[Part, ...]
) -> Tiling:
    margin, foot, overlap = (threshold("board", name) for name in ("margin_mm", "foot_mm", "overlap_mm"))
    black, white = board_rectangles(board)
    side = board.square_mm
    ruler = int(min(threshold("board", "ruler_squares"), (size_mm[0] - 2 * margin) // side))
    sheets: list[Sheet] = []
    for down, (top, bottom) in enumerate(rows):
        for across, (left, right) in enumerate(columns):
            last_across, last_down = across == len(columns) - 1, down == len(rows) - 1
            own = (left * side, top * side, (right - left) * side, (bottom - top) * side)
            seen = (
                own[0],
                own[1],
                own[2] + (0.0 if last_across else overlap),
                own[3] + (0.0 if last_down else overlap),
            )
            ends: list[Rect] = []
            if not last_across:
                ends.append((margin + own[2], margin, 0.0, seen[3]))
            if not last_down:
                ends.append((margin, margin + own[3], seen[2], 0.0))
            sheets.append(
                Sheet(
                    number=len(sheets) + 1,
                    row=down,
                    column=across,
                    frame=(margin, margin, seen[2], seen[3]),
                    middle_mm=(
                        margin + 0.5 * board.width_mm - seen[0],
                        margin + 0.5 * board.depth_mm - seen[1],
                    ),
                    black=_clipped(black, seen, margin),
                    white=_clipped(white, seen, margin),
                    ends=tuple(ends),
                    ruler_squares=ruler,
                    ruler_mm=ruler * side,
                )
            )
    return Tiling(board, paper, size_mm[0], size_mm[1], margin, foot, len(columns), len(rows), tuple(sheets))


def _clipped(rectangles: list[Rect], seen: Rect, margin_mm: float) -> tuple[Rect, ...]:
    kept = []
    for left, top, width, height in rectangles:
        x0, y0 = max(left, seen[0]), max(top, seen[1])
        x1, y1 = min(left + width, seen[0] + seen[2]), min(top + height, seen[1] + seen[3])
        if x1 - x0 > 1e-6 and y1 - y0 > 1e-6:
            kept.append((x0 - seen[0] + margin_mm, y0 - seen[1] + margin_mm, x1 - x0, y1 - y0))
    return tuple(kept)
