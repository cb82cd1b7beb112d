"""Courses that a tree is offered: feasible or not, with a reason; heights that spare what must live."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from standing_trees import maple, mulberry

from ringwise.futures.catalogue import course_at, course_keys, is_ready, ready_course
from ringwise.futures.course import QUESTIONS, Course, Step
from ringwise.futures.course_file import course_text, read_course
from ringwise.futures.feasible import check_feasible, ring_notes, unfeasible
from ringwise.futures.offers import MOST_SHOWN, offers, shown_first
from ringwise.futures.rings import trunk_of
from ringwise.futures.setting_dates import last_setting
from ringwise.futures.simulate import Run, simulate
from ringwise.growth.odds import odds_table
from ringwise.growth.start import Condition
from ringwise.kit.errors import InputError, MissingFieldError, NotReadyError, RangeError, UnknownNameError
from ringwise.structure.measured import measured_of
from ringwise.structure.surgery import attach
from ringwise.structure.table import Flag, SegmentTable, single_segment


def _ring(height: str, operation: str = "air_layer", reason: str = "") -> Course:
    return Course("layer", "Layer", "", (Step(0, "summer", operation, height),), reason=reason)


def _flagged(table: SegmentTable, height_mm: float, flag: Flag) -> SegmentTable:
    """The table with a flag on the trunk's segment that holds a height."""
    trunk = trunk_of(measured_of(table)).plane
    row = trunk.trunk_rows[np.searchsorted(trunk.place_mm[1:, 2], height_mm)]
    flags = table.flags.copy()
    flags[row] |= flag
    return replace(table, flags=flags)


def test_every_offer_says_why_and_the_feasible_ones_can_be_lived() -> None:
    for start, life in (mulberry(), maple()):
        offered = offers(start, life)
        assert offered[0].course.key == "as_it_is"
        assert len({each.course.key for each in offered}) == len(offered)
        for each in offered:
            assert each.why
            assert "\n" not in each.why
            if each.feasible:
                check_feasible(each.course, start, life)
            else:
                with pytest.raises(NotReadyError) as caught:
                    check_feasible(each.course, start, life)
                assert str(caught.value) == f"{each.course.key}: {each.why}"


def test_a_ring_that_a_chop_may_follow_goes_where_a_ring_can_be_set() -> None:
    start, life = mulberry()
    offered = [each for each in offers(start, life) if each.course.key.startswith("layer_then_chop")]
    assert offered
    assert all(each.feasible for each in offered)
    heights = [each.course.steps[0].height_mm for each in offered]
    assert heights == sorted(set(heights))
    assert len({each.why for each in offered}) == len(offered), "one ring for each branch that would lead on"


def test_the_offer_follows_what_the_tree_asks() -> None:
    start, life = mulberry()
    keys = [each.course.key for each in offers(start, life)]
    assert {"ground_layer", "root_grafts"} <= set(keys)
    assert not {"keep", "lift_now"} & set(keys)
    assert any(key.startswith("air_layer@") for key in keys)
    assert any(key.startswith("chop@") for key in keys)
    grafted = [each.course.key for each in offers(*maple())]
    assert {"keep", "redo", "abandon"} <= set(grafted)
    ground = replace(start, condition=replace(start.condition, volume_l=math.inf))
    keys = [each.course.key for each in offers(ground, life)]
    assert "lift_now" in keys
    assert "repot_gently" not in keys


def test_a_weak_tree_is_offered_rest_and_no_elective_work() -> None:
    start, life = mulberry()
    weak = replace(start, condition=replace(start.condition, vigour=2))
    able = {each.course.key for each in offers(weak, life) if each.feasible}
    assert able == {"as_it_is", "let_rest"}
    assert all("vigour 2" in each.why for each in offers(weak, life) if not each.feasible)


def test_what_is_lived_unasked_are_four_that_can_be_done_of_different_questions() -> None:
    for start, life in (mulberry(), maple()):
        shown = shown_first(offers(start, life))
        assert len(shown) == MOST_SHOWN
        assert shown[0].key == "as_it_is"
        assert len({course.question for course in shown}) == MOST_SHOWN
        assert all(not unfeasible(course, start) for course in shown)


