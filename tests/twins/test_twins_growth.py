"""Each compiled kernel of growth against a naive twin that shares no line with it."""

from __future__ import annotations

import math

import numpy as np
import pytest
from growing_trees import columns, parameters, random_tree

from ringwise.growth import kernels, tree_kernels, wood_kernels
from ringwise.growth import layout as at
from ringwise.growth.root_weeks import RootRecovery, season_share_after_cut, shoot_rate_after_cut
from ringwise.growth.step import light_grid
from ringwise.growth.vigour import root_recovery, split_vigour, weather_years
from ringwise.growth.wire import kept_bend_frac
from ringwise.growth.wounds import Closure, close_wound_mm
from ringwise.kit import chance

SEEDS = (1, 2, 3)


def test_draws_equal_those_of_the_kit() -> None:
    rng = np.random.default_rng(5)
    for _round in range(200):
        seed, future, year, half, purpose = (int(x) for x in rng.integers(0, 50, 5))
        entity = int(rng.integers(0, 2**61))
        key = np.uint64(tree_kernels.draw_key((seed, future, year), half, purpose))
        assert (
            tree_kernels.uniform(key, np.uint64(entity))
            == chance.uniform(seed, future, year, half, purpose, entity)[0]
        )
        assert tree_kernels.normal(key, np.uint64(entity)) == pytest.approx(
            chance.normal(seed, future, year, half, purpose, entity)[0], rel=1e-12
        )


def _above(parent: np.ndarray, value: np.ndarray, row: int) -> float:
    return value[row] + sum(_above(parent, value, int(c)) for c in np.flatnonzero(parent == row))


@pytest.mark.parametrize("seed", SEEDS)
def test_sums_towards_the_base(seed: int) -> None:
    tree = random_tree(seed)
    tree[0][at.ABOVE] = tree[0][at.LEAF]
    before = columns(tree)
    tree_kernels.sum_down(tree, at.ABOVE)
    wanted = [_above(before["PARENT"], before["LEAF"], row) for row in range(60)]
    np.testing.assert_allclose(tree[0][at.ABOVE, :60], wanted, rtol=1e-5)


@pytest.mark.parametrize("seed", SEEDS)
def test_vigour_is_shared_fork_by_fork_and_kept(seed: int) -> None:
    tree = random_tree(seed)
    kernels.light(tree, parameters(seed), light_grid())
    kernels.demand(tree, parameters(seed))
    tree[0][at.VIGOUR, 0] = 40.0
    kernels.share(tree)
    c = columns(tree)
    vigour = np.zeros(60)
    vigour[0] = 40.0
    for row in range(60):
        children = np.flatnonzero(c["PARENT"] == row)
        if children.size == 0:
            continue
        main = min(children, key=lambda k: (c["ORDER"][k], -c["WOOD"][k], k))
        side = c["DEMAND"][row] - c["DEMAND"][main]
        ahead, aside = split_vigour(vigour[row], c["DEMAND"][main], max(side, 0.0), c["CONTROL"][main])
        for child in children:
            vigour[child] = ahead if child == main else aside * c["DEMAND"][child] / side
    np.testing.assert_allclose(c["VIGOUR"], vigour, rtol=2e-4, atol=1e-5)
    tips = ~np.isin(np.arange(60), c["PARENT"])
    assert c["VIGOUR"][tips].sum() == pytest.approx(40.0, rel=1e-4)


