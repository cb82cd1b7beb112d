"""`ringwise courses` and `cuts` on a tree with a tape; bad courses are one line and change nothing."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from command_line import Cli


def digest(folder: Path) -> str:
    """All that is stored, results of futures and their jobs among them."""
    from ringwise.records.store import open_store

    with open_store(folder, create=False) as store:
        return repr((store.trees(), store.pots(), store.places(), store.entries(), store.actions()))


@pytest.fixture
def elm(cli: Cli, yard: Path) -> Path:
    assert cli("tree", "add", "Boundary", "--species", "Ulmus procera", "--id", "T01", folder=yard).code == 0
    branches = ("12cm,3,14mm,15cm,20", "18cm,9,12mm,14cm,16", "25cm,1,10mm,12cm,14", "33cm,7,8mm,10cm,12")
    words = [part for branch in branches for part in ("--branch", branch)]
    ran = cli(
        "measure",
        "tape",
        "T01",
        "--height",
        "48cm",
        "--girth",
        "17cm@2cm",
        "--girth",
        "9cm@25cm",
        *words,
        folder=yard,
    )
    assert ran.code == 0, ran
    return yard


def test_cuts_tells_both_sides_of_every_height(cli: Cli, elm: Path) -> None:
    before = digest(elm)
    ran = cli("cuts", "T01", "--json", folder=elm)
    assert ran.code == 0, ran
    data = ran.data
    places = data["places"]
    assert len(places) > 50
    assert [place["height_mm"] for place in places] == sorted(place["height_mm"] for place in places)
    for place in places:
        assert (place["why"] == "") == place["feasible"]
        assert place["feasible"] or not place["front"]
        assert place["ring_least_mm"] <= place["ring_most_mm"] <= 50
        assert place["rooting_low_prob"] < place["rooting_prob"] < place["rooting_high_prob"]
    assert len({place["above"]["tips_n"] + place["below"]["tips_n"] for place in places}) == 1
    assert any(place["front"] for place in places)
    assert not any(place["feasible"] for place in places if place["height_mm"] < 120), "nothing lives below"
    assert digest(elm) == before
    limbs = cli("cuts", "T01", "--branch", "--json", folder=elm).data["branches"]
    assert len(limbs) >= 4
    assert all(limb["places"] for limb in limbs)
    shown = cli("cuts", "T01", folder=elm)
    assert shown.code == 0
    assert "no ring at" in shown.out


def test_a_scan_of_a_measured_tree_takes_less_than_a_blink() -> None:
    """At most 50 ms for a tree of the demo's size, the best of five tries on a busy machine."""
    from ringwise.futures.scan import scan
    from ringwise.growth.biology import biology
    from ringwise.structure.basics import tape_from_basics
    from ringwise.structure.forms import form_for
    from ringwise.structure.measured import measured_of
    from ringwise.structure.tape_tree import tree_from_tape

    form, life, taken_s = form_for(("any",)), biology(("ulmus",)), []
    tape = tape_from_basics(92.0, 520.0, form, seed=1)
    for seed in range(5):
        tree = measured_of(tree_from_tape(tape, seed=seed, form=form, born_year=2026))
        began = time.perf_counter()
        scan(tree, life)
        taken_s.append(time.perf_counter() - began)
    assert min(taken_s) < 0.05


def test_courses_says_what_can_be_done_and_why_not(cli: Cli, elm: Path) -> None:
    ran = cli("courses", "T01", "--json", folder=elm)
    assert ran.code == 0, ran
    rows = ran.data["courses"]
    assert rows[0]["key"] == "as_it_is"
    assert all(row["why"] for row in rows)
    assert {row["feasible"] for row in rows} <= {True, False}
    assert any(row["key"].startswith("chop@") for row in rows)
    assert any(row["key"].startswith("air_layer@") for row in rows)
    shown = cli("courses", "T01", folder=elm)
    assert rows[-1]["title"] in shown.out


HEAD = 'key = "mine"\ntitle = "Mine"\n'
BAD = [
    ('[[step]]\noperation = "repott"\n', "Did you mean: repot"),
    ('[[step]]\noperation = "repot"\nafter_years = -2\n', "-2"),
    ('[[step]]\noperation = "chop"\nsite = "9 m"\n', "does not meet the tree"),
    ('[[step]]\noperation = "air_layer"\nhalf = "summer"\nsite = "7 cm"\n', "no live branch below"),
    ('[[step]]\noperation = "separate_layer"\n', "no earlier step"),
    ('[[step]]\noperation = "chop"\nsite = "20 cm"\nif = "thick"\n', "thick"),
    ('[[check]]\nname = "idle"\nlook = "rooted"\n', "no step hangs on"),
    ('[[step]]\noperation = "lift"\nlitres = 9\n', "stands in a pot"),
]


@pytest.mark.parametrize(("text", "says"), BAD, ids=[says for _text, says in BAD])
def test_a_bad_course_is_one_line_and_stores_nothing(cli: Cli, elm: Path, text: str, says: str) -> None:
    pot = cli("pot", "add", "P-1", "--shape", "oval", "--size", "42x31x7.5 cm", folder=elm)
    assert pot.code == 0, pot
    assert cli("pot", "put", "P-1", "T01", folder=elm).code == 0
    file = elm.parent / "mine.toml"
    file.write_text(HEAD + text, encoding="utf-8")
    before = digest(elm)
    ran = cli("futures", "T01", "--course", str(file), folder=elm)
    assert ran.code == 2, ran
    assert ran.out == ""
    assert says in ran.one_line
    assert digest(elm) == before


@pytest.mark.parametrize(
    ("key", "says"), [("chop", "chop@22cm"), ("chop@9m", "does not meet"), ("accept@2cm", "height")]
)
def test_a_key_that_cannot_be_is_one_line(cli: Cli, elm: Path, key: str, says: str) -> None:
    before = digest(elm)
    ran = cli("futures", "T01", "--course", key, folder=elm)
    assert ran.code == 2, ran
    assert says in ran.one_line
    assert digest(elm) == before
