"""What every simulated work is held to, on random trees and in random order; no work is left out."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from ringwise.futures.course import Course, Step
from ringwise.futures.course_words import operation_words
from ringwise.futures.plan import minutes_by_code, plan_of
from ringwise.futures.start import Start
from ringwise.growth import layout as at
from ringwise.growth.biology import biology
from ringwise.growth.draws import Block, draw_parameters
from ringwise.growth.start import Arrays, Condition, start_arrays, table_of
from ringwise.growth.step import in_capacity
from ringwise.kit.types import FloatArray
from ringwise.operations import effect_codes as do
from ringwise.operations.base import POT_SIZES
from ringwise.operations.effect_rows import with_hands
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.forms import form_for
from ringwise.structure.table import checked
from ringwise.structure.tape_tree import tree_from_tape

KEYS = ("acer_palmatum", "acer", "G2")
_FORM = form_for(("any",))
TABLE = tree_from_tape(tape_from_basics(30.0, 320.0, _FORM, seed=4), seed=4, form=_FORM)
START = Start((TABLE,), Condition(6.0), 2027)
CODES = dict(do.EFFECTS)
SEEDS = (1, 2)
LUCK = (3, 0, 2)
SPRING, SUMMER = np.int64(0), np.int64(1)
NOTHING = {
    "rest",
    "check_graft",
    "unwire",
    "unguy",
    "notch_graft",
    "sever_graft",
    "abandon_graft",
    "cut_back",
}
NO_BRANCH = (2000.0, 0.0, 0.0, 6.0, 0.0)  # far above the tree
every = pytest.mark.parametrize("work", sorted(CODES))


def parameters(seed: int) -> FloatArray:
    """One future's parameters of a maple without an aim."""
    return with_hands(draw_parameters(biology(KEYS), Block(seed, 0, 1)))[0]


def tree_of(seed: int) -> Arrays:
    """A tree in leaf, with a graft waiting and a branch or two, settled."""
    from ringwise.growth import kernels

    tree = in_capacity(start_arrays(TABLE, Condition(6.0), first_year=0), 3000)
    kernels.settle(tree, parameters(seed), (seed, 0, 0))
    return tree


def branch_place(tree: Arrays) -> tuple[float, float]:
    """Height and clock position of the thickest side branch on the trunk."""
    real, whole, n = tree[0], tree[1], int(tree[4][0])
    parent = whole[at.PARENT, :n]
    side = [r for r in range(1, n) if whole[at.ORDER, r] == 1 and whole[at.ORDER, parent[r]] == 0]
    row = max(side, key=lambda each: real[at.WOOD, each])
    turn = math.atan2(real[at.DIR_X, row], real[at.DIR_Y, row]) % (2 * math.pi)
    return float(real[at.END_Z, parent[row]]), turn * 6.0 / math.pi


def sizes_of(work: str, tree: Arrays) -> tuple[float, float, float, float, float]:
    """A usual (height, share, litres, clock, extra) of a work."""
    height, clock = branch_place(tree)
    if work in {"air_layer", "chop"}:
        return 160.0, 0.0, 0.0, -1.0, 0.0
    if work == "ground_layer":
        return 15.0, 0.0, 0.0, -1.0, 0.0
    litres = 8.0 if work in {"repot", "lift", "root_rescue"} else 0.0
    extra = {"guy": 2.0, "feed": 1.1, "wire": 25.0, "repot": 0.7}.get(work, 0.0)
    return height, 0.0, litres, clock, extra


def done(
    work: str,
    trees: tuple[Arrays, Arrays],
    par: FloatArray,
    sizes: tuple[float, ...],
    half: np.int64 = SPRING,
) -> None:
    """Do one work as a course does it."""
    from ringwise.futures.act_kernels import act

    plan = plan_of(Course("none", "", ""), START, KEYS)
    act(trees, par, LUCK, (half, np.int64(CODES[work]), *sizes), plan)


def copy_of(tree: Arrays) -> list[NDArray[Any]]:
    """All that is in use of a tree, bit by bit."""
    n = int(tree[4][0])
    return [tree[0][:, :n].copy(), tree[1][:, :n].copy(), tree[2][:n].copy(), tree[3].copy()]


def assert_same(tree: Arrays, before: list[NDArray[Any]]) -> None:
    """The tree is the same to the last bit."""
    for now, then in zip(copy_of(tree), before, strict=True):
        np.testing.assert_array_equal(now, then)


def wood_of(*trees: Arrays) -> dict[int, float]:
    """Wood area by the name of a segment."""
    out: dict[int, float] = {}
    for tree in trees:
        n = int(tree[4][0])
        out |= dict(zip(tree[2][:n].tolist(), tree[0][at.WOOD, :n].tolist(), strict=True))
    return out


