"""What works that meet in one season cost: from the conflict table, by pair, by order, by vigour.

The waits are common practice (the trade's conflict table; over about 30 % of roots no layer before next
year, after light root work a layer is possible on strong fast trees and slower). Their costs are assumed.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from ringwise.growth import layout as at
from ringwise.growth.biology import biology
from ringwise.growth.draws import Block, draw_parameters
from ringwise.growth.start import empty_arrays
from ringwise.operations import effect_codes as do
from ringwise.operations.conflict_costs import conflict_arrays, earlier_classes, pair_cost, work_of
from ringwise.operations.conflicts import rule
from ringwise.operations.effect_rows import with_hands
from ringwise.operations.registry import OPERATIONS

SPRING, SUMMER = np.int64(0), np.int64(1)
Works = tuple[tuple[int, int, float], ...]  # (half, operation, share of roots)


def bare_tree(reserve: float = 0.8) -> Any:
    """A stem of one segment, of vigour 4."""
    tree = empty_arrays(4)
    tree[4][0], tree[1][at.PARENT, 0] = 1, -1
    tree[3][at.RESERVE], tree[3][at.ALIVE], tree[3][at.LITRES] = reserve, 1.0, 6.0
    return tree


def after(works: Works, group: str = "G1", reserve: float = 0.8, years: int = 0) -> Any:
    """The pools when the last work begins, the others done before it; seasons pass before it."""
    from ringwise.operations import conflict_effects as conflict

    tree, rules = bare_tree(reserve), conflict_arrays(group)
    par = with_hands(draw_parameters(biology(("acer",)), Block(1, 0, 1)))[0]
    for half, operation, share in works[:-1]:
        conflict.begin_work(tree, par, rules, np.int64(half), (np.int64(operation), share))
        conflict.end_work(tree, rules, np.int64(half), (np.int64(operation), share))
    for _year in range(years):
        conflict.end_season(tree[3])
    half, operation, share = works[-1]
    conflict.begin_work(tree, par, rules, np.int64(half), (np.int64(operation), share))
    return tree[3]


HEAVY, LIGHT = (0, do.REPOT, 0.4), (0, do.REPOT, 0.2)
RING = (1, do.AIR_LAYER, 0.0)


def test_a_ring_after_a_heavy_repot_pays_most_after_a_light_one_little_and_alone_nothing() -> None:
    alone, light, heavy = after((RING,)), after((LIGHT, RING)), after((HEAVY, RING))
    assert alone[at.COST_ODDS] == alone[at.COST_SLOW] == alone[at.COST_LIFE] == 0.0
    assert 0 < light[at.COST_SLOW] < heavy[at.COST_SLOW]
    assert 0 < light[at.COST_ODDS] < heavy[at.COST_ODDS]
    assert light[at.COST_LIFE] == 0.0 < heavy[at.COST_LIFE]
    assert alone[at.RESERVE] > light[at.RESERVE] > heavy[at.RESERVE]


def test_light_root_work_before_a_ring_is_dearer_on_slow_trees() -> None:
    assert after((LIGHT, RING), "G3")[at.COST_ODDS] > after((LIGHT, RING), "G1")[at.COST_ODDS]


def test_a_season_between_both_is_enough() -> None:
    assert after((HEAVY, RING), years=1)[at.COST_ODDS] == 0.0


def test_two_seasons_where_the_table_says_two() -> None:
    lift = (0, do.LIFT, 0.6)
    assert after((lift, HEAVY), years=1)[at.COST_LIFE] > 0.0
    assert after((lift, HEAVY), years=2)[at.COST_LIFE] == 0.0


def test_a_repot_after_a_ring_hits_the_ring_itself() -> None:
    from ringwise.operations import conflict_effects as conflict

    rules = conflict_arrays("G1")
    par = with_hands(draw_parameters(biology(("acer",)), Block(1, 0, 1)))[0]
    tree = bare_tree()
    pools = tree[3]
    conflict.begin_work(tree, par, rules, SPRING, (np.int64(do.GROUND_LAYER), 0.0))
    pools[at.LAYER_STATE], pools[at.LAYER_DRAW], pools[at.LAYER_CHANCE] = at.SET, 0.6, 0.7
    pools[at.LAYER_WEEKS] = 8.0
    conflict.settle_layer(pools, par)
    assert pools[at.LAYER_PENDING] == 1.0
    conflict.end_work(tree, rules, SPRING, (np.int64(do.GROUND_LAYER), 0.0))
    conflict.begin_work(tree, par, rules, SPRING, (np.int64(do.REPOT), 0.4))
    assert pools[at.LAYER_CHANCE] < 0.6
    assert pools[at.LAYER_WEEKS] > 8.0
    assert pools[at.LAYER_PENDING] == 0.0
    assert pools[at.COST_LIFE] > 0.0


def test_a_root_rescue_is_never_blocked_and_later_work_waits_for_it() -> None:
    rescue = (0, do.ROOT_RESCUE, 0.0)
    assert after((HEAVY, rescue))[at.COST_LIFE] == 0.0
    assert after((rescue, RING))[at.COST_ODDS] > 0.0


def test_weaker_trees_pay_for_more_pairs() -> None:
    wire, defoliate = (1, do.WIRE, 1.0), (1, do.PARTIAL_DEFOLIATION, 0.0)
    strong, weak = after((wire, defoliate)), after((wire, defoliate), reserve=0.3)
    assert strong[at.COST_LIFE] == 0.0
    assert weak[at.COST_LIFE] > 0.0


@pytest.mark.parametrize("effect", sorted(do.EFFECTS))
def test_each_effect_stands_in_the_table_as_its_own_work_or_sets_nothing_back(effect: str) -> None:
    code = do.EFFECTS[effect]
    classes, pairs, costs, _limits = conflict_arrays("G1")
    if work_of(effect) is None and effect not in {"fertilise"}:
        assert (classes[code] == -1).all()
        assert not pairs[:, :, code].any()
    assert pairs[:, :, code, :, 1].max() < len(costs)


@pytest.mark.parametrize("group", ["G1", "G3", "G6"])
def test_a_pair_costs_where_the_table_asks_for_a_wait_and_only_there(group: str) -> None:
    names = earlier_classes()
    pairs = conflict_arrays(group)[1]
    for effect, later in (("air_layer", "LAYER"), ("full_defoliation", "FULLDEF"), ("wire", "WIRE")):
        for bit, earlier in enumerate(names):
            found = rule(earlier, later, group=group, vigour=4)
            reach = pairs[0, bit, do.EFFECTS[effect], 1, 0]
            if not found.gap.meaningful or (found.gap.free and not found.tell):
                assert reach == 0, f"{earlier} {later}"
            else:
                assert reach >= 1, f"{earlier} {later}"
                assert reach == pair_cost(found)[0]


def test_what_stands_as_another_work_is_in_the_catalogue() -> None:
    assert {work_of(effect) for effect in do.EFFECTS} - {None} <= set(OPERATIONS)
