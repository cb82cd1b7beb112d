"""What a form typed reads the same again: any accepted entry, stored, offered for correction, stored anew."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter

from ringwise.desk.entries import log_entry
from ringwise.desk.entry_given import given_of
from ringwise.desk.entry_reading import Given, read_entry
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.faces.web.shapes.trees import EntryGiven
from ringwise.kit.errors import RingwiseError

TODAY = date(2027, 3, 7)
NUMBER = st.decimals(min_value="0.2", max_value="900", places=2, allow_nan=False).map(str)
LENGTH = st.builds("{}{}{}".format, NUMBER, st.sampled_from(["", " "]), st.sampled_from(["mm", "cm", "in"]))
WORDS = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Cf")), min_size=1, max_size=30
).filter(lambda text: bool(text.strip()))
MAYBE = st.just("")
DAY = st.one_of(
    MAYBE,
    st.integers(0, 9000).map(lambda n: (TODAY - timedelta(days=n)).isoformat()),
    st.sampled_from(
        ["spring 2021", "about 1990", "March 2020", "before 2019", "unknown", "2024", "winter 19/20"]
    ),
)
OPERATIONS = st.sampled_from(["repot", "wire", "chop", "approach graft", "partial-defoliation", "Repot"])


def form(what: str, **more: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, str]]:
    shared = {"what": st.just(what), "date": DAY, "note": st.one_of(MAYBE, WORDS)}
    return st.fixed_dictionaries(shared | more)


WORK = {
    "value": OPERATIONS,
    "root_removed": st.one_of(MAYBE, st.integers(0, 100).map("{}%".format), st.just("0.333")),
    "minutes": st.one_of(MAYBE, NUMBER.map("{} min".format), st.just("1.5 h")),
    "mix": st.sampled_from(["", "D", "C"]),
    "reason": st.one_of(MAYBE, WORDS),
    "at": st.one_of(MAYBE, WORDS),
}
FORMS = st.one_of(
    form(
        "stage",
        value=st.sampled_from(["03", "07", "h1", "97", "bare"]),
        extent=st.sampled_from(["", "first", "most", "late_branch"]),
        not_before=st.sampled_from(["", "1999-02-01"]),
    ),
    form("girth", value=LENGTH, at=st.one_of(MAYBE, LENGTH)),
    form("trunk", value=LENGTH, at=st.one_of(MAYBE, LENGTH)),
    form("height", value=LENGTH),
    form("vigour", value=st.sampled_from(["0", "3", "V5"])),
    form("drain", value=st.builds("{} {}".format, NUMBER, st.sampled_from(["s", "min"]))),
    form("dry", value=st.one_of(NUMBER, NUMBER.map("{} days".format))),
    form(
        "weight",
        value=st.builds("{} {}".format, NUMBER, st.sampled_from(["kg", "g", "lb"])),
        when=st.sampled_from(["", "after 24 h", "before_watering", "drained level", "pot_empty"]),
    ),
    form(
        "weight",
        value=st.builds("{} {}".format, NUMBER, st.sampled_from(["kg", "g"])),
        when=st.just("drained_tilted"),
        at=st.sampled_from(["30 deg", "12.5°", "45deg"]),
    ),
    form("graft", value=st.builds("{}/{}".format, LENGTH, LENGTH), at=st.one_of(MAYBE, WORDS)),
    form("note", value=WORDS),
    form("work", **WORK),
    form("plan", **WORK),
    form("question", value=WORDS),
)


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Workspace:
    from ringwise.desk.trees import NewTree, add_tree

    folder: Path = tmp_path_factory.mktemp("given") / "yard"
    workspace = open_workspace(folder, on=TODAY.isoformat())
    add_tree(workspace, NewTree("Old Elm", "Ulmus procera"))
    return workspace


@given(FORMS)
def test_what_was_typed_reads_the_same_again(yard: Workspace, typed: dict[str, str]) -> None:
    asked = EntryGiven(**typed)  # type: ignore[arg-type]
    try:
        answer = log_entry(yard, "T01", Given(**asked.model_dump()))
    except RingwiseError:
        return  # refused, so nothing is stored that could be typed again
    stored = yard.store.entry(answer["id"])
    offered = given_of(stored)
    assert offered is not None
    TypeAdapter(EntryGiven).validate_python(offered)
    names = {field.name for field in fields(Given)}
    again = read_entry(yard, yard.tree("T01"), Given(**{k: v for k, v in offered.items() if k in names}))
    same = replace(again, id=stored.id, recorded_at=stored.recorded_at, revision=stored.revision)
    numbers = {key: value for key, value in stored.data.items() if key != "typed"}
    assert {key: value for key, value in same.data.items() if key != "typed"} == numbers
    assert same.data.get("typed") == stored.data.get("typed")
    assert (same.on, same.note, same.by, same.confirmed_by) == (
        stored.on,
        stored.note,
        stored.by,
        stored.confirmed_by,
    )


def test_most_forms_are_accepted(yard: Workspace) -> None:
    """The law above would hold for a desk that refuses everything."""
    before = len(yard.store.entries())
    forms = [
        {"what": "girth", "value": "9 in", "at": "1 in"},
        {"what": "weight", "value": "21 kg", "when": "after 24 h"},
        {"what": "work", "value": "approach graft", "at": "first branch"},
        {"what": "plan", "value": "repot", "root_removed": "30%", "mix": "D", "reason": "due"},
        {"what": "note", "value": "leaning"},
        {"what": "question", "value": "Layer or graft?"},
    ]
    for each in forms:
        log_entry(yard, "T01", Given(**EntryGiven(**each).model_dump()))  # type: ignore[arg-type]
    assert len(yard.store.entries()) == before + len(forms)