@every
def test_it_has_minutes_for_every_size_and_words(work: str) -> None:
    assert operation_words(work)
    for size in (*POT_SIZES, "F"):
        minutes = minutes_by_code(size)[CODES[work]]
        assert minutes > 0 or work == "rest", size


@every
def test_a_course_can_ask_for_it(work: str) -> None:
    course = Course("one", "One", "", (Step(0, "spring", work),))
    codes = plan_of(course, START, KEYS)[0]
    assert codes[0, 2] == CODES[work]


@every
@pytest.mark.parametrize("seed", SEEDS)
def test_parents_stay_before_children_and_no_wood_is_lost_but_by_removal(work: str, seed: int) -> None:
    trees, par = (tree_of(seed), tree_of(seed)), parameters(seed)
    trees[1][4][0] = 0
    before = wood_of(trees[0])
    done(work, trees, par, sizes_of(work, trees[0]))
    for tree in trees:
        if int(tree[4][0]) > 0:
            checked(table_of(tree, first_year=0))
        assert not tree[1][at.MARK, : int(tree[4][0])].any()
    for name, area in wood_of(*trees).items():
        assert area >= before.get(name, 0.0) * (1 - 1e-6)
    assert np.isfinite(np.delete(trees[0][3], at.LITRES)).all()
    assert 0 < trees[0][3][at.ROOT] <= 1
    assert 0 <= trees[0][3][at.RESERVE] <= 1


@every
def test_the_same_seed_gives_the_same_bits(work: str) -> None:
    par = parameters(1)
    one, two = ((tree_of(1), tree_of(2)) for _run in range(2))
    for trees in (one, two):
        trees[1][4][0] = 0
        done(work, trees, par, sizes_of(work, trees[0]))
    for a, b in zip(one, two, strict=True):
        assert_same(a, copy_of(b))


@every
def test_a_dead_tree_is_not_worked_on(work: str) -> None:
    tree, par = tree_of(1), parameters(1)
    tree[3][at.ALIVE] = 0.0
    before = copy_of(tree)
    done(work, (tree, tree_of(1)), par, sizes_of(work, tree))
    assert_same(tree, before)


@pytest.mark.parametrize("work", sorted(NOTHING))
def test_work_that_finds_nothing_to_do_is_no_event(work: str) -> None:
    tree, par = tree_of(1), parameters(1)
    before = copy_of(tree)
    done(work, (tree, tree_of(1)), par, (0.0, 0.0, 0.0, -1.0, 0.0))
    tree[3][at.DONE_SPRING] = before[3][at.DONE_SPRING]  # that it was done is noted for what comes after
    assert_same(tree, before)


@pytest.mark.parametrize("work", ["prune", "structural_prune", "head_back", "wire"])
def test_a_place_without_a_branch_is_left_alone(work: str) -> None:
    tree, par = tree_of(1), parameters(1)
    before = copy_of(tree)
    done(work, (tree, tree_of(1)), par, NO_BRANCH)
    tree[3][at.DONE_SPRING] = before[3][at.DONE_SPRING]
    assert_same(tree, before)


def test_prune_nothing_equals_no_event_over_the_years_after() -> None:
    from ringwise.growth import kernels
    from ringwise.growth.step import light_grid

    par, grid = parameters(1), light_grid()
    one, two = tree_of(1), tree_of(1)
    done("prune", (two, tree_of(1)), par, (0.0, 0.0, 0.0, -1.0, 0.0))
    for year in range(2):
        for tree in (one, two):
            kernels.weather_year(tree, par, (3, 0, year))
            kernels.spring(tree, par, (3, 0, year), grid)
            kernels.summer(tree, par, (3, 0, year), grid)
            kernels.end_year(tree)
    assert_same(two, copy_of(one))


@pytest.mark.parametrize("seed", SEEDS)
def test_removing_a_branch_removes_exactly_its_segments(seed: int) -> None:
    tree, par = tree_of(seed), parameters(seed)
    height, clock = branch_place(tree)
    from ringwise.operations import wood_effects

    row = int(wood_effects.branch_at(tree, par, height, clock))
    n = int(tree[4][0])
    gone = {row}
    for each in range(row + 1, n):
        if int(tree[1][at.PARENT, each]) in gone:
            gone.add(each)
    width = math.sqrt(tree[0][at.WOOD, row] * 4 / math.pi)
    parent = int(tree[1][at.PARENT, row])
    kept = set(tree[2][:n].tolist()) - {int(tree[2][each]) for each in gone}
    done("prune", (tree, tree_of(seed)), par, (height, 0.0, 0.0, clock, 0.0))
    assert set(tree[2][: int(tree[4][0])].tolist()) == kept
    assert tree[0][at.WOUND, parent] == pytest.approx(width if width > par[at.P_SCAR] else 0.0, rel=1e-5)


