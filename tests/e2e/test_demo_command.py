"""`ringwise demo` builds, computes, says where to look; killed it is made good; it spares other folders."""

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

from ringwise.faces.cli import demo

LONG = int(os.environ.get("RINGWISE_LONG", "0"))
KILLS = 30 if LONG else 4
PROGRAM = "import sys\nfrom ringwise.faces.start import run\nrun(sys.argv[1:])\n"


@pytest.fixture(autouse=True)
def lives(monkeypatch: pytest.MonkeyPatch) -> None:
    """The futures of the demo's pages are lived in the counts of this run."""
    if not LONG:
        monkeypatch.setattr(demo, "LIVES", 50)  # a tenth


def test_the_demo_shows_the_whole_job(cli: Cli, tmp_path: Path) -> None:
    folder = tmp_path / "a yard"
    ran = cli("demo", "--no-open", "--json", folder=folder)
    assert ran.code == 0, ran.err
    data = ran.data
    assert (data["trees"], data["today"]) == (40, "2027-03-07")
    for name in ("worksheet_T03", "futures_T01", "futures_T04"):
        file = Path(data["files"][name])
        assert file.stat().st_size > 10_000
    turn = Path(data["files"]["turn_T39"])
    assert len(list(turn.parent.glob("*.jpg"))) == 16
    again = cli("demo", "--no-open", folder=folder)
    assert again.code == 0, again.err
    assert "T21" in again.out
    assert str(data["files"]["futures_T01"]) in again.out


def test_somebody_elses_folder_is_left_alone(cli: Cli, yard: Path) -> None:
    cli("tree", "add", "Elm", "--species", "Ulmus procera", folder=yard)
    ran = cli("demo", "--no-open", folder=yard)
    assert ran.code == 2
    assert "not the demo yard" in ran.one_line
    assert [t["name"] for t in cli("tree", "list", "--json", folder=yard).data["trees"]] == ["Elm"]


def test_killed_in_the_middle_of_the_demo(cli: Cli, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """SIGKILL at random: the collection opens, holds all of a step or nothing; a rerun completes it."""
    from ringwise.desk.demo.collection import demo_values
    from ringwise.records.store import open_store

    records = len(demo_values().entries)
    whole = records + 5  # a measured tree and four pictures of it, as a step of their own
    luck = random.Random(11)  # when to kill, not what is computed
    for kill in range(KILLS):
        folder = tmp_path / f"yard{kill}"
        child = subprocess.Popen(
            [sys.executable, "-c", PROGRAM, "demo", "--no-open", "--collection", str(folder)],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        time.sleep(luck.uniform(0.3, 2.5))
        child.send_signal(signal.SIGKILL)
        child.wait()
        if folder.exists() and any(folder.iterdir()):
            with open_store(folder) as store:
                assert store.check() == []
                assert len(store.entries()) in {0, records, whole}
                assert len(store.trees()) in {0, 40}
    if not LONG:
        monkeypatch.setattr(demo, "_TURNINGS", ())  # the record is looked at here, not the pages
    ran = cli("demo", "--no-open", "--json", folder=folder)
    assert ran.code == 0, ran.err
    assert ran.data["entries"] == whole
