"""Girths of shapes with closed forms from a turn of silhouettes; what scale, turn and a lost view may change.

Source of the shapes' girths: perimeters of the convex outlines, reckoned by hand (a circle, an ellipse of
30 x 18 mm by its complete elliptic integral, a lobed outline drawn fine and hulled). The silhouettes come
from `trees.renderer`, which shares nothing with the reconstruction but the camera.
"""

from __future__ import annotations

import os
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from ringwise.structure.cameras import Camera
from ringwise.structure.turntable import Reconstruction, View, reconstruct
from trees.generator import ROUND, SMALL, Outline, tree
from trees.renderer import silhouettes, turntable
from trees.surfaces import tube, wood

LONG = bool(int(os.environ.get("RINGWISE_LONG", "0")))
HIGH_MM = 120.0
TURN = np.linspace(0.0, 2.0 * np.pi, 720, endpoint=False)
LOBED = 1.0 + 0.18 * np.cos(3 * TURN) + 0.08 * np.cos(5 * TURN + 1)
SHAPES = {
    "circle": (ROUND, 25.0, 157.08),
    "ellipse": (Outline(flat=0.6, turn_rad=0.4), np.sqrt(30.0 * 18.0), 153.16),
    "lobed": (
        Outline(lobes=((3, 0.18, 0.0), (5, 0.08, 1.0))),
        22.0 * float(np.sqrt(np.mean(LOBED**2))),
        150.04,
    ),
}


FULL_PX = (1200, 1600) if LONG else (390, 520)
MANY_PX = (600, 800) if LONG else (390, 520)  # of what is measured once for every view


@cache
def shape_views(name: str, size_px: tuple[int, int]) -> tuple[View, ...]:
    outline, radius, _girth = SHAPES[name]
    z = np.linspace(0.0, HIGH_MM, 61)
    line = np.column_stack([0 * z, 0 * z, z])
    mesh = tube(line, np.full(61, radius), outline=outline, sides=240)
    seen = turntable(mesh, views=24, width_px=size_px[0], height_px=size_px[1])
    return tuple(View(each, got) for each, got in zip(seen, silhouettes(mesh, seen, seed=4), strict=True))


@cache
def shape(name: str, size_px: tuple[int, int]) -> Reconstruction:
    """Reconstructed once, from all of its views; to be read, never changed."""
    return reconstruct(shape_views(name, size_px))


def girths(made: Reconstruction, low_mm: float = 25.0, high_mm: float = 95.0) -> np.ndarray:
    inside = [each.girth_mm for each in made.tree.sections if low_mm <= each.height_mm <= high_mm]
    assert len(inside) >= 8
    return np.array(inside)


@pytest.mark.parametrize(("name", "off"), [("circle", 0.002), ("ellipse", 0.003), ("lobed", 0.003)])
def test_girth_of_a_shape(name: str, off: float) -> None:
    girth = girths(shape(name, FULL_PX))
    assert np.median(girth) == pytest.approx(SHAPES[name][2], rel=off)
    assert np.abs(girth / SHAPES[name][2] - 1.0).max() < 3.0 * off


@pytest.mark.parametrize("name", ["circle", "ellipse"])
def test_volume_of_a_trunk_that_is_cut_off_blunt(name: str) -> None:
    made = shape(name, FULL_PX)
    _outline, radius, _girth = SHAPES[name]
    assert 1000.0 * made.quality.volume_cm3 == pytest.approx(np.pi * radius**2 * HIGH_MM, rel=0.02)
    table = made.tree.table
    assert table.length_mm.sum() == pytest.approx(HIGH_MM, rel=0.02)
    assert np.abs(table.end_mm[:, :2] + np.array(made.tree.origin_mm[:2])).max() < 1.0


def test_ellipse_keeps_its_long_and_short_side() -> None:
    made = shape("ellipse", FULL_PX)
    section = made.tree.sections[len(made.tree.sections) // 2]
    radii = section.radii_mm
    assert radii.max() == pytest.approx(30.0, rel=0.02)
    assert radii.min() == pytest.approx(18.0, rel=0.02)
    # The long side lies at 0.4 rad, anticlockwise from +x.
    assert np.argmax(radii[:18]) * 10.0 == pytest.approx(np.degrees(0.4), abs=10.0)


def doubled(view: View) -> View:
    return replace(view, camera=replace(view.camera, t_mm=view.camera.t_mm * 2.0))


def turned(view: View) -> View:
    quarter = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
    camera: Camera = view.camera
    return replace(view, camera=replace(camera, r=camera.r @ quarter.T))


@pytest.mark.parametrize("lost", range(24) if LONG else (3, 17))
def test_losing_any_view_keeps_the_girth(lost: int) -> None:
    views = shape_views("ellipse", MANY_PX)
    less = np.median(girths(reconstruct([each for row, each in enumerate(views) if row != lost])))
    assert less == pytest.approx(np.median(girths(shape("ellipse", MANY_PX))), rel=0.003)


def test_turning_the_world_keeps_the_girth() -> None:
    whole = girths(shape("ellipse", FULL_PX))
    other = girths(reconstruct([turned(each) for each in shape_views("ellipse", FULL_PX)]))
    assert np.median(other) == pytest.approx(np.median(whole), rel=0.003)


@cache
def small_views() -> tuple[View, ...]:
    mesh = wood(tree(5, SMALL))
    seen = turntable(mesh, width_px=300, height_px=400)
    return tuple(View(each, got) for each, got in zip(seen, silhouettes(mesh, seen, seed=5), strict=True))


def test_twice_the_scale_is_twice_the_tree() -> None:
    once = reconstruct(small_views()).tree.table
    twice = reconstruct([doubled(each) for each in small_views()]).tree.table
    assert twice.parent.tolist() == once.parent.tolist()
    np.testing.assert_allclose(twice.length_mm, 2.0 * once.length_mm, rtol=1e-4)
    np.testing.assert_allclose(twice.diameter_mm, 2.0 * once.diameter_mm, rtol=1e-4)
    np.testing.assert_allclose(twice.direction, once.direction, atol=1e-4)
