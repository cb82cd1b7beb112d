"""The printed board under the pot: its squares and markers, and where they lie in the world.

The board is a ChArUco board (a chess board whose white squares hold markers), an open layout that OpenCV
finds. It lies flat at the height 0; its middle is the origin of the world, its lower printed edge is the
front (-y), +z is up.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.errors import at_field, out_of_range
from ringwise.kit.tables import load_table
from ringwise.kit.words import _
from ringwise.structure.photo.looking import opencv

TABLE = ("ringwise.structure", "photo")
MOST_MARKERS = 250  # the dictionary of markers holds no more
LEAST_SQUARES = 4  # along a side; fewer hold too few corners once a pot stands in the middle


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


def board_words() -> dict[str, str]:
    """What the numbers of a board are called in errors, by the key under which they are asked for.

    Returns
    -------
    dict
        square, columns, rows.

    Source
    ------
    own.

    Examples
    --------
    >>> board_words()["rows"]
    'squares from back to front'
    """
    return {
        "square": _("side of a square of the board"),
        "columns": _("squares from left to right"),
        "rows": _("squares from back to front"),
    }


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
    words = board_words()
    for key, count in (("columns", columns), ("rows", rows)):
        if count < LEAST_SQUARES:
            with at_field(key):
                raise out_of_range(words[key], str(count), _("{n} or more").format(n=LEAST_SQUARES))
    row = load_table(*TABLE).get("board", "square_mm")
    low, high = float(row.low or 0.0), float(row.high or 0.0)
    if not low <= square_mm <= high:
        with at_field("square"):
            raise out_of_range(words["square"], f"{square_mm:g} mm", f"{low:g} to {high:g} mm")
    if columns * rows > 2 * MOST_MARKERS:
        raise out_of_range(
            _("squares of the board"),
            f"{columns} x {rows}",
            _("at most {n} squares; take larger ones").format(n=2 * MOST_MARKERS),
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
        (board.columns, board.rows), float(board.square_mm), float(board.marker_mm), markers()
    )


def markers() -> Any:
    """The dictionary of markers, as OpenCV knows it.

    Returns
    -------
    cv2.aruco.Dictionary
        DICT_5X5_250.

    Source
    ------
    own: the layout is that of OpenCV.

    Examples
    --------
    >>> markers().markerSize
    5
    """
    cv2 = opencv()
    return cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_250)