@pytest.mark.parametrize(
    ("work", "height"), [("air_layer", 160.0), ("air_layer", 60.0), ("ground_layer", 15.0)]
)
def test_a_layer_parts_segments_and_leaf_and_loses_the_ring_alone(work: str, height: float) -> None:
    tree, second, par = tree_of(1), tree_of(1), parameters(1)
    second[4][0] = 0
    done(work, (tree, second), par, (height, 0.0, 0.0, -1.0, 0.0), SUMMER)
    n = int(tree[4][0])
    ringed = (tree[1][at.FLAGS, :n] & at.RINGED) > 0
    ring_mm = float(tree[0][at.LENGTH, :n][ringed].sum())
    on_ring = set(tree[2][:n][ringed].tolist())
    leaf = float(tree[0][at.LEAF, :n].sum())
    tree[3][at.LAYER_STATE] = at.ROOTED
    done("separate_layer", (tree, second), par, (0.0, 0.0, 0.0, -1.0, 0.0))
    top, rest = int(tree[4][0]), int(second[4][0])
    lost = n - top - rest
    assert lost >= len(on_ring)
    both = float(tree[0][at.LEAF, :top].sum()) + float(second[0][at.LEAF, :rest].sum())
    if lost == len(on_ring):  # no side branch stood on the ring
        assert both == pytest.approx(leaf, rel=1e-4)
    assert not on_ring & set(wood_of(tree, second))
    if work == "air_layer" and rest:
        trunk = float(second[0][at.END_Z, :rest][second[1][at.ORDER, :rest] == 0].max())
        assert trunk == pytest.approx(height - ring_mm, abs=12.0)
    if work == "ground_layer":
        assert rest == 0
        assert tree[3][at.SECOND] == 0


def test_the_ring_has_the_width_of_the_rule() -> None:
    from ringwise.operations import layer_effects

    par = parameters(1)
    widths = {d: float(layer_effects.ring_width_mm(par, float(d))) for d in (5, 20, 30, 36, 60)}
    assert 5.0 <= widths[5] <= 2 * 5.0
    assert 20.0 <= widths[20] <= 2 * 20.0
    assert widths[36] <= 1.5 * 36.0
    assert widths[60] == 50.0
    assert max(widths.values()) <= 50.0


def test_a_clump_becomes_two_trees_and_nothing_is_lost() -> None:
    tree, second, par = tree_of(1), tree_of(1), parameters(1)
    second[4][0] = 0
    n, leaf = int(tree[4][0]), float(tree[0][at.LEAF].sum())
    whole = tree[1]
    row = next(
        r for r in range(2, n) if whole[at.ORDER, r] == 1 and whole[at.ORDER, whole[at.PARENT, r]] == 0
    )
    whole[at.PARENT, row] = 0  # a stem that starts at the foot
    done("split_clump", (tree, second), par, (0.0, 0.0, 4.0, -1.0, 0.0))
    top, rest = int(tree[4][0]), int(second[4][0])
    assert rest > 0
    assert top + rest == n
    both = float(tree[0][at.LEAF, :top].sum()) + float(second[0][at.LEAF, :rest].sum())
    assert both == pytest.approx(leaf, rel=1e-4)
    assert second[3][at.LITRES] == 4.0
    checked(table_of(second, first_year=0))


def test_planting_out_makes_the_litres_infinite_and_lifting_finite() -> None:
    tree, par = tree_of(1), parameters(1)
    done("field_plant", (tree, tree_of(1)), par, (0.0, 0.0, 0.0, -1.0, 0.0))
    assert math.isinf(tree[3][at.LITRES])
    roots = float(tree[3][at.ROOT])
    done("lift", (tree, tree_of(1)), par, (0.0, 0.4, 20.0, -1.0, 0.0))
    assert tree[3][at.LITRES] == 20.0
    assert tree[3][at.ROOT] == pytest.approx(0.6 * roots)


def test_root_rescue_cuts_no_healthy_root() -> None:
    tree, par = tree_of(1), parameters(1)
    tree[3][at.RESERVE] = 0.3
    roots = float(tree[3][at.ROOT])
    done("root_rescue", (tree, tree_of(1)), par, (0.0, 0.0, 0.0, -1.0, 0.9))
    assert tree[3][at.ROOT] == roots
    assert tree[3][at.ROOT_CUT] == 0.0
    assert tree[3][at.RESERVE] > 0.3


def test_feed_is_kept_from_the_weak_and_from_freshly_cut_roots() -> None:
    par = parameters(1)
    for reserve, cut, fed in ((0.8, 0.0, True), (0.3, 0.0, False), (0.8, 0.3, False)):
        tree = tree_of(1)
        tree[3][at.RESERVE], tree[3][at.ROOT_CUT] = reserve, cut
        done("feed", (tree, tree_of(1)), par, (0.0, 0.0, 0.0, -1.0, 1.1))
        assert (tree[3][at.FED] > 0) == fed
