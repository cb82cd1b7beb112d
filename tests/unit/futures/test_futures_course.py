"""Courses are read from text and refused in one clear line."""

from __future__ import annotations

import pytest

from ringwise.futures.catalogue import course_keys, courses_for, ready_course
from ringwise.futures.course import Step
from ringwise.futures.course_file import read_course
from ringwise.futures.course_words import condition_words, operation_words
from ringwise.kit.errors import FileFormatError, InputError, MissingFieldError, RangeError, UnknownNameError
from ringwise.operations.effect_codes import CONDITIONS, EFFECTS

HEAD = 'key = "k"\ntitle = "T"\n'


def test_every_ready_course_reads_and_says_what_it_does() -> None:
    for key in course_keys():
        course = ready_course(key)
        assert course.key == key
        assert course.title
        assert course.words
        assert course.closes
        assert all(step.words for step in course.steps)
    assert [course.key for course in courses_for("base")] == ["ground_layer", "root_grafts", "accept"]


def test_every_operation_and_condition_has_words() -> None:
    assert all(operation_words(name) for name in EFFECTS)
    assert all(condition_words(name) for name in CONDITIONS if name != "always")


def test_steps_are_put_in_the_order_of_time() -> None:
    text = HEAD + (
        '[[step]]\noperation = "repot"\nafter_years = 3\namount = 0.3\nlitres = 8.0\n'
        '[[step]]\noperation = "rest"\nhalf = "summer"\n[[step]]\noperation = "chop"\nsite = "22 cm"\n'
    )
    course = read_course(text)
    assert [step.operation for step in course.steps] == ["chop", "rest", "repot"]
    assert course.steps[0].height_mm == 220.0
    assert course.steps[2].volume_l == 8.0


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ('[[step]]\noperation = "ground_lair"\n', UnknownNameError, "Did you mean"),
        ('[[step]]\noperation = "repot"\nafter_years = -1\n', RangeError, "-1"),
        ('[[step]]\noperation = "repot"\nafter_years = 61\n', RangeError, "0 to 60"),
        ('[[step]]\noperation = "repot"\nafter_years = 1.5\n', FileFormatError, "whole number"),
        ('[[step]]\noperation = "repot"\nhalf = "autumn"\n', UnknownNameError, "autumn"),
        ('[[step]]\noperation = "repot"\namount = 1.2\n', RangeError, "1.2"),
        (
            '[[step]]\noperation = "repot"\nlitres = inf\n',
            RangeError,
            "(litres) is inf; accepted: 0 to 100000",
        ),
        (f'[[step]]\noperation = "repot"\nlitres = {"9" * 400}\n', RangeError, "(litres)"),
        (f'[[step]]\noperation = "repot"\nlitres = {"9" * 5000}\n', FileFormatError, "too long"),
        ("[[step]]\noperation = " + "[" * 3000 + "]" * 3000 + "\n", FileFormatError, "too deep"),
        ('[[step]]\noperation = "wire"\nextra = nan\n', RangeError, "(extra) is nan; accepted: -180 to 180"),
        ('[[step]]\noperation = "prune"\nextra = -50\n', RangeError, "0 to 100"),
        ('[[step]]\noperation = "repot"\nextra = 5\n', RangeError, "0 to 1"),
        ('[[step]]\noperation = "rest"\nextra = 1\n', RangeError, "leave it out"),
        (
            '[[step]]\noperation = "head_back"\nsite = "-5 cm"\n',
            RangeError,
            "(site) is -5 cm; accepted: 0 to 100 m",
        ),
        ('[[step]]\noperation = "chop"\nsite = "1e9 cm"\n', RangeError, "100 m"),
        ('[[step]]\noperation = "rest"\n' * 201, RangeError, "steps of a course is 201"),
        ('[[step]]\noperation = "repot"\namount = "much"\n', FileFormatError, "no number"),
        ('[[step]]\noperation = "chop"\nsite = "high up"\n', InputError, "high up"),
        ('[[step]]\noperation = "rest"\ncondition = "perhaps"\n', UnknownNameError, "perhaps"),
        ('[[step]]\noperatoin = "rest"\n', UnknownNameError, "operatoin"),
        ("[[step]]\nafter_years = 1\n", MissingFieldError, "operation"),
        ("step = 3\n", FileFormatError, "[[step]]"),
        ('weather = "fine"\n', UnknownNameError, "weather"),
        ("= =\n", FileFormatError, "TOML"),
    ],
)
def test_bad_texts_are_refused_in_one_line(text: str, kind: type[Exception], says: str) -> None:
    with pytest.raises(kind) as caught:
        read_course(HEAD + text, name="mine.toml")
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_course_needs_key_and_title() -> None:
    with pytest.raises(MissingFieldError, match="title"):
        read_course('key = "k"\n')


def test_the_base_is_a_site() -> None:
    assert Step(0, "summer", "ground_layer", "base").height_mm > 0


def test_a_step_says_into_what_a_tree_goes() -> None:
    assert Step(0, "spring", "lift", volume_l=12.0).words.endswith("(into 12.0 L)")
    assert Step(0, "spring", "lift").words.endswith("(and back into the ground)")
    assert Step(1, "spring", "repot").words == "after 1 year, at bud swell: repot"
