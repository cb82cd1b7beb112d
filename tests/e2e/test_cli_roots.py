"""What was found at the roots, by the command: kept, told, drawn, on the worksheet, and taken back."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command_line import Cli

ON = ("--on", "2027-03-20")


@pytest.fixture
def elm(cli: Cli, yard: Path) -> Path:
    assert cli("tree", "add", "Old Elm", "--species", "Ulmus procera", *ON, folder=yard).code == 0
    assert cli("pot", "add", "P1", "--shape", "rect", "--size", "30x20x6 cm", *ON, folder=yard).code == 0
    assert cli("pot", "put", "P1", "T01", *ON, folder=yard).code == 0
    words = ("work", "repot", "--date", "2027-03-10")
    assert cli("log", "T01", *words, *ON, folder=yard).code == 0
    return yard


def test_roots_are_kept_told_and_drawn(cli: Cli, elm: Path, tmp_path: Path) -> None:
    drawing = tmp_path / "roots.svg"
    given = ("--at", "3=thick,2cut", "--at", "7-9=fine", "--at", "11=none", "--date", "2027-03-10")
    data = cli("measure", "roots", "T01", *given, "--out", str(drawing), "--json", *ON, folder=elm).data
    assert (data["sectors_filled"], data["sectors_looked_at"]) == (4, 5)
    assert data["sectors"][2] == {"hour": 3, "live": True, "finds": {"thick": 1, "cut": 2}}
    assert "<svg" in drawing.read_text()
    again = cli("measure", "roots", "T01", "--json", *ON, folder=elm).data
    assert again["action"] is None
    assert again["sectors"] == data["sectors"]
    entries = cli("tree", "show", "T01", "--json", *ON, folder=elm).data["entries"]
    assert [each["kind"] for each in entries].count("roots") == 1
    sheet = cli("worksheet", "T01", "repot", "--json", *ON, folder=elm)
    assert "thick at 3" in sheet.out
    assert cli("undo", *ON, folder=elm).code == 0
    assert cli("measure", "roots", "T01", *ON, folder=elm).code == 2


def test_marks_on_a_photo_are_kept_with_their_reach(cli: Cli, elm: Path, tmp_path: Path) -> None:
    file = tmp_path / "below.json"
    marks = {
        "centre": [500, 400],
        "front": [500, 600],
        "scale": {"points": [[200, 700], [800, 700]], "mm": 300},
        "roots": [{"base": [580, 400], "end": [760, 400]}, {"base": [420, 400], "end": [300, 400]}],
    }
    file.write_text(json.dumps(marks))
    data = cli("measure", "roots", "T01", "--photo-points", str(file), "--json", *ON, folder=elm).data
    # seen from below with the front at the foot, what lies to the right is at nine o'clock
    assert [each["clock"] for each in data["roots"]] == [9.0, 3.0]
    assert data["root_spread_mm"] == pytest.approx(230.0)


@pytest.mark.parametrize(
    "given", [("--at", "13=thick"), ("--at", "3=thik"), (), ("--photo-points", "none.json")], ids=str
)
def test_what_does_not_read_stores_nothing(cli: Cli, elm: Path, given: tuple[str, ...]) -> None:
    ran = cli("measure", "roots", "T01", *given, *ON, folder=elm)
    assert ran.code == 2
    assert ran.one_line
    entries = cli("tree", "show", "T01", "--json", *ON, folder=elm).data["entries"]
    assert [each["kind"] for each in entries] == ["work"]


def test_logging_roots_says_the_way(cli: Cli, elm: Path) -> None:
    assert "measure roots TREE --at" in cli("log", "T01", "roots", "thick", *ON, folder=elm).err
