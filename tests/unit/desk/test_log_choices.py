"""What can be logged: stages with what to look for, the likely ones, and finding things by a few letters."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from ringwise.desk.almanac import AlmanacView
from ringwise.desk.almanac_making import make_almanac
from ringwise.desk.build_demo import build_demo
from ringwise.desk.entries import Given, log_entry
from ringwise.desk.goto import MOST_SPECIES, goto, species
from ringwise.desk.log_choices import log_choices, stage_look
from ringwise.desk.own_facts import own_facts
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.reading import Reading, reading
from ringwise.operations.registry import OPERATIONS
from ringwise.phenology.stages import codes_of
from ringwise.records.taxa import all_taxa

NONE = AlmanacView("none")
KINDS = {"Ulmus procera": "broad", "Pinus thunbergii": "conifer", "Juniperus chinensis": "conifer"}


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Workspace]:
    workspace = open_workspace(tmp_path / "yard", on="2027-03-07")
    for name, kind in (("Old Elm", "Ulmus procera"), ("Black", "Pinus thunbergii"), ("Rock", "Juniperus")):
        add_tree(workspace, NewTree(name, kind, place="shade house"))
    yield workspace
    workspace.store.close()


@pytest.mark.parametrize("how", [Reading("en"), Reading("de")], ids=lambda how: how.language)
def test_every_stage_of_every_kind_of_tree_has_words_and_a_look(yard: Workspace, how: Reading) -> None:
    with reading(how):
        for tree in yard.trees:
            facts = own_facts(yard, tree.id)
            assert facts.taxon is not None
            stages = log_choices(yard, tree.id, almanac=NONE)["stages"]
            assert tuple(s["code"] for s in stages) == codes_of(facts.taxon.group, facts.taxon.leaf_habit)
            assert all(s["words"] and s["look"].endswith(".") for s in stages)


def test_a_pine_is_told_by_its_candle_and_a_juniper_is_not(yard: Workspace) -> None:
    elm, pine, juniper = (own_facts(yard, tree.id) for tree in yard.trees)
    assert "candle" in stage_look(pine, "09")
    assert "candle" not in stage_look(juniper, "09") + stage_look(elm, "09")
    assert stage_look(pine, "01") == stage_look(juniper, "01")  # no look of its own: that of conifers
    drawings = [log_choices(yard, tree.id, almanac=NONE)["stages"][3]["drawing"] for tree in yard.trees]
    assert drawings == ["broad-07", "conifer-07", "conifer-07"]


def test_every_taxon_has_a_look_for_each_of_its_stages(yard: Workspace) -> None:
    facts = own_facts(yard, "T01")
    from dataclasses import replace

    for kind in all_taxa().values():
        for code in codes_of(kind.group, kind.leaf_habit):
            assert stage_look(replace(facts, taxon=kind), code), (kind.key, code)


def test_the_likely_stages_follow_what_was_seen(yard: Workspace) -> None:
    def likely() -> list[str]:
        now = open_workspace(yard.folder, on="2027-03-07")
        return [s["code"] for s in log_choices(now, "T01", almanac=NONE)["stages"] if s["likely"]]

    assert likely() == []  # before the first almanac nobody knows
    log_entry(yard, "T01", Given("stage", "07", date="2026-03-20"))  # of the year before
    assert likely() == []
    log_entry(yard, "T01", Given("stage", "03", date="2027-03-02"))
    assert likely() == ["07", "09", "10"]
    now = open_workspace(yard.folder, on="2027-03-07")
    seen = {s["code"]: s["seen"] for s in log_choices(now, "T01", almanac=NONE)["stages"]}
    assert (seen["03"], seen["07"]) == ("2 Mar 2027", None)


def test_the_likely_stages_are_those_expected_about_today(tmp_path: Path) -> None:
    demo = build_demo(tmp_path / "demo")
    view = AlmanacView("ready", make_almanac(demo, "key"))
    assert view.almanac is not None
    told = view.almanac.tree("T03")
    assert told is not None
    stages = {s["code"]: s for s in log_choices(demo, "T03", almanac=view)["stages"]}
    reached = [s.code for s in told.stages if s.band.median <= demo.today][-1]
    assert stages[reached]["likely"]
    assert sum(s["likely"] for s in stages.values()) == 3
    assert stages["07"]["expected"].endswith("Mar") or "Apr" in stages["07"]["expected"]
    demo.store.close()


def test_all_works_scores_and_moments_are_offered(yard: Workspace) -> None:
    choices = log_choices(yard, "T01", almanac=NONE)
    assert {c["key"] for c in choices["operations"]} == set(OPERATIONS)
    assert [c["key"] for c in choices["vigours"]] == ["0", "1", "2", "3", "4", "5"]
    assert [c["words"] for c in choices["vigours"]][:3] == ["probably dead", "dieback", "weak"]
    assert all(c["words"] for part in choices.values() for c in part)
    for key in ("vigours", "moments", "training", "views"):
        for choice in choices[key]:
            assert choice["words"] != choice["key"] or key == "views", choice


def test_a_search_finds_trees_by_name_kind_and_nearly(yard: Workspace) -> None:
    def found(query: str) -> list[str]:
        return [hit["path"] for hit in goto(yard, query)["hits"]]

    assert found("T02")[0] == "/tree/T02"
    assert found("old e")[0] == "/tree/T01"
    assert found("pinus")[0] == "/tree/T02"
    assert found("junipr")[0] == "/tree/T03"
    assert found("shade") == ["/yard?place=shade%20house"]
    assert found("settings") == ["/settings"]
    assert found("zzzz") == []
    assert [hit["kind"] for hit in goto(yard, "")["hits"]] == ["room"] * 5
    with reading(Reading("de")):
        assert "/settings" in [hit["path"] for hit in goto(yard, "")["hits"]]


def test_kinds_are_found_by_either_name_and_with_a_slip(yard: Workspace) -> None:
    def found(query: str) -> list[str]:
        return [row["key"] for row in species(yard, query)["species"]]

    assert found("Acer palmatum")[0] == "acer_palmatum"
    assert found("japanese maple")[0] == "acer_palmatum"
    assert "acer_palmatum" in found("acer palmatun")
    assert found("trident")[0] == "acer_buergerianum"
    assert set(found("")[:3]) == {tree.species for tree in yard.trees}
    assert len(found("")) == MOST_SPECIES
    assert found("qqqqqq") == []
