"""The pictures are right against closed forms: spheres, cylinders and discs seen by a pinhole."""

from __future__ import annotations

import numpy as np
import pytest

from ringwise.structure.cameras import Camera
from trees.generator import SMALL, Outline, tree
from trees.renderer import Picture, falls, jittered, looking, picture, silhouette, turntable
from trees.surfaces import board, round_pot, sphere, tube, wood

F_PX = 1200.0
K = np.array([[F_PX, 0.0, 199.5], [0.0, F_PX, 149.5], [0.0, 0.0, 1.0]])


def camera(elevation_deg: float = 0.0, k1: float = 0.0, azimuth_deg: float = 0.0) -> Camera:
    at = np.array([0.0, 0.0, 50.0])
    return looking("a", azimuth_deg, elevation_deg, 600.0, at, K, k1).sized(400, 300)


def plain(mesh, seen: Camera, **how) -> Picture:
    return silhouette(mesh, seen, noise=0.0, **({"blur_px": 0.0} | how))


def edges(row: Picture) -> tuple[float, float]:
    """Left and right edge of the one dark stretch of a row, from the covered shares of its pixels."""
    middle = int(np.argmax(row > 0.99)) + 3
    return middle - 0.5 - float(row[:middle].sum()), middle - 0.5 + float(row[middle:].sum())


@pytest.mark.parametrize("elevation_deg", [0.0, 35.0])
def test_sphere_has_the_area_of_its_cone_of_sight(elevation_deg: float) -> None:
    radius, distance = 25.0, 600.0
    image = plain(sphere(np.array([0.0, 0.0, 50.0]), radius), camera(elevation_deg), times=8)
    # A sphere on the axis is a disc of radius f tan(asin(r / d)).
    seen = F_PX * np.tan(np.arcsin(radius / distance))
    assert image.sum() == pytest.approx(np.pi * seen**2, rel=5e-4)
    y, x = np.indices(image.shape)
    assert np.sum(image * x) / image.sum() == pytest.approx(199.5, abs=0.02)
    assert np.sum(image * y) / image.sum() == pytest.approx(149.5, abs=0.02)


def test_cylinder_seen_square_on_has_the_tangents_as_edges() -> None:
    radius, offset = 20.0, 30.0
    line = np.column_stack([np.full(60, offset), np.zeros(60), np.linspace(-30.0, 130.0, 60)])
    image = plain(tube(line, np.full(60, radius), sides=256), camera(), times=8)
    # The lines of sight that touch a circle at (offset, 600) from the pinhole.
    middle, half = np.arctan2(offset, 600.0), np.arcsin(radius / np.hypot(offset, 600.0))
    row = image[149]
    left, right = edges(row)
    assert left == pytest.approx(199.5 + F_PX * np.tan(middle - half), abs=0.02)
    assert right == pytest.approx(199.5 + F_PX * np.tan(middle + half), abs=0.02)


def test_thin_cylinder_keeps_its_width_under_blur() -> None:
    line = np.column_stack([np.linspace(-60.0, 60.0, 90), np.zeros(90), np.linspace(45.0, 55.0, 90)])
    image = plain(tube(line, np.full(90, 0.9), sides=32), camera(), blur_px=0.7)
    upright = 2 * 0.9 * F_PX / 600.0 * np.hypot(120.0, 10.0) / 120.0
    assert image[:, 150:250].sum(axis=0).mean() == pytest.approx(upright, rel=0.004)
    assert image.max() < 1.0


def test_disc_has_its_centre_where_the_formula_puts_it() -> None:
    # A flat disc square to the axis: its picture is a circle, moved by nothing but the camera.
    line = np.array([[20.0, -0.01, 60.0], [20.0, 0.01, 60.0]])
    image = plain(tube(line, np.full(2, 12.0), sides=256), camera(), times=8)
    y, x = np.indices(image.shape)
    assert np.sum(image * x) / image.sum() == pytest.approx(199.5 + F_PX * 20.0 / 600.0, abs=0.02)
    assert np.sum(image * y) / image.sum() == pytest.approx(149.5 - F_PX * 10.0 / 600.0, abs=0.02)
    assert image.sum() == pytest.approx(np.pi * (12.0 * F_PX / 600.0) ** 2, rel=1e-3)


def test_lens_bends_by_its_formula() -> None:
    line = np.array([[60.0, -0.01, 50.0], [60.0, 0.01, 50.0]])
    image = plain(tube(line, np.full(2, 2.0), sides=64), camera(k1=-0.4), times=8)
    x = np.arange(400)
    assert np.sum(image * x) / image.sum() == pytest.approx(199.5 + 120.0 * (1 - 0.4 * 0.01), abs=0.02)


