"""Kernels at their edges: one segment, bare wood, no reserves, extreme pots, no room left, nothing marked.

The last tests live whole years twice, once compiled and once as plain interpreted Python.
"""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from typing import Any

import numpy as np
import pytest
from growing_trees import columns, parameters, random_tree

from ringwise.growth import flush_kernels, kernels, tree_kernels
from ringwise.growth import layout as at
from ringwise.growth.start import Condition, start_arrays, table_of
from ringwise.growth.step import in_capacity, light_grid
from ringwise.operations import effect_codes, effects
from ringwise.structure.table import checked, single_segment

STEM = single_segment(length_mm=60.0, diameter_mm=4.0)


def _year(tree: Any, par: np.ndarray, luck: tuple[int, int, int]) -> None:
    grid = light_grid()
    kernels.weather_year(tree, par, luck)
    kernels.spring(tree, par, luck, grid)
    kernels.summer(tree, par, luck, grid)
    kernels.end_year(tree)


def _alone(litres: float = 6.0, capacity: int = 300) -> Any:
    tree = in_capacity(start_arrays(STEM, Condition(litres), first_year=0), capacity)
    kernels.settle(tree, parameters(1), (1, 0, 0))
    return tree


def _sound(tree: Any) -> None:
    n = int(tree[4][0])
    assert np.isfinite(tree[0][:, :n]).all()
    assert np.isfinite(np.where(np.isinf(tree[3]), 0.0, tree[3])).all()
    assert (tree[0][at.LIGHT, :n] >= 0).all()
    assert (tree[0][at.LIGHT, :n] <= 1).all()
    checked(table_of(tree, first_year=0))
    assert tree[1][at.CHILDREN, :n].tolist() == np.bincount(tree[1][at.PARENT, 1:n], minlength=n).tolist()


def test_one_segment_sums_to_itself_and_cannot_be_removed() -> None:
    tree = _alone()
    tree[0][at.ABOVE, 0] = 3.5
    tree_kernels.sum_down(tree, at.ABOVE)
    assert tree[0][at.ABOVE, 0] == 3.5
    tree[1][at.MARK, 0] = 1
    assert tree_kernels.remove_marked(tree) == 0
    assert int(tree[4][0]) == 1
    assert effects.cut_off(tree, parameters(1), 0) == 0
    tree[0][at.VIGOUR, 0] = 9.0
    kernels.demand(tree, parameters(1))
    kernels.share(tree)
    assert tree[0][at.VIGOUR, 0] == 9.0


@pytest.mark.parametrize("litres", [1e-6, 0.05, 1e6, math.inf])
@pytest.mark.parametrize("reserve", [0.0, 1.0])
def test_extremes_of_pot_and_reserves_stay_numbers(litres: float, reserve: float) -> None:
    tree, par = _alone(litres), parameters(1)
    for year in range(6):
        tree[3][at.RESERVE] = reserve
        _year(tree, par, (1, 0, year))
        _sound(tree)


@pytest.mark.parametrize("vigour", [-8.0, 0.0, 8.0])
@pytest.mark.parametrize("exponent", [1.8, 2.3])
def test_extremes_of_vigour_stay_numbers(vigour: float, exponent: float) -> None:
    tree, par = _alone(), parameters(1)
    par[at.P_VIGOUR], par[at.P_EXPONENT] = vigour, exponent
    for year in range(6):
        _year(tree, par, (1, 0, year))
        _sound(tree)


def test_bare_and_rootless_wood_stays_a_number() -> None:
    tree, par = random_tree(2), parameters(2)
    tree[0][at.LEAF], tree[3][at.ROOT], tree[3][at.LEAF_FLUSH] = 0.0, 0.0, 0.0
    for year in range(4):
        _year(tree, par, (2, 0, year))
        _sound(tree)


