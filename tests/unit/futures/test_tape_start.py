"""A tree that starts from tape: its first years are like those that follow, not a leap and a halt.

Taken as a grower would see it: thickening of trees held to their outline, in the mean of some futures.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest

from ringwise.futures.catalogue import ready_course
from ringwise.futures.simulate import Run, parameters_of, simulate, start_trees
from ringwise.futures.start import Aim, Start
from ringwise.growth import layout as at
from ringwise.growth.biology import biology
from ringwise.growth.draws import Block
from ringwise.growth.start import Condition, litres_of_ground
from ringwise.growth.step import in_capacity, light_grid
from ringwise.records.taxa import lookup_keys
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.forms import form_for
from ringwise.structure.measures import measures
from ringwise.structure.tape_tree import tree_from_tape

KINDS = ("crataegus_laevigata", "fagus_sylvatica", "morus_alba")


def _held(kind: str, litres: float, *, held: bool = True) -> Start:
    form = form_for(lookup_keys(kind))
    tables = tuple(
        tree_from_tape(tape_from_basics(42.0, 600.0, form, seed=seed), seed=seed, form=form, born_year=2026)
        for seed in range(3)
    )
    size = measures(tables[0])
    aim = Aim(size.height_mm, size.spread_mm) if held else Aim()
    return Start(tables, Condition(litres, 4, 1.0), 2027, aim=aim)


@lru_cache(maxsize=4)
def _thickening_mm(kind: str) -> np.ndarray:
    """Mean thickening of the base in each of seven years."""
    lives = simulate(
        _held(kind, 5.0), ready_course("as_it_is"), biology(lookup_keys(kind)), Run(40, 7, seed=3)
    )
    return np.asarray(np.nanmean(np.diff(lives.of("base_mm"), axis=1), axis=0))


@pytest.mark.parametrize("kind", KINDS)
def test_the_first_ring_is_like_those_after_it(kind: str) -> None:
    grown = _thickening_mm(kind)
    later = float(grown[1:].mean())
    assert 0.4 * later < grown[0] < 2.0 * later
    assert grown[1:4].mean() > 0.4 * later  # and no halt after it


@pytest.mark.parametrize("litres", [5.0, litres_of_ground()])
def test_a_tree_begins_with_the_sapwood_of_the_leaf_it_bears(litres: float) -> None:
    from ringwise.growth.kernels import spring
    from ringwise.growth.start_kernels import begin_tree
    from ringwise.growth.tree_kernels import sum_down
    from ringwise.growth.wood_kernels import pipe_demand

    start, life = _held("crataegus_laevigata", litres), biology(lookup_keys("crataegus_laevigata"))
    par, luck, grid = parameters_of(start, life, Block(5, 0, 1))[0], (5, 0, 0), light_grid()
    first = start_trees(start)[0]
    tree, scratch = in_capacity(first), in_capacity(first)
    begin_tree((tree, scratch), par, luck, grid)
    n = int(first[4][0])
    assert int(tree[4][0]) == n
    assert int(scratch[4][0]) == 0
    assert not scratch[3].any()
    sapwood, leaf_cm2 = tree[0][at.SAPWOOD, :n].copy(), tree[3][at.LEAF_REFERENCE]
    spring(tree, par, luck, grid)
    assert tree[3][at.LEAF_FLUSH] == pytest.approx(leaf_cm2, rel=0.3)
    rows = int(tree[4][0])
    tree[0][at.ABOVE, :rows] = tree[0][at.LEAF, :rows]
    sum_down(tree, at.ABOVE)
    asked = pipe_demand(float(tree[0][at.ABOVE, 0]), par, float(tree[3][at.LEAF_UNIT]))
    assert sapwood[0] == pytest.approx(min(asked, float(tree[0][at.WOOD, 0])), rel=0.3)


def test_only_trees_held_in_pots_begin_with_cut_shoots() -> None:
    for start, cut in (
        (_held("morus_alba", 5.0), True),
        (_held("morus_alba", 5.0, held=False), False),
        (_held("morus_alba", litres_of_ground()), False),
    ):
        whole = start_trees(start)[0][1]
        tips = whole[at.CHILDREN] == 0
        assert bool((whole[at.FLAGS, tips] & at.CUT_END > 0).all()) is cut
        assert not (whole[at.FLAGS, ~tips] & at.CUT_END).any()
