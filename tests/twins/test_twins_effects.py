"""Each compiled effect of a hand against a naive twin or its plain meaning on small trees."""

from __future__ import annotations

import math

import numpy as np
import pytest
from growing_trees import columns, parameters, random_tree

from ringwise.growth import layout as at
from ringwise.growth import tree_kernels
from ringwise.kit import chance
from ringwise.operations import care_effects, effect_codes, effects, graft_effects, layer_effects

SEEDS = (1, 2, 3)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_cut_leaves_its_wound_and_counts_the_leaf(seed: int) -> None:
    tree = random_tree(seed)
    before = columns(tree)
    row = 5
    gone = {row}
    for each in range(row + 1, 60):
        if int(before["PARENT"][each]) in gone:
            gone.add(each)
    assert effects.cut_off(tree, parameters(seed), row) == len(gone)
    parent = int(before["PARENT"][row])
    width = math.sqrt(before["WOOD"][row] * 4 / math.pi)
    assert tree[0][at.WOUND, parent] == pytest.approx(width if width > 3.0 else 0.0, rel=1e-5)
    lost = before["LEAF"][list(gone)].sum() / before["LEAF"].sum()
    assert tree[3][at.REMOVED] == pytest.approx(lost, rel=1e-5)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_split_moves_no_wood(seed: int) -> None:
    tree = random_tree(seed)
    before = columns(tree)
    assert effects.split_segment(tree, 9, 0.3) == 10
    after = columns(tree)
    assert len(after["IDS"]) == 61
    assert after["LENGTH"].sum() == pytest.approx(before["LENGTH"].sum(), rel=1e-6)
    np.testing.assert_allclose(np.delete(after["ENDS"], 9, axis=0), before["ENDS"], atol=1e-3)
    assert after["LENGTH"][9] / (after["LENGTH"][9] + after["LENGTH"][10]) == pytest.approx(0.3, rel=1e-5)
    assert (after["PARENT"] < np.arange(61)).all()


@pytest.mark.parametrize("seed", SEEDS)
def test_parting_a_layer_conserves_segments_leaf_and_names(seed: int) -> None:
    tree, second = random_tree(seed), random_tree(seed)
    before = columns(tree)
    ring = 4
    tree[1][at.FLAGS, ring] |= at.LAYERED
    top = {ring}
    for row in range(ring + 1, 60):
        if int(before["PARENT"][row]) in top:
            top.add(row)
    below = layer_effects.part(tree, second)
    assert below == 60 - len(top)
    upper, lower = columns(tree), columns(second)
    assert set(upper["IDS"].tolist()) == {int(before["IDS"][row]) for row in top}
    assert sorted([*upper["IDS"].tolist(), *lower["IDS"].tolist()]) == sorted(before["IDS"].tolist())
    assert upper["LEAF"].sum() + lower["LEAF"].sum() == pytest.approx(before["LEAF"].sum(), rel=1e-6)
    for part in (upper, lower):
        assert part["PARENT"][0] == -1
        assert (part["PARENT"][1:] >= 0).all()
        assert (part["PARENT"] < np.arange(len(part["PARENT"]))).all()
    assert not tree[1][at.FLAGS, 0] & at.LAYERED


@pytest.mark.parametrize(("share", "excess"), [(0.2, 0.0), (0.33, 0.0), (0.6, 0.27)])
def test_chance_to_live_through_a_repot(share: float, excess: float) -> None:
    par = parameters(1)
    par[at.P_FRACTION] = 0.33
    lift = par[at.P_ALIVE] - par[at.P_EXCESS] * excess + (par[at.P_GENTLE] if share < 0.26 else 0.0)
    for future in range(60):
        tree = random_tree(1)
        effects.repot(tree, par, (3, future, 2), np.int64(0), (share, 0.0, np.int64(effect_codes.REPOT), 0.0))
        draw = chance.uniform(3, future, 2, 0, chance.Purpose.SURVIVE, effect_codes.REPOT)[0]
        assert (tree[3][at.ALIVE] > 0) == (draw < 1 / (1 + math.exp(-lift)))


def test_a_repot_takes_its_share_of_roots_and_moves_them_to_the_new_volume() -> None:
    tree, par = random_tree(1), parameters(1)
    tree[3][at.ROOT] = 0.9
    effects.repot(tree, par, (3, 0, 2), np.int64(0), (0.25, 12.0, np.int64(effect_codes.REPOT), 0.0))
    assert tree[3][at.ROOT] == pytest.approx(0.9 * 0.75 * 6.0 / 12.0)
    assert tree[3][at.LITRES] == 12.0
    assert tree[3][at.SINCE_REPOT] == 0.0


