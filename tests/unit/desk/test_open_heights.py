"""A question whose courses name no height goes on at heights that the tree offers, and says so."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest

from ringwise.desk.asked_courses import courses_of, with_heights
from ringwise.futures.catalogue import course_at, ready_course
from ringwise.futures.offers import MOST_SHOWN, Offer
from ringwise.kit.errors import MissingFieldError, NotReadyError


def facts(*courses: str) -> Any:
    """A tree with an open question that names these courses."""
    question = SimpleNamespace(data={"title": "Chop it?", "courses": list(courses)})
    return SimpleNamespace(question=question, tree=SimpleNamespace(id="T11"))


def offering(*heights_mm: float, feasible: bool = True) -> Callable[[], tuple[Offer, ...]]:
    chops = (course_at(ready_course("chop"), each) for each in heights_mm)
    return lambda: tuple(Offer(each, feasible, "" if feasible else "too low") for each in chops)


def lived(named: tuple[str, ...], *heights_mm: float) -> tuple[list[str], tuple[str, ...]]:
    _title, courses = courses_of(facts(*named), ())
    filled, lines = with_heights(courses, offering(*heights_mm))
    return [each.key for each in filled], lines


def test_a_chop_without_a_height_is_lived_at_those_the_tree_offers() -> None:
    keys, lines = lived(("accept", "chop"), 80.0, 120.0, 160.0)
    assert keys == ["accept", "chop@80mm", "chop@120mm", "chop@160mm"]
    assert len(lines) == 1
    assert "chop names no height; taken: chop@80mm, chop@120mm, chop@160mm" in lines[0]
    assert "--course chop@22cm" in lines[0]


def test_many_courses_leave_room_for_few_heights() -> None:
    keys, _lines = lived(("accept", "chop", "ground_layer"), 80.0, 120.0, 160.0)
    assert keys == ["accept", "chop@80mm", "chop@160mm", "ground_layer"]
    keys, _lines = lived(("accept", "chop", "ground_layer", "repot_hard"), 80.0, 120.0, 160.0)
    assert keys == ["accept", "chop@120mm", "ground_layer", "repot_hard"]
    assert len(keys) == MOST_SHOWN


def test_what_has_its_height_asks_the_tree_for_nothing() -> None:
    def never() -> tuple[Offer, ...]:
        raise AssertionError("no offer is needed")

    _title, courses = courses_of(facts("accept", "chop@22cm"), ())
    assert with_heights(courses, never) == (courses, ())


def test_a_tree_without_a_height_for_it_says_what_to_do() -> None:
    _title, courses = courses_of(facts("chop"), ())
    with pytest.raises(NotReadyError, match=r"name one: --course chop@22cm") as caught:
        with_heights(courses, offering())
    assert "\n" not in str(caught.value)
    with pytest.raises(NotReadyError, match=r"\(too low\)"):
        with_heights(courses, offering(80.0, feasible=False))


def test_a_question_without_courses_takes_what_is_offered_or_asks() -> None:
    assert [each.key for each in courses_of(facts(), (), offering(80.0))[1]] == ["chop@80mm"]
    with pytest.raises(MissingFieldError, match="--course"):
        courses_of(facts(), ())
