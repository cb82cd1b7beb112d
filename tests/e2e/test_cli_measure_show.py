"""`ringwise measure show`, `compare`, `import` and `export` as a grower types them."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from command_line import Cli

from ringwise.structure.exchange.formats import read_tree

TAPE = (
    "measure",
    "tape",
    "T01",
    "--height=44cm",
    "--girth=15cm@2cm",
    "--girth=12cm@12cm",
    "--branch=14cm,3,12mm,18cm,12",
    "--branch=19cm,9,10mm,15cm,9",
)


@pytest.fixture
def yard(cli: Cli, tmp_path: Path) -> list[str]:
    """The options of a yard with one tree, measured by tape in 2027."""
    common = [f"--collection={tmp_path / 'yard'}"]
    assert cli("tree", "add", "Old Elm", "--species=Ulmus procera", *common, "--on=2027-03-07").code == 0
    assert cli(*TAPE, *common, "--on=2027-03-07").code == 0
    return common


def test_show_tells_sizes_with_spreads(cli: Cli, yard: list[str]) -> None:
    told = cli("measure", "show", "T01", "--at=3cm", "--at=12cm", "--json", *yard, "--on=2027-03-08").data
    assert (told["source"], told["on"]) == ("tape", "2027-03-08")
    assert told["height_mm"] == pytest.approx(440.0, abs=0.01)
    assert told["sd"]["height_mm"] == pytest.approx(4.0, rel=0.5)  # what a tape reads, give or take
    assert told["girths"][1]["girth_mm"] == pytest.approx(120.0, abs=0.1)  # as it was measured there
    assert 120.0 < told["girths"][0]["girth_mm"] < 150.0
    assert told["girths"][1]["girth_sd_mm"] == pytest.approx(1.0, abs=0.01)
    named = [each for each in told["branches"] if each["how"] == "calliper"]
    assert [round(each["clock"]) for each in named] == [3, 9]
    assert [each["base_diameter_mm"] for each in named] == pytest.approx([12.0, 10.0])
    assert sum(each["wood_frac"] for each in told["branches"] if each["order"] == 1) < 1.0
    assert {each["basis"] for each in told["proportions"]} == {"practice"}
    assert json.dumps(told)  # plain values throughout


def test_show_reads_like_a_page(cli: Cli, yard: list[str]) -> None:
    shown = cli("measure", "show", "T01", "--at=3cm", *yard, "--on=2027-03-08")
    assert shown.code == 0
    assert "T01 Old Elm, from tape and calliper of 7 Mar 2027" in shown.out
    assert "girth at 30 mm: 1" in shown.out
    assert "Proportions (common practice)" in shown.out
    assert "14 ± 0.5 cm" in shown.out


def test_an_open_wound_is_told_until_it_closes(cli: Cli, yard: list[str]) -> None:
    for day, width in (("2027-03-10", "15mm"), ("2028-03-10", "11mm")):
        log = cli("log", "T01", "wound", width, "--at=14cm,5:30", f"--date={day}", *yard, "--on=2028-03-20")
        assert log.code == 0, log.err
    told = cli("measure", "show", "T01", "--json", *yard, "--on=2028-03-20").data
    assert told["wounds"] == [
        {
            "height_mm": 140.0,
            "clock": 5.5,
            "width_mm": 11.0,
            "first_width_mm": 15.0,
            "since": "2027-03-10",
            "read": "2028-03-10",
            "open": True,
        }
    ]
    assert "front_scar" in {each["kind"] for each in told["faults"]}
    assert cli("log", "T01", "wound", "0mm", "--at=14cm", *yard, "--on=2031-03-20").code == 0
    later = cli("measure", "show", "T01", "--json", *yard, "--on=2031-03-21").data
    assert later["wounds"][0]["open"] is False
    assert "front_scar" not in {each["kind"] for each in later["faults"]}
    without = cli("log", "T01", "wound", "9mm", *yard)
    assert (without.code, without.one_line) == (
        2,
        "ringwise: a wound needs its place: --at height,clock such as 14cm,3",
    )


def test_a_shape_goes_out_and_comes_back(cli: Cli, yard: list[str], tmp_path: Path) -> None:
    out = tmp_path / "tree.csv"
    assert cli("measure", "export", "T01", f"--out={out}", *yard, "--on=2027-03-08").code == 0
    tree = read_tree(out.name, out.read_bytes())
    taken = cli("measure", "import", "T01", str(out), "--json", *yard, "--on=2029-03-08")
    assert taken.code == 0, taken.err
    assert (taken.data["source"], taken.data["segments"]) == ("file", tree.n)
    told = cli("measure", "show", "T01", "--json", *yard, "--on=2029-03-08").data
    assert (told["source"], told["segments"]) == ("file", tree.n)
    assert cli("undo", *yard, "--on=2029-03-09").code == 0
    assert cli("measure", "show", "T01", "--json", *yard, "--on=2029-03-09").data["source"] == "tape"


def test_a_cylinder_model_is_told_by_its_own_sizes(cli: Cli, yard: list[str], tmp_path: Path) -> None:
    """A pole of two cylinders, 3 m high, 120 mm thick at 1.3 m."""
    model = tmp_path / "pole.csv"
    model.write_text(
        "start_x,start_y,start_z,axis_x,axis_y,axis_z,length,radius,parent,branch_order\n"
        "0,0,0,0,0,1,2.0,0.06,0,0\n0,0,2,0,0,1,1.0,0.04,1,0\n",
        encoding="utf-8",
    )
    taken = cli("measure", "import", "T01", str(model), "--json", *yard, "--on=2029-03-08")
    assert taken.code == 0, taken.err
    assert taken.data["source"] == "cylinders"
    assert taken.data["height_mm"] == pytest.approx(3000.0, rel=0.005)
    assert taken.data["breast_diameter_mm"] == pytest.approx(120.0, rel=0.005)


def test_a_mesh_needs_no_more_than_its_ending(cli: Cli, yard: list[str], tmp_path: Path) -> None:
    out = tmp_path / "tree.glb"
    made = cli("measure", "export", "T01", f"--out={out}", "--stage=none", "--json", *yard, "--on=2027-03-08")
    assert made.code == 0, made.err
    assert out.read_bytes()[:4] == b"glTF"
    assert made.data["bytes"] == out.stat().st_size


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("tree.json", "{", "no JSON"),
        ("tree.json", '{"format": "other"}', "no tree of this program"),
        ("tree.ply", "ply", "ending of the file"),
    ],
)
def test_what_does_not_read_stores_nothing(
    cli: Cli, yard: list[str], tmp_path: Path, name: str, content: str, said: str
) -> None:
    (tmp_path / name).write_text(content, encoding="utf-8")
    refused = cli("measure", "import", "T01", str(tmp_path / name), *yard, "--on=2029-03-08")
    assert refused.code == 2
    assert said in refused.one_line
    assert not list((tmp_path / "yard").glob("shapes/*/*"))
    assert cli("measure", "show", "T01", "--json", *yard, "--on=2029-03-08").data["source"] == "tape"


def test_two_measurements_are_laid_over_each_other(cli: Cli, yard: list[str]) -> None:
    again = [each.replace("=15cm@", "=16cm@").replace("3,12mm", "3,14mm") for each in TAPE]
    assert cli(*again, *yard, "--on=2031-03-07").code == 0
    told = cli(
        "measure", "compare", "T01", "2027-12-31", "2031-12-31", "--json", *yard, "--on=2032-01-01"
    ).data
    assert (told["first"]["measured"], told["second"]["measured"]) == ("2027-03-07", "2031-03-07")
    girth = next(row for row in told["rows"] if row["key"] == "base_girth_mm")
    assert girth["change"] == pytest.approx(10.0, abs=0.5)
    assert girth["change_sd"] == pytest.approx(math.sqrt(2.0), rel=0.5)
    grown = [each["base_change_mm"] for each in told["branches"] if round(each["clock"]) == 3]
    assert max(grown) == pytest.approx(2.0, abs=0.01)
    shown = cli("measure", "compare", "T01", "2027-12-31", "2031-12-31", *yard, "--on=2032-01-01")
    assert "laid over each other by a turn of" in shown.out


def test_compare_says_what_is_missing(cli: Cli, yard: list[str]) -> None:
    early = cli("measure", "compare", "T01", "2020-01-01", "2027-12-31", *yard, "--on=2028-01-01")
    assert "nothing was measured by 1 Jan 2020" in early.one_line
    same = cli("measure", "compare", "T01", "2027-04-01", "2027-12-31", *yard, "--on=2028-01-01")
    assert "both days stand on the same measurement" in same.one_line


def test_bad_words_are_refused_in_one_line(cli: Cli, yard: list[str]) -> None:
    high = cli("measure", "show", "T01", "--at=2m", *yard, "--on=2027-03-08")
    assert (high.code, "--at" in high.one_line) == (2, True)
    side = cli("measure", "show", "T01", "--view=north", *yard, "--on=2027-03-08")
    assert "compass word" in side.one_line
    ending = cli("measure", "export", "T01", "--out=tree.doc", *yard, "--on=2027-03-08")
    assert "ending of --out" in ending.one_line