def _rooted(par: np.ndarray, cost: float, reserve: float = 0.8) -> float:
    count = 0
    for future in range(400):
        tree = random_tree(1, n=20, capacity=40)
        tree[3][at.COST_ODDS], tree[3][at.RESERVE] = cost, reserve
        layer_effects.set_layer(tree, par, (5, future, 0), np.int64(1), 15.0)
        count += tree[3][at.LAYER_PENDING] > 0
    return count / 400


def test_a_ring_roots_as_often_as_its_odds_and_less_after_a_conflict_or_when_weak() -> None:
    par = parameters(1)
    par[at.P_LAYER] = 0.7
    plain, after_conflict, weak = _rooted(par, 0.0), _rooted(par, 1.0), _rooted(par, 0.0, reserve=0.3)
    assert plain == pytest.approx(0.7, abs=3 * math.sqrt(0.21 / 400))
    shifted = 1 / (1 + 0.3 / 0.7 * math.exp(1.0))
    assert after_conflict == pytest.approx(shifted, abs=3 * math.sqrt(0.25 / 400))
    assert weak < plain


def test_root_grafts_are_tried_in_empty_sectors_only() -> None:
    tree, par = random_tree(1), parameters(1)
    tree[3][at.SECTORS], tree[3][at.SINCE_REPOT] = float(0b111100001111), 0.0
    par[at.P_UNION] = 0.6
    assert graft_effects.root_graft(tree, par, (5, 7, 0), np.int64(0)) == 4
    assert int(tree[3][at.ROOTS_BITS]) & 0b111100001111 == 0
    for _half in range(4):
        graft_effects.pass_half(tree, par, (5, 7, 0), np.int64(0))
    assert int(tree[3][at.SECTORS]) & 0b111100001111 == 0b111100001111


def test_a_severed_graft_gives_a_branch_where_it_had_bridged_and_a_wound_where_not() -> None:
    par = parameters(1)
    for state, branch in ((at.BRIDGED, True), (at.PRESSED, False)):
        tree = random_tree(1)
        tree[3][at.GRAFT_STATE], tree[3][at.GRAFT_HEIGHT] = state, 20.0
        graft_effects.sever_graft(tree, par, (5, 7, 0))
        grafted = (tree[1][at.FLAGS, : tree[4][0]] & at.GRAFT_AXIS) > 0
        assert grafted.any() == branch
        assert (tree[0][at.WOUND].max() > 5.0) == (not branch)
        assert tree[3][at.GRAFT_STATE] == (at.SEVERED_WEAK if branch else at.GRAFT_DEAD)


def test_two_checks_show_a_union_as_often_as_assumed() -> None:
    par = parameters(1)
    for state, each in ((at.BRIDGED, par[at.P_SENSITIVITY]), (at.CALLUS, 1 - par[at.P_SPECIFICITY])):
        tree = random_tree(1)
        tree[3][at.GRAFT_STATE] = state
        seen = np.mean([graft_effects.sign_of_take(tree, par, (5, f, 0), np.int64(1)) for f in range(2000)])
        assert seen == pytest.approx(each**2, abs=3 * math.sqrt(0.25 / 2000))


@pytest.mark.parametrize("seed", SEEDS)
def test_cut_back_marks_all_thin_wood_outside_the_outline(seed: int) -> None:
    tree, par = random_tree(seed), parameters(seed)
    par[at.P_AIM_HEIGHT], par[at.P_AIM_SPREAD], par[at.P_AIM_TIPS] = 60.0, 80.0, 1000.0
    outline = np.full((16, 12), 40.0)
    care_effects.cut_back(tree, par, (seed, 0, 3), outline)
    c = columns(tree)
    for row in range(1, 60):
        across = math.hypot(*c["ENDS"][row, :2])
        outside = across > 40.0 or c["ENDS"][row, 2] > 60.0
        new = (
            c["BORN"][row] == 3 and c["BORN"][c["PARENT"][row]] != 3
        )  # the first unit of a shoot of this year
        if outside and c["WOOD"][row] <= 30.0 and not new:
            assert tree[1][at.MARK, row] == 1
        if tree[1][at.MARK, row]:
            high = c["ENDS"][row, 2] * (1 + 0.2 * (across / 40.0) ** 2)
            assert across > 40.0 - 1e-3 or high > 60.0 - 1e-3


