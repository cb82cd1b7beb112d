"""What is refused before it reaches the store."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from ringwise.kit.errors import DateError, InputError, MissingFieldError, RangeError, UnknownNameError
from ringwise.records.checking import checked_change
from ringwise.records.dates import FuzzyDate, exact_day, parse_fuzzy_date
from ringwise.records.model import Entry, Hole, Mix, Place, Pot, Setting, Tree, Withdrawn

DAY = exact_day(date(2027, 3, 7))
TREE = Tree("T01", "Hollow Lane", "Morus alba", stage="S7", size_class="M")
POT = Pot("P-21", "oval", 530.0, 390.0, 80.0)
PLACE = Place("", "T01", "B3", "bench", DAY)
ENTRY = Entry("", "T01", "note", DAY, note="buds swelling")
MIX = Mix("D", "deciduous", (("pumice", 2.0), ("bark", 1.0)))


@pytest.mark.parametrize(
    "value", [TREE, POT, PLACE, ENTRY, MIX, Setting("south", True), Withdrawn("tree", "T01")]
)
def test_accepted(value: object) -> None:
    assert checked_change(value) is value  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("value", "error", "text"),
    [
        (replace(TREE, id=""), MissingFieldError, "tree needs an id"),
        (replace(TREE, id="T\n01"), RangeError, "printable"),
        (replace(TREE, id="x" * 41), RangeError, "up to 40"),
        (replace(TREE, species=" "), MissingFieldError, "T01: species"),
        (replace(TREE, stage="S12"), UnknownNameError, "stage"),
        (replace(TREE, size_class="XXL"), UnknownNameError, "size class"),
        (replace(TREE, parent="T01"), InputError, "own parent"),
        (replace(TREE, note="x" * 20_001), RangeError, "up to 20000"),
        (replace(TREE, note="a\x00b"), RangeError, "note"),
        (replace(TREE, started=FuzzyDate("x", None, None, "day")), DateError, "no date"),
        (replace(POT, depth_mm=-30.0), RangeError, "depth is -3 cm"),
        (replace(POT, depth_mm=float("nan")), RangeError, "depth"),
        (replace(POT, depth_mm=None), MissingFieldError, "depth"),
        (replace(POT, shape="square"), UnknownNameError, "pot shape"),
        (replace(POT, holes=(Hole(0.0, 0.0, 0.0),)), RangeError, "hole"),
        (replace(PLACE, kind="roof"), UnknownNameError, "kind of place"),
        (replace(PLACE, until=exact_day(date(2027, 3, 1))), RangeError, "until"),
        (replace(MIX, parts=()), MissingFieldError, "parts"),
        (replace(MIX, parts=(("pumice", 0.0),)), RangeError, "pumice"),
        (replace(MIX, parts=(("pumice", 1.0), ("pumice", 1.0))), InputError, "twice"),
        (replace(ENTRY, note=""), MissingFieldError, "note"),
        (replace(ENTRY, kind="vigour", data={"score": 9}), RangeError, "score"),
        (replace(ENTRY, recorded_at=datetime(2027, 3, 7)), MissingFieldError, "offset"),  # noqa: DTZ001
        (object(), InputError, "cannot be stored"),
    ],
)
def test_refused(value: object, error: type[Exception], text: str) -> None:
    with pytest.raises(error, match=text) as caught:
        checked_change(value)  # type: ignore[arg-type]
    assert "\n" not in str(caught.value)


def test_a_stage_seen_before_the_visit_before() -> None:
    data = {"code": "03", "extent": "first", "last_seen_before": "2027-03-08"}
    with pytest.raises(RangeError, match="last_seen_before"):
        checked_change(replace(ENTRY, kind="stage", data=data))


def test_an_open_place_and_a_fuzzy_one() -> None:
    fuzzy = parse_fuzzy_date("spring 2026", field="since")
    assert checked_change(replace(PLACE, since=fuzzy, until=exact_day(date(2026, 4, 1))))
