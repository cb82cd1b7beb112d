"""Wire against the elastic formula, and branches found, headed back and bent, against their plain meaning.

Retained share of a bend, elastic: 1 - (radius when wired / radius when freed)^4, a first-principles lower
bound that leaves creep out; the values below are that formula worked by hand for 10, 18.92, 25 and 50 %.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from growing_trees import columns, parameters, random_tree

from ringwise.growth import layout as at
from ringwise.operations import wood_effects


@pytest.mark.parametrize(
    ("ratio", "kept"), [(1.0, 0.0), (1.10, 0.3170), (1.1892, 0.5000), (1.25, 0.5904), (1.5, 0.8025)]
)
def test_share_of_a_bend_that_stays(ratio: float, kept: float) -> None:
    from ringwise.growth.wood_kernels import kept_bend

    tree = random_tree(1)
    tree[0][at.WIRE_RADIUS, 9], tree[0][at.WOOD, 9] = 10.0, math.pi * (10.0 * ratio) ** 2
    assert kept_bend(tree, 9) == pytest.approx(kept, abs=1e-4)


def place_of(tree: tuple[np.ndarray, ...], row: int) -> tuple[float, float]:
    """Height and clock position of a branch by its first segment."""
    parent = int(tree[1][at.PARENT, row])
    turn = math.atan2(tree[0][at.DIR_X, row], tree[0][at.DIR_Y, row]) % (2 * math.pi)
    return float(tree[0][at.END_Z, parent]), turn * 6.0 / math.pi


def side_rows(tree: tuple[np.ndarray, ...]) -> list[int]:
    """First segments of branches on the trunk."""
    n, order, parent = int(tree[4][0]), tree[1][at.ORDER], tree[1][at.PARENT]
    return [row for row in range(1, n) if order[row] > 0 and order[parent[row]] == 0]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_branch_is_found_by_its_height_and_side(seed: int) -> None:
    tree, par = random_tree(seed), parameters(seed)
    for row in side_rows(tree):
        assert wood_effects.branch_at(tree, par, *place_of(tree, row)) == row


@pytest.mark.parametrize("growth", [1.0, 1.1, 1.25])
def test_a_wired_branch_is_lowered_and_springs_back_by_what_has_not_set(growth: float) -> None:
    tree, par = random_tree(2), parameters(2)
    row = side_rows(tree)[0]
    before = columns(tree)
    start = tree[0][at.DIR_X : at.DIR_Z + 1, row].astype(float)
    bend = 0.5
    assert wood_effects.wire(tree, par, (*place_of(tree, row), bend)) > 0
    lowered = tree[0][at.DIR_X : at.DIR_Z + 1, row].astype(float)
    assert lowered[2] < start[2]
    assert math.acos(np.clip(start @ lowered, -1, 1)) == pytest.approx(bend, abs=1e-3)
    tree[0][at.WOOD, :60] *= growth**2
    wood_effects.unwire(tree)
    freed = tree[0][at.DIR_X : at.DIR_Z + 1, row].astype(float)
    kept = bend * (1.0 - growth**-4)
    assert math.acos(np.clip(start @ freed, -1, 1)) == pytest.approx(kept, abs=2e-3)
    if growth == 1.0:
        np.testing.assert_allclose(columns(tree)["ENDS"], before["ENDS"], atol=1e-2)
    assert not tree[0][at.WIRE_RADIUS].any()


def test_heading_back_keeps_the_share_of_the_branch_and_leaves_a_bud() -> None:
    tree, par = random_tree(3), parameters(3)
    row = max(side_rows(tree), key=lambda each: tree[0][at.WOOD, each])
    chain, last = [row], row
    while True:
        n = int(tree[4][0])
        above = [r for r in range(last + 1, n) if tree[1][at.PARENT, r] == last]
        if not above:
            break
        last = max(above, key=lambda each: tree[0][at.WOOD, each])
        chain.append(last)
    length = float(tree[0][at.LENGTH, chain].sum())
    name = int(tree[2][row])
    assert wood_effects.head_back(tree, par, np.int64(1), (*place_of(tree, row), 0.4)) > 0
    n = int(tree[4][0])
    ends = [r for r in range(n) if tree[1][at.FLAGS, r] & at.CUT_END and tree[1][at.BUDS, r] > 0]
    assert ends
    left, at_row = 0.0, ends[-1]
    while tree[1][at.ORDER, at_row] > 0 and at_row > 0:
        left += float(tree[0][at.LENGTH, at_row])
        at_row = int(tree[1][at.PARENT, at_row])
    assert left == pytest.approx(0.4 * length, rel=0.05) or name not in tree[2][:n].tolist()


def test_a_summer_cut_and_a_stub_close_more_slowly() -> None:
    losses = {}
    for half, stub in ((0, 0.0), (1, 0.0), (0, 4.0)):
        tree, par = random_tree(1), parameters(1)
        par[at.P_SEASON_SUMMER], par[at.P_STUB] = 0.9, 0.05
        row = max(side_rows(tree), key=lambda each: tree[0][at.WOOD, each])
        parent = int(tree[1][at.PARENT, row])
        wood_effects.prune(tree, par, np.int64(half), (*place_of(tree, row), stub))
        losses[half, stub] = float(tree[0][at.WOUND_LOSS, parent])
    assert losses[0, 0.0] == 0.0
    assert losses[1, 0.0] == pytest.approx(0.1, abs=1e-6)
    assert losses[0, 4.0] == pytest.approx(0.2, abs=1e-6)
