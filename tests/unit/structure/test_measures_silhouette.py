"""Measures against arithmetic by hand; drawings that span what the tree spans."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from ringwise.structure.basics import tape_from_basics
from ringwise.structure.branching import branches
from ringwise.structure.forms import form_for
from ringwise.structure.measured import measured_of
from ringwise.structure.measures import measures, proportions, trunk_diameter_at
from ringwise.structure.outline import Line, ribbon, root_lines, smoothed, strokes
from ringwise.structure.silhouette import Silhouette, silhouette
from ringwise.structure.table import SegmentTable, single_segment
from ringwise.structure.tape_tree import tree_from_tape


def hand_tree() -> SegmentTable:
    """200 mm of trunk in two pieces, 20 to 10 to 8 mm thick; at 100 mm a level branch to the right."""
    diameter = np.array([20.0, 10.0, 6.0, 4.0])
    wood = np.pi / 4 * diameter**2
    return SegmentTable(
        parent=np.array([-1, 0, 0, 2]),
        order=np.array([0, 0, 1, 1]),
        born=np.zeros(4),
        length_mm=np.array([100.0, 100.0, 60.0, 40.0]),
        direction=np.array([[0, 0, 1.0], [0, 0, 1.0], [1.0, 0, 0], [0, 0, 1.0]]),
        wood_mm2=wood,
        sapwood_mm2=wood,
        leaf_cm2=np.array([0, 30.0, 0, 12.0]),
        buds=np.ones(4),
        clone=np.zeros(4),
        flags=np.array([1, 1, 0, 0]),
    )


def test_measures_by_hand() -> None:
    shape = measures(hand_tree(), root_sectors=[True, False] * 6)
    assert shape.height_mm == pytest.approx(200.0)
    assert shape.base_diameter_mm == pytest.approx(20.0, rel=1e-6)
    assert shape.base_girth_mm == pytest.approx(62.8319, rel=1e-5)
    assert shape.half_height_diameter_mm == pytest.approx(10.0, rel=1e-6)
    assert shape.taper_ratio == pytest.approx(0.5, rel=1e-6)
    assert shape.height_to_base_ratio == pytest.approx(10.0, rel=1e-6)
    assert shape.spread_mm == pytest.approx(60.0, rel=1e-3)
    assert shape.first_branch_frac == pytest.approx(0.5)
    assert shape.movement_frac == pytest.approx(0.0, abs=1e-9)
    assert (shape.tips, shape.strahler, shape.root_sectors_filled) == (2, 2, 6)
    assert shape.leaf_cm2 == pytest.approx(42.0)
    (branch,) = branches(measured_of(hand_tree()))
    assert (branch.height_mm, branch.length_mm) == (pytest.approx(100.0), pytest.approx(100.0))
    assert branch.clock == pytest.approx(3.0)
    assert branch.base_diameter_mm == pytest.approx(6.0, rel=1e-6)
    assert (branch.tips, branch.tips_frac) == (1, 0.5)


def test_wood_volume_is_that_of_frustums() -> None:
    def frustum(low_mm: float, high_mm: float, length_mm: float) -> float:
        return math.pi / 12 * length_mm * (low_mm**2 + low_mm * high_mm + high_mm**2)

    by_hand = frustum(20, 10, 100) + frustum(10, 6, 100) + frustum(6, 4, 60) + frustum(4, 2.4, 40)
    assert measures(hand_tree()).wood_cm3 == pytest.approx(by_hand / 1000, rel=1e-5)


def test_trunk_diameter_lies_between_its_nodes() -> None:
    table = hand_tree()
    assert trunk_diameter_at(table, 50.0) == pytest.approx(15.0, rel=1e-6)
    assert trunk_diameter_at(table, 900.0) == pytest.approx(6.0, rel=1e-6)


def test_a_single_shoot_has_no_branches_and_says_unknown_for_roots() -> None:
    shape = measures(single_segment(length_mm=40.0, diameter_mm=4.0))
    assert shape.first_branch_frac is None
    assert shape.root_sectors_filled is None


def test_every_proportion_is_marked_as_practice_and_has_a_range() -> None:
    rows = proportions()
    assert {row.key for row in rows} >= {"height_to_base", "taper", "root_spread", "pot", "movement"}
    for row in rows:
        assert (row.basis, row.source) == ("practice", "practice")
        assert row.low is not None
        assert row.high is not None
        assert row.low <= row.number <= row.high


def _area(polygon: np.ndarray) -> float:
    x, y = polygon[:, 0], polygon[:, 1]
    return abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2.0


def test_a_ribbon_has_the_area_of_its_taper() -> None:
    outline = ribbon(np.array([[0.0, 0.0], [0.0, 100.0]]), np.array([20.0, 10.0]), flat_base=True)
    cap = _area(np.array([[-5.0, 0], [-3.5355, 3.5355], [0, 5], [3.5355, 3.5355], [5, 0]]))
    assert _area(outline) == pytest.approx(1500.0 + cap, rel=1e-4)


def test_a_drawing_from_the_front_spans_the_tree_and_from_behind_mirrors_it() -> None:
    front = silhouette(hand_tree(), roots=False)
    back = silhouette(hand_tree(), view_clock=12.0, roots=False)
    assert front.right_mm == pytest.approx(62.0, abs=4.0)  # the bend at its end is rounded
    assert back.left_mm == pytest.approx(-front.right_mm, abs=1e-6)
    assert front.top_mm == pytest.approx(200.0, abs=5.0)
    assert front.polygons[0][:, 1].min() == pytest.approx(0.0, abs=1e-9)


def test_from_the_side_the_right_hand_branch_points_at_the_viewer_and_lies_in_front() -> None:
    side = silhouette(hand_tree(), view_clock=3.0, roots=False)
    assert side.width_mm < 25.0
    depths = [shape.depth_mm for shape in side.shapes]
    assert depths == sorted(depths)
    assert depths[-1] > 20.0


def test_chains_become_one_shape_each_and_thin_wood_becomes_strokes() -> None:
    form = form_for(("acer",))
    table = tree_from_tape(tape_from_basics(60.0, 480.0, form, seed=2), seed=2, form=form)
    chains = table.n - int((table.continued_by >= 0).sum())
    fine = silhouette(table, roots=False)
    assert len(fine.shapes) == chains
    coarse = silhouette(table, stroke_below_mm=3.0, roots=False)
    assert len(coarse.polygons) < len(fine.polygons)
    assert all(shape.width_mm < 3.5 for shape in coarse.shapes)
    assert any(shape.width_mm > 0 for shape in coarse.shapes)


def test_every_number_drawn_is_finite_also_when_a_shoot_points_at_the_viewer() -> None:
    table = hand_tree()
    direction = table.direction.copy()
    direction[2:] = [0.0, -1.0, 0.0]
    drawing = silhouette(replace(table, direction=direction))
    assert isinstance(drawing, Silhouette)
    assert all(np.isfinite(shape.points_mm).all() for shape in drawing.shapes)


def test_roots_are_drawn_where_they_were_seen() -> None:
    left_only = [False] * 12
    left_only[8] = True
    lines = root_lines(90.0, 6.0, left_only)
    assert len(lines) == 1
    assert lines[0].points_mm[-1, 0] < -60.0
    assert root_lines(20.0, 40.0, None) == []


def test_strokes_of_nearly_one_width_are_one_run() -> None:
    points = np.stack([np.zeros(5), np.arange(5.0)], axis=1)
    runs = strokes(points, np.array([1.0, 1.0, 1.0, 0.3, 0.3]))
    assert len(runs) >= 2
    assert sum(len(run) - 1 for run, _width in runs) == 4


def test_rounding_a_bend_keeps_every_node_and_leaves_straight_lines_alone() -> None:
    bent = Line(np.array([[0.0, 0, 0], [0, 0, 30.0], [30.0, 0, 30.0]]), np.array([3.0, 2.0, 1.0]))
    curve = smoothed(bent)
    np.testing.assert_array_equal(curve.points_mm[::2], bent.points_mm)
    assert curve.points_mm[3, 2] > 30.0
    straight = Line(np.array([[0.0, 0, 0], [0, 0, 30.0], [1.0, 0, 60.0]]), np.array([3.0, 2.0, 1.0]))
    assert smoothed(straight) is straight
