"""The page on courses says what is so: its example is read whole, its tables name every key."""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path

import pytest
from standing_trees import maple, mulberry

from ringwise.futures.catalogue import ready_course
from ringwise.futures.course import Course
from ringwise.futures.course_file import _CHECK_KEYS, _COURSE_KEYS, _STEP_KEYS, read_course
from ringwise.futures.feasible import check_feasible, unfeasible
from ringwise.futures.look_codes import LOOKS
from ringwise.futures.rings import ring_number
from ringwise.operations.effect_codes import CONDITIONS

PAGE = Path(__file__).parents[3] / "docs" / "explain" / "courses.md"


@lru_cache(maxsize=1)
def _page() -> str:
    return PAGE.read_text(encoding="utf-8")


def _example() -> Course:
    text = re.search(r"```toml\n(.*?)```", _page(), re.S)
    assert text is not None
    return read_course(text.group(1), name="north.toml")


def test_the_example_reads_and_can_be_lived_on_a_tree_with_a_graft() -> None:
    course = _example()
    start, life = maple()
    check_feasible(course, start, life)
    assert [check.name for check in course.checks] == ["feeds", "failed"]
    assert course.checks[0].times == 2
    assert [step.check for step in course.steps] == ["feeds", "failed", ""]
    assert course.steps[0].years == (0, 1, 2)
    assert any("thicker beyond the joint" in line for line in course.lines)


def test_the_example_needs_a_graft() -> None:
    start, _life = mulberry()
    assert "graft site" in unfeasible(_example(), start)


@pytest.mark.parametrize("keys", [_CHECK_KEYS, _COURSE_KEYS, _STEP_KEYS, tuple(LOOKS), tuple(CONDITIONS)])
def test_every_key_is_told(keys: tuple[str, ...]) -> None:
    told = _page()
    for key in keys:
        named = f"`{key}`" in told or f"[[{key}]]" in told
        assert named or key == "always", key


def test_the_keys_with_heights_are_ready() -> None:
    named = re.findall(r"--course ([a-z_]+@[0-9.]+cm)", _page())
    assert len(named) == 3
    for key in named:
        assert ready_course(key).height_mm > 0


def test_the_numbers_of_the_rule_are_those_of_the_rows() -> None:
    told = " ".join(_page().split())
    assert f"above about {ring_number('thin_to'):.0f} mm one to one and a half times" in told
    assert f"at most about {ring_number('most'):.0f} mm" in told
    assert ring_number("thick_most_ratio") == 1.5
    assert ring_number("establish_weeks") == 6.0
