"""Corners of the board to a few hundredths of a pixel, also where the board is seen at a flat angle.

A detector looks for a corner in an upright window of the photo. Where the board lies nearly edge-on, the
markers come into such a window and drag the corner along by a pixel. Here the window lies flat on the board:
as far as the markers leave it white, it holds nothing but the corner.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.types import FloatArray
from ringwise.structure.photo.board import Board, threshold
from ringwise.structure.photo.looking import opencv

_ROUNDS = 2  # the window is laid about the corner as first found, then about where it was moved to
_BLEND_PX = 6  # of a tile beyond the window, so that a moved corner still has one


def refined(
    grey: NDArray[np.uint8], board: Board, ids: NDArray[np.int32], matrix: FloatArray
) -> tuple[NDArray[np.int32], FloatArray]:
    """Corners looked for again, each in a window that lies flat on the board.

    Parameters
    ----------
    grey : ndarray (h, w) uint8
        The photo.
    board : Board
        As printed.
    ids : ndarray (n,) int
        Which corners.
    matrix : ndarray (3, 3)
        The plane's way from the board (mm) to the photo (px), as the corners first found have it.

    Returns
    -------
    (ndarray (m,), ndarray (m, 2))
        The corners that lie within their window, by number and place.

    Source
    ------
    own: rows sight of photo.csv; the corner within its window by OpenCV.

    Examples
    --------
    >>> cells = np.add.outer(np.arange(60) >= 30, np.arange(60) >= 30) % 2
    >>> grey = (200 * cells + 20).astype(np.uint8)
    >>> board = Board(4, 4, 10.0)
    >>> matrix = np.array([[1.0, 0.0, 29.9], [0.0, -1.0, 29.2], [0.0, 0.0, 1.0]])
    >>> refined(grey, board, np.array([4]), matrix)[1].round(1).tolist()
    [[29.5, 29.5]]
    """
    cv2 = opencv()
    if len(ids) == 0:
        return ids, np.zeros((0, 2))
    half = int(threshold("sight", "corner_half_px"))
    reach_mm = threshold("sight", "corner_reach_ratio") * 0.5 * (board.square_mm - board.marker_mm)
    step_mm = reach_mm / half
    tile = half + _BLEND_PX
    across = np.arange(-tile, tile + 1) * step_mm
    grid_mm = np.stack([each.ravel() for each in np.meshgrid(across, across)], axis=1)
    first_px, slopes = _flattened(board.corners_mm()[ids][:, :2], matrix)
    places_px = first_px
    middles = np.stack([np.full(len(ids), tile), np.arange(len(ids)) * len(across) + tile], axis=1)
    stop = (cv2.TERM_CRITERIA_COUNT + cv2.TERM_CRITERIA_EPS, 40, 1e-3)
    for _round in range(_ROUNDS):
        laid = places_px[:, None] + np.einsum("nij,kj->nki", slopes, grid_mm)
        laid = laid.reshape(-1, len(across), 2).astype(np.float32)
        tiles = cv2.remap(grey, laid, None, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        starts = middles.astype(np.float32)[:, None]
        found = cv2.cornerSubPix(tiles, starts.copy(), (half - 1, half - 1), (-1, -1), stop)
        moved_mm = (found - starts)[:, 0].astype(np.float64) * step_mm
        places_px = places_px + np.einsum("nij,nj->ni", slopes, moved_mm)
    off_mm = np.linalg.solve(slopes, (places_px - first_px)[..., None])[..., 0]
    near = np.abs(off_mm).max(axis=1) <= reach_mm
    return ids[near], places_px[near]


def _flattened(flat_mm: FloatArray, matrix: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Where places of the board fall, and by how many pixels a millimetre of the board moves them there."""
    there = np.column_stack([flat_mm, np.ones(len(flat_mm))]) @ np.asarray(matrix).T
    places = there[:, :2] / there[:, 2:]
    slopes = (matrix[:2, :2] - places[:, :, None] * matrix[2, :2]) / there[:, 2, None, None]
    return places, np.asarray(slopes, dtype=np.float64)
