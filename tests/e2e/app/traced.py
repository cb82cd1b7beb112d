"""Two drawn photos of a small tree of five straight pieces, and where on them one would click.

A pinhole looks level at the tree from the front and from its right; everything is placed by one formula of
this file. From the front one branch crosses another, from the side it does not.
"""

from __future__ import annotations

from io import BytesIO
from typing import Any

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

WIDTH, HEIGHT = 400, 600
FOCAL_35MM_MM = 200
AWAY_MM, AIM_MM = 1111.0, 90.0
RULE_MM = 120
TIMES = 4  # drawn on a finer grid
PIECES: dict[str, tuple[Any, Any, float, float]] = {  # from, to, radius at both ends; the trunk first
    "trunk": ((0, 0, 0), (0, 0, 180), 9.0, 3.0),
    "right": ((0, 0, 70), (55, 20, 120), 4.0, 2.2),
    "left": ((0, 0, 110), (-45, -30, 150), 3.5, 2.0),
    "crossing": ((0, 0, 45), (52, -35, 135), 3.5, 2.2),
}
TIP_SHARE = 0.99  # of a piece: a click lies on the wood
HEIGHT_CM = r"17\.[789]"  # 0.99 of the trunk


def seen(view: str, place: Any) -> tuple[float, float, float]:
    """Pixel of a place and how many pixels a mm is there."""
    x, y, z = place
    across, depth = (x, AWAY_MM + y) if view == "front" else (y, AWAY_MM - x)
    focal = FOCAL_35MM_MM * float(np.hypot(WIDTH, HEIGHT)) / float(np.hypot(36.0, 24.0))
    per_mm = focal / depth
    return (WIDTH - 1) / 2 + across * per_mm, (HEIGHT - 1) / 2 - (z - AIM_MM) * per_mm, per_mm


def photo(view: str) -> bytes:
    """What a camera would send."""
    image = Image.new("L", (WIDTH * TIMES, HEIGHT * TIMES), 205)
    pen = ImageDraw.Draw(image)
    for start, end, thick, thin in PIECES.values():
        ends = np.array([seen(view, start), seen(view, end)])
        way = ends[1, :2] - ends[0, :2]
        aside = np.array([way[1], -way[0]]) / max(float(np.hypot(*way)), 1e-9)
        half = (np.array([thick, thin]) * ends[:, 2])[:, None] * aside
        around = np.concatenate([ends[:, :2] + half, (ends[:, :2] - half)[::-1]])
        pen.polygon([tuple(each) for each in (around + 0.5) * TIMES - 0.5], fill=55)
    small = image.resize((WIDTH, HEIGHT), Image.Resampling.BOX).filter(ImageFilter.GaussianBlur(0.7))
    stream = BytesIO()
    small.save(stream, "JPEG", quality=95, comment=view.encode())
    return stream.getvalue()


def rule(view: str) -> list[tuple[float, float]]:
    """Both ends of the known length, at the trunk."""
    half = RULE_MM / 2
    ends = [(-half, 0, 0), (half, 0, 0)] if view == "front" else [(0, -half, 0), (0, half, 0)]
    return [seen(view, end)[:2] for end in ends]


def clicks(view: str, piece: str) -> list[tuple[float, float]]:
    """From base to tip."""
    start, end = (np.array(each, dtype=float) for each in PIECES[piece][:2])
    return [seen(view, start + share * (end - start))[:2] for share in (0.0, TIP_SHARE)]
