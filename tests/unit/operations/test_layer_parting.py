"""A ring that waits a second season; what each half takes along once it is separated."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringwise.growth import layout as at
from ringwise.growth.biology import biology
from ringwise.growth.draws import Block, draw_parameters
from ringwise.growth.start import Arrays, Condition, empty_arrays, start_arrays
from ringwise.growth.step import in_capacity
from ringwise.kit.types import FloatArray
from ringwise.operations.effect_rows import with_hands
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.forms import form_for
from ringwise.structure.tape_tree import tree_from_tape

RING_MM, LUCK, SUMMER = 120.0, (3, 0, 2), np.int64(1)
_FORM = form_for(("any",))
_TABLE = tree_from_tape(tape_from_basics(30.0, 320.0, _FORM, seed=4), seed=4, form=_FORM)


def _parted(graft_mm: float, state: int) -> tuple[Arrays, Arrays, FloatArray]:
    """A tree with a graft whose rooted layer was cut off: top, stump and what they were parted by."""
    from ringwise.growth import kernels
    from ringwise.operations import layer_effects

    par = with_hands(draw_parameters(biology(("acer_palmatum", "acer")), Block(1, 0, 1)))[0]
    tree = in_capacity(start_arrays(_TABLE, Condition(6.0), first_year=2027), 3000)
    second = empty_arrays(3000)
    kernels.settle(tree, par, LUCK)
    pools = tree[3]
    pools[at.GRAFT_HEIGHT], pools[at.GRAFT_STATE], pools[at.GRAFT_TAKES] = graft_mm, state, 1.0
    pools[at.FREE_YEARS], pools[at.FREE_MM] = 2.0, 200.0
    pools[at.ROOT_YEARS], pools[at.NEAR_YEARS] = 3.0, 4.0
    layer_effects.set_layer(tree, par, LUCK, SUMMER, RING_MM)
    pools[at.LAYER_STATE] = at.ROOTED
    layer_effects.separate(tree, second, par, LUCK, SUMMER)
    assert second[4][0] > 0
    return tree, second, par


def test_a_graft_above_the_ring_goes_with_the_top_at_its_place_on_the_wood() -> None:
    top, stump, _par = _parted(220.0, at.CALLUS)
    assert top[3][at.GRAFT_STATE] == at.CALLUS
    assert top[3][at.GRAFT_HEIGHT] == pytest.approx(220.0 - RING_MM, abs=2.0)
    assert stump[3][at.GRAFT_STATE] == at.NONE


@pytest.mark.parametrize("state", [at.PRESSED, at.SEVERABLE, at.ESTABLISHED])
def test_a_graft_below_the_ring_stays_on_the_stump(state: int) -> None:
    from ringwise.operations.graft_effects import sever_graft

    top, stump, par = _parted(40.0, state)
    assert stump[3][at.GRAFT_STATE] == state
    assert top[3][at.GRAFT_STATE] == at.NONE
    n = int(top[4][0])
    sever_graft(top, par, LUCK)  # there is nothing to cut from its roots
    assert int(top[4][0]) == n


def test_the_stump_has_the_wound_of_its_cut_and_a_leader_free_from_there() -> None:
    _top, stump, _par = _parted(40.0, at.NONE)
    n = int(stump[4][0])
    row = int(np.argmax(stump[0][at.WOUND, :n]))
    assert stump[0][at.WOUND, row] == pytest.approx(math.sqrt(4.0 / math.pi * stump[0][at.WOOD, row]))
    # The lower edge of the ring: what the ring took is lost from the stump.
    assert stump[3][at.FREE_MM] == pytest.approx(float(stump[0][at.END_Z, row]))
    assert stump[3][at.FREE_MM] < RING_MM - 20.0


def test_a_top_counts_a_chop_from_its_own_base_and_its_roots_are_new() -> None:
    top, _stump, _par = _parted(40.0, at.NONE)
    assert top[3][at.FREE_MM] == pytest.approx(200.0 - RING_MM, abs=2.0)
    assert top[3][at.ROOT_YEARS] == top[3][at.NEAR_YEARS] == 0.0


def test_work_in_the_second_season_of_a_ring_does_not_cost_it_a_third() -> None:
    from ringwise.operations import layer_effects
    from ringwise.operations.conflict_effects import hit_layer

    par = with_hands(draw_parameters(biology(("acer_palmatum", "acer")), Block(1, 0, 1)))[0]
    tree = in_capacity(start_arrays(_TABLE, Condition(6.0), first_year=2027), 3000)
    layer_effects.set_layer(tree, par, LUCK, SUMMER, RING_MM)
    pools = tree[3]
    pools[at.LAYER_DRAW], pools[at.LAYER_CHANCE] = 0.1, 0.9
    pools[at.LAYER_WEEKS], pools[at.LAYER_PENDING] = par[at.P_SEASON_WEEKS] + 2.0, 2.0
    layer_effects.pass_layer(tree)
    assert (pools[at.LAYER_STATE], pools[at.LAYER_PENDING]) == (at.SET, 1.0)
    hit_layer(pools, par, np.array([0.0, 0.0, 0.1, 0.0]))
    layer_effects.pass_layer(tree)
    assert pools[at.LAYER_STATE] == at.ROOTED
    layer_effects.set_layer(tree, par, LUCK, SUMMER, RING_MM)
    assert pools[at.LAYER_STATE] == at.ROOTED
