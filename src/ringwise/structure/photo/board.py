"""The printed board under the pot: squares and markers, where they lie in the world, how they fall on sheets.

The board is a ChArUco board (a chess board whose white squares hold markers), an open layout that OpenCV
finds. It lies flat at the height 0; its middle is the origin of the world, its lower printed edge is the
front (-y), +z is up.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.errors import InputError, out_of_range
from ringwise.kit.tables import load_table
from ringwise.kit.words import _
from ringwise.structure.photo.looking import opencv

if TYPE_CHECKING:
    from collections.abc import Iterator

TABLE = ("ringwise.structure", "photo")
MOST_MARKERS = 250  # the dictionary of markers holds no more
LEAST_SQUARES = 4  # along a side; fewer hold too few corners once a pot stands in the middle
_MODULES = 7  # a marker is 5 x 5 cells in a black border one cell wide

Rect = tuple[float, float, float, float]  # left, top, width, height in mm; y grows downward on the sheet


def threshold(key: str, parameter: str) -> float:
    """A number of the table of photos.

    Parameters
    ----------
    key, parameter : str
        The row.

    Returns
    -------
    float
        In the row's unit.

    Source
    ------
    own.

    Examples
    --------
    >>> threshold("board", "square_mm")
    24.0
    """
    return load_table(*TABLE).get(key, parameter).number


@dataclass(frozen=True)
class Board:
    """A board by its count of squares and the side of one square as printed."""

    columns: int
    rows: int
    square_mm: float

    @property
    def marker_mm(self) -> float:
        """Side of a marker, its black border included."""
        return self.square_mm * threshold("board", "marker_ratio")

    @property
    def width_mm(self) -> float:
        """From left to right."""
        return self.columns * self.square_mm

    @property
    def depth_mm(self) -> float:
        """From the front to the back."""
        return self.rows * self.square_mm

    def world_mm(self, sheet_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Places on the sheet (from its upper left corner, y down) as places in the world (middle, +y back).

        Parameters
        ----------
        sheet_mm : ndarray (n, 2 or 3)
            Places as printed.

        Returns
        -------
        ndarray (n, 3)
            With z = 0.

        Examples
        --------
        >>> Board(16, 11, 24.0).world_mm(np.array([[0.0, 0.0]])).tolist()
        [[-192.0, 132.0, 0.0]]
        """
        x = sheet_mm[:, 0] - 0.5 * self.width_mm
        y = 0.5 * self.depth_mm - sheet_mm[:, 1]
        return np.stack([x, y, np.zeros_like(x)], axis=1)

    def corners_mm(self) -> NDArray[np.float64]:
        """The inner corners in the world, in the order in which the detector numbers them.

        Returns
        -------
        ndarray ((columns - 1) (rows - 1), 3)
            World places.

        Examples
        --------
        >>> Board(16, 11, 24.0).corners_mm()[0].tolist()
        [-168.0, 108.0, 0.0]
        """
        across, down = np.meshgrid(np.arange(1, self.columns), np.arange(1, self.rows))
        sheet_mm = np.stack([across.ravel(), down.ravel()], axis=1).astype(np.float64) * self.square_mm
        return self.world_mm(sheet_mm)


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


def checked_board(columns: int, rows: int, square_mm: float) -> Board:
    """A board that can be printed and found.

    Parameters
    ----------
    columns, rows : int
        Squares from left to right and from back to front.
    square_mm : float
        Side of a square.

    Returns
    -------
    Board
        Checked.

    Raises
    ------
    RangeError
        If a number lies outside its range, or there are more markers than there are different ones.

    Source
    ------
    own: rows board of photo.csv.

    Examples
    --------
    >>> checked_board(25, 20, 24.0).width_mm
    600.0
    """
    for field, count in (("--columns", columns), ("--rows", rows)):
        if count < LEAST_SQUARES:
            raise out_of_range(field, str(count), _("{n} or more").format(n=LEAST_SQUARES))
    row = load_table(*TABLE).get("board", "square_mm")
    low, high = float(row.low or 0.0), float(row.high or 0.0)
    if not low <= square_mm <= high:
        raise out_of_range("--square", f"{square_mm:g} mm", f"{low:g} to {high:g} mm")
    if columns * rows > 2 * MOST_MARKERS:
        raise out_of_range(
            _("squares of the board"),
            f"{columns} x {rows}",
            _("at most {n} squares; take larger ones with --square").format(n=2 * MOST_MARKERS),
        )
    return Board(columns, rows, square_mm)


@cache
def opencv_board(board: Board) -> Any:
    """The board as OpenCV knows it.

    Parameters
    ----------
    board : Board
        Any.

    Returns
    -------
    cv2.aruco.CharucoBoard
        In its own coordinates: mm from the upper left corner, y down.

    Source
    ------
    own.

    Examples
    --------
    >>> opencv_board(Board(8, 6, 24.0)).getSquareLength()
    24.0
    """
    cv2 = opencv()
    return cv2.aruco.CharucoBoard(
        (board.columns, board.rows), float(board.square_mm), float(board.marker_mm), _dictionary()
    )


def _dictionary() -> Any:
    cv2 = opencv()
    return cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_250)


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
        image = cv2.aruco.generateImageMarker(_dictionary(), int(number), _MODULES)
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


Part = tuple[int, int]  # first square, square after the last
Cut = tuple[float, float, tuple[Part, ...], tuple[Part, ...]]


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
