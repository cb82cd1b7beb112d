"""The room of a tree: facts with their entries, tasks, pages of entries, and no reading of other trees."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from ringwise.desk.almanac import AlmanacView
from ringwise.desk.almanac_making import make_almanac
from ringwise.desk.build_demo import build_demo
from ringwise.desk.entries import Given, log_entry
from ringwise.desk.entry_changes import edit_entry
from ringwise.desk.living import LivingYard
from ringwise.desk.pots import NewPot, add_pot
from ringwise.desk.tree_facts_told import age_words
from ringwise.desk.tree_room import entries_page, tree_room
from ringwise.desk.trees import NewTree, add_tree, retire_tree
from ringwise.desk.why import why_told
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import NotFoundError, UnknownNameError
from ringwise.records.dates import exact_day, parse_fuzzy_date
from ringwise.records.model import Action, Entry, Tree
from ringwise.records.store import Store, open_store

TODAY = date(2027, 3, 7)
NONE = AlmanacView("none")


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Workspace]:
    workspace = open_workspace(tmp_path / "yard", on=TODAY.isoformat())
    add_tree(workspace, NewTree("Old Elm", "Ulmus procera", started="1998", stage="S5"))
    add_pot(workspace, NewPot("P-1", "rectangle", "30x20x10 cm", tree="T01"))
    yield workspace
    workspace.store.close()


def again(workspace: Workspace) -> Workspace:
    return open_workspace(workspace.folder, on=TODAY.isoformat())


def facts_of(workspace: Workspace) -> dict[str, Any]:
    return {fact["key"]: fact for fact in tree_room(again(workspace), "T01", almanac=NONE)["facts"]}


def test_a_fact_is_the_newest_measure_with_its_entry(yard: Workspace) -> None:
    log_entry(yard, "T01", Given("girth", "28 cm", date="2026-03-01"))
    newer = log_entry(yard, "T01", Given("girth", "30 cm", date="2027-03-01"))
    log_entry(yard, "T01", Given("girth", "20 cm", date="2020"))
    girth = facts_of(yard)["girth_mm"]
    assert (girth["told"]["value"], girth["told"]["shown"], girth["entry"]) == (300.0, "30 cm", newer["id"])
    assert girth["on"]["shown"] == "1 Mar 2027"


def test_girth_and_trunk_follow_from_each_other(yard: Workspace) -> None:
    log_entry(yard, "T01", Given("girth", "314.159 mm"))
    trunk = facts_of(yard)["trunk_mm"]
    assert trunk["told"]["value"] == pytest.approx(100.0, rel=1e-5)  # girth / pi by definition of a circle
    why = why_told(again(yard), "T01:fact:trunk_mm")
    assert why["chain"][0]["formula"] == "girth / pi; taken as round"
    assert why["chain"][1]["value"] == "7 Mar 2027"
    log_entry(yard, "T01", Given("trunk", "110 mm"))
    assert facts_of(yard)["trunk_mm"]["told"]["value"] == 110.0
    assert facts_of(yard)["girth_mm"]["told"]["value"] == pytest.approx(314.159)


def test_the_pot_holds_its_inside_measures(yard: Workspace) -> None:
    told = tree_room(again(yard), "T01", almanac=NONE)["pot"]["volume_cm3"]
    assert told["value"] == pytest.approx(30 * 20 * 10)  # a box
    assert (told["shown"], told["why"]) == ("6.0 L", "T01:fact:pot_volume")


def test_what_was_never_seen_is_no_fact(yard: Workspace) -> None:
    assert sorted(facts_of(yard)) == ["age", "pot_volume"]
    with pytest.raises(NotFoundError, match="nothing is known of T01 for: girth"):
        why_told(yard, "T01:fact:girth_mm")
    with pytest.raises(UnknownNameError, match="girth_mm"):
        why_told(yard, "T01:fact:girth_m")


@pytest.mark.parametrize(
    ("started", "words"),
    [
        ("1998", "28 to 29 years"),
        ("about 1990", "34 to 39 years"),
        ("2026-12-07", "3 months"),
        ("2027-03-07", "0 months"),
        ("before 2019", "over 8 years"),
        ("after 2019", "at most 7 years"),
        ("unknown", ""),
        ("14 March 1998", "28 years"),
    ],
)
def test_an_age_is_as_exact_as_the_beginning(started: str, words: str) -> None:
    assert age_words(parse_fuzzy_date(started, field="started"), TODAY) == words


def test_a_why_of_a_fact_names_what_was_typed_when_and_by_whom(yard: Workspace) -> None:
    made = log_entry(yard, "T01", Given("height", "2 ft", date="spring 2026", by="Ida", confirmed_by="Jo"))
    edit_entry(yard, made["id"], {"note": "without the pot"}, by="Sam")
    chain = why_told(again(yard), "T01:fact:height_mm")["chain"]
    assert [(link["depth"], link["label"], link["value"]) for link in chain] == [
        (0, "height of T01", "61 cm"),
        (1, "height 61 cm", "spring 2026"),
        (2, "as typed", '"2 ft"'),
        (2, "day", "spring 2026"),
        (2, "seen by", "Ida"),
        (2, "confirmed by", "Jo"),
        (2, "written down", "7 Mar 2027, 12:00, by Ida"),
        (2, "corrected", "7 Mar 2027, 12:00, by Sam"),
        (2, "note", "without the pot"),
    ]


def test_a_ring_names_the_girths_that_its_line_goes_through(yard: Workspace) -> None:
    log_entry(yard, "T01", Given("girth", "10 cm", date="2017-01-15"))
    log_entry(yard, "T01", Given("girth", "20 cm", date="2027-01-15"))
    # the line does not go through a girth at another height
    log_entry(yard, "T01", Given("girth", "7 cm", at="40 cm", date="2027-01-16"))
    why = why_told(again(yard), "T01:girth@2022")
    assert why["title"] == "girth of T01 at the end of 2022"
    assert [link["label"] for link in why["chain"] if link["depth"] == 1] == ["girth 10 cm", "girth 20 cm"]
    # about six of ten growing seasons after the first measure, filled in evenly: about 16 cm
    assert 14 < float(why["value"].split()[0]) < 18
    with pytest.raises(NotFoundError):
        why_told(again(yard), "T01:girth@1890")


def test_a_plan_that_was_carried_out_is_no_task_any_more(yard: Workspace) -> None:
    log_entry(yard, "T01", Given("plan", "wire", date="2027-03-05", reason="bends"))
    (task,) = tree_room(again(yard), "T01", almanac=NONE)["tasks"]
    assert (task["kind"], task["when"], task["conflicts"]) == ("planned", "planned for 5 Mar 2027", [])
    log_entry(yard, "T01", Given("work", "wire", date="2027-03-07"))
    kinds = [task["kind"] for task in tree_room(again(yard), "T01", almanac=NONE)["tasks"]]
    assert "planned" not in kinds


def test_plans_that_collide_say_so_beside_each_other(yard: Workspace) -> None:
    log_entry(yard, "T01", Given("plan", "repot", date="2027-03-20", root_removed="40%"))
    log_entry(yard, "T01", Given("plan", "chop", date="2027-03-20"))
    tasks = tree_room(again(yard), "T01", almanac=NONE)["tasks"]
    assert len(tasks) == 2
    assert all("common practice" in " ".join(task["conflicts"]) for task in tasks)


def test_aftercare_runs_while_its_days_run(yard: Workspace) -> None:
    log_entry(yard, "T01", Given("work", "repot", date="2027-03-01", root_removed="10%"))
    care = [t for t in tree_room(again(yard), "T01", almanac=NONE)["tasks"] if t["kind"] == "due"]
    assert care
    assert all(task["when"].startswith("day 6 after light repot (1 Mar 2027)") for task in care)
    in_autumn = tree_room(open_workspace(yard.folder, on="2027-12-01"), "T01", almanac=NONE)["tasks"]
    assert 0 < len(in_autumn) < len(care)  # the ties are looked at within a year; shade is long over
    later = open_workspace(yard.folder, on="2028-12-01")
    assert tree_room(later, "T01", almanac=NONE)["tasks"] == []


def test_ties_are_a_task_a_season_after_the_work_with_their_number(yard: Workspace) -> None:
    given = Given("work", "repot", date="2027-03-01", ties="4, 2.5mm, crossing over the ball")
    log_entry(yard, "T01", given)
    early = tree_room(again(yard), "T01", almanac=NONE)["tasks"]
    assert not any("ties" in task["words"] for task in early)
    late = tree_room(open_workspace(yard.folder, on="2027-12-01"), "T01", almanac=NONE)["tasks"]
    (words,) = [task["words"] for task in late if "ties" in task["words"]]
    assert words.endswith("4 old ties (2.5 mm wire, crossing over the ball).")


def test_a_question_is_a_task_until_it_is_withdrawn(yard: Workspace) -> None:
    log_entry(yard, "T01", Given("question", "Layer or graft?", date="2027-02-01"))
    (task,) = tree_room(again(yard), "T01", almanac=NONE)["tasks"]
    assert (task["kind"], task["words"], task["when"]) == (
        "question",
        "open question: Layer or graft?",
        "asked 1 Feb 2027",
    )


def test_a_retired_tree_keeps_its_room_without_tasks(yard: Workspace) -> None:
    log_entry(yard, "T01", Given("plan", "wire", date="2027-03-20"))
    retire_tree(yard, "T01", "sold")
    room = tree_room(again(yard), "T01", almanac=NONE)
    assert (room["tasks"], room["windows"]) == ([], [])
    assert room["retired"]["shown"] == "7 Mar 2027"
    assert room["entry_count"] == 1
    assert room["revision"] == 2


def test_entries_come_in_pages_newest_first(yard: Workspace) -> None:
    for n in range(1, 8):
        log_entry(yard, "T01", Given("note", f"note {n}", date=f"2027-02-0{n}"))
    log_entry(yard, "T01", Given("vigour", "3", date="2027-02-05"))
    first = entries_page(again(yard), "T01", kind="note", limit=3)
    assert first["total"] == 7
    assert [e["note"] for e in first["entries"]] == ["note 7", "note 6", "note 5"]
    second = entries_page(again(yard), "T01", kind="note", limit=3, before=first["entries"][-1]["id"])
    assert [e["note"] for e in second["entries"]] == ["note 4", "note 3", "note 2"]
    assert entries_page(again(yard), "T01")["total"] == 8
    with pytest.raises(NotFoundError):
        entries_page(again(yard), "T01", before="E99")
    with pytest.raises(UnknownNameError, match="note"):
        entries_page(again(yard), "T01", kind="notes")


def test_windows_of_the_almanac_are_told_with_their_bands(tmp_path: Path) -> None:
    demo = build_demo(tmp_path / "demo")
    view = AlmanacView("ready", make_almanac(demo, "key"))
    assert view.almanac is not None
    told = view.almanac.tree("T03")
    assert told is not None
    (window,) = [w for w in tree_room(demo, "T03", almanac=view)["windows"] if w["operation"] == "repot"]
    kept = told.window("repot")
    assert kept is not None
    assert kept.opens is not None
    assert window["opens"]["median"] == kept.opens.median.isoformat()
    assert (window["wanted"], window["why"], window["sentence"]) == (True, "T03:repot:opens", kept.sentence)
    demo.store.close()


LARGE_TREES, LARGE_ENTRIES = 300, 20_000
LIMIT_S = 0.020


def large(folder: Path) -> None:
    kinds: tuple[tuple[str, dict[str, Any]], ...] = (
        ("girth", {"girth_mm": 100.0}),
        ("vigour", {"score": 3}),
        ("stage", {"code": "07", "extent": "first"}),
        ("drain", {"seconds": 30.0}),
        ("work", {"operation": "wire"}),
    )
    each = math.ceil(LARGE_ENTRIES / LARGE_TREES)
    values: list[Any] = []
    for i in range(LARGE_TREES):
        tree = f"T{i:03d}"
        values.append(Tree(tree, f"Tree {i}", "acer_palmatum"))
        for k in range(each):
            kind, data = kinds[k % len(kinds)]
            on = exact_day(TODAY - timedelta(days=30 * k + i % 7))
            values.append(Entry("", tree, kind, on, data, by="owner"))
    with open_store(folder) as store:
        store.save(Action("owner", "demo", datetime(2027, 3, 7, 12, tzinfo=UTC)), values)


def test_a_room_reads_no_other_tree_and_is_quick(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "large"
    large(folder)
    real = Store.entries

    def only_one(store: Store, tree: str | None = None, *rest: Any, **more: Any) -> list[Entry]:
        assert tree is not None, "all entries of the yard were read"
        return real(store, tree, *rest, **more)

    monkeypatch.setattr(Store, "entries", only_one)
    assert tree_room(open_workspace(folder, on=TODAY.isoformat()), "T123", almanac=NONE)["entry_count"] == 67
    with LivingYard(folder, on=TODAY.isoformat()) as living:
        tree_room(living.workspace(), "T122", almanac=NONE)
        spans = []
        for number in range(100, 120):
            workspace = living.workspace()
            begun = time.perf_counter()
            tree_room(workspace, f"T{number}", almanac=NONE)
            spans.append(time.perf_counter() - begun)
    assert min(spans) < LIMIT_S