@pytest.mark.parametrize("high_mm", [900.0, 1.0])
def test_the_first_unit_of_a_new_shoot_stays_out_to_the_side_for_a_year_but_not_above(high_mm: float) -> None:
    tree, par = random_tree(4), parameters(4)
    par[at.P_AIM_HEIGHT], par[at.P_AIM_SPREAD], par[at.P_AIM_TIPS] = high_mm, 2.0, 1000.0
    tree[1][at.BORN, :60] = np.where(np.arange(60) % 3 == 0, 3, 1)
    tree[0][at.WOOD, :60] = 5.0
    for axis, way in ((at.DIR_X, 1.0), (at.DIR_Y, 0.0), (at.DIR_Z, 0.0)):
        tree[0][axis, :60] = way  # neither hanging nor turned back
    tree[0][at.END_X, :60] = np.maximum(np.abs(tree[0][at.END_X, :60]), 5.0)
    care_effects.cut_back(tree, par, (4, 0, 3), np.full((16, 12), 1.0))
    c = columns(tree)
    parents = c["PARENT"][1:]
    first = (c["BORN"][1:] == 3) & (c["BORN"][parents] == 1)
    out = np.hypot(c["ENDS"][1:, 0], c["ENDS"][1:, 1]) > 2.0
    low = c["ENDS"][1:, 2] <= high_mm
    marked = tree[1][at.MARK, 1:60] == 1
    assert (first & out).any()
    assert not marked[first & out & low].any()
    assert marked[out & ~(first & low)].all()


@pytest.mark.parametrize("seed", SEEDS)
def test_cut_back_takes_what_hangs_turns_back_or_runs_on_without_a_fork(seed: int) -> None:
    tree, par = random_tree(seed), parameters(seed)
    par[at.P_AIM_HEIGHT], par[at.P_AIM_SPREAD], par[at.P_AIM_TIPS] = 900.0, 900.0, 1000.0
    tree[1][at.BORN, 1:60] = 1  # older than this year's shoots, younger than the measured tree
    tree[0][at.WOOD, :60] = 5.0
    care_effects.cut_back(tree, par, (seed, 0, 3), np.full((16, 12), 450.0))
    whole, real = tree[1], tree[0]
    children = np.bincount(whole[at.PARENT, 1:60], minlength=60)
    for row in range(1, 60):
        run, below = 0, row
        while below > 0 and children[whole[at.PARENT, below]] == 1:
            if whole[at.ORDER, below] != whole[at.ORDER, whole[at.PARENT, below]]:
                break
            run, below = run + 1, int(whole[at.PARENT, below])
        end = np.array([real[at.END_X + axis, row] for axis in range(3)], np.float64)
        way = np.array([real[at.DIR_X + axis, row] for axis in range(3)], np.float64)
        end[2] = max(end[2] - 0.35 * 900.0, 0.0)
        back = way @ end < 0 and np.linalg.norm(end) > 0.3 * 450.0
        stray = not whole[at.FLAGS, row] & at.TRUNK and (way[2] < -0.35 or back)
        assert (whole[at.MARK, row] == 1) == (run > 5 or stray)


@pytest.mark.parametrize("chance_of_a_bud", [0.0, 1.0])
def test_a_shoot_or_twig_taken_off_at_its_base_leaves_a_bud_in_its_collar(chance_of_a_bud: float) -> None:
    tree, par = random_tree(2), parameters(2)
    par[at.P_AIM_HEIGHT], par[at.P_AIM_SPREAD], par[at.P_AIM_TIPS] = 60.0, 80.0, 1000.0
    par[at.P_COLLAR] = chance_of_a_bud
    tree[1][at.BORN, 1:60] = np.where(np.arange(1, 60) % 2 == 0, 3, 1)
    before = columns(tree)
    assert care_effects.cut_back(tree, par, (2, 0, 3), np.full((16, 12), 40.0)) > 0
    wanted = before["BUDS"].copy()
    for row in range(1, 60):
        parent = int(before["PARENT"][row])
        at_base = before["BORN"][parent] < before["BORN"][row]
        if tree[1][at.MARK, row] and at_base:
            wanted[parent] += chance_of_a_bud
    np.testing.assert_array_equal(columns(tree)["BUDS"], wanted)


def test_above_a_chop_all_runs_free_within_reach_and_no_farther() -> None:
    tree, par = random_tree(3), parameters(3)
    par[at.P_AIM_HEIGHT], par[at.P_AIM_SPREAD], par[at.P_AIM_TIPS] = 900.0, 80.0, 1000.0
    tree[3][at.FREE_YEARS], tree[3][at.FREE_MM] = 2.0, 20.0
    tree[0][at.WOOD, :60] = 5.0
    care_effects.cut_back(tree, par, (3, 0, 3), np.full((16, 12), 1.0))
    ends = columns(tree)["ENDS"]
    high = (ends[1:, 2] > 20.0) & (ends[1:, 2] <= 1.5 * 900.0)
    near = np.hypot(ends[1:, 0], ends[1:, 1]) <= 40.0
    cut = tree[1][at.MARK, 1:60] == 1
    assert (high & near).any()
    assert (high & ~near).any()
    assert not cut[high & near].any()
    assert cut[high & ~near].all()


