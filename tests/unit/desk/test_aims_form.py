"""Aims as the app's form has them: what it begins with, what it changes, and where a mistake stands."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import pytest

from ringwise.desk.aims import aims_mark, aims_of
from ringwise.desk.aims_room import AimsTyped, WishTyped, aims_form, set_aims
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import ConflictError, InputError, MissingFieldError, RingwiseError
from ringwise.kit.reading import UNITS, Reading, languages, reading

DAY = "2027-03-07"


@pytest.fixture
def yard(tmp_path: Path) -> Workspace:
    """One maple."""
    yard = open_workspace(tmp_path / "yard", on=DAY)
    add_tree(yard, NewTree("Meadow Maple", "Acer palmatum"))
    return again(yard)


def again(yard: Workspace) -> Workspace:
    return open_workspace(yard.folder, on=DAY)


def typed(yard: Workspace, **changes: dict[str, str]) -> AimsTyped:
    """The form as it begins, with some fields of some measures typed anew."""
    form = aims_form(yard.facts_of("T01"))
    rows = [
        {name: each[name] for name in ("measure", "weight", "low", "high")} | changes.get(each["measure"], {})
        for each in form["wishes"]
    ]
    time = form["time"]
    return AimsTyped(
        form["set"],
        tuple(WishTyped(**row) for row in rows),
        (time["early"], time["middle"], time["late"]),
        form["revision"],
    )


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("units", UNITS)
def test_a_weight_alone_is_changed_and_no_range_moves(
    yard: Workspace, language: str, units: Literal["metric", "inch"]
) -> None:
    """What is shown is rounded, and in other units; what was not touched keeps its last digit."""
    before = aims_of(yard.facts_of("T01")).aims
    with reading(Reading(language, units)):
        set_aims(yard, "T01", typed(yard, wound_mm={"weight": "2"}))
    held = aims_of(again(yard).facts_of("T01"))
    assert held.entry is not None
    assert [wish.corners for wish in held.aims.wishes] == [wish.corners for wish in before.wishes]
    assert [wish.weight for wish in held.aims.wishes] == [
        2.0 if wish.measure == "wound_mm" else wish.weight for wish in before.wishes
    ]


def test_a_typed_range_fades_beyond_its_ends_and_a_weight_of_nothing_leaves_out(yard: Workspace) -> None:
    form = typed(yard, wound_mm={"low": "", "high": "2 cm"}, taper_ratio={"weight": "0"})
    set_aims(yard, "T01", form)
    aims = aims_of(again(yard).facts_of("T01")).aims
    assert aims.wish("taper_ratio") is None
    wound = aims.wish("wound_mm")
    assert wound is not None
    assert wound.corners == pytest.approx((None, None, 20.0, 32.0))  # as `ringwise aims --measure` has it


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"wound_mm": {"weight": "much"}}, "wound_mm.weight"),
        ({"wound_mm": {"weight": "-1"}}, "wound_mm.weight"),
        ({"wound_mm": {"weight": "101"}}, "wound_mm.weight"),
        ({"wound_mm": {"low": "wide"}}, "wound_mm.range"),
        ({"wound_mm": {"low": "5 cm", "high": "2 cm"}}, "wound_mm.range"),
        ({"wound_mm": {"low": "", "high": ""}}, "wound_mm.range"),
    ],
)
def test_a_mistake_names_its_field_and_stores_nothing(
    yard: Workspace, changes: dict[str, dict[str, str]], field: str
) -> None:
    with pytest.raises(RingwiseError) as wrong:
        set_aims(yard, "T01", typed(yard, **changes))
    assert wrong.value.field == field
    assert aims_mark(again(yard).facts_of("T01")) == ""


def test_what_no_longer_fits_is_refused(yard: Workspace) -> None:
    form = typed(yard, wound_mm={"weight": "2"})
    nothing = AimsTyped(form.set_name, (), form.time, 0)
    with pytest.raises(MissingFieldError, match="at least one"):
        set_aims(yard, "T01", nothing)
    with pytest.raises(RingwiseError) as wrong:
        set_aims(yard, "T01", AimsTyped(form.set_name, form.wishes, ("1", "soon", "1"), 0))
    assert wrong.value.field == "time.middle"
    set_aims(yard, "T01", form)
    with pytest.raises(ConflictError, match="meanwhile"):  # another tab still shows none
        set_aims(again(yard), "T01", form)
    with pytest.raises(InputError, match="nothing changes"):
        set_aims(again(yard), "T01", typed(again(yard)))


def test_another_set_brings_its_own_ranges_to_the_last_digit(yard: Workspace) -> None:
    from ringwise.futures.aims import aim_set

    form = typed(yard)
    fine = next(each for each in aims_form(yard.facts_of("T01"))["sets"] if each["key"] == "fine")
    rows = [{name: each[name] for name in ("measure", "weight", "low", "high")} for each in fine["wishes"]]
    set_aims(yard, "T01", AimsTyped("fine", tuple(WishTyped(**row) for row in rows), form.time, 0))
    held = aims_of(again(yard).facts_of("T01")).aims
    assert held.wishes == aim_set("fine").wishes
    assert held.name == "fine"
