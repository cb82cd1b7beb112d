"""Killed between a measured tree's file and its entry: a file without an entry at most, never the reverse."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest
from record_samples import action, tree

from ringwise.records import durable, tree_files
from ringwise.records.dates import UNKNOWN
from ringwise.records.model import Entry
from ringwise.records.store import Store, open_store
from ringwise.records.tree_files import TreeFile, keep_tree_file

CONTENT = b'{"segments":1}'


def _entry(kept: TreeFile) -> Entry:
    data = {
        "source": "file",
        "file": kept.file,
        "sha256": kept.sha256,
        "segments": 1,
        "height_mm": 40.0,
    }
    return Entry("shape", "T00", "shape", UNKNOWN, data)


def _keep_and_die_at(folder: Path, module: object, name: str) -> None:
    def step(*_arguments: object, **_options: object) -> None:
        os.kill(os.getpid(), signal.SIGKILL)

    setattr(module, name, step)
    with open_store(folder) as store:
        store.save(action("measure import"), [_entry(keep_tree_file(CONTENT, folder))])


@pytest.mark.parametrize(
    ("module", "name"),
    [(durable.os, "fsync"), (durable.os, "replace"), (tree_files, "sync_folder"), (Store, "save")],
)
def test_killed_between_file_and_entry(tmp_path: Path, module: object, name: str) -> None:
    folder = tmp_path / "yard"
    with open_store(folder) as store:
        store.save(action("tree add"), [tree(0)])
    child = os.fork()
    if child == 0:
        try:
            _keep_and_die_at(folder, module, name)
        finally:
            os._exit(1)
    assert os.WIFSIGNALED(os.waitpid(child, 0)[1]), "the step was never reached"
    with open_store(folder) as store:
        assert store.check() == []
        assert store.entries(kind="shape") == []
        store.save(action("measure import"), [_entry(keep_tree_file(CONTENT, folder))])
        assert store.check() == []
        assert len(store.entries(kind="shape")) == 1
    assert [each.read_bytes() for each in (folder / "shapes").glob("??/*")] == [CONTENT]
