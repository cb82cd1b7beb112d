"""The compiled makers of meshes against naive twins that share no line with them."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.ndimage import map_coordinates
from scipy.spatial.transform import Rotation

from ringwise.structure.mesh import skin_kernels
from ringwise.structure.mesh.tubes import Lines, tube_mesh

SEEDS = (1, 2, 3)


def _walk(seed: int, n: int) -> np.ndarray:
    """A crooked line of n nodes."""
    rng = np.random.default_rng(seed)
    steps = rng.normal(size=(n - 1, 3)) * 0.5 + np.array([0.2, -0.1, 1.0])
    return np.vstack([rng.normal(size=3), steps * rng.uniform(2.0, 9.0, (n - 1, 1))]).cumsum(axis=0)


def _naive_ring(nodes: np.ndarray, radius: np.ndarray, sides: int) -> list[np.ndarray]:
    """Rings by whole rotations: the first at right angles to the line, the next turned along with it."""
    pieces = np.diff(nodes, axis=0)
    pieces /= np.linalg.norm(pieces, axis=1, keepdims=True)
    tangents = [pieces[0], *(a + b for a, b in pairwise(pieces)), pieces[-1]]
    tangents = [each / np.linalg.norm(each) for each in tangents]
    side = np.eye(3)[int(np.argmin(np.abs(tangents[0])))]
    side = side - tangents[0] * (side @ tangents[0])
    side /= np.linalg.norm(side)
    rings = []
    area = 0.5 * sides * math.sin(2.0 * math.pi / sides)  # of a polygon in a circle of radius one
    for number, tangent in enumerate(tangents):
        if number:
            axis = np.cross(tangents[number - 1], tangent)
            sine = np.linalg.norm(axis)
            turn = math.atan2(sine, tangents[number - 1] @ tangent)
            side = Rotation.from_rotvec(axis / max(sine, 1e-300) * turn).apply(side)
        corners = [
            nodes[number]
            + radius[number]
            * math.sqrt(math.pi / area)
            * Rotation.from_rotvec(tangent * 2.0 * math.pi * corner / sides).apply(side)
            for corner in range(sides)
        ]
        rings.append(np.array(corners))
    return rings


@pytest.mark.parametrize("seed", SEEDS)
def test_rings_are_carried_without_twist(seed: int) -> None:
    rng = np.random.default_rng(seed)
    counts, sides = rng.integers(2, 9, 5), rng.integers(3, 17, 5)
    walks = [_walk(seed * 10 + n, int(count)) for n, count in enumerate(counts)]
    radius = rng.uniform(0.5, 9.0, int(counts.sum()))
    first = np.concatenate([[0], np.cumsum(counts)])
    rows = np.arange(int(counts.sum()))
    mesh = tube_mesh(Lines(first, np.vstack(walks), radius, rows), sides)
    at = 0
    for n, walk in enumerate(walks):
        rings = _naive_ring(walk, radius[first[n] : first[n + 1]], int(sides[n]))
        wanted = np.vstack([*rings, walk[:1], walk[-1:]])
        np.testing.assert_allclose(mesh.positions[at : at + len(wanted)], wanted, atol=2e-4)
        segment = np.concatenate(
            [np.repeat(rows[first[n] : first[n + 1]], sides[n]), rows[[first[n], first[n + 1] - 1]]]
        )
        np.testing.assert_array_equal(mesh.segment[at : at + len(wanted)], segment)
        at += len(wanted)
    assert at == len(mesh.positions)


def _naive_distance(point: np.ndarray, piece: np.ndarray) -> float:
    foot, top, low, high = piece[:3], piece[3:6], piece[6], piece[7]
    way = top - foot
    share = np.clip(np.dot(point - foot, way) / np.dot(way, way), 0.0, 1.0)
    return float(np.linalg.norm(point - (foot + share * way)) - ((1.0 - share) * low + share * high))


def _pieces(seed: int, n: int) -> np.ndarray:
    nodes = _walk(seed, n + 1) * 0.5
    radius = np.random.default_rng(seed).uniform(1.5, 4.0, n + 1)
    return np.column_stack([nodes[:-1], nodes[1:], radius[:-1], radius[1:]])


NO_OUTLINE = (np.zeros(0), np.zeros((0, 1)))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_blended_field_is_that_of_its_lines(seed: int) -> None:
    trunk, branch = _pieces(seed, 3), _pieces(seed + 50, 2)
    shape, grid = (14, 15, 16), np.array([-8.0, -9.0, -6.0, 1.4])
    fields = []
    for pieces in (trunk, branch):
        field, owner = np.full(shape, skin_kernels.FAR_MM, np.float32), np.zeros(shape, np.int32)
        reach = np.array([1e3, 1.0])  # as far as the grid goes
        skin_kernels.lay_line(pieces, np.arange(len(pieces)), NO_OUTLINE, grid, reach, field, owner)
        fields.append((field, owner))
    (field, owner), (other, mine) = fields
    wanted, whose = np.empty(shape), np.empty(shape, int)
    for at in np.ndindex(shape):
        point = grid[:3] + np.array(at) * grid[3]
        one = [_naive_distance(point, piece) for piece in trunk]
        two = [_naive_distance(point, piece) for piece in branch]
        lap = max(2.5 - abs(min(one) - min(two)), 0.0)
        wanted[at] = min(*one, *two) - lap**2 / 10.0
        every = [*one, *two]
        least, second = sorted(every)[:2]
        name = int(np.argmin(every))
        clear = second - least > 1e-3  # round a joint both pieces are as near
        whose[at] = (name if name < len(one) else 10 + name - len(one)) if clear else -1
    skin_kernels.blend_line(other, mine + 10, np.zeros(3, np.int64), 2.5, field, owner)
    np.testing.assert_allclose(field, wanted, atol=1e-4)
    assert (whose >= 0).mean() > 0.5
    np.testing.assert_array_equal(owner[whose >= 0], whose[whose >= 0])


def _ambiguous(inside: np.ndarray) -> int:
    """Faces of the grid whose inside corners meet only crosswise."""
    count = 0
    for axis in range(3):
        face = np.moveaxis(inside, axis, 0)
        a, b, c, d = face[:, :-1, :-1], face[:, 1:, :-1], face[:, 1:, 1:], face[:, :-1, 1:]
        count += int(((a == c) & (b == d) & (a != b)).sum())
    return count


@pytest.mark.parametrize("seed", SEEDS)
def test_a_net_over_any_field_is_closed(seed: int) -> None:
    rng = np.random.default_rng(seed)
    field = np.full((16, 16, 16), 1.0, np.float32)
    field[2:-2, 2:-2, 2:-2] = rng.normal(size=(12, 12, 12))
    assert _ambiguous(field < 0) > 50
    before = field.copy()
    skin_kernels.mend(field, np.float32(100.0), skin_kernels.NUDGE)
    assert _ambiguous(field < 0) == 0
    assert (field <= before).all()  # corners are only filled

    cells, edges = skin_kernels.crossings(field)
    inside = field < 0
    stack = np.stack(
        [inside[i : i + 15, j : j + 15, k : k + 15] for i in (0, 1) for j in (0, 1) for k in (0, 1)]
    )
    assert cells == int((stack.any(axis=0) & ~stack.all(axis=0)).sum())
    crossed = sum(int(np.diff(inside, axis=axis).sum()) for axis in range(3))
    assert edges == crossed

    owner = np.arange(field.size, dtype=np.int32).reshape(field.shape)
    grid = np.array([0.0, 0.0, 0.0, 1.0])
    out = (np.empty((cells, 3), np.float32), np.empty((cells, 3), np.float32), np.empty(cells, np.uint32))
    numbers = np.full(field.shape, -1, np.int32)
    skin_kernels.net_vertices(field, owner, grid, numbers, out)
    triangles = np.empty((2 * edges, 3), np.uint32)
    assert skin_kernels.net_faces(field, numbers, triangles) == 2 * edges

    # Every edge of the net belongs to two triangles, once in each sense.
    sides = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]).astype(
        np.int64
    )
    key, back = sides[:, 0] * cells + sides[:, 1], sides[:, 1] * cells + sides[:, 0]
    assert len(np.unique(key)) == len(key)
    np.testing.assert_array_equal(np.sort(key), np.sort(back))
    # Each vertex lies in or at its own cell, and takes its segment from that cell's deepest corner.
    for i, j, k in np.argwhere(numbers >= 0):
        vertex = numbers[i, j, k]
        assert (np.abs(out[0][vertex] - np.array([i, j, k]) - 0.5) <= 0.7 + 1e-5).all()
        corner = field[i : i + 2, j : j + 2, k : k + 2]
        assert field.ravel()[out[2][vertex]] == corner.min()


def test_vertices_lie_on_a_smooth_field() -> None:
    place = np.stack(np.meshgrid(*[np.arange(24.0)] * 3, indexing="ij"))
    field = (np.linalg.norm(place - 11.3, axis=0) - 8.2).astype(np.float32)
    cells, _edges = skin_kernels.crossings(field)
    out = (np.empty((cells, 3), np.float32), np.empty((cells, 3), np.float32), np.empty(cells, np.uint32))
    numbers = np.full(field.shape, -1, np.int32)
    skin_kernels.net_vertices(
        field, np.zeros(field.shape, np.int32), np.array([0.0, 0.0, 0.0, 1.0]), numbers, out
    )
    assert np.abs(map_coordinates(field, out[0].T.astype(float), order=1)).max() < 0.01
    assert np.abs(np.linalg.norm(out[0] - 11.3, axis=1) - 8.2).max() < 0.05
    assert (out[1] * (out[0] - 11.3) / 8.2).sum(axis=1).min() > 0.99
