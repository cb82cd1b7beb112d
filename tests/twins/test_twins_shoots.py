"""New shoots against a naive twin in double precision, told from what a shoot is meant to be.

A shoot out of a bud is a row of equal segments. Each is named by the one below, the bud and the year; it
heads as the one below (a side shoot: at an angle of 0.85 rad to its mother), swayed by three draws, turned
up and away from the crown's middle, and starts where the one below ended.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from growing_trees import columns, parameters, random_tree

from ringwise.growth import layout as at
from ringwise.growth import shoot_kernels
from ringwise.kit import chance

YEAR = 3
MASK = 2**64 - 1


def _mixed(value: int) -> int:
    return int(chance.mix64(np.array([value & MASK], np.uint64))[0])


def _name(below: int, bud: int) -> int:
    return _mixed(below ^ (((bud + 1) * 1000003 + YEAR + 5000) & MASK)) & (2**62 - 1)


def _sway(seed: int, name: int) -> np.ndarray:
    key = 0
    for part in (seed, 0, YEAR, 0, 5):
        key = _mixed(key ^ part)
    bits = _mixed(key ^ name)
    return np.array([(bits >> shift & 0x1FFFFF) / 2097151.0 - 0.5 for shift in (0, 21, 42)])


def _turned(
    way: np.ndarray, foot: np.ndarray, par: np.ndarray, sway: np.ndarray, top_mm: float
) -> np.ndarray:
    middle = np.array([foot[0], foot[1], max(foot[2] - 0.35 * top_mm, 0.0)])
    outward = par[at.P_OUTWARD] * middle / math.sqrt(middle @ middle + 1.0)
    turned = way + par[at.P_SWAY] * sway + outward + np.array([0.0, 0.0, par[at.P_UPWARD]])
    if foot[2] < 8.0:
        turned[2] = max(turned[2], 0.12)
    return turned / np.linalg.norm(turned)


def _grown(tree: Any, par: np.ndarray, seed: int, row: int, bud: tuple[int, float, float, int]) -> range:
    first = shoot_kernels.note_shoot(tree, par, row, (np.int64(bud[0]), *bud[1:]))
    shoot_kernels.write_shoots(tree, par, shoot_kernels.shoot_luck((seed, 0, YEAR)), first)
    return range(first, int(tree[4][0]))


@pytest.mark.parametrize("aside", [0, 1])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_shoot_is_a_row_of_equal_segments_each_from_the_one_below(seed: int, aside: int) -> None:
    tree, par = random_tree(seed), parameters(seed)
    tree[3][at.FINE], tree[3][at.TOP] = 1.0, 90.0
    units, mother = 5.4, 17
    before = columns(tree)
    born_here = int((before["PARENT"] == mother).sum())
    way = tree[0][at.DIR_X : at.DIR_Z + 1, mother].astype(float)
    rows = _grown(tree, par, seed, mother, (0, units, 0.0, aside))
    after, real, whole = columns(tree), tree[0], tree[1]
    assert len(rows) == int(min(units, par[at.P_SHOOT_MOST]))
    length = float(real[at.LENGTH, rows[0]])
    name, foot, below = int(before["IDS"][mother]), before["ENDS"][mother], mother
    for place, row in enumerate(rows):
        name = _name(name, aside + 16 * born_here if place == 0 else 0)
        found = real[at.DIR_X : at.DIR_Z + 1, row].astype(float)
        if place > 0 or not aside:  # how a side shoot leaves its mother is asked below
            np.testing.assert_allclose(found, _turned(way, foot, par, _sway(seed, name), 90.0), atol=2e-6)
        assert int(after["IDS"][row]) == name
        assert whole[at.PARENT, row] == below
        np.testing.assert_allclose(after["ENDS"][row], foot + length * found, rtol=1e-5, atol=1e-4)
        assert after["LENGTH"][row] == pytest.approx(length)
        assert whole[at.ORDER, row] == whole[at.ORDER, mother] + aside
        assert whole[at.CHILDREN, row] == (1 if row < rows[-1] else 0)
        assert (whole[at.BORN, row], whole[at.MARK, row]) == (YEAR, 0)
        assert real[at.CONTROL, row] == real[at.CONTROL, mother]
        way, foot, below = found, after["ENDS"][row], row
    assert whole[at.CHILDREN, mother] == born_here + 1


@pytest.mark.parametrize("wider_rad", [0.0, 0.12])
@pytest.mark.parametrize("row", [3, 17, 42])
def test_a_side_shoot_leaves_its_mother_at_its_angle_and_turns_with_the_bud(
    row: int, wider_rad: float
) -> None:
    tree, par = random_tree(2), parameters(2)
    mother = tree[0][at.DIR_X : at.DIR_Z + 1, row].astype(float)
    ways = []
    for slot in (np.int64(0), np.int64(1)):
        turn = shoot_kernels.bud_turn(tree, row, slot, par)
        assert math.hypot(*turn) == pytest.approx(1.0, rel=1e-6)
        ways.append(np.array(shoot_kernels.side_heading(tree, row, turn, wider_rad)))
    for way in ways:
        angle = math.acos(way @ mother / np.linalg.norm(way))
        assert angle == pytest.approx(0.85 + wider_rad, abs=2e-3)
    across = [way - (way @ mother) * mother for way in ways]
    assert across[0] @ across[1] < -0.9 * (across[0] @ across[0])  # two buds of a node stand opposite


def test_a_shoot_takes_no_more_rows_than_there_are() -> None:
    tree, par = random_tree(1, n=60, capacity=62), parameters(1)
    tree[3][at.FINE] = 1.0
    assert len(_grown(tree, par, 1, 17, (0, 6.0, 0.0, 0))) == 2
    assert shoot_kernels.note_shoot(tree, par, 20, (np.int64(0), 3.0, 0.0, 0)) == -1
    assert int(tree[4][0]) == 62
