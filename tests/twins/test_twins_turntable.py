"""Each compiled kernel of the turntable against a naive twin that shares no line with it."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import distance_transform_edt, map_coordinates
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra

from ringwise.structure.cameras import Camera
from ringwise.structure.turntable import (
    carve_kernels,
    ghost_kernels,
    pose_kernels,
    radius_kernels,
    topology_kernels,
)
from ringwise.structure.turntable.distance import signed_distance_px
from ringwise.structure.turntable.views import packed_cameras

SEEDS = (1, 2, 3)


def camera(seed: int) -> Camera:
    rng = np.random.default_rng(seed)
    r = np.linalg.qr(rng.normal(size=(3, 3)))[0]
    r = r if np.linalg.det(r) > 0 else -r
    k = np.array([[210.0, 0.0, 31.0], [0.0, 214.0, 24.0], [0.0, 0.0, 1.0]])
    return Camera(f"c{seed}", k, r, np.array([1.0, -2.0, 300.0]), -0.2, 64, 48)


@pytest.mark.parametrize("seed", SEEDS)
def test_places_equal_those_of_the_camera(seed: int) -> None:
    seen = camera(seed)
    points = np.random.default_rng(seed).uniform(-40, 40, (50, 3))
    pixels, depth = seen.project(points)
    packed = packed_cameras([seen])[0]
    for point, pixel, far in zip(points, pixels, depth, strict=True):
        assert carve_kernels.place(packed, *point) == pytest.approx((*pixel, far), rel=1e-12)


@pytest.mark.parametrize("seed", SEEDS)
def test_depth_is_the_least_over_the_views(seed: int) -> None:
    rng = np.random.default_rng(seed)
    cameras = [camera(seed * 10 + each) for each in range(4)]
    distance = rng.normal(0, 5, (4, 48, 64)).astype(np.float32)
    points = rng.uniform(-20, 20, (60, 3))
    out = np.empty(60, np.float32)
    carve_kernels.depths(points, distance, packed_cameras(cameras), (-1e9, 0.6, 0.0), out)
    for point, told in zip(points, out, strict=True):
        values = []
        for each, picture in zip(cameras, distance, strict=True):
            (place,), (far,) = each.project(point[None])
            if np.all((place >= 0) & (place <= [63, 47])):
                value = map_coordinates(picture, place[::-1][:, None], order=1)[0]
                values.append(value * far / each.k[0, 0])
        wanted = min(values) if len(values) >= 0.6 * 4 else -1e6
        assert told == pytest.approx(wanted, abs=2e-3)


@pytest.mark.parametrize("seed", SEEDS)
def test_depth_by_view_is_that_of_each_view(seed: int) -> None:
    rng = np.random.default_rng(seed)
    cameras = [camera(seed * 10 + each) for each in range(4)]
    distance = rng.normal(0, 5, (4, 48, 64)).astype(np.float32)
    points, floor, most = rng.uniform(-20, 20, (60, 3)), -1.0, 1
    out = np.empty((60, 4), np.float32)
    pose_kernels.depths_by_view(points, distance, packed_cameras(cameras), (floor, most), out)
    for point, told in zip(points, out, strict=True):
        wanted = np.full(4, np.nan)
        for view, (each, picture) in enumerate(zip(cameras, distance, strict=True)):
            (place,), (far,) = each.project(point[None])
            if np.all((place >= 0) & (place <= [63, 47])):
                value = map_coordinates(picture, place[::-1][:, None], order=1)[0]
                wanted[view] = value * far / each.k[0, 0]
        if np.sum(wanted < floor) > most:
            wanted[:] = np.nan
        np.testing.assert_allclose(told, wanted, atol=2e-3)


@pytest.mark.parametrize("seed", SEEDS)
def test_sights_meet_what_a_dense_walk_meets(seed: int) -> None:
    rng = np.random.default_rng(seed)
    cameras = [camera(seed * 10 + each) for each in range(4)]
    distance = rng.normal(0, 4, (4, 48, 64)).astype(np.float32)
    one, others = cameras[0], cameras[1:]
    pixels = rng.uniform([2.0, 2.0], [61.0, 45.0], (25, 2))
    near, far, step, floor = 270.0, 330.0, 1.5, 1.0
    wanted = 0
    for ray in one.rays(pixels):
        points = one.centre_mm + np.arange(near, far + 1e-9, step)[:, None] * ray
        least, seen = np.full(len(points), np.inf), np.zeros(len(points))
        for each, picture in zip(others, distance[1:], strict=True):
            places, deep = each.project(points)
            inside = np.all((places >= 0) & (places <= [63, 47]), axis=1)
            value = map_coordinates(picture, places.T[::-1], order=1, mode="nearest") * deep / each.k[0, 0]
            least, seen = np.where(inside, np.minimum(least, value), least), seen + inside
        wanted += bool(np.any((least >= floor) & (seen >= 0.6 * 3)))
    packed = packed_cameras(cameras)
    got = pose_kernels.meets(
        pixels, packed[0], (near, far, step), (distance[1:], packed[1:]), (floor, 0.6, 0.0)
    )
    assert 0 < wanted < 25
    assert got == wanted


def test_distances_equal_exact_ones_but_for_the_edge() -> None:
    rng = np.random.default_rng(4)
    picture = np.zeros((60, 80), np.float32)
    for _round in range(5):
        y, x = rng.integers(8, 50), rng.integers(8, 70)
        picture[y - 5 : y + 6, x - 4 : x + 9] = 1.0
    exact = distance_transform_edt(picture > 0.5) - distance_transform_edt(picture < 0.5)
    wanted = exact - 0.5 * np.sign(exact)
    # The quick transform of the image library walks a mask of 5 x 5: up to 2 % off on slanted ways.
    assert np.abs(signed_distance_px(picture) - wanted).max() < 0.02 * np.abs(wanted).max() + 0.05


@pytest.mark.parametrize("seed", SEEDS)
def test_cheapest_ways_equal_those_of_a_sparse_graph(seed: int) -> None:
    rng = np.random.default_rng(seed)
    cells = np.argwhere(rng.random((9, 10, 11)) < 0.55).astype(np.int32)
    price = rng.uniform(0.2, 3.0, len(cells))
    blocks = np.full((2, 2, 2), -1, np.int32)
    rows = carve_kernels.hold(cells, blocks, carve_kernels.number_blocks(cells, blocks))
    cost, before = topology_kernels.cheapest_ways(cells, blocks, rows, price, 0)
    apart = np.abs(cells[:, None].astype(int) - cells[None].astype(int))
    near = (apart.max(2) == 1).nonzero()
    weight = np.sqrt((apart[near] ** 2).sum(1)) * 0.5 * (price[near[0]] + price[near[1]])
    wanted = dijkstra(coo_array((weight, near), shape=(len(cells), len(cells))).tocsr(), indices=0)
    np.testing.assert_allclose(cost, wanted, rtol=1e-9)
    reached = np.nonzero(np.isfinite(cost))[0][1:]
    assert (cost[before[reached]] < cost[reached]).all()


def test_paths_cover_a_plus_sign_from_its_foot() -> None:
    line = [(8, 8, k) for k in range(30)] + [(8 + i, 8, 15) for i in range(-8, 9) if i]
    cells = np.array(sorted(line), np.int32)
    blocks = np.full((3, 2, 4), -1, np.int32)
    rows = carve_kernels.hold(cells, blocks, carve_kernels.number_blocks(cells, blocks))
    root = int(np.nonzero((cells == [8, 8, 0]).all(1))[0][0])
    cost, before = topology_kernels.cheapest_ways(cells, blocks, rows, np.ones(len(cells)), root)
    nodes, first, parent = topology_kernels.covering_paths(
        (cells, blocks, rows), np.argsort(-cost), before, np.full(len(cells), 1.5), 3.0
    )
    ends = {tuple(cells[nodes[last - 1]].tolist()) for last in first[1:]}
    assert ends == {(8, 8, 29), (0, 8, 15), (16, 8, 15)}
    assert parent.tolist() == [-1, 0, 0]
    assert len(set(nodes.tolist())) == len(cells)


@pytest.mark.parametrize("seed", SEEDS)
def test_sights_equal_the_rays_of_the_camera(seed: int) -> None:
    seen, out = camera(seed), np.empty(3)
    for pixel in np.random.default_rng(seed).uniform(5, 40, (20, 2)):
        radius_kernels.sight(packed_cameras([seen])[0], pixel[0], pixel[1], out)
        np.testing.assert_allclose(out, seen.rays(pixel[None])[0], atol=1e-6)


def test_covered_pixels_equal_a_cone_asked_pixel_by_pixel() -> None:
    k = np.array([[100.0, 0.0, 30.0], [0.0, 100.0, 25.0], [0.0, 0.0, 1.0]])
    seen = Camera("a", k, np.eye(3), np.array([0.0, 0.0, 100.0]), 0.0, 60, 50)
    points = np.array([[-15.0, -8.0, 0.0], [0.0, 3.0, 0.0], [14.0, 5.0, 0.0]])
    radii = np.array([4.0, 3.0, 1.5])
    stamp, out = np.full((50, 60), -1, np.int32), np.empty(3000, np.int32)
    count = ghost_kernels.cover((points, radii, 7), packed_cameras([seen])[0], 0.0, stamp, out)
    wanted = set()
    for y in range(50):
        for x in range(60):
            here = np.array([x - 30.0, y - 25.0])
            for row in range(2):
                a, b = points[row, :2], points[row + 1, :2]
                part = (here - a) @ (b - a) / ((b - a) @ (b - a))
                if (part < 0 and row == 0) or (part > 1 and row == 1):
                    continue
                part = min(max(part, 0.0), 1.0)
                if (
                    np.linalg.norm(here - a - part * (b - a))
                    <= radii[row] * (1 - part) + radii[row + 1] * part
                ):
                    wanted.add(y * 60 + x)
    assert set(out[:count].tolist()) == wanted
    assert (stamp == 7).sum() == count
