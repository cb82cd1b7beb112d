"""Entries shown, corrected and withdrawn through the command; notes of a sheet and measures of a pot."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from command_line import Cli

ON = ("--on", "2027-03-07")


@pytest.fixture
def elm(cli: Cli, yard: Path) -> Path:
    assert cli("tree", "add", "Old Elm", "--species", "Ulmus procera", *ON, folder=yard).code == 0
    assert cli("log", "T01", "girth", "9 in", "--date", "March 2026", *ON, folder=yard).code == 0
    return yard


def test_an_entry_is_corrected_and_both_wordings_are_shown(cli: Cli, elm: Path) -> None:
    ran = cli("entry", "edit", "E1", "--value", "10 in", "--note", "again", "--json", *ON, folder=elm)
    assert ran.data["entry"]["data"] == {"girth_mm": 254.0, "typed": "10 in"}
    assert ran.data["entry"]["on"]["typed"] == "March 2026"
    shown = cli("entry", "show", "E1", *ON, folder=elm)
    assert shown.code == 0
    told = [line.split("owner  ")[1] for line in shown.out.splitlines()[1:]]
    assert told == ["March 2026, girth 25.4 cm: again", "March 2026, girth 22.9 cm"]


def test_a_correction_that_does_not_read_is_one_line_and_changes_nothing(cli: Cli, elm: Path) -> None:
    for words, says in (
        (("--value", "thick"), "girth"),
        (("--date", "2099-01-01"), "up to today"),
        (("--view", "front"), "--view"),
        ((), "name a field"),
    ):
        ran = cli("entry", "edit", "E1", *words, *ON, folder=elm)
        assert (ran.code, ran.out) == (2, "")
        assert says in ran.one_line
    assert cli("entry", "show", "E1", "--json", *ON, folder=elm).data["entry"]["revision"] == 1


def test_a_withdrawn_entry_counts_no_more_and_comes_back_by_undo(cli: Cli, elm: Path) -> None:
    assert cli("entry", "withdraw", "E1", *ON, folder=elm).code == 0
    assert cli("tree", "show", "T01", "--json", *ON, folder=elm).data["entries"] == []
    gone = cli("entry", "show", "E1", "--json", *ON, folder=elm).data
    assert gone["entry"] is None
    assert [row["withdrawn"] for row in gone["revisions"]] == [True, False]
    again = cli("entry", "withdraw", "E1", *ON, folder=elm)
    assert again.code == 2
    assert "there is no entry E1" in again.one_line
    assert "withdraw an entry of Old Elm" in cli("undo", *ON, folder=elm).out
    assert len(cli("tree", "show", "T01", "--json", *ON, folder=elm).data["entries"]) == 1


def test_a_retired_tree_is_logged_on_no_more(cli: Cli, elm: Path) -> None:
    assert cli("tree", "retire", "T01", "--reason", "sold", *ON, folder=elm).code == 0
    later = ("--on", "2027-04-01")
    tape = ("measure", "tape", "T01", "--height", "44 cm", "--girth", "13 cm@3 cm")
    for words in (("log", "T01", "girth", "10 in"), ("log", "T01", "plan", "wire"), tape):
        ran = cli(*words, *later, folder=elm)
        assert (ran.code, ran.out) == (2, "")
        assert "T01 Old Elm was retired on 7 Mar 2027" in ran.one_line
        assert "Give a date before it was retired" in ran.one_line
    assert cli("log", "T01", "girth", "10 in", "--date", "2027-03-01", *later, folder=elm).code == 0
    assert cli("log", "T01", "note", "thrives at its new place", *later, folder=elm).code == 0


def test_a_note_of_a_sheet_is_edited(cli: Cli, elm: Path) -> None:
    ran = cli("tree", "edit", "T01", "--note", "graft union high", "--json", *ON, folder=elm)
    assert (ran.data["tree"]["note"], ran.data["changed"]) == ("graft union high", ["note"])


def test_a_pot_is_measured_anew(cli: Cli, elm: Path) -> None:
    add = ("pot", "add", "P-1", "--shape", "rectangle", "--size", "30x20x10 cm", "--material", "clay")
    assert cli(*add, *ON, folder=elm).code == 0
    ran = cli("pot", "edit", "P-1", "--size", "12x9x2.5 in", "--holes", "2x20 mm", "--json", *ON, folder=elm)
    pot = ran.data["pot"]
    # 1 in is 25.4 mm by definition
    assert (pot["length_mm"], pot["width_mm"], pot["depth_mm"]) == pytest.approx((304.8, 228.6, 63.5))
    assert (pot["typed"], pot["material"], len(pot["holes"])) == ("12x9x2.5 in", "clay", 2)
    for words in (("--size", "12 in"), ("--holes", "50x20 mm"), ("--material", "clay"), ()):
        bad = cli("pot", "edit", "P-1", *words, *ON, folder=elm)
        assert (bad.code, bad.out) == (2, "")
    assert "correct pot P-1" in cli("undo", *ON, folder=elm).out


def test_a_question_is_logged(cli: Cli, elm: Path) -> None:
    ran = cli("log", "T01", "question", "Layer", "or", "graft?", "--json", *ON, folder=elm)
    assert ran.data["entry"]["data"] == {"title": "Layer or graft?", "courses": []}


def test_undo_tells_what_it_takes_back(cli: Cli, elm: Path) -> None:
    assert cli("undo", *ON, folder=elm).out == (
        "taken back: log Old Elm: girth 9 in by owner; it stays in the history\n"
    )


def test_the_why_of_a_fact_ends_at_what_was_typed(cli: Cli, elm: Path) -> None:
    ran = cli("why", "T01:fact:trunk_mm", *ON, folder=elm)
    assert ran.code == 0
    assert '"9 in"' in ran.out
    data = cli("why", "T01:fact:trunk_mm", "--json", *ON, folder=elm).data
    assert (data["title"], data["value"]) == ("trunk of T01", "73 mm")  # 228.6 / pi
    missing = cli("why", "T01:fact:height_mm", *ON, folder=elm)
    assert missing.code == 2
    assert "nothing is known" in missing.one_line


def test_whys_say_no_names_of_the_program(cli: Cli, built_demo: Path) -> None:
    for name in ("T03:repot:opens", "T03:repot:gross", "T21:stage:07", "T03:fact:pot_volume"):
        told = cli("why", name, folder=built_demo).out.split("\nSources\n")[0]
        links = [line.split("   [")[0] for line in told.splitlines()]
        assert links
        assert not [line for line in links if "_" in line], links
        assert "phenology." not in told
        assert "rootzone." not in told
        assert not re.search(r"row \w+\.\w+", told)