def test_a_full_tree_grows_wood_and_no_more_segments() -> None:
    tree, par = random_tree(3, n=60, capacity=64), parameters(3)
    before = float(tree[0][at.WOOD, 0])
    for year in range(8):
        _year(tree, par, (3, 0, year))
        assert int(tree[4][0]) <= 64
        _sound(tree)
    assert tree[0][at.WOOD, 0] > before
    assert effects.split_segment(random_tree(3, n=60, capacity=60), 9, 0.3) == -1


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_pruning_nothing_is_the_same_as_not_pruning(seed: int) -> None:
    left, touched, par = random_tree(seed), random_tree(seed), parameters(seed)
    for year in range(4):
        assert tree_kernels.remove_marked(touched) == 0
        assert effects.cut_off(touched, par, 0) == 0
        for tree in (left, touched):
            _year(tree, par, (seed, 0, year))
    n = int(left[4][0])
    assert int(touched[4][0]) == n
    np.testing.assert_array_equal(left[0][:, :n], touched[0][:, :n])
    np.testing.assert_array_equal(left[1][:, :n], touched[1][:, :n])
    np.testing.assert_array_equal(left[2][:n], touched[2][:n])
    np.testing.assert_array_equal(left[3], touched[3])


def test_a_cut_elsewhere_moves_no_luck_of_what_stays() -> None:
    """The same bud with the same vigour opens or sleeps alike, whatever row a cut has moved it to."""
    luck, par = (1, 0, 0), parameters(1)
    keys = tuple(tree_kernels.draw_key(luck, np.int64(0), np.int64(purpose)) for purpose in (4, 12))
    whole, cut = random_tree(1), random_tree(1)
    leaf = next(row for row in range(1, 60) if not (whole[1][at.PARENT, :60] == row).any())
    effects.cut_off(cut, par, leaf)
    told = []
    for tree in (whole, cut):
        old = int(tree[4][0])
        names = {int(tree[2][row]): row for row in range(old)}
        buds = {}
        for name, row in names.items():
            tree[1][at.BUDS, row] = 2
            flush_kernels.open_buds(tree, par, row, (0.5 * par[at.P_THRESHOLD], 1.0), keys)
            buds[name] = int(tree[1][at.BUDS, row])
        told.append(buds)
    before, after = told
    assert len(after) == len(before) - 1
    assert {before[name] for name in after} == {0, 1, 2}
    assert after == {name: before[name] for name in after}


INTERPRETED = """
import json, sys
sys.path.insert(0, sys.argv[1])
import numpy as np
np.seterr(all="ignore")
from growing_trees import columns, parameters, random_tree
from ringwise.growth import kernels, tree_kernels
from ringwise.growth.step import light_grid
from ringwise.operations import effect_codes, effects
assert not hasattr(kernels.ring, "py_func")
out = []
for seed in (1, 2):
    tree, par, grid = random_tree(seed), parameters(seed), light_grid()
    for year in range(2):
        luck = (seed, 0, year)
        if year == 1:
            effects.cut_off(tree, par, 11)
            effects.repot(tree, par, luck, np.int64(0), (0.2, 8.0, np.int64(effect_codes.REPOT), 0.0))
        kernels.weather_year(tree, par, luck)
        kernels.spring(tree, par, luck, grid)
        kernels.summer(tree, par, luck, grid)
        kernels.end_year(tree)
    seen = columns(tree)
    out.append({name: seen[name].tolist() for name in ("IDS", "PARENT", "BUDS", "FLAGS", "WOOD", "LEAF")})
    out[-1]["POOLS"] = tree[3].tolist()
print(json.dumps(out))
"""


def test_two_years_compiled_are_two_years_interpreted() -> None:
    here = os.path.dirname(os.path.abspath(__file__))
    plain = subprocess.run(
        [sys.executable, "-c", INTERPRETED, here],
        env={**os.environ, "NUMBA_DISABLE_JIT": "1"},
        check=True,
        capture_output=True,
        text=True,
        timeout=120,
    )
    for seed, told in zip((1, 2), json.loads(plain.stdout), strict=True):
        tree, par = random_tree(seed), parameters(seed)
        for year in range(2):
            luck = (seed, 0, year)
            if year == 1:
                effects.cut_off(tree, par, 11)
                effects.repot(tree, par, luck, np.int64(0), (0.2, 8.0, np.int64(effect_codes.REPOT), 0.0))
            _year(tree, par, luck)
        seen = columns(tree)
        for name in ("IDS", "PARENT", "BUDS", "FLAGS"):
            assert seen[name].tolist() == told[name], name
        for name in ("WOOD", "LEAF"):
            np.testing.assert_allclose(seen[name], told[name], rtol=2e-5, atol=1e-6)
        np.testing.assert_allclose(tree[3], told["POOLS"], rtol=1e-5, atol=1e-9)
