"""What holds after every operation and half-year, whatever a hand does to a tree and in which order."""

from __future__ import annotations

import os

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwise.growth import layout as at
from ringwise.growth.biology import biology
from ringwise.growth.draws import Block, draw_parameters
from ringwise.growth.start import Arrays, Condition, start_arrays, table_of
from ringwise.growth.step import in_capacity, light_grid
from ringwise.kit.types import FloatArray
from ringwise.operations import effect_codes as do
from ringwise.operations.effect_rows import with_hands
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.forms import form_for
from ringwise.structure.table import checked
from ringwise.structure.tape_tree import tree_from_tape

SEQUENCES = 2000 if int(os.environ.get("RINGWISE_LONG", "0")) else 200
TAXA = (("morus_alba", "morus"), ("acer_palmatum", "acer"), ("fagus_crenata", "fagus"), ("pinus", "G6"))
_FORM = form_for(("any",))
_TABLE = tree_from_tape(tape_from_basics(18.0, 200.0, _FORM, seed=2), seed=2, form=_FORM)

HANDS = ("prune", "chop", "repot", "layer", "separate", "root_graft", "graft", "sever", "abandon", "cut_back")
hand = st.tuples(st.sampled_from((*HANDS, "rest")), st.floats(0.05, 0.95))


def _work(
    trees: tuple[Arrays, Arrays], par: FloatArray, luck: tuple[int, int, int], what: str, size: float
) -> None:
    from ringwise.operations import care_effects, effects, graft_effects, layer_effects

    tree, second = trees
    half = np.int64(0)
    if what == "prune":
        before, row = int(tree[4][0]), int(size * tree[4][0])
        parent = tree[1][at.PARENT, :before]
        gone = {row} if row > 0 else set()
        for each in range(row + 1, before):
            if int(parent[each]) in gone:
                gone.add(each)
        assert effects.cut_off(tree, par, row) == len(gone)
        assert tree[4][0] == before - len(gone)
    elif what == "chop":
        effects.chop(tree, par, luck, half, 250.0 * size)
    elif what == "repot":
        effects.repot(tree, par, luck, half, (0.9 * size, 0.0, np.int64(do.REPOT), 0.0))
    elif what == "layer":
        layer_effects.set_layer(tree, par, luck, half, 200.0 * size)
    elif what == "separate":
        _separate(trees, par, luck)
    elif what == "root_graft":
        graft_effects.root_graft(tree, par, luck, half)
    elif what == "graft":
        graft_effects.set_graft(tree, par, luck, half, (0.0, 0.0, -1.0))
    elif what == "sever":
        graft_effects.sever_graft(tree, par, luck)
    elif what == "abandon":
        graft_effects.abandon_graft(tree, par)
    elif what == "cut_back":
        care_effects.cut_back(tree, par, luck, np.full((16, 12), 120.0))
    assert second[4][0] >= 0


def _separate(trees: tuple[Arrays, Arrays], par: FloatArray, luck: tuple[int, int, int]) -> None:
    from ringwise.operations import layer_effects

    tree, second = trees
    n = int(tree[4][0])
    leaf = float(tree[0][at.LEAF, :n].sum())
    ringed = bool((tree[1][at.FLAGS, :n] & at.LAYERED).any())
    lost, lost_leaf = _in_the_ring(tree)
    layer_effects.separate(tree, second, par, luck, np.int64(0))
    if ringed:
        top, rest = int(tree[4][0]), int(second[4][0])
        assert top + rest == n - lost
        both = float(tree[0][at.LEAF, :top].sum()) + float(second[0][at.LEAF, :rest].sum())
        assert both == pytest.approx(leaf - lost_leaf, rel=1e-4, abs=1e-3)
        checked(table_of(second, first_year=0)) if rest else None