def test_a_conifer_keeps_live_green_below_the_ring() -> None:
    start, _life = mulberry()
    lowest_mm = 178.0  # where its lowest branch leaves the trunk
    conifer = replace(start, conifer=True)
    assert "live green" in unfeasible(_ring(f"{lowest_mm - 20} mm"), conifer)
    assert "live green" in unfeasible(_ring(f"{lowest_mm - 20} mm"), replace(conifer, buds_seen=True))
    assert "dormant bud" in unfeasible(_ring(f"{lowest_mm - 20} mm"), start)
    assert not unfeasible(_ring(f"{lowest_mm - 20} mm"), replace(start, buds_seen=True))
    assert not unfeasible(_ring("base", "ground_layer"), conifer), "the old base is given up"
    assert not unfeasible(_ring("26 cm"), conifer)


@pytest.mark.parametrize(
    ("flag", "says"),
    [(Flag.JOINED, "graft union"), (Flag.CUT_END, "wound"), (Flag.DEAD, "dead wood")],
)
def test_no_ring_lies_on_a_union_a_wound_or_dead_wood(flag: Flag, says: str) -> None:
    start, _life = mulberry()
    assert not unfeasible(_ring("26 cm"), start)
    bad = replace(start, tables=(_flagged(start.tables[0], 245.0, flag),))
    assert says in unfeasible(_ring("26 cm"), bad)
    assert not unfeasible(_ring("357 mm"), bad), "well above it a ring can be set"


def test_a_ring_above_a_pending_graft_waits_or_needs_a_reason() -> None:
    start, _life = maple()
    above = _ring("23 cm")
    assert "pending" in unfeasible(above, start)
    assert not unfeasible(replace(above, reason="the graft is on a branch to be lost anyway"), start)
    assert "stays on the stump" in ring_notes(above, start)[0]
    assert "moves with the top" in ring_notes(_ring("base", "ground_layer"), start)[0]
    assert not unfeasible(_ring("base", "ground_layer"), start)
    assert "graft site" in unfeasible(_ring("14 cm", "ground_layer", "any"), start)


def test_a_ring_above_the_graft_line_names_both_clones() -> None:
    start, _life = mulberry()
    clone = start.tables[0].clone.copy()
    clone[start.tables[0].end_mm[:, 2] > 100.0] = 1
    grafted = replace(start, tables=(replace(start.tables[0], clone=clone),))
    assert any("stock" in note for note in ring_notes(_ring("26 cm"), grafted))
    assert not ring_notes(_ring("26 cm"), start)


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        ((Step(1, "spring", "separate_layer"),), "no earlier step sets"),
        ((Step(0, "summer", "air_layer", "chosen"),), "still to be chosen"),
        ((Step(0, "spring", "chop", "chosen"),), "chop@22cm"),
        ((Step(0, "summer", "air_layer", "5 mm"),), "in the soil"),
    ],
)
def test_impossible_courses_are_refused_in_one_line(steps: tuple[Step, ...], says: str) -> None:
    start, life = mulberry()
    with pytest.raises(NotReadyError, match=says) as caught:
        check_feasible(Course("chop", "X", "", steps), start, life)
    assert "\n" not in str(caught.value)


def test_a_key_may_carry_the_height() -> None:
    course = ready_course("layer_then_chop@22cm")
    assert {step.height_mm for step in course.steps} == {220.0}
    assert "22 cm" in course.told[0]
    assert "22 cm" in course.told[1]
    assert is_ready("chop@3m")
    assert ready_course(course_at(ready_course("chop"), 220.4).key).steps[0].height_mm == 220.4
    with pytest.raises(MissingFieldError, match="height"):
        ready_course("accept@22cm")
    with pytest.raises(UnknownNameError, match="chop"):
        ready_course("chopp@22cm")
    with pytest.raises(InputError, match="high"):
        ready_course("chop@high")


