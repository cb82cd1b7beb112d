"""Somebody who traces: clicks along the branches of a known tree on two photos, off by a few pixels."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from ringwise.structure.cameras import Camera
from trees.generator import SMALL, SPECIMEN, Array, Tree, tree
from trees.renderer import looking, picture
from trees.surfaces import wood

_RIM_SHARE = 0.7  # of the frame's width at the root


@dataclass(frozen=True)
class Photos:
    """Two cameras that look level at a tree, from the front and from the right."""

    front: Camera
    side: Camera
    rim_mm: float


@dataclass(frozen=True)
class Table:
    """A known tree, its cameras, the pictures they take by view, and somebody's clicks on both."""

    made: Tree
    cameras: Photos
    pictures: dict[str, Any]
    clicks: dict[str, Any]


@cache
def table(seed: int, *, large: bool = False) -> Table:
    """A tree on the tracing table: small and quick, or of the size that the limits were set for."""
    made = tree(seed, SPECIMEN if large else SMALL)
    if large:
        cameras = photos(made, width_px=1200, height_px=1600, px_per_mm=2.6)
    else:
        cameras = photos(made, width_px=700, height_px=860, px_per_mm=4.0, distance_mm=700.0)
    surface = wood(made)
    views = (("front", cameras.front), ("side", cameras.side))
    pictures = {name: picture([surface], each, seed=n) for n, (name, each) in enumerate(views)}
    return Table(made, cameras, pictures, clicked(made, cameras, sd_px=2.0, seed=seed))


def photos(
    made: Tree, *, width_px: int, height_px: int, px_per_mm: float, distance_mm: float = 1300.0
) -> Photos:
    """Cameras whose scale holds at the root; the tree stands in the middle of the frame."""
    focal = px_per_mm * distance_mm
    k = np.array([[focal, 0.0, (width_px - 1) / 2.0], [0.0, focal, (height_px - 1) / 2.0], [0.0, 0.0, 1.0]])
    at = np.array([0.0, 0.0, 0.5 * made.height_mm])
    front, side = (
        looking(name, azimuth, 0.0, distance_mm, at, k).sized(width_px, height_px)
        for name, azimuth in (("front", 0.0), ("side", 90.0))
    )
    return Photos(front, side, _RIM_SHARE * width_px / px_per_mm)


def focal_35mm_mm(camera: Camera) -> float:
    """What a camera would write as the 35 mm equivalent: by the diagonal of 24 x 36 mm."""
    return float(camera.k[0, 0] * np.hypot(36.0, 24.0) / np.hypot(camera.width_px, camera.height_px))


def clicked(
    made: Tree, cameras: Photos, *, sd_px: float, every_mm: float = 25.0, orders: int = 2, seed: int = 0
) -> dict[str, Any]:
    """The points file of somebody who clicks about every so many mm, elsewhere on each photo."""
    rng = np.random.default_rng((31, seed))
    views = {"front": cameras.front, "side": cameras.side}
    branches = []
    for number, branch in enumerate(made.branches):
        if branch.order > orders:
            continue
        row: dict[str, Any] = {
            "id": f"b{number}",
            "parent": None if branch.parent < 0 else f"b{branch.parent}",
        }
        for name, camera in views.items():
            places = camera.project(_along(branch.points_mm, branch.along_mm(), every_mm, rng))[0]
            row[name] = (places + rng.normal(0.0, sd_px, places.shape)).tolist()
        branches.append(row)
    pictures = {
        name: _photo(camera, clock, cameras.rim_mm, rng, sd_px)
        for (name, camera), clock in zip(views.items(), (6, 3), strict=True)
    }
    return {"layout": "ringwise-trace", "version": 1, "photos": pictures, "branches": branches}


def _along(points: Array, along: Array, every_mm: float, rng: np.random.Generator) -> Array:
    count = max(2, round(along[-1] / every_mm) + 1)
    at = np.linspace(0.0, along[-1], count)
    at[1:-1] += rng.uniform(-0.3, 0.3, count - 2) * along[-1] / (count - 1)
    return np.column_stack([np.interp(at, along, points[:, axis]) for axis in range(3)])


def _photo(
    camera: Camera, clock: int, rim_mm: float, rng: np.random.Generator, sd_px: float
) -> dict[str, Any]:
    """Scale by the pot's rim at its widest as this camera sees a round rim about the root."""
    turn = np.linspace(0.0, 2.0 * np.pi, 7200)
    rim = 0.5 * rim_mm * np.column_stack([np.cos(turn), np.sin(turn), np.zeros(len(turn))])
    seen = camera.project(rim)[0]
    ends = seen[[int(seen[:, 0].argmin()), int(seen[:, 0].argmax())]]
    ends = ends + rng.normal(0.0, 0.5 * sd_px, ends.shape)
    return {
        "clock": clock,
        "width_px": camera.width_px,
        "height_px": camera.height_px,
        "focal_35mm_mm": focal_35mm_mm(camera),
        "scale": {"kind": "rim", "points": ends.tolist(), "length_mm": rim_mm},
    }
