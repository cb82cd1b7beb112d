"""Named checks of a course: read, refused in one line, and as unsure as the table says."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np
import pytest

from ringwise.futures.course import Check, Course, Step
from ringwise.futures.course_file import read_course
from ringwise.futures.course_words import look_words
from ringwise.futures.look_codes import LOOKS, MEASURED
from ringwise.futures.outcome import MEASURES
from ringwise.futures.plan import plan_of
from ringwise.futures.simulate import Run, simulate
from ringwise.futures.start import GraftNow, Start
from ringwise.growth import layout as at
from ringwise.growth.biology import biology
from ringwise.growth.start import Condition, start_arrays
from ringwise.kit.errors import (
    FileFormatError,
    MissingFieldError,
    RangeError,
    RingwiseError,
    UnknownNameError,
)
from ringwise.kit.tables import load_table
from ringwise.structure.table import SegmentTable, single_segment

HEAD = 'key = "k"\ntitle = "T"\n'
CHECK = '[[check]]\nname = "feeds"\nafter_years = 1\nlook = "thicker_beyond"\n'
STEP = '[[step]]\nafter_years = 1\nhalf = "summer"\noperation = "sever_graft"\n'
LOOK = '[[check]]\nname = "c"\nafter_years = 1\nlook = '
DRAWS = 4000


def test_a_check_of_thickness_takes_two_looks_unless_told() -> None:
    course = read_course(HEAD + CHECK + STEP + 'if = "feeds"\n')
    assert course.checks[0].times == 2
    assert course.steps[0].check == "feeds"
    assert course.steps[0].wanted
    assert not read_course(HEAD + CHECK + STEP + 'unless = "feeds"\n').steps[0].wanted


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        (CHECK, FileFormatError, 'no step hangs on the check "feeds"'),
        (STEP + 'if = "feeds"\n', UnknownNameError, "feeds"),
        (CHECK + STEP + 'if = "fed"\n', UnknownNameError, "Did you mean: feeds?"),
        (CHECK + STEP + 'if = "feeds"\nunless = "feeds"\n', FileFormatError, "not on both"),
        (CHECK + STEP + 'if = ""\n', MissingFieldError, "names no check"),
        (CHECK + CHECK + STEP + 'if = "feeds"\n', FileFormatError, "twice"),
        (CHECK + "times = 1\n" + STEP + 'if = "feeds"\n', RangeError, "2 to 5"),
        (CHECK + STEP.replace("= 1", "= 0") + 'if = "feeds"\n', FileFormatError, "made later"),
        (CHECK.replace("= 1", "= -1") + STEP + 'if = "feeds"\n', RangeError, "-1"),
        (CHECK.replace("thicker_beyond", "thicker") + STEP, UnknownNameError, "thicker_beyond"),
        (LOOK + '"girth_at_least"\n' + STEP + 'if = "c"\n', MissingFieldError, "at_least"),
        (LOOK + '"girth_at_least"\nat_least = "thick"\n' + STEP + 'if = "c"\n', RingwiseError, "thick"),
        (LOOK + '"vigour_at_least"\nat_least = "good"\n' + STEP + 'if = "c"\n', RangeError, "good"),
        (LOOK + '"vigour_at_least"\nat_least = -2\n' + STEP + 'if = "c"\n', RangeError, "-2"),
        (LOOK + '"tips_at_least"\nat_least = nan\n' + STEP + 'if = "c"\n', RangeError, "nan; accepted: 0 or"),
        (LOOK + '"tips_at_least"\nat_least = inf\n' + STEP + 'if = "c"\n', RangeError, "inf"),
        (LOOK + '"vigour_at_least"\nat_least = 6\n' + STEP + 'if = "c"\n', RangeError, "0 to 5"),
        (LOOK + '"sectors_filled"\nat_least = 13\n' + STEP + 'if = "c"\n', RangeError, "0 to 12"),
        (LOOK + '"rooted"\nat_least = 3\n' + STEP + 'if = "c"\n', FileFormatError, "no number"),
        (LOOK + '"rooted"\nlooks = 3\n' + STEP + 'if = "c"\n', UnknownNameError, "looks"),
        (STEP + "every_years = 0\n", RangeError, "the years between two times (every_years) is 0"),
        (STEP + "every_years = 2\nuntil_years = 1\n", RangeError, "until_years"),
        (STEP + "until_years = 3\n", MissingFieldError, "every_years"),
        (STEP + "clock = 13\n", RangeError, "the side as on a clock (clock) is 13"),
        (STEP + 'litres = "much"\n', FileFormatError, "the litres of the new pot (litres) is no number"),
        (STEP + "clock = -1\n", RangeError, "-1"),
        ("check = 4\n", FileFormatError, "[[check]]"),
        ("step = [4]\n", FileFormatError, "[[step]]"),
    ],
)
def test_bad_checks_are_refused_in_one_line(text: str, kind: type[Exception], says: str) -> None:
    with pytest.raises(kind) as caught:
        read_course(HEAD + text, name="mine.toml")
    assert says in str(caught.value)
    assert "mine.toml" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_every_look_has_words_and_a_row_of_how_sure_it_is() -> None:
    table = load_table("ringwise.futures", "looks")
    for look in LOOKS:
        assert look_words(look, "4")
        if look == "thicker_beyond":
            continue  # drawn for each future from the odds of growth
        wanted = ("error_sd",) if look in MEASURED else ("sensitivity", "specificity")
        assert all(table.has(look, name) for name in wanted), look


def test_measured_looks_come_last_as_the_kernel_takes_them() -> None:
    from ringwise.futures import check_kernels, look_codes

    assert set(MEASURED) == {name for name, code in LOOKS.items() if code >= look_codes.VIGOUR_AT_LEAST}
    closed = load_table("ringwise.futures", "looks").get("wound_closed", "width").number
    assert closed == check_kernels._CLOSED_MM


def test_a_repeated_step_and_its_check_are_there_in_each_of_their_years() -> None:
    check = Check("feeds", 1, "summer", "thicker_beyond", times=2, every_years=1, until_years=4)
    step = Step(2, "summer", "sever_graft", every_years=2, until_years=5, check="feeds")
    plan = plan_of(Course("c", "C", "", (step,), checks=(check,)), _start())
    assert plan[0][:, 0].tolist() == [2, 4]
    assert plan[5][:, 0].tolist() == [1, 2, 3, 4]
    assert plan[5][:, 4].tolist() == [0, 0, 0, 0]


@lru_cache(maxsize=1)
def _stem() -> SegmentTable:
    return single_segment(length_mm=200.0, diameter_mm=20.0)


def _start() -> Start:
    return Start((_stem(),), Condition(6.0), 2027)


def _seen(check: Check, **pools: float) -> float:
    """Share of futures in which a check sees what it looks for on one standing tree."""
    from ringwise.futures.check_kernels import look
    from ringwise.futures.simulate import parameters_of
    from ringwise.growth.draws import Block

    course = Course("c", "C", "", (Step(9, "summer", "rest", check=check.name),), checks=(check,))
    plan = plan_of(course, _start())
    tree: Any = start_arrays(_stem(), Condition(6.0), first_year=2027)
    for name, value in pools.items():
        tree[3][getattr(at, name)] = value
    par = parameters_of(_start(), biology(("any",)), Block(1, 0, 1))[0]
    hits = [look(tree, par, (np.int64(5), np.int64(n), np.int64(2)), plan, 0) for n in range(DRAWS)]
    return float(np.mean(hits))


def _near(share: float, wanted: float) -> bool:
    return abs(share - wanted) <= 4.0 * math.sqrt(max(wanted * (1.0 - wanted), 1e-9) / DRAWS) + 1e-9


@pytest.mark.parametrize(
    ("look", "pool", "yes", "no"),
    [
        ("rooted", "LAYER_STATE", at.ROOTED, at.SET),
        ("flushed", "GRAFT_STATE", at.ESTABLISHED, at.SEVERABLE),
        ("wilted", "GRAFT_STATE", at.GRAFT_DEAD, at.ESTABLISHED),
        ("severed", "GRAFT_STATE", at.SEVERED_WEAK, at.BRIDGED),
        ("sectors_empty", "SECTORS", 4094, 4095),
    ],
)
def test_a_look_of_yes_or_no_is_as_sure_as_its_row(look: str, pool: str, yes: float, no: float) -> None:
    table = load_table("ringwise.futures", "looks")
    check = Check("c", 2, "summer", look)
    assert _near(_seen(check, **{pool: yes}), table.get(look, "sensitivity").number)
    assert _near(_seen(check, **{pool: no}), 1.0 - table.get(look, "specificity").number)


def test_two_looks_must_both_see_it() -> None:
    sure = load_table("ringwise.futures", "looks").get("rooted", "sensitivity").number
    assert _near(_seen(Check("c", 2, "summer", "rooted", times=2), LAYER_STATE=at.ROOTED), sure**2)


def test_a_tape_reads_a_girth_with_its_error() -> None:
    girth_mm, error_mm = (
        math.pi * 20.0,
        load_table("ringwise.futures", "looks").get("girth_at_least", "error_sd"),
    )
    above = Check("c", 2, "summer", "girth_at_least", f"{girth_mm + error_mm.number:.9f} mm")
    assert _near(_seen(above), 0.5 * math.erfc(1.0 / math.sqrt(2.0)))  # one sd above the true girth
    assert _seen(Check("c", 2, "summer", "girth_at_least", "5 mm")) == 1.0
    assert _seen(Check("c", 2, "summer", "height_at_least", "900 mm")) == 0.0


def test_a_named_check_sees_what_the_condition_of_the_same_look_sees() -> None:
    stem = single_segment(length_mm=300.0, diameter_mm=30.0)
    start = Start((stem,), Condition(6.0), 2027, graft=GraftNow(120.0, 3.0, 0.8))
    run, life = Run(60, 3, workers=1), biology(("any",))
    checks = (Check("feeds", 1, "summer", "thicker_beyond", times=2),)
    named = Course("a", "A", "", (Step(1, "summer", "sever_graft", check="feeds"),), checks=checks)
    plain = Course("a", "A", "", (Step(1, "summer", "sever_graft", condition="taken"),))
    first, second = simulate(start, named, life, run), simulate(start, plain, life, run)
    for each in MEASURES:
        if each != "checks_seen":  # the one course has a check by name, the other has none
            np.testing.assert_array_equal(first.of(each), second.of(each), err_msg=each)
    states = set(np.unique(first.of("graft_state")))
    assert len(states) > 1, "some futures sever, some keep"
    against = Course(
        "a", "A", "", (Step(1, "summer", "sever_graft", check="feeds", wanted=False),), checks=checks
    )
    third = simulate(start, against, life, run)
    after = [lives.of("graft_state")[:, 2] for lives in (first, third)]
    whole = (after[0] < at.SLIPPED) & (after[1] < at.SLIPPED)  # a graft may slip or die by itself
    assert whole.sum() >= 30
    np.testing.assert_array_equal(after[0][whole] > at.SEVERABLE, after[1][whole] <= at.SEVERABLE)
