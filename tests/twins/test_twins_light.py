"""The padded light sweep against a naive one with bounds tests, in double precision.

Single trees may differ: rounding moves whole growth units. Over many seeds the mean final number of
segments must agree within 1 % (the figure of the growth notes for a padded against a checked sweep).
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from growing_trees import columns, parameters, random_tree

from ringwise.growth import kernels, light_kernels
from ringwise.growth import layout as at
from ringwise.growth.float_kernels import angle, exponential, logarithm
from ringwise.growth.start import Condition, start_arrays
from ringwise.growth.step import in_capacity, light_grid
from ringwise.structure.table import single_segment

SEEDS = 100
WEIGHTS = {(0, 0): 0.25, (0, 1): 0.125, (1, 0): 0.125, (1, 1): 0.0625}


def _near(filled: np.ndarray) -> range:
    """The rows that have something in them or in a neighbour; all others stay without shade."""
    rows = np.flatnonzero(filled)
    return range(max(rows[0] - 1, 0), min(rows[-1] + 2, len(filled))) if len(rows) else range(0)


def naive_light(tree: Any, par: np.ndarray) -> np.ndarray:
    """Light on every segment by cells, layers and neighbours, each neighbour asked whether it is there."""
    c, n = columns(tree), light_kernels.CELLS
    ends, leaf = c["ENDS"], c["LEAF"]
    one = 100.0 * leaf.sum() / max(int((leaf > 0).sum()), 1)
    half = 0.5 * math.sqrt(one)
    reach, top = max(1.0, np.abs(ends[:, :2]).max()) + half, max(1.0, ends[:, 2].max()) + half
    side = max(2 * reach, top) / n
    tree[3][at.TOP] = top
    place = [
        tuple(
            min(int(v), n - 1)
            for v in (
                n / 2 + x / side * (1 - 1e-5),
                n / 2 + y / side * (1 - 1e-5),
                max(z, 0) / side * (1 - 1e-5),
            )
        )
        for x, y, z in ends
    ]
    own = np.zeros((n, n, n))
    for (i, j, k), area in zip(place, leaf, strict=True):
        own[i, j, k] += area
    shade = np.zeros((n, n, n))
    for k in range(n - 2, -1, -1):
        full = shade[:, :, k + 1] + own[:, :, k + 1]
        above = full.tolist()
        for i in _near(full.any(axis=1)):
            for j in _near(full.any(axis=0)):
                total = 0.0
                for di in (-1, 0, 1):
                    for dj in (-1, 0, 1):
                        if 0 <= i + di < n and 0 <= j + dj < n and above[i + di][j + dj]:
                            total += WEIGHTS[abs(di), abs(dj)] * above[i + di][j + dj]
                shade[i, j, k] = total
    scale = par[at.P_EXTINCTION] * 100.0 / max(side * side, one)
    return np.array([math.exp(-scale * (shade[p] + 0.5 * own[p])) for p in place])


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_light_is_that_of_the_naive_sweep(seed: int) -> None:
    tree, par = random_tree(seed), parameters(seed)
    light_kernels.light(tree, par, light_grid())
    np.testing.assert_allclose(columns(tree)["LIGHT"], naive_light(tree, par), rtol=2e-5)
    assert not tree[1][at.MARK].any()


def test_short_series_are_exp_and_ln() -> None:
    x = np.linspace(-80.0, 80.0, 4001).astype(np.float32)
    np.testing.assert_allclose([exponential(v) for v in x], np.exp(x.astype(float)), rtol=6e-6)
    y = np.exp(np.linspace(-60.0, 80.0, 4001)).astype(np.float32)
    np.testing.assert_allclose([logarithm(v) for v in y], np.log(y.astype(float)), rtol=3e-7, atol=3e-7)


def test_the_short_series_of_an_angle_is_the_arctangent() -> None:
    turns = np.linspace(-math.pi, math.pi, 4001)
    for size in (1e-3, 1.0, 900.0):
        x, y = (size * np.sin(turns)).astype(np.float32), (size * np.cos(turns)).astype(np.float32)
        wanted = np.arctan2(x.astype(float), y.astype(float))
        found = np.array([angle(*pair) for pair in zip(x, y, strict=True)])
        np.testing.assert_allclose(np.angle(np.exp(1j * (found - wanted))), 0.0, atol=5e-7)
    for x, y, wanted in ((0.0, 1.0, 0.0), (1.0, 0.0, math.pi / 2), (0.0, -1.0, math.pi), (0.0, 0.0, 0.0)):
        assert angle(np.float32(x), np.float32(y)) == pytest.approx(wanted, abs=3e-7)


def _grown(seed: int, naive: bool) -> int:
    """Segments after some years, with light by either sweep; ends are placed as the summer does."""
    par, grid = parameters(seed), light_grid()
    stem = single_segment(length_mm=60.0, diameter_mm=4.0)
    tree = in_capacity(start_arrays(stem, Condition(math.inf), first_year=0), 1500)
    kernels.settle(tree, par, (seed, 0, 0))
    for year in range(7):
        luck = (seed, 0, year)
        kernels.weather_year(tree, par, luck)
        kernels.spring(tree, par, luck, grid)
        kernels.place_ends(tree)
        if naive:
            tree[0][at.LIGHT, : int(tree[4][0])] = naive_light(tree, par)
        else:
            light_kernels.light(tree, par, grid)
        kernels.lose_leaf(tree, par)
        kernels.ring(tree, par)
        kernels.close_wounds(tree, par, luck)
        kernels.shed(tree, par, luck)
        kernels.grow_roots(tree[3], par)
        kernels.store(tree, par)
        kernels.end_year(tree)
    return int(tree[4][0])


def test_trees_grown_by_either_sweep_are_of_one_size() -> None:
    padded, naive = (np.mean([_grown(seed, which) for seed in range(SEEDS)]) for which in (False, True))
    assert padded > 60
    assert padded == pytest.approx(naive, rel=0.01)
