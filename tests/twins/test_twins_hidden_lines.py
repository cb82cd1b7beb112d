"""Which points of a drawing are hidden, against plain geometry point by point and piece by piece."""

from __future__ import annotations

import numpy as np

from ringwise.structure.figure import thinned
from ringwise.structure.hidden_kernels import hidden_points, thinned_runs

SHARES = np.array([0.1, 0.3])


def plain_hidden(point: np.ndarray, own: int, pieces: np.ndarray, owner: np.ndarray) -> bool:
    """A rod as many discs along its axis: the point is covered where a disc holds it and bulges nearer."""
    for piece, line in zip(pieces, owner, strict=True):
        share = SHARES[1] if line == own else SHARES[0]
        low, high = piece[:3], piece[4:7]
        t = np.linspace(0.0, 1.0, 1001)
        centre, radius = low + t[:, None] * (high - low), piece[3]
        off = np.hypot(*(point[:2] - centre[:, :2]).T)
        held = radius - off > share * radius
        front = centre[held, 2] + np.sqrt(radius**2 - off[held] ** 2)
        if (front > point[2] + share * radius).any():
            return True
    return False


def _scene(seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    draw = np.random.default_rng(seed)
    low = draw.uniform(-50.0, 50.0, (12, 3))
    way = draw.normal(size=(12, 3)) * 25.0
    radius = draw.uniform(3.0, 9.0, (12, 1))  # rods, not cones: the balls at both ends are the rod's own
    pieces = np.hstack([low, radius, low + way, radius])
    points = draw.uniform(-60.0, 60.0, (150, 3))
    return pieces, draw.integers(0, 4, 12), points, draw.integers(0, 4, 150)


def test_points_behind_rods_are_hidden_as_plain_geometry_says() -> None:
    told = {True: 0, False: 0}
    for seed in range(3):
        pieces, owner, points, line = _scene(seed)
        cells = np.array([-110.0, -110.0, 9.0, 25.0, 25.0])
        found = hidden_points(points, line, pieces, owner, cells, SHARES)
        plain = [plain_hidden(p, o, pieces, owner) for p, o in zip(points, line.tolist(), strict=True)]
        # the compiled test takes the nearest ball by a formula, the plain one a fine row of them
        assert np.mean(found != np.array(plain)) < 0.01
        for each in plain:
            told[each] += 1
    assert min(told.values()) > 40


def test_the_size_of_a_cell_changes_nothing() -> None:
    pieces, owner, points, line = _scene(7)
    coarse = hidden_points(points, line, pieces, owner, np.array([-110.0, -110.0, 220.0, 1.0, 1.0]), SHARES)
    fine = hidden_points(points, line, pieces, owner, np.array([-110.0, -110.0, 2.0, 110.0, 110.0]), SHARES)
    assert coarse.tolist() == fine.tolist()


def test_lines_are_thinned_as_one_by_one() -> None:
    draw = np.random.default_rng(3)
    runs = [np.cumsum(draw.normal(size=(n, 2)), axis=0) for n in (2, 9, 40, 3)]
    first = np.cumsum([0, *(len(run) for run in runs)])
    keep = thinned_runs(np.vstack(runs), first, 0.8)
    for run, start, end in zip(runs, first[:-1], first[1:], strict=True):
        assert run[keep[start:end]].tolist() == thinned(run, 0.8).tolist()
