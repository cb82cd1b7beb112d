"""Compiled fits of a trunk's outlines and distances of a picture, each against a naive twin."""

from __future__ import annotations

import numpy as np
import pytest

from ringwise.structure.turntable import distance_kernels, hull_kernels
from ringwise.structure.turntable.hull import basis_of

SEEDS = (1, 2, 3, 4)


@pytest.mark.parametrize("seed", SEEDS)
def test_edges_on_the_hull_are_those_of_numpys_own_solver(seed: int) -> None:
    rng = np.random.default_rng(seed)
    turn = np.sort(rng.uniform(0, 2 * np.pi, 48))
    basis = basis_of(turn, 4)
    reach = 25.0 + 2.0 * np.cos(2 * turn) + rng.normal(0, 0.1, 48)
    covered = rng.choice(48, 9, replace=False)
    reach[covered] += rng.uniform(3, 12, 9)
    trust = rng.uniform(0.6, 1.0, 48)
    hold = np.array([1e-9, 1e-9, 1e-9, 0.05, 0.05, 0.2, 0.2, 0.9, 0.9])
    clean = np.empty(48, dtype=bool)
    hull_kernels.clean_edges(basis, hold, (reach, trust), (5.0, 0.1, 3.0, 4.0, 12), clean)

    weight, scale = trust**2, 5.0
    for _round in range(12):
        normal = (basis.T * weight) @ basis + np.diag(scale**2 * hold)
        rest = trust * (reach - basis @ np.linalg.solve(normal, (basis.T * weight) @ reach))
        scale = max(1.4826 * float(np.median(abs(rest))), 0.1)
        bound = np.where(rest > 0, 2.0, 3.0) * scale
        weight = trust**2 * np.clip(1 - (rest / bound) ** 2, 0, 1) ** 2 + 1e-12
    wanted = (rest < 3.0 * scale) & (rest > -4.0 * scale)
    assert clean.tolist() == wanted.tolist()
    assert not clean[covered].any()
    assert clean.sum() > 25


@pytest.mark.parametrize("seed", SEEDS)
def test_low_line_is_that_of_weighted_polynomials(seed: int) -> None:
    rng = np.random.default_rng(seed)
    away = np.sort(rng.uniform(-20, 20, 9))
    girth = 120.0 - 0.5 * away + rng.normal(0, 0.3, 9)
    girth[rng.integers(9)] += 15.0
    rest = np.empty(9)
    middle = hull_kernels.low_line(away, girth, 0.01 * girth, rest)
    weight = np.ones(9)
    for _round in range(8):
        slope, height = np.polyfit(away, girth, 1, w=np.sqrt(weight))
        over = np.maximum(girth - height - slope * away, 0.0)
        weight = 1.0 / (1.0 + (over / (0.01 * girth)) ** 2)
    assert middle == pytest.approx(height, rel=1e-9)
    assert rest == pytest.approx(girth - height - slope * away, abs=1e-6)
    assert middle == pytest.approx(120.0, abs=0.6)


@pytest.mark.parametrize("seed", SEEDS)
def test_slopes_are_those_of_the_central_differences(seed: int) -> None:
    picture = np.random.default_rng(seed).random((23, 31), dtype=np.float32)
    down, across = np.gradient(picture.astype(np.float64))
    between = (picture > 0.35) & (picture < 0.65)
    wanted = np.hypot(across, down)[1:-1, 1:-1][between[1:-1, 1:-1]]
    assert distance_kernels.slopes(picture, 0.35, 0.65) == pytest.approx(wanted, rel=1e-5)
