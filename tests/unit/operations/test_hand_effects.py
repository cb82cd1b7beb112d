"""What a hand does over the year and what it left behind: pinches, leaf cuts, wounds that rot."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringwise.growth import layout as at
from ringwise.growth.biology import biology
from ringwise.growth.draws import Block, draw_parameters
from ringwise.growth.start import Arrays, Condition, start_arrays
from ringwise.growth.step import in_capacity
from ringwise.kit import chance
from ringwise.kit.types import FloatArray
from ringwise.operations.effect_rows import with_hands
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.forms import form_for
from ringwise.structure.tape_tree import tree_from_tape

_FORM = form_for(("any",))
_TABLE = tree_from_tape(tape_from_basics(18.0, 200.0, _FORM, seed=2), seed=2, form=_FORM)
_TREES = 400


def _parameters() -> FloatArray:
    return with_hands(draw_parameters(biology(("acer_palmatum", "acer")), Block(3, 0, 1)))[0]


def _tree() -> Arrays:
    return in_capacity(start_arrays(_TABLE, Condition(4.0), first_year=0), 3000)


def test_a_pinch_holds_until_the_next_flush_whichever_half_it_was_made_in() -> None:
    from ringwise.growth import kernels
    from ringwise.growth.step import light_grid
    from ringwise.operations.care_effects import pinch

    par, grid = _parameters(), light_grid()
    units = []
    for pinched_before in (False, True):
        tree = _tree()
        kernels.settle(tree, par, (3, 0, 0))
        kernels.spring(tree, par, (3, 0, 0), grid)
        if pinched_before:
            pinch(tree, par, 1.0)
        kernels.summer(tree, par, (3, 0, 0), grid)
        kernels.end_year(tree)
        kernels.spring(tree, par, (3, 0, 1), grid)
        units.append(float(tree[3][at.UNIT]))
        assert tree[3][at.PINCHED] == 0.0
    assert units[1] / units[0] == pytest.approx(1.0 - par[at.P_PINCH])


def test_shoots_get_their_length_back_in_years_without_a_leaf_cut() -> None:
    from ringwise.growth import kernels
    from ringwise.operations.care_effects import take_leaf

    par, tree, spent = _parameters(), _tree(), []
    for cut in (1.0, 1.0, 0.0, 0.0):
        tree[3][at.DEFOLIATED] = 0.0
        take_leaf(tree, cut)
        kernels.lose_leaf(tree, par)
        spent.append(float(tree[3][at.SPENT]))
    each = 1.0 - par[at.P_LEAF_GROWTH] ** (1.0 / par[at.P_LEAF_CUT])
    assert spent[0] == pytest.approx(each)
    assert spent[1] == pytest.approx(1.0 - (1.0 - each) ** 2)
    assert spent[2:] == pytest.approx([spent[1] * 0.5, spent[1] * 0.25])


def _with_rot(row: int, share: float) -> Arrays:
    """A tree with an open wound that rots at a segment, as wide as a share of the wood there."""
    tree = _tree()
    tree[0][at.WOUND, row] = share * math.sqrt(tree[0][at.WOOD, row] * 4.0 / math.pi)
    tree[1][at.FLAGS, row] |= at.DECAYED
    return tree


@pytest.mark.parametrize("share", [0.25, 0.5, 1.0])
def test_a_wound_that_rots_costs_what_stands_above_it_by_its_share_of_the_girth(share: float) -> None:
    from ringwise.operations.year_effects import rot_on

    par = _parameters()
    par[at.P_ROT_LOSS] = 0.8
    row = int(np.flatnonzero(_TABLE.order == 1)[0])
    lost = 0
    for future in range(_TREES):
        tree = _with_rot(row, share)
        n, name = int(tree[4][0]), int(tree[2][row])
        draw = chance.uniform(3, future, 1, 1, chance.Purpose.ROT_LOSS, np.array([name], np.uint64))[0]
        gone = int(rot_on(tree, par, (3, future, 1)))
        assert (gone > 0) == (draw < 0.8 * np.float32(share))
        assert int(tree[4][0]) == n - gone
        assert tree[3][at.ALIVE] == 1.0
        lost += gone > 0
    assert lost / _TREES == pytest.approx(0.8 * share, abs=4 * math.sqrt(0.25 / _TREES))


def test_a_tree_that_rots_at_its_foot_may_be_lost_and_a_closed_wound_costs_nothing() -> None:
    from ringwise.operations.year_effects import rot_on

    par = _parameters()
    par[at.P_ROT_LOSS] = 1.0
    foot = _with_rot(0, 1.0)
    rot_on(foot, par, (3, 0, 1))
    assert foot[3][at.ALIVE] == 0.0
    closed = _with_rot(0, 1.0)
    closed[0][at.WOUND, 0] = 0.0
    assert rot_on(closed, par, (3, 0, 1)) == 0
    assert closed[3][at.ALIVE] == 1.0
    sound = _with_rot(0, 1.0)
    sound[1][at.FLAGS, 0] &= ~at.DECAYED
    assert rot_on(sound, par, (3, 0, 1)) == 0


def test_open_ground_binds_no_roots_of_a_stock() -> None:
    from ringwise.operations.graft_effects import bound_shift

    par, tree = _parameters(), _tree()
    tree[3][at.SINCE_REPOT] = 30.0
    assert bound_shift(tree, par) == par[at.P_POT_BOUND] < 0.0
    tree[3][at.LITRES] = math.inf
    assert bound_shift(tree, par) == 0.0
