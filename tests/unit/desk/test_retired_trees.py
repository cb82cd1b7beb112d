"""A retired tree: nothing of a day on which it was gone comes in but a note; what came before still does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from ringwise.desk.entries import Given, log_entry
from ringwise.desk.entry_changes import edit_entry
from ringwise.desk.photos import PhotoChange, PhotoGiven, add_photo, edit_photo
from ringwise.desk.retired import refuse_on_retired
from ringwise.desk.tape_typed import TapeWish, measure_tape
from ringwise.desk.trees import NewTree, add_tree, retire_tree
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import ConflictError
from ringwise.records.dates import parse_fuzzy_date
from ringwise.records.model import Tree

RETIRED, LATER = "2027-03-07", "2027-04-01"
LINE = (
    "T01 Old Elm was retired on 7 Mar 2027, so nothing of {day} can be logged but a note. Give a date before"
)


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Workspace]:
    """A yard whose one tree was retired some weeks ago, with a girth of the year before."""
    first = open_workspace(tmp_path / "yard", on=RETIRED)
    add_tree(first, NewTree("Old Elm", "Ulmus procera"))
    log_entry(first, "T01", Given("girth", "20 cm", date="2026-11-05"))
    retire_tree(first, "T01", "sold")
    first.store.close()
    later = open_workspace(tmp_path / "yard", on=LATER)
    yield later
    later.store.close()


def picture(folder: Path) -> Path:
    Image.new("RGB", (40, 30), (20, 90, 90)).save(folder / "a.jpg", "JPEG")
    return folder / "a.jpg"


def refused(yard: Workspace, day: str, wish: Any) -> None:
    step = yard.store.latest_step()
    with pytest.raises(ConflictError) as caught:
        wish()
    assert str(caught.value).startswith(LINE.format(day=day))
    assert "\n" not in str(caught.value)
    assert yard.store.latest_step() == step


@pytest.mark.parametrize("date", ["", "2027-03-20", RETIRED, "after 2027-03-10"])
@pytest.mark.parametrize(
    "said", [("girth", "21 cm"), ("stage", "11"), ("work", "wire"), ("plan", "wire"), ("question", "Why?")]
)
def test_what_was_seen_done_or_planned_since_is_refused(
    yard: Workspace, said: tuple[str, str], date: str
) -> None:
    day = {"": "1 Apr 2027", "2027-03-20": "20 Mar 2027", RETIRED: "7 Mar 2027"}.get(date, date)
    refused(yard, day, lambda: log_entry(yard, "Old Elm", Given(said, date=date)))


@pytest.mark.parametrize("date", ["2027-03-06", "2026", "2027", "spring 2027", "before 2020", "unknown"])
def test_what_was_or_may_have_been_before_comes_in(yard: Workspace, date: str) -> None:
    assert log_entry(yard, "T01", Given("girth", "21 cm", date=date))["action"] == yard.store.latest_step()


@pytest.mark.parametrize("date", ["", RETIRED, "2027-03-20"])
def test_what_became_of_it_can_be_noted(yard: Workspace, date: str) -> None:
    made = log_entry(yard, "T01", Given("note", "in leaf at its new place", date=date))
    assert yard.store.entry(made["id"]).note == "in leaf at its new place"


def test_a_photo_since_is_refused_before_it_is_kept(yard: Workspace, tmp_path: Path) -> None:
    file = picture(tmp_path)
    refused(yard, "1 Apr 2027", lambda: add_photo(yard, "T01", file, PhotoGiven()))
    refused(yard, "1 Apr 2027", lambda: log_entry(yard, "T01", Given(("photo", str(file)))))
    assert [f for f in (yard.folder / "photos").rglob("*") if f.is_file()] == []
    made = add_photo(yard, "T01", file, PhotoGiven(date="2027-02-01"))
    change = PhotoChange(date="2027-03-10")
    refused(yard, "10 Mar 2027", lambda: edit_photo(yard, made["id"], change))
    # the same photo sent again is there already; another side of it is a new entry and refused
    assert add_photo(yard, "T01", file, PhotoGiven())["action"] is None
    refused(yard, "1 Apr 2027", lambda: add_photo(yard, "T01", file, PhotoGiven(view="back")))


def test_a_tape_is_refused(yard: Workspace) -> None:
    refused(yard, "1 Apr 2027", lambda: measure_tape(yard, TapeWish("T01", "44 cm", ("13 cm@3 cm",))))


def test_an_entry_may_be_put_right_but_not_moved_past_that_day(yard: Workspace) -> None:
    (entry,) = yard.store.entries(tree="T01")
    refused(yard, "8 Mar 2027", lambda: edit_entry(yard, entry.id, {"date": "2027-03-08"}))
    edit_entry(yard, entry.id, {"value": "20.5 cm", "date": "2026-11-06"})
    (entry,) = yard.store.entries(tree="T01")
    assert (entry.data["girth_mm"], entry.on.typed) == (205.0, "2026-11-06")


def test_what_was_sent_before_it_was_retired_is_answered_when_it_is_sent_again(tmp_path: Path) -> None:
    workspace = open_workspace(tmp_path / "yard", on=RETIRED)
    add_tree(workspace, NewTree("Old Elm", "Ulmus procera"))
    given = Given("girth", "20 cm", key="0123456789ab")
    first = log_entry(workspace, "T01", given)
    retire_tree(workspace, "T01", "sold")
    assert log_entry(workspace, "T01", given)["action"] == first["action"]


@pytest.mark.parametrize(
    ("retired", "day", "is_refused"),
    [
        ("spring 2026", "2026-05-30", False),
        ("spring 2026", "2026-05-31", True),
        ("unknown", "2027-03-31", False),
        ("unknown", LATER, True),
    ],
)
def test_a_day_of_retiring_that_is_not_exact(
    yard: Workspace, retired: str, day: str, is_refused: bool
) -> None:
    tree = replace(
        Tree("T01", "Old Elm", "Ulmus procera"), retired=parse_fuzzy_date(retired, field="retired")
    )
    on = parse_fuzzy_date(day, field="date")
    if is_refused:
        with pytest.raises(ConflictError):
            refuse_on_retired(yard, tree, "girth", on)
    else:
        refuse_on_retired(yard, tree, "girth", on)
