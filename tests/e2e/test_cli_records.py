"""Trees, pots, entries, undo and history through the command, on a collection of one's own."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from command_line import Cli

LONG = int(os.environ.get("RINGWISE_LONG", "0"))
KILLS = 80 if LONG else 8


def digest(folder: Path) -> str:
    """All that is stored, as the library reads it."""
    from ringwise.records.store import open_store

    with open_store(folder, create=False) as store:
        return repr((store.trees(), store.pots(), store.places(), store.entries(), store.actions()))


@pytest.fixture
def elm(cli: Cli, yard: Path) -> Path:
    ran = cli("tree", "add", "Old Elm", "--species", "Ulmus procera", "--started", "about 1990", folder=yard)
    assert ran.code == 0, ran.err
    return yard


def test_a_tree_needs_only_name_and_species(cli: Cli, elm: Path) -> None:
    (tree,) = cli("tree", "list", "--json", folder=elm).data["trees"]
    assert (tree["id"], tree["name"], tree["species"]) == ("T01", "Old Elm", "ulmus_procera")
    assert tree["started"] == {
        "typed": "about 1990",
        "earliest": "1988-01-01",
        "latest": "1992-12-31",
        "precision": "circa",
    }
    assert tree["vigour"] is None
    assert tree["pot"] is None


def test_values_are_kept_as_typed_and_stored_in_mm(cli: Cli, elm: Path) -> None:
    ran = cli("log", "T01", "girth", "9 in", "--at", "3cm", "--on", "2027-03-07", "--json", folder=elm)
    data = ran.data["entry"]["data"]
    assert data["girth_mm"] == pytest.approx(228.6)
    assert data["at_mm"] == pytest.approx(30.0)
    assert data["typed"] == "9 in"


def test_pot_from_inches(cli: Cli, elm: Path) -> None:
    ran = cli("pot", "add", "P-1", "--shape", "rectangle", "--size", "12x9x2.5 in", "--json", folder=elm)
    assert ran.data["pot"]["typed"] == "12x9x2.5 in"
    # 12 x 9 x 2.5 cubic inches of 16.387064 cm3 each (the inch is 25.4 mm by definition)
    assert ran.data["volume_cm3"] == pytest.approx(270 * 16.387064)


def test_partial_date_becomes_an_interval(cli: Cli, elm: Path) -> None:
    ran = cli(
        "log", "T01", "work", "repot", "--root-removed", "40%", "--date", "spring 21", "--json", folder=elm
    )
    on = ran.data["entry"]["on"]
    assert (on["typed"], on["earliest"], on["latest"]) == ("spring 21", "2021-03-01", "2021-05-31")
    shown = cli("tree", "show", "T01", "--json", folder=elm).data
    assert shown["last_repot"]["typed"] == "spring 21"


def test_undo_walks_back_and_history_keeps_everything(cli: Cli, elm: Path) -> None:
    assert cli("log", "T01", "vigour", "3", folder=elm).code == 0
    assert cli("tree", "edit", "T01", "--name", "Hedge Elm", folder=elm).code == 0
    assert cli("undo", folder=elm).code == 0
    assert cli("tree", "show", "T01", "--json", folder=elm).data["name"] == "Old Elm"
    assert cli("tree", "show", "T01", "--json", folder=elm).data["vigour"] == 3
    assert cli("undo", folder=elm).code == 0
    assert cli("tree", "show", "T01", "--json", folder=elm).data["vigour"] is None
    names = [r["words"] for r in cli("tree", "history", "T01", "--json", folder=elm).data["revisions"]]
    assert any("Hedge Elm" in words for words in names)


def test_as_of_shows_what_was_known_then(cli: Cli, yard: Path) -> None:
    cli("tree", "add", "Elm", "--species", "Ulmus procera", "--on", "2027-01-10", folder=yard)
    cli("log", "T01", "vigour", "4", "--on", "2027-02-01", folder=yard)
    cli("log", "T01", "vigour", "2", "--on", "2027-03-01", folder=yard)
    seen = {
        day: cli("tree", "show", "T01", "--as-of", day, "--json", folder=yard).data["vigour"]
        for day in ("2027-01-20", "2027-02-15", "2027-03-05")
    }
    assert seen == {"2027-01-20": None, "2027-02-15": 4, "2027-03-05": 2}


BAD = [
    (("tree", "add", "X", "--species", "Ulms procera"), "Did you mean: Ulmus procera"),
    (("pot", "add", "P-9", "--shape", "oval", "--size", "30x20x-3 cm"), "accepted: 0.5 to 200 cm"),
    (("pot", "add", "P-9", "--shape", "tub", "--size", "30x20x5 cm"), "tub"),
    (("log", "T01", "note", "hello", "--date", "2026-02-30"), "2026-02-30"),
    (("log", "T01", "stage", "77"), "stage"),
    (("log", "T01", "vigour", "9"), "accepted"),
    (("log", "T01", "girth", "12 bananas"), "bananas"),
    (("log", "T01", "girth"), "value"),
    (("log", "T01", "work", "repott"), "Did you mean: repot"),
    (("log", "T01", "work", "repot", "--root-removed", "40"), "Did you mean 40 %"),
    (("log", "T01", "work", "repot", "--pot", "P-77"), "P-77"),
    (("log", "T77", "vigour", "3"), "T77"),
    (("log", "T01", "vigour", "3", "--date", "2199-01-01"), "--date"),
    (("tree", "edit", "T01"), "nothing to change"),
    (("tree", "add", "Elm 2", "--species", "Ulmus procera", "--id", "T01"), "already"),
    (("tree", "list", "--on", "yesterday"), "YYYY-MM-DD"),
    (("bogus",), "bogus"),
    (("futures", "T01", "--years", "-4"), "-4"),
]


@pytest.mark.parametrize(("words", "says"), BAD, ids=[" ".join(words) for words, _says in BAD])
def test_bad_input_is_one_line_and_changes_nothing(
    cli: Cli, elm: Path, words: tuple[str, ...], says: str
) -> None:
    before = digest(elm)
    ran = cli(*words, **({} if words == ("bogus",) else {"folder": elm}))
    assert ran.code == 2, ran
    assert ran.out == ""
    assert says in ran.one_line
    assert digest(elm) == before


def test_killed_in_the_middle_of_logging(elm: Path) -> None:
    """SIGKILL at random while entries are logged: it opens, nothing half, nothing acknowledged is lost."""
    program = (
        "import sys\n"
        "from ringwise.faces.cli.main import exit_code\n"
        "n = int(sys.argv[2])\n"
        "while True:\n"
        "    code = exit_code(['log', 'T01', 'note', f'n{n}', '--collection', sys.argv[1]])\n"
        "    sys.stdout.flush()\n"
        "    n += 1\n"
    )
    luck = random.Random(7)  # when to kill, not what is computed
    written: list[str] = []
    number = 0
    for _kill in range(KILLS):
        child = subprocess.Popen(
            [sys.executable, "-c", program, str(elm), str(number)], stdout=subprocess.PIPE, text=True
        )
        assert child.stdout is not None
        first = child.stdout.readline()
        time.sleep(luck.uniform(0.0, 0.25))
        child.send_signal(signal.SIGKILL)
        rest, _none = child.communicate()
        acknowledged = [
            line.split("note: ")[1].split(" ")[0] for line in (first + rest).splitlines() if "(stored" in line
        ]
        assert acknowledged
        written += acknowledged
        number += 10_000
        from ringwise.records.store import open_store

        with open_store(elm, create=False) as store:
            assert store.check() == []
            notes = [entry.note for entry in store.entries(tree="T01")]
            assert len(notes) == len(set(notes))
            assert set(written) <= set(notes)
            assert len(store.actions()) == 1 + len(
                notes
            )  # the tree, then one action an entry: none half done
