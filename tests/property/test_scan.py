"""The scan agrees with cutting the tree for real, at every height, on trees of any build."""

from __future__ import annotations

import os
from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwise.futures.rings import Lives, ring_width_mm
from ringwise.futures.scan import Scan, front_measures, scan, size_term
from ringwise.growth.biology import biology
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.cut_plane import cut_at
from ringwise.structure.forms import form_for
from ringwise.structure.measured import MeasuredTree, measured_of
from ringwise.structure.measures import measures, trunk_mask
from ringwise.structure.surgery import split_off
from ringwise.structure.tape_tree import tree_from_tape
from ringwise.structure.topology import subtree_mask

TREES = 300 if int(os.environ.get("RINGWISE_LONG", "0")) else 30
LIFE = biology(("ulmus", "G1"))


@lru_cache(maxsize=64)
def _tree(seed: int, trunk_mm: float, height_mm: float) -> MeasuredTree:
    form = form_for(("any",))
    tape = tape_from_basics(trunk_mm, height_mm, form, seed=seed)
    return measured_of(tree_from_tape(tape, seed=seed, form=form, born_year=2026))


trees = st.builds(
    _tree,
    st.integers(0, 50),
    st.sampled_from((18.0, 41.0, 92.0)),
    st.sampled_from((160.0, 440.0, 900.0)),
)


@settings(max_examples=TREES)
@given(trees)
def test_both_sides_are_those_of_a_single_cut(tree: MeasuredTree) -> None:
    found = scan(tree, LIFE)
    for place in range(0, len(found.along_mm), 7):
        cut = cut_at(found.trunk.plane, float(found.along_mm[place]))
        for side, one in ((found.above, cut.above), (found.below, cut.below)):
            assert side.height_mm[place] == pytest.approx(one.height_mm, rel=1e-9)
            assert side.base_girth_mm[place] == pytest.approx(one.girth_mm, rel=1e-9)
            assert side.tips_n[place] == one.tips
        assert found.rings.diameter_mm[place] == pytest.approx(cut.diameter_mm, rel=1e-9)
        assert found.height_mm[place] == pytest.approx(cut.height_mm, rel=1e-9)


@settings(max_examples=TREES)
@given(trees, st.data())
def test_the_top_is_the_tree_that_a_saw_leaves(tree: MeasuredTree, data: st.DataObject) -> None:
    table = tree.table
    rows = np.nonzero(trunk_mask(table))[0]
    node = data.draw(st.integers(1, len(rows) - 1))
    along_mm = float(table.length_mm[rows[:node]].astype(np.float64).sum())
    found = scan(tree, LIFE, along_mm=np.array([along_mm]))
    inside = subtree_mask(table, int(rows[node]))
    # What leaves the trunk at the cut itself comes off with the top; the saw leaves it on the stump.
    at_cut = (table.parent == rows[node - 1]) & (np.arange(table.n) != rows[node])
    for foot in np.nonzero(at_cut)[0]:
        inside |= subtree_mask(table, int(foot))
    tips = inside & (table.continued_by < 0)
    assert found.above.tips_n[0] == tips.sum()
    assert found.above.tips_n[0] + found.below.tips_n[0] == (table.continued_by < 0).sum()
    if not at_cut.any():
        top = measures(split_off(table, int(rows[node])).part)
        assert found.above.height_mm[0] == pytest.approx(top.height_mm, rel=1e-5)
        assert found.above.height_to_base_ratio[0] == pytest.approx(top.height_to_base_ratio, rel=1e-5)


@settings(max_examples=TREES)
@given(trees, st.booleans(), st.booleans())
def test_no_ring_is_set_where_the_stump_would_die(tree: MeasuredTree, green: bool, buds: bool) -> None:
    table = tree.table
    found = scan(tree, LIFE, Lives(green=green, buds=buds))
    for place in np.nonzero(found.rings.feasible)[0][::5]:
        node_mm = found.trunk.plane.along_mm[found.trunk.plane.node]
        below = node_mm < found.rings.lower_mm[place]
        leaf = bool((below & (table.leaf_cm2 > 0)).any())
        assert leaf or (buds and not green)
        assert found.rings.lower_mm[place] > 0
        assert found.stump_leaf_cm2[place] > 0 or buds
    if green:
        assert not scan(tree, LIFE, Lives(green=True)).rings.feasible[found.stump_leaf_cm2 <= 0].any()


@settings(max_examples=TREES)
@given(trees)
def test_the_front_is_beaten_by_none_and_stands_for_all(tree: MeasuredTree) -> None:
    found = scan(tree, LIFE)
    cost = front_measures(found.above, found.below, found.rooting_prob)
    feasible = np.nonzero(found.rings.feasible & (found.above.height_mm >= 60.0))[0]
    front = np.nonzero(found.front)[0]
    assert set(front) <= set(feasible)
    assert (len(front) > 0) == (len(feasible) > 0)
    for place in front:
        beats = (cost[feasible] <= cost[place]).all(axis=1) & (cost[feasible] < cost[place]).any(axis=1)
        assert not beats.any()
    for place in feasible:
        assert (cost[front] <= cost[place]).all(axis=1).any()


@settings(max_examples=TREES)
@given(trees)
def test_a_thicker_ring_is_no_wider_than_the_rule(tree: MeasuredTree) -> None:
    found: Scan = scan(tree, LIFE)
    wood, least, most = found.rings.diameter_mm, found.rings.least_mm, found.rings.most_mm
    assert (least <= most).all()
    assert (most <= 50.0).all()
    thin = wood <= 30.0
    np.testing.assert_allclose(least[thin], wood[thin])
    np.testing.assert_allclose(most[thin], np.minimum(2.0 * wood[thin], 50.0))
    np.testing.assert_allclose(most[~thin], np.minimum(1.5 * wood[~thin], 50.0))
    assert (found.rooting_low_prob < found.rooting_prob).all()
    assert (found.rooting_prob < found.rooting_high_prob).all()
    assert (found.rooting_prob[wood > 40.0] < found.rooting_prob[-1]).all() or (wood > 40.0).all()


def test_rings_of_the_rule_at_its_corners() -> None:
    """Practice: 1 to 2 times thin wood; above about 30 mm 1 to 1.5 times and at most about 50 mm."""
    least, most = ring_width_mm(np.array([8.0, 30.0, 32.0, 60.0]))
    assert least.tolist() == [8.0, 30.0, 32.0, 50.0]
    assert most.tolist() == [16.0, 50.0, 48.0, 50.0]


@pytest.mark.parametrize(
    ("height_mm", "term"),
    [(95.0, "mame"), (180.0, "shohin"), (300.0, "kifu"), (520.0, "chuhin"), (900.0, "dai"), (3000.0, "over")],
)
def test_sizes_have_the_terms_of_the_trade(height_mm: float, term: str) -> None:
    """Heights of the trade terms as commonly drawn: 10, 20, 35, 60 and about 100 cm; practice."""
    assert size_term(height_mm) == term
