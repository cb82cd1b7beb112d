"""Small made-up silhouettes for the examples in this room: a rod before twelve cameras."""

from __future__ import annotations

import math

import numpy as np

from ringwise.structure.cameras import Camera
from ringwise.structure.turntable.looking import stacked
from ringwise.structure.turntable.topology import Paths
from ringwise.structure.turntable.views import Stack, View

_ROD_MM, _TALL_MM = 10.0, 80.0


def rod_views(count: int = 12) -> tuple[View, ...]:
    """Silhouettes of an upright rod of radius 10 mm and height 80 mm, seen level from all round.

    Parameters
    ----------
    count : int
        How many cameras.

    Returns
    -------
    tuple of View
        80 x 120 pixels, one of them about 1 mm.

    Source
    ------
    own: a rod seen level is bounded by two lines that touch it.

    Examples
    --------
    >>> rod_views()[0].coverage.shape
    (120, 80)
    """
    wide, tall, focal, away = 80, 120, 1000.0, 1000.0
    k = np.array([[focal, 0.0, (wide - 1) / 2], [0.0, focal, (tall - 1) / 2], [0.0, 0.0, 1.0]])
    half_px = focal * math.tan(math.asin(_ROD_MM / away))
    over = np.clip(half_px + 0.5 - np.abs(np.arange(wide) - (wide - 1) / 2), 0.0, 1.0)
    top = (tall - 1) / 2 - focal * (_TALL_MM / 2) / away
    down = np.clip(np.arange(tall) + 0.5 - top, 0.0, 1.0) * np.clip(
        tall - 1 - top - np.arange(tall) + 0.5, 0.0, 1.0
    )
    coverage = (down[:, None] * over[None, :]).astype(np.float32)
    views = []
    for each in range(count):
        turn = 2.0 * math.pi * each / count
        ahead = np.array([-math.cos(turn), -math.sin(turn), 0.0])
        right = np.cross(ahead, [0.0, 0.0, 1.0])
        r = np.stack([right, np.cross(ahead, right), ahead])
        t_mm = -r @ (np.array([0.0, 0.0, _TALL_MM / 2]) - away * ahead)
        views.append(View(Camera(f"view {each}", k, r, t_mm, 0.0, wide, tall), coverage))
    return tuple(views)


def rod_paths() -> tuple[Stack, Paths]:
    """The rod's views packed, and a path a little beside its axis.

    Returns
    -------
    stack : Stack
        The views.
    paths : Paths
        One path from 5 to 75 mm.

    Source
    ------
    own.

    Examples
    --------
    >>> rod_paths()[1].count
    1
    """
    stack, _middle = stacked(rod_views())
    z = np.arange(5.0, 76.0, 2.5)
    points = np.stack([np.full(len(z), 1.0), np.full(len(z), -0.5), z], axis=1)
    first = np.array([0, len(z)], np.int32)
    none = np.array([-1], np.int32)
    return stack, Paths(points, np.full(len(z), 8.0), first, none, none)
