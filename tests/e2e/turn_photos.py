"""Drawn photos of a small tree on its printed board, quick enough to be made in a test.

The board is the picture that OpenCV itself prints; everything is placed by a pinhole formula of this file.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

WIDTH, HEIGHT, F_PX = 720, 800, 1500.0
COLUMNS, ROWS, SQUARE_MM = 12, 9, 20.0
SOIL_MM, POT_MM = 40.0, 80.0
BRANCHES = (  # from, to, radius at both ends; mm above the board
    ((0, 0, 40), (4, 2, 200), 8.0, 3.0),
    ((1, 1, 90), (55, 15, 130), 3.5, 1.5),
    ((2, 1, 120), (-50, 20, 165), 3.0, 1.5),
    ((2, 1, 110), (-10, -55, 150), 3.0, 1.5),
    ((3, 2, 150), (20, 40, 190), 2.5, 1.5),
)


@dataclass(frozen=True)
class Pose:
    """Where a camera stands and what height it looks at."""

    azimuth_deg: float
    elevation_deg: float = 12.0
    aim_mm: float = 95.0
    distance_mm: float = 700.0

    def seen(self, points: Any) -> tuple[Any, Any]:
        """Pixels and depths of points."""
        a, e = math.radians(self.azimuth_deg), math.radians(self.elevation_deg)
        target = np.array([0.0, 0.0, self.aim_mm])
        away = np.array([math.cos(a) * math.cos(e), math.sin(a) * math.cos(e), math.sin(e)])
        right = np.array([-math.sin(a), math.cos(a), 0.0])
        r = np.stack([right, np.cross(-away, right), -away])
        there = (np.asarray(points, dtype=float) - target - self.distance_mm * away) @ r.T
        flat = there[:, :2] / there[:, 2:] * F_PX + [(WIDTH - 1) / 2, (HEIGHT - 1) / 2]
        return flat, there[:, 2]


def drawn(pose: Pose, *, blur_px: float = 0.7, pot_mm: float = POT_MM) -> Any:
    """One photo, red green blue."""
    import cv2

    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_250)
    board = cv2.aruco.CharucoBoard((COLUMNS, ROWS), SQUARE_MM, 0.75 * SQUARE_MM, dictionary)
    side = 64
    print_ = board.generateImage((COLUMNS * side, ROWS * side), marginSize=0)
    wide, deep = COLUMNS * SQUARE_MM / 2, ROWS * SQUARE_MM / 2
    corners, _ = pose.seen([[-wide, deep, 0], [wide, deep, 0], [wide, -deep, 0], [-wide, -deep, 0]])
    high, broad = print_.shape
    source = np.array([[0, 0], [broad, 0], [broad, high], [0, high]]) - 0.5
    times = 2  # drawn on a finer grid
    fine = (corners + 0.5) * times - 0.5
    m = cv2.getPerspectiveTransform(source.astype(np.float32), fine.astype(np.float32))
    size = (WIDTH * times, HEIGHT * times)
    picture = np.full((size[1], size[0]), 226, np.uint8)
    laid = cv2.warpPerspective(print_, m, size, flags=cv2.INTER_AREA)
    inside = cv2.warpPerspective(np.full_like(print_, 255), m, size)
    picture = np.where(inside > 127, np.clip(laid * 0.85 + 12, 0, 255), picture).astype(np.uint8)
    _pot(picture, pose, times, pot_mm)
    for start, end, r0, r1 in BRANCHES:
        _tube(picture, pose, times, (start, end, r0, r1))
    small = cv2.resize(picture, (WIDTH, HEIGHT), interpolation=cv2.INTER_AREA)
    small = cv2.GaussianBlur(small, (0, 0), blur_px).astype(float)
    small += np.random.default_rng(int(pose.azimuth_deg * 10)).normal(0, 2.0, small.shape)
    grey = np.clip(np.rint(small), 0, 255).astype(np.uint8)
    return np.stack([grey] * 3, axis=2)


def _fill(picture: Any, points: Any, times: int, tone: int) -> None:
    import cv2

    fine = (np.asarray(points) + 0.5) * times - 0.5
    cv2.fillConvexPoly(picture, np.rint(fine * 16).astype(np.int32), tone, cv2.LINE_AA, 4)


def _pot(picture: Any, pose: Pose, times: int, pot_mm: float) -> None:
    import cv2

    turn = np.linspace(0, 2 * np.pi, 60)
    ring = np.stack([np.cos(turn), np.sin(turn)], axis=1) * pot_mm / 2
    both = np.concatenate([np.column_stack([ring, np.full(60, z)]) for z in (0.0, SOIL_MM)])
    hull = cv2.convexHull(pose.seen(both)[0].astype(np.float32)).reshape(-1, 2)
    _fill(picture, hull, times, 90)


def _tube(picture: Any, pose: Pose, times: int, branch: Any) -> None:
    start, end, r0, r1 = branch
    (a, b), depth = pose.seen([start, end])
    along = (b - a) / max(np.hypot(*(b - a)), 1e-9)
    aside = np.array([along[1], -along[0]])
    half = np.array([r0, r1]) * F_PX / depth
    _fill(
        picture,
        [a + aside * half[0], b + aside * half[1], b - aside * half[1], a - aside * half[0]],
        times,
        60,
    )


def save(file: Path, values: Any, *, focal_mm: float = 26.0, orientation: int = 1) -> Path:
    """A photo file with what a camera writes."""
    from PIL import Image

    image = Image.fromarray(values)
    notes = Image.Exif()
    notes[0x010F], notes[0x0110], notes[0x0112] = "Works", "One", orientation
    notes.get_ifd(0x8769)[0x920A] = focal_mm
    if file.suffix == ".heic":
        import pillow_heif

        pillow_heif.register_heif_opener()
        image.save(file, quality=80)
    else:
        image.save(file, quality=93, exif=notes)
    return file


def round_of_photos(folder: Path, count: int = 12, *, arc_deg: float = 360.0, **more: Any) -> list[Path]:
    """Photos evenly round the tree, or along an arc from the front."""
    folder.mkdir(exist_ok=True)
    return [
        save(folder / f"p{number:02}.jpg", drawn(Pose(270.0 + number * arc_deg / count), **more))
        for number in range(count)
    ]
