"""Each rule about faults on a tree that has the fault, and on one that just has not."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from ringwise.structure.branching import branches
from ringwise.structure.crown_side import crown_side
from ringwise.structure.faults import Fault, Seen, faults
from ringwise.structure.measured import How, MeasuredTree, attach, measured_of
from ringwise.structure.measures import measures
from ringwise.structure.movement import movement
from ringwise.structure.roots import TracedRoot
from ringwise.structure.standing import standings
from ringwise.structure.table import single_segment
from ringwise.structure.trunk_profile import thickenings
from ringwise.structure.wound_list import WoundReading, wounds

PIECE_MM, PIECES = 40.0, 10


def piece(length_mm: float, width_mm: float, way: tuple[float, float, float]) -> MeasuredTree:
    table = single_segment(length_mm=length_mm, diameter_mm=width_mm)
    unit = np.array([way]) / np.linalg.norm(way)
    return measured_of(replace(table, direction=unit), radius_sd_mm=0.1, position_sd_mm=0.5, how=How.IMAGE)


def trunk(widths: list[float] | None = None, lean: float = 0.35) -> MeasuredTree:
    """A tapering trunk of ten pieces that goes right and left by turns, so that it has no long stretch."""
    wide = widths or [40.0 - 3.5 * i for i in range(PIECES)]
    tree = piece(PIECE_MM, wide[0], (lean, 0.0, 1.0))
    for place, width in enumerate(wide[1:], start=1):
        tree = attach(tree, piece(PIECE_MM, width, (lean if place % 4 < 2 else -lean, 0.0, 1.0)), place - 1)
    return tree


def branch(
    tree: MeasuredTree,
    at: int,
    clock: float,
    width_mm: float = 8.0,
    rise: float = 0.2,
    length_mm: float = 120.0,
) -> MeasuredTree:
    """A branch on the upper end of a piece of the trunk, towards an hour of the clock."""
    turn = math.radians(90.0 - 30.0 * clock)  # 3 is to the right, 12 to the back
    return attach(tree, piece(length_mm, width_mm, (math.cos(turn), math.sin(turn), rise)), at)


def found(tree: MeasuredTree, **more: Any) -> list[Fault]:
    moves, size = movement(tree.table), measures(tree.table)
    mains = branches(tree, most_order=1)
    return list(faults(Seen(tree, mains, moves, size.height_mm, **more)))


def kinds(tree: MeasuredTree, **more: Any) -> set[str]:
    return {each.kind for each in found(tree, **more)}


def sound() -> MeasuredTree:
    """Branches right, left and back by turns, each thinner than the last."""
    tree = trunk()
    for at, clock, width in ((2, 3.0, 9.0), (3, 9.0, 8.0), (4, 12.0, 7.0), (5, 4.0, 6.0), (6, 8.0, 5.0)):
        tree = branch(tree, at, clock, width)
    return tree


def test_a_sound_tree_has_none() -> None:
    assert kinds(sound()) == set()


def test_bar_branches_lie_opposite_on_one_level() -> None:
    tree = branch(branch(trunk(), 3, 3.0, 9.0), 3, 9.0, 8.0)
    bar = next(each for each in found(tree) if each.kind == "bar")
    assert len(bar.rows) == 2
    assert bar.height_mm == pytest.approx(float(tree.table.end_mm[3, 2]))
    assert "bar" not in kinds(branch(branch(trunk(), 3, 3.0, 9.0), 3, 6.0, 8.0))
    assert "bar" not in kinds(branch(branch(trunk(), 9, 3.0, 3.0), 9, 9.0, 3.0))  # in the apex


def test_three_on_one_level_are_a_wheel_and_no_bar() -> None:
    tree = trunk()
    for clock in (2.0, 6.0, 10.0):
        tree = branch(tree, 3, clock, 8.0)
    assert "wheel" in kinds(tree)
    assert "bar" not in kinds(tree)


def test_parallel_branches_lie_close_above_each_other() -> None:
    tree = branch(branch(trunk(), 3, 3.0, 9.0), 4, 3.0, 8.0)
    assert "parallel" in kinds(tree)
    assert "parallel" not in kinds(branch(branch(trunk(), 3, 3.0, 9.0), 4, 5.0, 8.0))
    assert "parallel" not in kinds(branch(branch(trunk(), 3, 3.0, 9.0), 6, 3.0, 8.0))


def test_crossing_branches_touch_beyond_the_trunk() -> None:
    low = branch(trunk(), 2, 6.0, 8.0, rise=0.9)
    high = branch(low, 4, 6.0, 7.0, rise=-0.2)
    assert "crossing" in kinds(high)
    assert "crossing" not in kinds(branch(low, 4, 12.0, 7.0, rise=-0.2))
    assert "crossing" not in kinds(
        branch(branch(trunk(), 3, 3.0, 9.0), 3, 9.0, 8.0)
    )  # they meet in the trunk


def test_a_branch_inside_a_bend() -> None:
    """By hand: two pieces lean to the right and the next two to the left, so the first bend bulges right."""
    tree = trunk(lean=0.6)
    assert tree.table.end_mm[:3, 0].argmax() == 1
    assert "inner" in kinds(branch(tree, 1, 9.0))
    assert "inner" not in kinds(branch(tree, 1, 3.0))


def test_a_branch_that_drops_among_rising_ones() -> None:
    tree = trunk()
    for at, clock, width in ((1, 3.0, 9.0), (2, 9.0, 8.5), (4, 12.0, 7.0), (5, 4.0, 6.0), (6, 8.0, 5.0)):
        tree = branch(tree, at, clock, width, rise=1.0)
    assert "against_style" not in kinds(tree)
    assert "against_style" in kinds(branch(tree, 3, 6.0, 8.0, rise=-0.7))


def test_a_branch_thicker_than_one_below() -> None:
    thin_below = branch(branch(trunk(), 2, 3.0, 6.0), 5, 9.0, 8.0)
    assert "thick_high" in kinds(thin_below)
    assert "thick_high" not in kinds(branch(branch(trunk(), 2, 3.0, 7.0), 5, 9.0, 8.0))


def test_a_branch_of_more_than_half_the_trunk() -> None:
    assert "thick_branch" in kinds(branch(trunk(), 3, 3.0, 15.0))
    assert "thick_branch" not in kinds(branch(trunk(), 3, 3.0, 11.0))


def test_inverse_taper_tells_where_and_by_how_much() -> None:
    widths = [40.0, 36.0, 30.0, 33.0, 34.0, 28.0, 24.0, 20.0, 15.0, 10.0]
    stretch = thickenings(trunk(widths), least_frac=0.03)
    assert len(stretch) == 1
    assert (stretch[0].thin_mm, stretch[0].thick_mm) == pytest.approx((30.0, 34.0), rel=1e-6)
    assert stretch[0].from_mm < stretch[0].to_mm
    assert "inverse_taper" in kinds(trunk(widths))
    tree = trunk(widths)
    unsure = MeasuredTree(tree.table, tree.radius_sd_mm * 20.0, tree.position_sd_mm, tree.how)
    assert thickenings(unsure, least_frac=0.03) == ()  # 4 mm are within a spread of 4 mm


def test_a_long_straight_stretch() -> None:
    straight = trunk(lean=0.0)
    assert "straight" in kinds(straight)
    assert "straight" not in kinds(straight, lines_seen=False)  # nobody saw the line of a tape's trunk


def test_a_scar_that_faces_the_viewer() -> None:
    seen = wounds([WoundReading(date(2027, 3, 1), 90.0, 5.5, 12.0)])
    closed = wounds([*seen[0].readings, WoundReading(date(2030, 3, 1), 92.0, 6.0, 0.0)])
    behind = wounds([WoundReading(None, 90.0, 11.0, 12.0)])
    assert "front_scar" in kinds(sound(), wounds=seen)
    assert kinds(sound(), wounds=closed) == set()
    assert kinds(sound(), wounds=behind) == set()


def test_wounds_of_one_place_are_one() -> None:
    readings = [
        WoundReading(date(2027, 3, 1), 90.0, 5.5, 12.0),
        WoundReading(date(2027, 3, 1), 90.0, 9.0, 6.0),
        WoundReading(date(2028, 3, 1), 93.0, None, 10.0),
        WoundReading(date(2028, 3, 1), 200.0, 5.5, 4.0),
    ]
    made = wounds(readings)
    # The one at 93 mm without a side belongs to either at 90 mm; the one that was named first has it.
    assert [[each.width_mm for each in wound.readings] for wound in made] == [[6.0], [12.0, 10.0], [4.0]]
    assert [each.latest.at_mm for each in made] == [90.0, 93.0, 200.0]
    assert all(each.is_open for each in made)


def test_a_wound_is_followed_as_its_place_is_read_a_little_higher_each_time() -> None:
    """Within 15 mm of the last reading, though more from the first; and round twelve o'clock."""
    clocks = (11.8, 0.3, 12.0)
    readings = [WoundReading(None, 90.0 + 10.0 * n, clock, 9.0) for n, clock in enumerate(clocks)]
    assert [len(each.readings) for each in wounds(readings)] == [3]


