"""Killed at any moment: nothing corrupt, no half action, nothing acknowledged lost. Both engines."""

from __future__ import annotations

import os
import random
import signal
import time
from pathlib import Path

import pytest
from record_samples import ENGINES, action, tree

from ringwise.records.dates import UNKNOWN
from ringwise.records.model import Entry
from ringwise.records.store import open_store

LONG = bool(int(os.environ.get("RINGWISE_LONG", "0")))
KILLS = 200 if LONG else 20
BY_ENGINE = KILLS // len(ENGINES)


def _write_until_killed(folder: Path, engine: str, life: int, pipe: int) -> None:
    """The child: each action is one tree and three entries that belong together, then acknowledged."""
    with open_store(folder, engine=engine) as store:
        for turn in range(100_000):
            name = f"T{life}-{turn}"
            entries = [Entry(f"{name}-{n}", name, "note", UNKNOWN, note="x" * 900) for n in range(3)]
            store.save(action(f"kill {name}"), [tree(0), *(_named(name), *entries)])
            os.write(pipe, f"{name}\n".encode())


def _named(name: str) -> object:
    from ringwise.records.model import Tree

    return Tree(name, "Wren", "Morus alba")


def _one_life(folder: Path, engine: str, life: int, wait_s: float) -> list[str]:
    """Fork a writer, kill it after a while, and return what it acknowledged."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        try:
            _write_until_killed(folder, engine, life, writing)
        finally:
            os._exit(1)
    os.close(writing)
    time.sleep(wait_s)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    with os.fdopen(reading) as stream:
        return [line.strip() for line in stream if line.endswith("\n")]


@pytest.mark.parametrize("engine", ENGINES)
def test_killed_while_saving(tmp_path: Path, engine: str) -> None:
    chance = random.Random(20270307)
    acknowledged: set[str] = set()
    for life in range(BY_ENGINE):
        acknowledged |= set(_one_life(tmp_path / "yard", engine, life, chance.uniform(0.02, 0.15)))
        with open_store(tmp_path / "yard", engine=engine) as store:
            assert store.check() == []
            trees = {each.id for each in store.trees()} - {"T00"}
            owners = [entry.tree for entry in store.entries()]
            commands = [done.command for _number, done, _undoes in store.actions()]
        assert acknowledged <= trees
        assert sorted(owners) == sorted(3 * list(trees))
        assert sorted(commands) == sorted(f"kill {name}" for name in trees)
    assert len(acknowledged) > BY_ENGINE


@pytest.mark.parametrize("engine", ENGINES)
def test_killed_while_the_collection_is_made(tmp_path: Path, engine: str) -> None:
    chance = random.Random(7)
    for life in range(BY_ENGINE):
        folder = tmp_path / str(life)
        known = _one_life(folder, engine, life, chance.uniform(0.0, 0.04))
        with open_store(folder, engine=engine) as store:
            assert set(known) <= {each.id for each in store.trees()}
            assert store.check() == []
        assert not list(folder.glob("*.part"))
