"""The tape by file, options and questions, and the drawing of the tree, by the command."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from pathlib import Path

import pytest
from command_line import Cli

from ringwise.desk.tape_typed import BranchGiven, TapeGiven, tape_given
from ringwise.faces.cli.tape_questions import asked_tape

ON = ("--on", "2027-03-07")


@pytest.fixture
def elm(cli: Cli, yard: Path) -> Path:
    assert cli("tree", "add", "Old Elm", "--species", "Ulmus procera", *ON, folder=yard).code == 0
    return yard


def tapes(cli: Cli, folder: Path) -> list[dict[str, object]]:
    entries = cli("tree", "show", "T01", "--json", *ON, folder=folder).data["entries"]
    return [each["data"] for each in entries if each["kind"] == "tape"]


def test_a_csv_is_kept_and_drawn_from_any_side(cli: Cli, elm: Path, tmp_path: Path) -> None:
    file = tmp_path / "elm.csv"
    file.write_text(
        "what,height,girth,clock,diameter,length,tips\nheight,44cm\ngirth,2cm,13cm\n"
        "branch,14cm,,3,12mm,18cm,24\nbranch,19cm,,9\n"
    )
    data = cli("measure", "tape", "T01", "--file", str(file), "--json", *ON, folder=elm).data
    assert data["height_mm"] == pytest.approx(440.0, rel=1e-4)
    assert data["branches_measured"] == 2
    assert tapes(cli, elm)[0]["branches"][1]["diameter_mm"] is None  # type: ignore[index]
    drawing = tmp_path / "elm.svg"
    words = ("--view", "9:30", "--cut", "16cm", "--dimensions", "--out", str(drawing))
    told = cli("measure", "draw", "T01", *words, "--json", *ON, folder=elm).data
    assert told["bytes"] == drawing.stat().st_size < 40_000
    assert (told["cut_mm"], told["view_clock"]) == (160.0, 9.5)
    svg = ElementTree.fromstring(drawing.read_text())
    texts = [each.text or "" for each in svg.iter("{http://www.w3.org/2000/svg}text")]
    assert any("44" in each for each in texts)
    assert any("cut at 16" in each for each in texts)


def test_a_bad_line_stores_nothing(cli: Cli, elm: Path, tmp_path: Path) -> None:
    file = tmp_path / "elm.csv"
    file.write_text("what,height,girth\nheight,44cm,\ngirth,60cm,13cm\n")
    ran = cli("measure", "tape", "T01", "--file", str(file), *ON, folder=elm)
    assert ran.code == 2
    assert "elm.csv, line 3, column height" in ran.one_line
    assert "0 to 431.2 mm" in ran.one_line
    assert tapes(cli, elm) == []


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--view", "14"), "1 to 12 on the clock"),
        (("--view", "south"), "a compass word"),
        (("--elevation", "95deg"), "-30 to 90 deg"),
        (("--cut", "90cm"), "below the end of the trunk"),
        (("--out", "tree.png"), ".svg"),
    ],
)
def test_a_drawing_that_cannot_be_says_why(
    cli: Cli, elm: Path, tmp_path: Path, words: tuple[str, str], told: str
) -> None:
    given = ("--height", "44cm", "--girth", "13cm@3cm")
    assert cli("measure", "tape", "T01", *given, *ON, folder=elm).code == 0
    out = () if words[0] == "--out" else ("--out", str(tmp_path / "t.svg"))
    ran = cli("measure", "draw", "T01", *words, *out, *ON, folder=elm)
    assert ran.code == 2
    assert told in ran.one_line
    assert not (tmp_path / "t.svg").exists()


def _answers(texts: list[str]) -> tuple[TapeGiven | None, list[str], list[str]]:
    answers: Iterator[str] = iter(texts)
    asked: list[str] = []
    said: list[str] = []

    def ask(question: str) -> str:
        asked.append(question)
        return next(answers)

    return asked_tape(ask, said.append), asked, said


def test_questions_take_a_tape_and_ask_again_where_an_answer_does_not_read() -> None:
    given, asked, said = _answers(
        ["44cm", "13cm", "13cm@3cm", "7cm@22cm", "", "14cm,3,,18cm", "99cm,3", "19cm", "", "", "4cm", "2"]
    )
    assert given is not None
    assert given.branches == (BranchGiven("14cm", "3", "", "18cm"), BranchGiven("19cm"))
    tape = tape_given(given)
    assert (tape.height_mm, tape.lean_mm, tape.lean_clock) == (440.0, 40.0, 2.0)
    assert [each.girth_mm for each in tape.girths] == [130.0, 70.0]
    assert len([line for line in said if "girth@height" in line]) == 1
    assert len([line for line in said if "431.2 mm" in line]) == 1
    assert len([line for line in asked if line.startswith("Branch 2")]) == 2


@pytest.mark.parametrize("texts", [[""], ["44cm", ""]])
def test_without_height_or_girth_there_is_no_tape(texts: list[str]) -> None:
    assert _answers(texts)[0] is None


def test_stopping_in_the_middle_stores_nothing(cli: Cli, elm: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    answers = iter(["44cm", "13cm@3cm", KeyboardInterrupt])

    def answered(*_words: object, **_more: object) -> str:
        answer = next(answers)
        if not isinstance(answer, str):
            raise answer
        return answer

    monkeypatch.setattr("typer.prompt", answered)
    assert cli("measure", "tape", "T01", *ON, folder=elm).code != 0
    assert tapes(cli, elm) == []
