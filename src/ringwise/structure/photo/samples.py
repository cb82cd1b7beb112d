"""A small turn for examples: corners of a board as twelve cameras would see them, without any picture."""

from __future__ import annotations

import numpy as np

from ringwise.structure.cameras import Camera
from ringwise.structure.photo.board import Board
from ringwise.structure.photo.sight import Shot, Sight

SAMPLE_BOARD = Board(8, 6, 24.0)


def sample_cameras(views: int = 12) -> list[Camera]:
    """Cameras round the middle of the board, by turns low and high.

    Parameters
    ----------
    views : int
        How many.

    Returns
    -------
    list of Camera
        With sizes.

    Source
    ------
    own.

    Examples
    --------
    >>> len(sample_cameras())
    12
    """
    cameras = []
    k = np.array([[900.0, 0.0, 319.5], [0.0, 900.0, 239.5], [0.0, 0.0, 1.0]])
    for number in range(views):
        turn, rise = 2.0 * np.pi * number / views, np.radians(12.0 if number % 2 else 35.0)
        away = np.array([np.cos(turn) * np.cos(rise), np.sin(turn) * np.cos(rise), np.sin(rise)])
        right = np.array([-np.sin(turn), np.cos(turn), 0.0])
        r = np.stack([right, np.cross(-away, right), -away])
        cameras.append(Camera(f"{number}.jpg", k, r, -r @ (900.0 * away), 0.0, 640, 480))
    return cameras


def sample_sights(views: int = 12) -> list[Sight]:
    """What a detector would find on photos of those cameras.

    Parameters
    ----------
    views : int
        How many.

    Returns
    -------
    list of Sight
        All corners, sharp and well lit.

    Source
    ------
    own.

    Examples
    --------
    >>> len(sample_sights()[0].ids)
    35
    """
    corners = SAMPLE_BOARD.corners_mm()
    ids = np.arange(len(corners), dtype=np.int32)
    return [
        Sight(Shot(camera.name, 640, 480), ids, camera.project(corners)[0], 24, 1.0, 2.0, 0.1, 0.1, 0.2)
        for camera in sample_cameras(views)
    ]