def test_a_reading_without_a_side_belongs_to_the_nearest_wound() -> None:
    high, low = WoundReading(None, 104.0, 3.0, 9.0), WoundReading(None, 90.0, 9.0, 9.0)
    made = wounds([high, low, WoundReading(None, 101.0, None, 5.0)])
    assert [each.latest.width_mm for each in made] == [9.0, 5.0]  # from the lowest up


def test_a_root_base_with_an_empty_side() -> None:
    roots = tuple(hour in (1, 2, 3, 4, 5, 6) for hour in range(1, 13))
    one_sided = next(each for each in found(sound(), root_sectors=roots) if each.kind == "one_sided")
    assert one_sided.clock == pytest.approx(9.5)  # the middle of 7 to 12
    assert kinds(sound(), root_sectors=(True, True, False) * 4) == set()
    assert kinds(sound(), root_sectors=(False,) * 12) == set()  # nobody saw any: the base is buried


def test_a_root_that_runs_back_is_a_reverse_root() -> None:
    across = TracedRoot(clock=9.0, base_mm=20.0, end_mm=15.0, base_clock=3.0)  # under the trunk to the left
    back = TracedRoot(clock=6.0, base_mm=60.0, end_mm=30.0)  # towards the trunk, 180 degrees
    named = [each for each in found(sound(), roots=(across, back)) if each.kind == "reverse_root"]
    assert [each.clock for each in named] == [3.0, 6.0]
    out = TracedRoot(clock=3.5, base_mm=20.0, end_mm=90.0, base_clock=3.0)
    round_the_trunk = TracedRoot(clock=5.0, base_mm=25.0, end_mm=29.0, base_clock=3.0)
    assert round_the_trunk.turned_deg == pytest.approx(112.7, abs=0.1)  # by hand: atan2(25.11, -10.50)
    cut = TracedRoot(clock=6.0, base_mm=60.0, end_mm=30.0, cut=True)
    short = TracedRoot(clock=6.0, base_mm=24.0, end_mm=20.0)  # 4 mm against a fifth of 40 mm
    assert "reverse_root" not in kinds(sound(), roots=(out, round_the_trunk, cut, short))