@pytest.mark.parametrize("seed", SEEDS)
def test_demand_counts_lit_tips_and_the_buds_of_their_last_shoots(seed: int) -> None:
    tree, par = random_tree(seed), parameters(seed)
    tree[0][at.LIGHT, :60] = np.random.default_rng(seed).uniform(0.1, 1.0, 60)
    kernels.demand(tree, par)
    c = columns(tree)
    own = np.zeros(60)
    for row in range(60):
        if (c["PARENT"] == row).any():
            continue
        buds, at_row = 0, row
        while at_row > 0 and c["BORN"][at_row] == c["BORN"][row] and (c["PARENT"] == at_row).sum() <= 1:
            buds += c["BUDS"][at_row]
            at_row = c["PARENT"][at_row]
        own[row] = c["LIGHT"][row] * (1.0 + par[at.P_LATERAL] * buds)
    wanted = [_above(c["PARENT"], own, row) for row in range(60)]
    np.testing.assert_allclose(c["DEMAND"], wanted, rtol=1e-5)
    tips = int((own > 0).sum())
    assert tree[3][at.LEAF_NEED] == pytest.approx(
        max(tips * tree[3][at.LEAF_UNIT], c["LEAF"].sum()), rel=1e-6
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_rings_by_the_pipe_rule_within_the_budget(seed: int) -> None:
    tree, par = random_tree(seed), parameters(seed)
    tree[0][at.LIGHT] = 0.7
    tree[3][at.WEATHER] = 0.1
    before = columns(tree)
    kernels.ring(tree, par)
    unit = tree[3][at.LEAF_UNIT]
    added = np.zeros(60)
    for row in range(60):
        leaf = _above(before["PARENT"], before["LEAF"], row)
        need = par[at.P_PIPE] * unit * (leaf / unit) ** (2 / par[at.P_EXPONENT]) if leaf > 0 else 0.0
        gap = need - before["SAPWOOD"][row] * (1 - 1 / par[at.P_SAPWOOD])
        added[row] = max(gap, 0.0, par[at.P_RING] * need)
    pot = (6.0 / par[at.P_REFERENCE_L]) ** par[at.P_POT]
    budget = par[at.P_WOOD] * 0.7 * before["LEAF"].sum() * pot ** par[at.P_NET]
    added *= min(1.0, budget / (added * before["LENGTH"]).sum())
    after = columns(tree)
    wide = math.exp(0.1 + par[at.P_VIGOUR])
    np.testing.assert_allclose(after["WOOD"], before["WOOD"] + added * wide, rtol=2e-5)
    grown = np.sqrt(after["WOOD"] * 4 / math.pi) - np.sqrt(before["WOOD"] * 4 / math.pi)
    np.testing.assert_allclose(after["GROWN"], grown, atol=2e-5)


@pytest.mark.parametrize("seed", SEEDS)
def test_wounds_close_as_by_the_plain_function(seed: int) -> None:
    tree, par = random_tree(seed), parameters(seed)
    rng = np.random.default_rng(seed)
    tree[0][at.WOUND, :60] = np.where(rng.random(60) < 0.5, rng.uniform(1, 40, 60), 0.0)
    tree[0][at.GROWN, :60] = np.where(rng.random(60) < 0.8, rng.uniform(0.05, 8, 60), 0.0)
    loss = np.where(rng.random(60) < 0.5, rng.uniform(0, 0.6, 60), 0.0)
    tree[0][at.WOUND_LOSS, :60] = loss
    before = columns(tree)
    kernels.close_wounds(tree, par, (seed, 0, 0))
    indices = (at.P_CLOSURE, at.P_WIDTH, at.P_GROWTH, at.P_WIDTH_REFERENCE, at.P_GROWTH_REFERENCE)
    # A loss stands for season and stub together: here all of it is written as a stub of so many mm.
    rows = Closure(*(float(par[index]) for index in indices), stub_loss_frac=1.0)
    wanted = [
        close_wound_mm(float(w), float(g), stub_mm=float(part), rows=rows)
        for w, g, part in zip(before["WOUND"], before["GROWN"], loss, strict=True)
    ]
    np.testing.assert_allclose(columns(tree)["WOUND"], wanted, rtol=1e-5, atol=1e-5)


@pytest.mark.parametrize("seed", SEEDS)
def test_removal_takes_marked_subtrees_and_nothing_else(seed: int) -> None:
    tree = random_tree(seed)
    before = columns(tree)
    marked = {7, 23, 41}
    for row in marked:
        tree[1][at.MARK, row] = 1
    gone = set(marked)
    for row in range(1, 60):
        if int(before["PARENT"][row]) in gone:
            gone.add(row)
    assert tree_kernels.remove_marked(tree) == len(gone)
    after = columns(tree)
    kept = [row for row in range(60) if row not in gone]
    np.testing.assert_array_equal(after["IDS"], before["IDS"][kept])
    np.testing.assert_array_equal(after["WOOD"], before["WOOD"][kept])
    names = {int(before["IDS"][row]): row for row in kept}
    for new, row in enumerate(kept[1:], start=1):
        assert names[int(after["IDS"][after["PARENT"][new]])] == before["PARENT"][row]
    cut = {int(before["PARENT"][row]) for row in gone} - gone
    for new, row in enumerate(kept):
        bare = row in cut and not any(int(before["PARENT"][k]) == row for k in kept[1:])
        assert bool(after["FLAGS"][new] & at.CUT_END) == bare
    assert not tree[1][at.MARK, : len(kept)].any()


def test_weather_years_have_the_memory_of_the_plain_function() -> None:
    tree, par = random_tree(1), parameters(1)
    shocks = np.array([chance.normal(9, 4, year, 0, chance.Purpose.WEATHER_YEAR, 0)[0] for year in range(8)])
    got = []
    for year in range(8):
        kernels.weather_year(tree, par, (9, 4, year))
        got.append(tree[3][at.WEATHER])
    np.testing.assert_allclose(got, weather_years(shocks), rtol=1e-12)


def test_roots_regrow_as_in_closed_form() -> None:
    tree, par = random_tree(1), parameters(1)
    tree[3][at.ROOT] = 0.4
    for _half in range(4):
        kernels.grow_roots(tree[3], par)
    wanted = root_recovery(0.4, years=2.0, recovery_years=par[at.P_ROOT_YEARS])
    assert tree[3][at.ROOT] == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_spring_adds_only_after_its_parents_and_names_each_unit_once(seed: int) -> None:
    tree, par = random_tree(seed), parameters(seed)
    before = columns(tree)
    kernels.weather_year(tree, par, (seed, 0, 0))
    kernels.spring(tree, par, (seed, 0, 0), light_grid())
    after = columns(tree)
    assert len(after["IDS"]) > 60
    np.testing.assert_array_equal(after["IDS"][:60], before["IDS"])
    assert (after["PARENT"] < np.arange(len(after["PARENT"]))).all()
    assert len(set(after["IDS"].tolist())) == len(after["IDS"])
    assert (after["BORN"][60:] == 0).all()
    steps = after["LENGTH"][60:]
    starts = after["ENDS"][after["PARENT"][60:]]
    np.testing.assert_allclose(np.linalg.norm(after["ENDS"][60:] - starts, axis=1), steps, rtol=1e-3)


def test_wood_of_a_guyed_trunk_and_wire_that_bites() -> None:
    par = parameters(1)
    free, guyed = random_tree(1), random_tree(1)
    guyed[3][at.GUYED] = 1.0
    for tree in (free, guyed):
        tree[0][at.LIGHT] = 0.7
        tree[0][at.WIRE_RADIUS, 0] = math.sqrt(float(tree[0][at.WOOD, 0]) / math.pi)
        kernels.ring(tree, par)
        kernels.close_wounds(tree, par, (1, 0, 0))
    trunk = (free[1][at.FLAGS, :60] & at.TRUNK) > 0
    added = free[0][at.WOOD, :60] - random_tree(1)[0][at.WOOD, :60]
    less = guyed[0][at.WOOD, :60] - random_tree(1)[0][at.WOOD, :60]
    np.testing.assert_allclose(less[trunk], par[at.P_GUYED] * added[trunk], rtol=1e-3, atol=1e-4)
    np.testing.assert_array_equal(less[~trunk], added[~trunk])
    radius, before = (math.sqrt(float(each[0][at.WOOD, 0]) / math.pi) for each in (free, random_tree(1)))
    assert free[0][at.BITE, 0] == pytest.approx(max(0.0, radius - before - par[at.P_WIRE_GAP]), abs=1e-4)
    assert wood_kernels.kept_bend(free, 0) == pytest.approx(kept_bend_frac(before, radius), rel=1e-4)


@pytest.mark.parametrize("cut", [0.0, 0.1, 1 / 3, 0.6, 0.9])
def test_a_season_held_back_by_a_root_cut_is_the_sum_of_its_weeks(cut: float) -> None:
    par = parameters(1)
    recovery = RootRecovery(par[at.P_HELD_WEEKS], par[at.P_COMPENSATION], par[at.P_ROOT])
    fine = [
        shoot_rate_after_cut(cut, weeks=(n + 0.5) / 50, recovery=recovery)
        for n in range(int(par[at.P_WEEKS]) * 50)
    ]
    assert kernels.held_season(par, cut) == pytest.approx(np.mean(fine), abs=2e-3)
    assert kernels.held_season(par, cut) == pytest.approx(
        season_share_after_cut(cut, weeks=int(par[at.P_WEEKS]), recovery=recovery), rel=1e-9
    )
