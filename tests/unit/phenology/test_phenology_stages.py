"""Stages: order, words, which trees have which."""

from __future__ import annotations

import pytest

from ringwise.kit.errors import UnknownNameError
from ringwise.phenology.stages import ALL, AUTUMN, ORDER, SPRING, codes_of, place, stage
from ringwise.records.observations import STAGE_CODES


def test_order_is_the_one_of_the_records() -> None:
    assert ORDER == STAGE_CODES
    assert ("00", *SPRING, *AUTUMN) == ORDER


def test_every_code_has_words_for_broadleaf_and_conifer() -> None:
    for code in ALL:
        found = stage(code)
        assert found.words
        assert found.conifer_words
    assert len({stage(code).words for code in ORDER}) == len(ORDER)
    assert stage("15").words_for("G6") == "needles half length"
    assert stage("15").words_for("G2") == "several leaves open, not full size"


def test_unknown_codes_are_refused() -> None:
    with pytest.raises(UnknownNameError, match=r"stage is \"08\""):
        stage("08")
    with pytest.raises(UnknownNameError):
        place("61")


@pytest.mark.parametrize(
    ("group", "habit", "last"),
    [
        ("G1", "D", "97"),
        ("G5", "DC", "97"),
        ("G4", "SE", "97"),
        ("G6", "EC", "91"),
        ("G3", "E", "91"),
        ("G7", "", "91"),
    ],
)
def test_evergreens_have_no_autumn(group: str, habit: str, last: str) -> None:
    assert codes_of(group, habit)[-1] == last