def test_proportions_say_below_within_and_above() -> None:
    tree = branch(trunk(), 3, 3.0, 15.0)
    told = {each.key: each.place for each in standings(measures(tree.table), branches(tree, most_order=1))}
    assert told["height_to_base.ratio"] == "within"
    assert told["branch_to_trunk.ratio"] == "above"
    assert told["ramification.strahler_order"] == "below"
    unseen = standings(measures(tree.table), (), branches_seen=False, lines_seen=False)
    assert {each.key for each in unseen} == {"height_to_base.ratio", "taper.half_to_base_ratio"}


def test_a_crown_is_seen_from_its_side() -> None:
    """A branch to the right widens the front view and is end-on in the view from the right."""
    tree = branch(trunk(lean=0.0), 3, 3.0, 8.0, rise=0.0, length_mm=200.0)
    front, right, back = (crown_side(tree.table, view_clock=clock) for clock in (6.0, 3.0, 12.0))
    assert front.width_mm == pytest.approx(200.0 + 20.0, abs=6.0)
    assert right.width_mm == pytest.approx(40.0, abs=6.0)
    assert front.outline_mm[:, 0].max() > 190.0  # to the right from the front
    assert back.outline_mm[:, 0].min() < -190.0  # to the left from behind
    rising = crown_side(branch(trunk(lean=0.0), 1, 3.0, 8.0, rise=1.0, length_mm=200.0).table)
    assert rising.wood_frac < 0.8  # the gap between trunk and branch is filled in the outline
    assert right.wood_frac > 0.95
