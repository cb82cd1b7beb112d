"""`ringwise futures`: what does not read or cannot be done changes nothing; a stopped run goes on."""

from __future__ import annotations

import hashlib
import os
import pty
import select
import signal
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest
from command_line import Cli

from ringwise.records.store.drivers import choose_driver

RUN = ("--course", "accept", "--futures", "1200", "--years", "12", "--workers", "1")

STEP = """
key = "own"
title = "Own way"
words = "An own way."

[[step]]
after_years = {year}
half = "{half}"
operation = "{operation}"
site = "{site}"
"""


def step(year: int = 0, half: str = "summer", operation: str = "air_layer", site: str = "") -> str:
    return STEP.format(year=year, half=half, operation=operation, site=site)


BAD_COURSES = {
    "unknown operation": (step(operation="levitate"), "levitate"),
    "negative year": (step(year=-2, operation="repot"), "-2"),
    "far year": (step(year=400, operation="repot"), "400"),
    "half that is none": (step(half="autumn", operation="repot"), "autumn"),
    "ring above the top": (step(site="9 m"), "9 m"),
    "cut above the top": (step(half="spring", operation="chop", site="7 m"), "7 m"),
    "layer that was never set": (step(half="spring", operation="separate_layer"), "no earlier step sets"),
    "lift from a pot": (step(half="spring", operation="lift"), "in the ground"),
    "graft that is nowhere": (step(half="spring", operation="sever_graft"), "graft"),
    "site that does not read": (step(site="wide"), "wide"),
    "unknown key": (step() + 'colour = "red"\n', "colour"),
    "no TOML": ("key = = 2", "bad.toml"),
    "no title": ('key = "own"\nwords = "x"\n', "title"),
}
BAD_WISHES = {
    "negative years": (("--years", "-3"), "-3"),
    "no years": (("--years", "0"), "0"),
    "too far": (("--years", "400"), "400"),
    "few futures": (("--futures", "3"), "3"),
    "no workers": (("--workers", "0"), "0"),
    "a scheduler in clear": (("--scheduler", "tcp://nursery:8786"), "unencrypted"),
    "unknown course": (("--course", "teleport"), "teleport"),
    "no such file": (("--course", "nowhere.toml"), "nowhere.toml"),
    "page in no folder": (("--html", "/nowhere/at/all.html"), "/nowhere"),
}