def _in_the_ring(tree: Arrays) -> tuple[int, float]:
    """Segments and leaf that a separation loses: the ringed wood and what grows from it, but not the top."""
    n, above, lost, leaf = int(tree[4][0]), set(), set(), 0.0
    for row in range(n):
        parent, flags = int(tree[1][at.PARENT, row]), int(tree[1][at.FLAGS, row])
        if flags & at.LAYERED or parent in above:
            above.add(row)
        elif flags & at.RINGED or parent in lost:
            lost.add(row)
            leaf += float(tree[0][at.LEAF, row])
    return len(lost), leaf


def _invariants(tree: Arrays, wood: dict[int, float]) -> None:
    n = int(tree[4][0])
    checked(table_of(tree, first_year=0))
    children = np.bincount(tree[1][at.PARENT, 1:n], minlength=n)
    assert tree[1][at.CHILDREN, :n].tolist() == children.tolist()
    ids = tree[2][:n].tolist()
    assert len(set(ids)) == n
    for name, area in zip(ids, tree[0][at.WOOD, :n].tolist(), strict=True):
        assert area >= wood.get(name, 0.0) * (1 - 1e-6)
        wood[name] = area
    assert (tree[0][at.LEAF, :n] >= 0).all()
    assert (tree[0][at.WOUND, :n] >= 0).all()
    assert (tree[1][at.BUDS, :n] >= 0).all()
    pools = tree[3]
    assert 0 <= pools[at.RESERVE] <= 1
    assert 0 < pools[at.ROOT] <= 1
    assert 0 <= int(pools[at.SECTORS]) < 4096
    assert np.isfinite(pools).all()


def _live(taxon: tuple[str, ...], seed: int, work: list[tuple[str, float]]) -> Arrays:
    from ringwise.growth import kernels
    from ringwise.operations import graft_effects, year_effects

    par = with_hands(draw_parameters(biology(taxon), Block(seed, 0, 1)))[0]
    par[[at.P_AIM_HEIGHT, at.P_AIM_SPREAD, at.P_AIM_TIPS]] = 250.0, 240.0, 60.0
    start = start_arrays(_TABLE, Condition(4.0), first_year=0)
    trees = (in_capacity(start, 3000), in_capacity(start, 3000))
    tree, grid, wood = trees[0], light_grid(), {}
    kernels.settle(tree, par, (seed, 0, 0))
    for year, (what, size) in enumerate(work):
        luck = (seed, 0, year)
        _work(trees, par, luck, what, size)
        _invariants(tree, wood)
        kernels.weather_year(tree, par, luck)
        kernels.spring(tree, par, luck, grid)
        graft_effects.pass_half(tree, par, luck, np.int64(0))
        _invariants(tree, wood)
        kernels.summer(tree, par, luck, grid)
        kernels.end_year(tree)
        year_effects.end_works(tree, par, luck)
        _invariants(tree, wood)
    return tree


@settings(max_examples=SEQUENCES)
@given(st.sampled_from(TAXA), st.integers(0, 1000), st.lists(hand, min_size=1, max_size=6))
def test_a_tree_stays_a_tree_under_any_sequence_of_work(
    taxon: tuple[str, ...], seed: int, work: list[tuple[str, float]]
) -> None:
    _live(taxon, seed, work)


@settings(max_examples=SEQUENCES // 10)
@given(st.sampled_from(TAXA), st.integers(0, 1000), st.lists(hand, min_size=1, max_size=5))
def test_the_same_seed_and_work_give_the_same_bits(
    taxon: tuple[str, ...], seed: int, work: list[tuple[str, float]]
) -> None:
    one, two = (_live(taxon, seed, work) for _run in range(2))
    n = int(one[4][0])
    assert int(two[4][0]) == n
    for a, b in zip(one[:2], two[:2], strict=True):
        np.testing.assert_array_equal(a[:, :n], b[:, :n])
    np.testing.assert_array_equal(one[2][:n], two[2][:n])
    np.testing.assert_array_equal(one[3], two[3])
