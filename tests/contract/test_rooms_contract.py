"""What the rooms of the app answer on the demo yard is what the contract says, key by key."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from ringwise.desk.almanac import AlmanacView
from ringwise.desk.almanac_making import make_almanac
from ringwise.desk.build_demo import build_demo
from ringwise.desk.entry_history import entry, entry_history, sheet_history
from ringwise.desk.goto import goto, species
from ringwise.desk.head import head
from ringwise.desk.living import LivingYard
from ringwise.desk.log_choices import log_choices
from ringwise.desk.settings_room import settings_room
from ringwise.desk.steps import steps
from ringwise.desk.today_sheet import today_sheet
from ringwise.desk.tree_room import entries_page, tree_room
from ringwise.desk.why import why_told
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.faces.web.shapes import base, trees, yard
from ringwise.kit.reading import Reading, reading

READINGS = (Reading("en", "metric"), Reading("de", "inch"))


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workspace]:
    workspace = build_demo(tmp_path_factory.mktemp("contract") / "yard")
    yield workspace
    workspace.store.close()


@pytest.fixture(scope="module")
def almanacs(demo: Workspace) -> dict[Reading, AlmanacView]:
    made = {}
    for how in READINGS:
        with reading(how):
            made[how] = AlmanacView("ready", make_almanac(demo, "key"))
    return made


def whys_of(answer: Any) -> Iterator[str]:
    """Every name of a why in an answer."""
    if isinstance(answer, Mapping):
        for key, value in answer.items():
            if key == "why" and isinstance(value, str):
                yield value
            else:
                yield from whys_of(value)
    elif isinstance(answer, list):
        for each in answer:
            yield from whys_of(each)


@pytest.mark.parametrize("how", READINGS, ids=lambda how: how.language)
def test_rooms_of_every_tree(demo: Workspace, almanacs: dict[Reading, AlmanacView], how: Reading) -> None:
    with reading(how):
        for tree in demo.trees:
            room = trees.TreePage.model_validate(tree_room(demo, tree.id, almanac=almanacs[how]))
            assert room.id == tree.id
            trees.LogChoices.model_validate(log_choices(demo, tree.id, almanac=almanacs[how]))
            trees.History.model_validate(sheet_history(demo, tree.id))
            trees.Entries.model_validate(entries_page(demo, tree.id, limit=3))


@pytest.mark.parametrize("how", READINGS, ids=lambda how: how.language)
def test_rooms_of_the_yard(demo: Workspace, almanacs: dict[Reading, AlmanacView], how: Reading) -> None:
    with reading(how):
        sheet = yard.Today.model_validate(today_sheet(demo, almanac=almanacs[how]))
        top = base.Head.model_validate(head(demo, almanac=almanacs[how]))
        yard.Settings.model_validate(settings_room(demo))
        yard.Steps.model_validate(steps(demo))
        for query in ("", "fer", "bench", "acer", "T01"):
            yard.Hits.model_validate(goto(demo, query))
            yard.SpeciesList.model_validate(species(demo, query))
    assert [group.key for group in sheet.groups] == ["now", "soon", "later", "decide"]
    assert (sheet.almanac, top.almanac, top.language) == ("ready", "ready", how.language)


def test_every_entry_of_the_yard(demo: Workspace) -> None:
    kinds = set()
    for each in demo.entries:
        trees.Entry.model_validate(entry(demo, each.id))
        trees.History.model_validate(entry_history(demo, each.id))
        kinds.add(each.kind)
    assert {"stage", "trunk", "work", "planned", "question", "tape", "graft_check"} <= kinds


def test_rooms_without_an_almanac(demo: Workspace) -> None:
    for state in ("none", "making"):
        view = AlmanacView(state)
        room = trees.TreePage.model_validate(tree_room(demo, "T03", almanac=view))
        assert room.windows == []
        assert [task.kind for task in room.tasks] == ["planned"]
        sheet = yard.Today.model_validate(today_sheet(demo, almanac=view))
        assert (sheet.groups, sheet.almanac) == ([], state)
        choices = trees.LogChoices.model_validate(log_choices(demo, "T03", almanac=view))
        assert all(stage.expected == "" for stage in choices.stages)


def test_rooms_of_an_empty_collection(tmp_path: Path) -> None:
    empty = open_workspace(tmp_path / "yard", on="2027-03-07")
    told = base.Head.model_validate(head(empty))
    assert (told.next, told.undo, told.weather, told.trees) == ("place", None, "none", 0)
    sheet = yard.Today.model_validate(today_sheet(empty))
    assert sheet.sentence == "There is no tree yet."
    yard.Settings.model_validate(settings_room(empty))
    assert yard.Steps.model_validate(steps(empty)).steps == []


def test_every_why_that_rooms_name_is_answered(demo: Workspace, almanacs: dict[Reading, AlmanacView]) -> None:
    """Facts of every tree, of windows one tree's."""
    view = almanacs[READINGS[0]]
    named = [name for tree in demo.trees for name in whys_of(tree_room(demo, tree.id, almanac=view)["facts"])]
    named += list(whys_of(tree_room(demo, "T03", almanac=view)))
    asked = list(dict.fromkeys(named))
    assert len(asked) > 200
    with LivingYard(demo.folder) as yard:  # which keeps the forecast that every window's why stands on
        for name in asked:
            told = base.Why.model_validate(why_told(yard.workspace(), name))
            assert (told.of, bool(told.value), bool(told.title)) == (name, True, True)
            links = {link.source for link in told.chain if link.source}
            assert links == {source.key for source in told.sources}


def test_the_first_link_of_a_why_says_what_the_room_says(
    demo: Workspace, almanacs: dict[Reading, AlmanacView]
) -> None:
    for how in READINGS:
        with reading(how):
            for tree in demo.trees[:12]:
                for fact in tree_room(demo, tree.id, almanac=almanacs[how])["facts"]:
                    assert why_told(demo, fact["told"]["why"])["value"] == fact["told"]["shown"], fact
