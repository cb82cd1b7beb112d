"""Entries corrected, withdrawn, sent twice, and the history that keeps every wording."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from threading import Barrier, Thread

import pytest

from ringwise.desk.entries import Given, log_entry, undo_last
from ringwise.desk.entry_changes import change_entry, edit_entry, withdraw_entry
from ringwise.desk.entry_given import given_of
from ringwise.desk.entry_history import entry, entry_history, sheet_history
from ringwise.desk.steps import next_undo, steps
from ringwise.desk.trees import NewTree, add_tree, edit_tree, exact_day, retire_tree
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import (
    ConflictError,
    InputError,
    MissingFieldError,
    NotFoundError,
    RangeError,
    UnitError,
)
from ringwise.kit.reading import Reading, reading
from ringwise.records.model import Action, Entry

KEY = "0f8c1f3e-elm-1"


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Workspace]:
    workspace = open_workspace(tmp_path / "yard", on="2027-03-07")
    add_tree(workspace, NewTree("Old Elm", "Ulmus procera"))
    add_tree(workspace, NewTree("Wren", "Acer palmatum"))
    yield workspace
    workspace.store.close()


def opened_again(workspace: Workspace) -> Workspace:
    return open_workspace(workspace.folder, on="2027-03-07")


def stored_entry(workspace: Workspace, one: Entry) -> Entry:
    """An entry put into the store as it is, such as an import would."""
    doing = Action("owner", "demo", workspace.store.actions()[-1][1].at)
    _number, ids = workspace.store.save_all(doing, [one])
    return workspace.store.entry(ids[0][1])


def test_a_correction_is_a_new_state_and_keeps_the_old_wording(yard: Workspace) -> None:
    made = log_entry(yard, "T01", Given("girth", "28 cm", date="2027-03-01"))
    answer = change_entry(
        yard, made["id"], Given("girth", "29 cm", date="spring 2026", note="tape was slack"), revision=1
    )
    now = yard.store.entry(made["id"])
    assert (now.data["girth_mm"], now.data["typed"], now.on.typed) == (290.0, "29 cm", "spring 2026")
    assert (now.revision, now.note, answer["id"]) == (2, "tape was slack", made["id"])
    told = entry_history(yard, made["id"])
    assert [(r["revision"], r["words"], r["on"]["typed"]) for r in told["revisions"]] == [
        (2, "girth 29 cm", "spring 2026"),
        (1, "girth 28 cm", "2027-03-01"),
    ]
    assert [r["command"] for r in told["revisions"]] == ["correct an entry of T01", "log T01: girth 28 cm"]


def test_one_who_saw_an_older_state_overwrites_nothing(yard: Workspace) -> None:
    made = log_entry(yard, "T01", Given("height", "40 cm"))
    change_entry(yard, made["id"], Given("height", "41 cm"), revision=1)
    with pytest.raises(ConflictError, match="revision 2"):
        change_entry(yard, made["id"], Given("height", "45 cm"), revision=1)
    with pytest.raises(ConflictError):
        withdraw_entry(yard, made["id"], revision=1)
    assert yard.store.entry(made["id"]).data["height_mm"] == 410.0


def test_two_corrections_at_once_leave_one_of_them(yard: Workspace) -> None:
    made = log_entry(yard, "T01", Given("height", "40 cm"))
    start, outcomes = Barrier(2), []

    def correct(size: str) -> None:
        mine = opened_again(yard)
        start.wait()
        try:
            change_entry(mine, made["id"], Given("height", size), revision=1)
            outcomes.append(size)
        except ConflictError:
            outcomes.append("conflict")
        finally:
            mine.store.close()

    threads = [Thread(target=correct, args=(size,)) for size in ("41 cm", "42 cm")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes)[1] == "conflict"
    assert f"{yard.store.entry(made['id']).data['height_mm'] / 10:g} cm" == sorted(outcomes)[0]
    assert yard.store.entry(made["id"]).revision == 2


@pytest.mark.parametrize(
    ("given", "kind", "says"),
    [
        (Given("girth", "a lot"), UnitError, "girth"),
        (Given("girth", "28 cm", date="2028-01-01"), RangeError, "up to today"),
        (Given("girth", ""), MissingFieldError, "needs a value"),
        (Given("trunk", "28 mm"), InputError, "cannot become"),
        (Given("girth", "28 cm", view="front"), InputError, "--view"),
        (Given("girth", "28 cm"), InputError, "nothing changes"),
    ],
)
def test_what_does_not_read_changes_nothing(
    yard: Workspace, given: Given, kind: type[Exception], says: str
) -> None:
    made = log_entry(yard, "T01", Given("girth", "28 cm"))
    before = yard.store.actions()
    with pytest.raises(kind, match=says):
        change_entry(yard, made["id"], given, revision=1)
    assert yard.store.actions() == before
    assert yard.store.entry(made["id"]).revision == 1


def test_what_no_form_says_is_kept(yard: Workspace) -> None:
    data = {
        "operation": "repot",
        "root_removed_frac": 0.3,
        "tie_count": 4,
        "amount": "heavy",
        "reason": "due",
    }
    stored = stored_entry(yard, Entry("", "T01", "planned", exact_day(yard), data))
    edit_entry(yard, stored.id, {"date": "2027-04-01"})
    now = yard.store.entry(stored.id)
    assert dict(now.data) == data
    assert now.on.typed == "2027-04-01"


def test_a_plain_reason_does_not_turn_into_an_override(yard: Workspace) -> None:
    plan = Entry("", "T01", "planned", exact_day(yard), {"operation": "repot", "reason": "roots are due"})
    stored = stored_entry(yard, plan)
    edit_entry(yard, stored.id, {"root_removed": "20%"})
    assert "override_reason" not in yard.store.entry(stored.id).data
    edit_entry(yard, stored.id, {"reason": "pot is broken"})
    assert yard.store.entry(stored.id).data["override_reason"] == "pot is broken"


def test_of_a_tape_only_date_and_note_are_typed_anew(yard: Workspace) -> None:
    stored = stored_entry(yard, Entry("", "T01", "tape", exact_day(yard), {"height_mm": 400.0}))
    edit_entry(yard, stored.id, {"note": "second try"})
    assert dict(yard.store.entry(stored.id).data) == {"height_mm": 400.0}
    with pytest.raises(InputError, match="cannot be typed anew"):
        edit_entry(yard, stored.id, {"value": "41 cm"})


def test_the_day_of_another_kind_of_calendar_stays_as_it_was_read(yard: Workspace) -> None:
    """A date that is not touched is not read again, so that a move south of the equator shifts no season."""
    made = log_entry(yard, "T01", Given("vigour", "3", date="spring 2021"))
    south = replace(yard, settings=replace(yard.settings, latitude_deg=-33.9))
    change_entry(south, made["id"], Given("vigour", "4", date="spring 2021"), revision=1)
    now = yard.store.entry(made["id"])
    assert (now.on.earliest, now.on.latest) == (
        yard.store.history("entry", made["id"])[0].value.on.earliest,
        yard.store.history("entry", made["id"])[0].value.on.latest,
    )
    assert now.on.earliest is not None
    assert now.on.earliest.month == 3


def test_a_withdrawn_entry_is_gone_from_view_and_undo_brings_it_back(yard: Workspace) -> None:
    made = log_entry(yard, "T01", Given("note", "leans to the left"))
    withdraw_entry(yard, made["id"], revision=1)
    with pytest.raises(NotFoundError):
        entry(yard, made["id"])
    assert [(r["revision"], r["withdrawn"]) for r in entry_history(yard, made["id"])["revisions"]] == [
        (2, True),
        (1, False),
    ]
    assert (
        undo_last(yard)["line"]
        == "taken back: withdraw an entry of Old Elm by owner; it stays in the history"
    )
    assert entry(yard, made["id"])["note"] == "leans to the left"


def test_the_same_key_is_stored_once(yard: Workspace) -> None:
    given = Given("girth", "28 cm", key=KEY)
    first = log_entry(yard, "T01", given)
    assert first["id"] == KEY
    before = yard.store.actions()
    again = log_entry(opened_again(yard), "T01", given)
    assert again == first
    assert yard.store.actions() == before


def test_a_key_sent_again_after_midnight_is_still_the_same(yard: Workspace) -> None:
    given = Given("girth", "28 cm", key=KEY)
    first = log_entry(yard, "T01", given)
    later = open_workspace(yard.folder, on="2027-03-08")
    assert log_entry(later, "T01", given)["entry"]["on"] == first["entry"]["on"]
    with pytest.raises(ConflictError):
        log_entry(later, "T01", replace(given, date="2027-03-08"))


@pytest.mark.parametrize(
    ("tree", "given"),
    [
        ("T01", Given("girth", "29 cm", key=KEY)),
        ("T02", Given("girth", "28 cm", key=KEY)),
        ("T01", Given("girth", "28 cm", note="by hand", key=KEY)),
        ("T01", Given("height", "28 cm", key=KEY)),
    ],
)
def test_a_key_that_was_used_for_something_else_is_refused(yard: Workspace, tree: str, given: Given) -> None:
    log_entry(yard, "T01", Given("girth", "28 cm", key=KEY))
    with pytest.raises(ConflictError, match="another entry"):
        log_entry(yard, tree, given)
    assert len(yard.store.entries()) == 1


def test_a_key_of_an_entry_that_was_taken_back_does_not_bring_it_back(yard: Workspace) -> None:
    given = Given("girth", "28 cm", key=KEY)
    log_entry(yard, "T01", given)
    undo_last(yard)
    log_entry(yard, "T01", given)
    assert yard.store.entries() == []


@pytest.mark.parametrize("key", ["short", "UPPER-CASE-1", "with blank 1", "x" * 65, "../../etc"])
def test_a_key_has_its_form(yard: Workspace, key: str) -> None:
    with pytest.raises(InputError, match="key is"):
        log_entry(yard, "T01", Given("girth", "28 cm", key=key))


def test_the_same_key_at_once_is_stored_once(yard: Workspace) -> None:
    start, ids = Barrier(4), []

    def send() -> None:
        mine = opened_again(yard)
        start.wait()
        ids.append(log_entry(mine, "T01", Given("girth", "28 cm", key=KEY))["id"])
        mine.store.close()

    threads = [Thread(target=send) for _each in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert ids == [KEY] * 4
    assert len(yard.store.history("entry", KEY)) == 1


def test_a_form_cannot_name_files_of_the_machine(yard: Workspace) -> None:
    with pytest.raises(InputError, match="send the file"):
        log_entry(yard, "T01", Given("photo", "/etc/hostname"))
    with pytest.raises(InputError, match="measure tape"):
        log_entry(yard, "T01", Given("tape", "40 cm"))


def test_a_sheet_tells_what_each_state_changed(yard: Workspace) -> None:
    edit_tree(yard, "T01", {"stage": "S5", "goal": "taper"}, revision=1)
    with pytest.raises(ConflictError, match="changed meanwhile"):
        edit_tree(yard, "T01", {"stage": "S6"}, revision=1)
    retire_tree(opened_again(yard), "T01", "sold")
    words = [row["words"] for row in sheet_history(yard, "T01")["revisions"]]
    assert words == [
        "retired: 7 Mar 2027 (was blank); note: sold (was blank)",
        "stage of training: S5 (was blank); goal: taper (was blank)",
        "sheet of Old Elm, Ulmus procera",
    ]


def test_a_new_tree_brings_its_first_measures_in_one_step(yard: Workspace) -> None:
    add_tree(yard, NewTree("Third", "Acer palmatum", height="44 cm", trunk="41 mm"))
    assert [e.kind for e in yard.store.entries(tree="T03")] == ["height", "trunk"]
    undo_last(yard)
    assert yard.store.entries(tree="T03") == []
    assert [tree.id for tree in yard.store.trees()] == ["T01", "T02"]


def test_a_new_tree_with_a_measure_that_does_not_read_is_not_stored(yard: Workspace) -> None:
    with pytest.raises(UnitError):
        add_tree(yard, NewTree("Third", "Acer palmatum", height="tall"))
    assert [tree.id for tree in yard.store.trees()] == ["T01", "T02"]


def test_steps_are_told_in_words_with_what_was_taken_back(yard: Workspace) -> None:
    log_entry(yard, "T02", Given("stage", "07"))
    undo_last(yard)
    rows = steps(yard, limit=10)["steps"]
    assert [(r["words"], r["undone"], r["undoes"]) for r in rows] == [
        ("take back: log Wren: first green just shows at the bud tip", False, 3),
        ("log Wren: first green just shows at the bud tip", True, None),
        ("add tree Wren", False, None),
        ("add tree Old Elm", False, None),
    ]
    assert next_undo(yard) == "add tree Wren"
    assert [r["action"] for r in steps(yard, limit=2)["steps"]] == [4, 3]


def test_nothing_to_take_back_in_an_empty_collection(tmp_path: Path) -> None:
    workspace = open_workspace(tmp_path / "empty", on="2027-03-07")
    assert next_undo(workspace) is None
    assert steps(workspace) == {"steps": []}


def test_what_a_form_offers_is_the_same_in_every_language(yard: Workspace) -> None:
    """It goes back to the same reader, who would otherwise type German dates into an English record."""
    made = log_entry(yard, "T01", Given("graft", "6.3mm/5.9mm", at="first branch", date="March 2021"))
    stored = yard.store.entry(made["id"])
    with reading(Reading("de", "inch")):
        assert given_of(stored) == given_of(yard.store.entry(made["id"]))
        offered = given_of(stored)
    assert offered is not None
    assert (offered["value"], offered["date"]) == ("6.3 mm/5.9 mm", "March 2021")