def test_ellipse_shows_its_long_and_its_short_side() -> None:
    # Axes 30 and 18 mm: equal area to a circle of sqrt(540) mm; the long axis lies along x.
    line = np.column_stack([np.zeros(40), np.zeros(40), np.linspace(-10.0, 110.0, 40)])
    mesh = tube(line, np.full(40, np.sqrt(540.0)), sides=512, outline=Outline(flat=0.6))
    for azimuth, across, deep in ((0.0, 30.0, 18.0), (90.0, 18.0, 30.0)):
        image = plain(mesh, camera(azimuth_deg=azimuth), times=8)
        # Tangents from (0, 600) to the ellipse: slope a / sqrt(d^2 - b^2).
        half = F_PX * across / np.sqrt(600.0**2 - deep**2)
        left, right = edges(image[149])
        assert right - left == pytest.approx(2 * half, abs=0.04)


def test_noise_has_its_size_and_no_bias() -> None:
    image = silhouette(sphere(np.array([0.0, 0.0, 50.0]), 25.0), camera(), noise=0.04, seed=3)
    corner = image[:60]
    assert corner.mean() == pytest.approx(0.0, abs=0.002)
    assert corner.std() == pytest.approx(0.04, rel=0.03)


def test_formula_written_twice_agrees() -> None:
    points = np.random.default_rng(1).uniform(-100.0, 100.0, (50, 3))
    seen = camera(20.0, k1=-0.1)
    ours, theirs = falls(points, seen), seen.project(points)
    assert ours[0] == pytest.approx(theirs[0], abs=1e-9)
    assert ours[1] == pytest.approx(theirs[1], abs=1e-9)


def test_turntable_shows_the_whole_tree_from_even_sides() -> None:
    surface = wood(tree(1, SMALL))
    cameras = turntable(surface, views=12, width_px=300, height_px=400)
    edge = 1.0
    for each in cameras:
        image = plain(surface, each, times=1)
        edge = min(edge, 1.0 - max(image[0].max(), image[-1].max(), image[:, 0].max(), image[:, -1].max()))
        assert image.sum() > 1500.0
    assert edge == 1.0
    stands = np.array([each.centre_mm for each in cameras])
    turns = np.sort(np.degrees(np.arctan2(stands[:, 0], -stands[:, 1])) % 360.0)
    assert np.diff(turns) == pytest.approx(30.0)
    middle = 0.5 * (surface.vertices_mm[:, 2].min() + surface.vertices_mm[:, 2].max())
    heights = np.degrees(np.arcsin((stands[:, 2] - middle) / 1300.0))
    assert sorted(set(heights.round(3))) == [5.0, 35.0]


def test_jitter_moves_the_picture_by_its_pixels() -> None:
    cameras = tuple(camera(azimuth_deg=turn) for turn in np.arange(0.0, 360.0, 3.0))
    middle = np.array([[0.0, 0.0, 50.0]])
    before = np.array([each.project(middle)[0][0] for each in cameras])
    after = np.array([each.project(middle)[0][0] for each in jittered(cameras, 1.0, 2)])
    assert (after - before).std(axis=0) == pytest.approx([1.0, 1.0], rel=0.2)


def test_nearer_wood_hides_what_is_behind() -> None:
    up = np.column_stack([np.zeros(10), np.full(10, -40.0), np.linspace(0.0, 100.0, 10)])
    near = tube(up, np.full(10, 6.0), colour=(1.0, 0.0, 0.0))
    far = tube(up + np.array([0.0, 80.0, 0.0]), np.full(10, 20.0), colour=(0.0, 0.0, 1.0))
    for order in ([near, far], [far, near]):
        image = picture(order, camera(), noise=0.0, bark=0.0)
        red, _, blue = image[149, 200].astype(int)
        assert red > 100
        assert blue < 5
        red, _, blue = image[149, 225].astype(int)
        assert red < 5
        assert blue > 100


def test_board_lies_where_its_corners_fall() -> None:
    texture = np.ones((40, 40), dtype=np.float32)
    texture[:20, 20:] = 0.0  # dark at +x, +y
    seen = looking("a", 0.0, 35.0, 600.0, np.zeros(3), K).sized(400, 300)
    image = picture([board(texture, 120.0, 120.0, -20.0)], seen, noise=0.0)
    spots = np.array([[30.0, 30.0, -20.0], [-30.0, 30.0, -20.0], [-30.0, -30.0, -20.0], [30.0, -30.0, -20.0]])
    x, y = np.rint(seen.project(spots)[0]).astype(int).T
    assert (image[y, x, 0] > 128).tolist() == [False, True, True, True]


def test_pot_stands_below_the_soil() -> None:
    low = min(mesh.vertices_mm[:, 2].min() for mesh in round_pot(150.0, 120.0, 60.0))
    high = max(mesh.vertices_mm[:, 2].max() for mesh in round_pot(150.0, 120.0, 60.0))
    assert (low, high) == (-60.0, 0.0)