@pytest.mark.parametrize("height_mm", [5000.0, 1.0])
def test_a_layered_top_is_held_in_proportion_to_its_trunk_and_not_below_what_it_is(height_mm: float) -> None:
    tree, par = random_tree(1), parameters(1)
    par[at.P_AIM_HEIGHT] = height_mm
    tree[3][at.AIM_LESS] = 0.0
    layer_effects.hold_smaller(tree, par, 0.6)
    high = care_effects.aim_height(tree[3], par)
    assert high == pytest.approx(0.6 * 5000.0 if height_mm > 1.0 else 1.0)


def _stem(pieces: int) -> tuple[np.ndarray, ...]:
    """An upright stem of pieces 50 mm long and 40 mm thick, settled."""
    tree = random_tree(1, n=pieces)
    real, whole = tree[0], tree[1]
    real[at.LENGTH, :pieces], real[at.WOOD, :pieces] = 50.0, 1256.0
    real[at.DIR_X, :pieces], real[at.DIR_Y, :pieces], real[at.DIR_Z, :pieces] = 0.0, 0.0, 1.0
    whole[at.PARENT, :pieces] = np.arange(-1, pieces - 1)
    tree_kernels.place_ends(tree)
    tree_kernels.count_children(tree)
    return tree


def test_a_leader_is_cut_back_once_it_is_too_tall_and_no_longer_free() -> None:
    par = parameters(1)
    par[at.P_AIM_HEIGHT] = 200.0
    for litres, most in ((6.0, par[at.P_TALL_POT]), (math.inf, par[at.P_TALL_FIELD])):
        for pieces in (int(most * 200.0 / 50.0), int(most * 200.0 / 50.0) + 1):
            tree = _stem(pieces)
            tree[3][at.LITRES] = litres
            tall = 50.0 * pieces > most * 200.0
            tree[3][at.FREE_YEARS] = 1.0
            assert care_effects.cut_top(tree, par) == 0  # it still runs free
            tree[3][at.FREE_YEARS] = 0.0
            assert (care_effects.cut_top(tree, par) > 0) == tall
            if tall:
                height = care_effects.height_of(tree)
                assert height == pytest.approx(par[at.P_HEAD_TO] * 200.0, abs=1.0)  # a seam of 2 % of a piece
                assert tree[0][at.WOUND].max() == pytest.approx(40.0, rel=1e-3)
                assert tree[3][at.FREE_YEARS] == (par[at.P_FREE_YEARS] if math.isinf(litres) else 0.0)


def test_limbs_of_a_potted_tree_are_headed_with_its_leader() -> None:
    par = parameters(1)
    par[at.P_AIM_HEIGHT] = 200.0
    tree = _stem(8)
    real, whole, count = tree[0], tree[1], tree[4]
    for row, parent in ((8, 0), (9, 8), (10, 9), (11, 10)):  # a limb beside the trunk, 150, 200, 250 mm high
        real[:, row], whole[:, row] = real[:, 1], whole[:, 1]
        whole[at.PARENT, row], whole[at.FLAGS, row], real[at.WOOD, row] = parent, 0, 400.0
    count[0] = 12
    tree_kernels.place_ends(tree)
    tree_kernels.count_children(tree)
    tree[3][at.LITRES] = 12.0
    assert care_effects.cut_top(tree, par) > 0
    assert care_effects.height_of(tree) == pytest.approx(200.0, abs=0.1)
    across = math.sqrt(400.0 * 4 / math.pi)
    assert sorted(real[at.WOUND, : count[0]][real[at.WOUND, : count[0]] > 0]) == pytest.approx(
        [across, 40.0], rel=1e-3
    )


def test_the_stub_above_a_new_leader_goes_when_it_has_run_free() -> None:
    par = parameters(1)
    for foot, goes in ((3, True), (1, False)):  # on the piece below the cut, or far below it
        tree = _stem(5)
        real, whole, count = tree[0], tree[1], tree[4]
        real[:, 5], whole[:, 5], count[0] = real[:, 4], whole[:, 4], 6
        whole[at.PARENT, 5], whole[at.BORN, 5], real[at.WOOD, 5] = foot, 2, 300.0  # the new leader
        tree_kernels.place_ends(tree)
        tree[3][at.FREE_YEARS], tree[3][at.FREE_MM] = 2.0, 250.0
        care_effects.end_free(tree, par)
        assert (count[0], tree[3][at.FREE_YEARS]) == (6, 1.0)
        care_effects.end_free(tree, par)
        assert (count[0], tree[3][at.FREE_YEARS]) == (5 if goes else 6, 0.0)
        if goes:
            assert real[at.WOUND, 3] == pytest.approx(40.0, rel=1e-3)
            assert real[at.WOOD, 4] == pytest.approx(300.0)
