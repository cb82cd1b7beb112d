"""Any course that can be said can be written down and read again; any text is read or refused in one line."""

from __future__ import annotations

import os

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwise.futures.course import EXTRAS, HALVES, MOST_YEARS, QUESTIONS, Check, Course, Step
from ringwise.futures.course_file import course_text, read_course
from ringwise.futures.look_codes import LOOKS, MEASURED
from ringwise.futures.plan import plan_of
from ringwise.futures.start import Start
from ringwise.growth.start import Condition
from ringwise.kit.errors import InputError
from ringwise.operations.effect_codes import CONDITIONS, EFFECTS
from ringwise.structure.table import single_segment

COURSES = 2000 if int(os.environ.get("RINGWISE_LONG", "0")) else 100
NAMES = st.text(min_size=1, max_size=12).filter(lambda text: bool(text.strip()) and text.isprintable())
SITES = ("", "base", "roots", "graft", "22 cm", "180 mm", "chosen")


@st.composite
def when(draw: st.DrawFn, first: int = 0) -> dict[str, int]:
    after = draw(st.integers(first, MOST_YEARS))
    if after == MOST_YEARS or not draw(st.booleans()):
        return {"after_years": after}
    return {
        "after_years": after,
        "every_years": draw(st.integers(1, MOST_YEARS)),
        "until_years": draw(st.integers(after + 1, MOST_YEARS)),
    }


@st.composite
def checks(draw: st.DrawFn, name: str) -> Check:
    look = draw(st.sampled_from(sorted(LOOKS)))
    level = draw(st.sampled_from(("4", "12 cm", "0.5 in") if MEASURED.get(look) else ("4", "2.5")))
    return Check(
        name,
        half=draw(st.sampled_from(HALVES)),
        look=look,
        at_least=level if look in MEASURED else "",
        times=draw(st.integers(2, 5)),
        **draw(when()),
    )


@st.composite
def steps(draw: st.DrawFn, hung: Check | None) -> Step:
    first = 0 if hung is None else hung.after_years
    half = "summer" if hung is not None else draw(st.sampled_from(HALVES))
    operation = draw(st.sampled_from(sorted(EFFECTS)))
    return Step(
        half=half,
        operation=operation,
        site=draw(st.sampled_from(SITES)),
        amount_frac=draw(st.floats(0, 0.99)),
        volume_l=draw(st.floats(0, 300)),
        condition=draw(st.sampled_from(sorted(CONDITIONS))),
        clock_h=draw(st.sampled_from((-1.0, 0.0, 3.0, 11.5))),
        extra=draw(st.floats(*EXTRAS.get(operation, (0.0, 0.0)))),
        check="" if hung is None else hung.name,
        wanted=hung is None or draw(st.booleans()),
        **draw(when(first)),
    )


@st.composite
def courses(draw: st.DrawFn) -> Course:
    names = draw(st.lists(NAMES, max_size=3, unique=True))
    made = [draw(checks(name)) for name in names]
    hung = [draw(steps(each)) for each in made]
    free = draw(st.lists(steps(None), max_size=3))
    order = {"spring": 0, "summer": 1}
    return Course(
        draw(NAMES),
        draw(NAMES),
        draw(st.text(max_size=20)),
        tuple(sorted([*hung, *free], key=lambda each: (each.after_years, order[each.half]))),
        draw(st.sampled_from(QUESTIONS)),
        draw(st.text(max_size=20)),
        tuple(sorted(made, key=lambda each: (each.after_years, order[each.half]))),
    )


@settings(max_examples=COURSES)
@given(courses())
def test_a_course_that_is_written_reads_as_the_same_course(course: Course) -> None:
    assert read_course(course_text(course)) == course


@settings(max_examples=COURSES)
@given(courses())
def test_the_plan_of_a_course_holds_each_step_in_each_of_its_years_in_order(course: Course) -> None:
    start = Start((single_segment(length_mm=40.0, diameter_mm=3.0),), Condition(6.0), 2027)
    codes, _sizes, _minutes, heavy, _outline, looks, levels, *_more = plan_of(course, start)
    assert len(codes) == len(heavy) == sum(len(step.years) for step in course.steps)
    assert len(looks) == len(levels) == sum(len(check.years) for check in course.checks)
    moments = [(int(row[0]), int(row[1])) for row in codes]
    assert moments == sorted(moments)
    assert codes[:, 0].max(initial=0) <= MOST_YEARS
    hung = [course.checks[bit].name for bit in codes[:, 4] if bit >= 0]
    assert set(hung) == {step.check for step in course.steps if step.check}


@settings(max_examples=COURSES)
@given(courses(), st.data())
def test_a_damaged_text_is_read_or_refused_in_one_line(course: Course, data: st.DataObject) -> None:
    text = course_text(course)
    at = data.draw(st.integers(0, len(text)))
    damaged = text[:at] + data.draw(st.text(max_size=4)) + text[at + data.draw(st.integers(0, 6)) :]
    try:
        said = course_text(read_course(damaged, name="mine.toml"))
    except InputError as wrong:
        said = str(wrong)
        one_line = "\n" not in said
    else:
        one_line = course_text(read_course(said)) == said
    assert one_line, said


def test_a_negative_year_is_refused_for_checks_as_for_steps() -> None:
    with pytest.raises(InputError, match="-3"):
        Check("c", -3, "summer", "rooted")
    with pytest.raises(InputError, match="-3"):
        Step(-3, "summer", "rest")