def test_ready_courses_can_be_written_out_and_read_again() -> None:
    for key in course_keys():
        course = ready_course(key)
        assert course.question in QUESTIONS
        assert read_course(course_text(course)) == course
        assert all(course.lines) or not course.steps


def test_the_last_setting_day_is_frost_less_rooting_less_six_weeks() -> None:
    """First autumn frost less rooting time less six weeks to establish; common practice."""
    sure = last_setting(np.array([300.0, 310.0]), root_weeks=8.0, root_ln_sd_ratio=0.0)
    assert sorted(set(sure.days.tolist())) == [300.0 - 98.0, 310.0 - 98.0]
    assert sure.late_prob(100.0) == 0.0
    assert sure.late_prob(205.0) == 0.5
    free = last_setting(np.array([np.nan, 300.0]), root_weeks=8.0, root_ln_sd_ratio=0.0)
    assert free.frost_free_frac == 0.5
    assert free.late_prob(360.0) == 0.5
    never = last_setting(np.array([np.nan]))
    assert never.band is None
    assert never.late_prob(360.0) == 0.0
    wide = last_setting(np.array([300.0]))
    assert wide.band is not None
    assert wide.band.low < wide.band.median < wide.band.high
    weeks = odds_table().get("any", "root_weeks").number
    assert wide.band.median == pytest.approx(300.0 - 7.0 * (weeks + 6.0))
    with pytest.raises(RangeError):
        last_setting(np.array([]))
    with pytest.raises(RangeError):
        last_setting(np.array([300.0]), root_weeks=0.0)


def test_a_bare_stem_is_offered_no_layer() -> None:
    start, life = mulberry()
    bare = replace(start, tables=(single_segment(length_mm=400.0, diameter_mm=30.0),))
    bare = replace(bare, condition=Condition(6.0, 4))
    keys = [each.course.key for each in offers(bare, life)]
    assert not any("@" in key for key in keys)


def test_every_offer_that_can_be_done_is_lived() -> None:
    for start, life in (mulberry(), maple()):
        for each in offers(start, life):
            if each.feasible:
                lives = simulate(start, each.course, life, Run(2, 3, workers=1))
                assert np.isfinite(lives.alive).all(), each.course.key


def test_a_side_goes_with_the_height() -> None:
    course = ready_course("keep_main_leader@30cm,3")
    assert (course.steps[0].height_mm, course.steps[0].clock_h) == (300.0, 3.0)
    assert ready_course(course.key) == course
    assert ready_course("keep_main_leader@30cm").steps[0].clock_h == 12.0
    with pytest.raises(MissingFieldError, match="side"):
        ready_course("chop@22cm,3")
    with pytest.raises(RangeError, match="13"):
        ready_course("keep_main_leader@30cm,13")
    with pytest.raises(RangeError, match="right"):
        ready_course("keep_main_leader@30cm,right")


def test_the_other_side_is_opposite_the_graft() -> None:
    start, life = maple()
    assert start.graft is not None
    (other,) = (each.course for each in offers(start, life) if each.course.key.startswith("other_side"))
    (setting,) = (step for step in other.steps if step.operation == "approach_graft")
    assert abs(setting.clock_h - start.graft.clock) == 6.0
    assert setting.height_mm == round(start.graft.height_mm)


def test_a_clump_is_parted_and_a_single_stem_is_not() -> None:
    start, life = mulberry()
    assert "one stem" in unfeasible(ready_course("split_clump"), start)
    stem = single_segment(length_mm=20.0, diameter_mm=30.0)
    first, second = (single_segment(length_mm=400.0, diameter_mm=wood) for wood in (24.0, 18.0))
    clump = replace(start, tables=(attach(attach(stem, first, 0), second, 0),))
    order = clump.tables[0].order.copy()
    order[:] = (0, 0, 1)
    clump = replace(clump, tables=(replace(clump.tables[0], order=order),))
    assert not unfeasible(ready_course("split_clump"), clump)
    assert {"split_clump", "keep_clump"} <= {each.course.key for each in offers(clump, life)}
