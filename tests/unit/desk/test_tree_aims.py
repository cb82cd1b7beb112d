"""Aims of a tree: what is taken without any, how they are changed, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringwise.desk.aims import AimsWish, aims_answer, aims_of
from ringwise.desk.entries import Given, log_entry, undo_last
from ringwise.desk.sunk import sunk_hours, sunk_words
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import (
    InputError,
    MissingFieldError,
    RangeError,
    RingwiseError,
    UnitError,
    UnknownNameError,
)

DAY = "2027-03-07"


@pytest.fixture
def yard(tmp_path: Path) -> Workspace:
    """A maple and a larch."""
    yard = open_workspace(tmp_path / "yard", on=DAY)
    add_tree(yard, NewTree("Meadow Maple", "Acer palmatum"))
    add_tree(yard, NewTree("Tall Larch", "Larix decidua"))
    return _again(yard)


def _again(yard: Workspace) -> Workspace:
    return open_workspace(yard.folder, on=DAY)


def test_without_own_aims_a_set_is_taken_for_its_kind(yard: Workspace) -> None:
    maple, larch = (aims_answer(yard, AimsWish(tree)) for tree in ("T01", "T02"))
    assert (maple["set"], larch["set"]) == ("meadow", "formal")
    assert not maple["own"]
    assert "taken for lack of own aims" in maple["lines"][0]
    assert sum(each["weight_frac"] for each in maple["wishes"]) == pytest.approx(1.0)


def test_a_change_is_a_new_revision_and_can_be_taken_back(yard: Workspace) -> None:
    first = aims_answer(yard, AimsWish("T01", "fine", ("height_mm=15cm..20cm",), ("tips_dm2=5",), "1,2,2"))
    assert (first["own"], first["revision"]) == (True, 1)
    second = aims_answer(_again(yard), AimsWish("T01", weights=("sectors_n=0",)))
    assert second["revision"] == 2
    held = aims_of(_again(yard).facts_of("T01"))
    assert held.aims.wish("sectors_n") is None
    height = held.aims.wish("height_mm")
    assert height is not None
    assert height.corners == pytest.approx((75.0, 150.0, 200.0, 320.0))
    tips = held.aims.wish("tips_dm2")
    assert tips is not None
    assert tips.weight == 5.0
    assert (held.time.early, held.time.middle, held.time.late) == (1.0, 2.0, 2.0)
    undo_last(_again(yard))
    assert aims_of(_again(yard).facts_of("T01")).aims.wish("sectors_n") is not None


def test_four_numbers_say_where_a_measure_counts_nothing(yard: Workspace) -> None:
    aims_answer(yard, AimsWish("T01", measures=("first_branch_frac=10%..20%..40%..60%", "wound_mm=..5mm")))
    aims = aims_of(_again(yard).facts_of("T01")).aims
    branch, wound = aims.wish("first_branch_frac"), aims.wish("wound_mm")
    assert branch is not None
    assert branch.corners == pytest.approx((0.1, 0.2, 0.4, 0.6))
    assert wound is not None
    assert wound.full_from is None
    assert wound.full_to == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("wish", "error", "words"),
    [
        (AimsWish("T01", "pretty"), UnknownNameError, "meadow"),
        (AimsWish("T01", measures=("tops=1..2",)), UnknownNameError, "tips_n"),
        (AimsWish("T01", measures=("tips_n",)), InputError, "--measure"),
        (AimsWish("T01", measures=("tips_n=9..3",)), InputError, "tips_n"),
        (AimsWish("T01", measures=("tips_n=1..2..3",)), InputError, "FROM..TO"),
        (AimsWish("T01", measures=("tips_n=..",)), MissingFieldError, "tips_n"),
        (AimsWish("T01", measures=("height_mm=3kg..4kg",)), UnitError, "height_mm"),
        (AimsWish("T01", weights=("tips_n=2",)), UnknownNameError, "tips_dm2"),
        (AimsWish("T01", weights=("tips_dm2=-1",)), RangeError, "tips_dm2"),
        (AimsWish("T01", weights=("tips_dm2=1e9",)), RangeError, "100"),
        (AimsWish("T01", time="1,2"), RangeError, "--time"),
        (AimsWish("T01", time="0,0,0"), RangeError, "early"),
        (AimsWish("T99", "fine"), RingwiseError, "T99"),
    ],
)
def test_what_does_not_read_is_one_line_and_stores_nothing(
    yard: Workspace, wish: AimsWish, error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words) as told:
        aims_answer(yard, wish)
    assert "\n" not in str(told.value)
    assert aims_of(_again(yard).facts_of("T01")).entry is None


def test_the_same_aims_again_are_no_change(yard: Workspace) -> None:
    aims_answer(yard, AimsWish("T01", "fine"))
    with pytest.raises(InputError, match="nothing changes"):
        aims_answer(_again(yard), AimsWish("T01", "fine"))


def test_the_last_measure_is_not_dropped(yard: Workspace) -> None:
    names = [each["measure"] for each in aims_answer(yard, AimsWish("T01"))["wishes"]]
    with pytest.raises(MissingFieldError, match="at least one"):
        aims_answer(yard, AimsWish("T01", weights=tuple(f"{name}=0" for name in names)))


def test_sunk_hours_are_those_noted(yard: Workspace) -> None:
    assert "not noted" in sunk_words(yard.facts_of("T01"))
    log_entry(yard, "T01", Given(("work", "repot"), minutes="90min", date="2026-03-20"))
    facts = _again(yard).facts_of("T01")
    assert sunk_hours(facts.entries) == pytest.approx(1.5)
    assert "1.5 h" in sunk_words(facts)