def stored(folder: Path) -> tuple[dict[str, str], dict[str, list[str]]]:
    """Every file but the database's own and the log by hash, and all rows of the database.

    Read by the driver of the store: another SQLite in this process would drop the locks of its connections.
    """
    files = {
        str(file.relative_to(folder)): hashlib.sha256(file.read_bytes()).hexdigest()
        for file in sorted(folder.rglob("*"))
        if file.is_file() and not file.name.startswith("collection.sqlite") and file.suffix != ".log"
    }
    with closing(choose_driver().module.connect(folder / "collection.sqlite")) as database:
        tables = [row[0] for row in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        rows = {name: [repr(row) for row in database.execute(f'SELECT * FROM "{name}"')] for name in tables}
    return files, rows


@pytest.fixture
def tree(cli: Cli, yard: Path) -> Path:
    """A yard with one measured tree in a pot."""
    for words in (
        ("tree", "add", "Old Mulberry", "--species", "Morus alba", "--started", "1990"),
        ("log", "T01", "trunk", "89 mm", "--on", "2026-03-01"),
        ("log", "T01", "height", "52 cm", "--on", "2026-03-01"),
        ("pot", "add", "P-1", "--shape", "oval", "--size", "42x31x7.5 cm", "--tree", "T01"),
    ):
        ran = cli(*words, folder=yard)
        assert ran.code == 0, ran.err
    return yard


@pytest.mark.parametrize("name", BAD_COURSES)
def test_a_course_that_does_not_read_or_cannot_be_done_changes_nothing(
    cli: Cli, tree: Path, tmp_path: Path, name: str
) -> None:
    text, told = BAD_COURSES[name]
    file = tmp_path / "bad.toml"
    file.write_text(text, encoding="utf-8")
    page = tmp_path / "page.html"
    before = stored(tree)
    ran = cli("futures", "T01", "--course", file, "--html", page, "--futures", "20", folder=tree)
    assert ran.code == 2
    assert told in ran.one_line
    assert ran.out == ""
    assert stored(tree) == before
    assert not page.exists()


@pytest.mark.parametrize("name", BAD_WISHES)
def test_a_wish_that_does_not_read_changes_nothing(cli: Cli, tree: Path, name: str) -> None:
    words, told = BAD_WISHES[name]
    before = stored(tree)
    ran = cli("futures", "T01", *(() if "--course" in words else ("--course", "accept")), *words, folder=tree)
    assert ran.code == 2
    assert told in ran.one_line
    assert stored(tree) == before


# A shell starts what runs in its background deaf to Ctrl-C, and all that this starts inherits it; a command
# at a terminal hears it. So the tests must not depend on how they were started.
_AT_A_TERMINAL = """
import signal
signal.signal(signal.SIGINT, signal.default_int_handler)
from ringwise.faces.start import run
run()
"""


def _until(terminal: int, wanted: str, seconds: float = 600.0) -> str:
    """What a terminal shows until it shows what is wanted."""
    shown, end = "", time.monotonic() + seconds
    while wanted not in shown and time.monotonic() < end:
        if select.select([terminal], [], [], 1.0)[0]:
            try:
                shown += os.read(terminal, 4096).decode()
            except OSError:  # the other end is closed
                break
    return shown


def _stop(tree: Path) -> None:
    """Start a run at a terminal, stop it by Ctrl-C once its first part is kept; it must say so and leave."""
    own, other = pty.openpty()
    command = [sys.executable, "-c", _AT_A_TERMINAL, "futures", "T01", *RUN, "--collection", str(tree)]
    process = subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=other)
    os.close(other)
    shown = _until(own, "%, ")  # the first finished part is on the terminal
    process.send_signal(signal.SIGINT)
    shown += _until(own, "goes on from there")
    assert process.wait(120) == 130, shown
    os.close(own)
    last = shown.replace("\r", "\n").strip().splitlines()[-1]
    assert "stopped; the futures lived so far are kept: the same command goes on from there" in last
    assert "Traceback" not in shown


def test_ctrl_c_keeps_what_was_lived_and_the_same_command_goes_on(
    cli: Cli, tree: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from ringwise.futures import simulate as module

    fresh = tmp_path / "fresh"
    # By another process: closing a database's file here would drop the locks of connections still open here.
    subprocess.run(["cp", "-r", str(tree), str(fresh)], check=True)
    _stop(tree)
    _files, rows = stored(tree)
    lived, lives = [], module.simulate

    def watched(start, course, life, run, **more):  # type: ignore[no-untyped-def]
        lived.append(run.first_future)
        return lives(start, course, life, run, **more)

    monkeypatch.setattr(module, "simulate", watched)
    again = cli("futures", "T01", *RUN, "--json", folder=tree)
    assert again.code == 0, again.err
    assert 0 < len(lived) < 12  # twelve parts of 100, of which at least the first was kept
    assert 0 not in lived
    assert any("cancelled" in row for name in rows for row in rows[name])

    lived.clear()
    whole = cli("futures", "T01", *RUN, "--json", folder=tree)
    assert whole.code == 0, whole.err
    assert lived == []  # stored whole, with seed and version
    assert whole.data["courses"] == again.data["courses"]
    uninterrupted = cli("futures", "T01", *RUN, "--json", folder=fresh)
    assert uninterrupted.data["courses"] == again.data["courses"]
    assert len(lived) == 12
    _files, rows = stored(tree)
    assert any("lives" in row and whole.data["engine"] in row for name in rows for row in rows[name])
    other_seed = cli("futures", "T01", *RUN, "--json", "--seed", "5", "--futures", "100", folder=tree)
    assert other_seed.code == 0, other_seed.err
    assert other_seed.data["seed"] == 5
    assert other_seed.data["courses"] != whole.data["courses"]
