"""Two writers: whoever writes on what has changed since is refused, and nothing of it is stored."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from ringwise.kit.errors import ConflictError
from ringwise.records.model import Action, Pot, Tree
from ringwise.records.store import Seen, open_store

NOW = Action("owner", "test", datetime(2027, 3, 7, 12, tzinfo=UTC))


def test_a_taken_id_is_refused(tmp_path: Path) -> None:
    with open_store(tmp_path / "yard") as store:
        fresh = Tree("T01", "Elm", "ulmus_procera")
        store.save(NOW, [fresh], seen=[Seen("tree", "T01")])
        with pytest.raises(ConflictError, match="T01 already"):
            store.save(NOW, [replace(fresh, name="Other")], seen=[Seen("tree", "T01")])
        assert [tree.name for tree in store.trees()] == ["Elm"]


def test_a_value_changed_meanwhile_is_refused(tmp_path: Path) -> None:
    with open_store(tmp_path / "yard") as store:
        pot = Pot("P-1", "round", 360.0, 360.0, 140.0)
        store.save(NOW, [Tree("T01", "Elm", "ulmus_procera"), Tree("T02", "Oak", "quercus_robur"), pot])
        (read,) = store.pots()
        store.save(NOW, [replace(read, tree="T01")], seen=[Seen("pot", "P-1", read)])
        with pytest.raises(ConflictError, match="meanwhile"):
            store.save(NOW, [replace(read, tree="T02")], seen=[Seen("pot", "P-1", read)])
        assert store.pots()[0].tree == "T01"


def test_a_kill_just_after_naming_leaves_nothing_behind(tmp_path: Path) -> None:
    folder = tmp_path / "yard"
    open_store(folder).close()
    left = folder / "collection.sqlite.999999999.part"  # no process has this number
    os.link(folder / "collection.sqlite", left)
    with open_store(folder) as store:
        assert store.check() == []
    assert not left.exists()
