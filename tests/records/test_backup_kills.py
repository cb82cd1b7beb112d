"""Killed at each step of a backup or of bringing one back: never a half one that looks whole."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from ringwise.desk import backups
from ringwise.desk.backups import back_up, check_backups, restore
from ringwise.desk.structures import ShapeGiven, keep_structure
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.records import durable, kept_copies
from ringwise.records.store import Store, open_store
from ringwise.structure.measured import measured_of
from ringwise.structure.table import single_segment

DAY = "2027-03-07"
_MOST_STEPS = 200  # far more than any of these has
_EACH = 1 if os.environ.get("RINGWISE_LONG") == "1" else 3  # every step, or every third


@pytest.fixture
def yard(tmp_path: Path) -> Workspace:
    yard = open_workspace(tmp_path / "yard", on=DAY)
    add_tree(yard, NewTree("Old Elm", "Ulmus procera"))
    yard.store.close()
    yard = open_workspace(tmp_path / "yard", on=DAY)
    pole = measured_of(single_segment(length_mm=300.0, diameter_mm=30.0))
    keep_structure(yard, yard.facts_of("T01"), pole, ShapeGiven("file"))
    (yard.folder / "lenses.json").write_text('{"lenses": []}')
    return yard


def _die_at(turn: int) -> None:
    """Let the turn-th of all steps that reach the disk be the last one of this process."""
    left = [turn]

    def counted(step: Callable[..., object]) -> Callable[..., object]:
        def stepped(*given: object, **more: object) -> object:
            left[0] -= 1
            if left[0] < 0:
                os.kill(os.getpid(), signal.SIGKILL)
            return step(*given, **more)

        return stepped

    names = ("write_whole", "sync_file", "sync_folder", "write_list", "copy_files", "bring_back")
    steps: list[tuple[object, str]] = [(Store, "back_up")]
    steps += [(os, name) for name in ("fsync", "replace", "rename")]
    steps += [(module, name) for module in (durable, kept_copies, backups) for name in names]
    for owner, name in steps:
        if hasattr(owner, name):
            setattr(owner, name, counted(getattr(owner, name)))


def _killed_at(turn: int, work: Callable[[], object]) -> bool:
    """Run in a child that dies at a step; False where it came to its end before."""
    child = os.fork()
    if child == 0:
        try:
            _die_at(turn)
            work()
            os._exit(0)
        finally:
            os._exit(1)
    status = os.waitpid(child, 0)[1]
    assert os.WIFSIGNALED(status) or os.waitstatus_to_exitcode(status) == 0, "it failed before it was killed"
    return os.WIFSIGNALED(status)


def test_killed_at_each_step_of_a_backup(yard: Workspace, tmp_path: Path) -> None:
    reached = 0
    for turn in range(0, _MOST_STEPS, _EACH):
        place = tmp_path / f"kept-{turn}"
        if not _killed_at(turn, lambda place=place: back_up(yard, place)):
            break
        reached += _EACH
        for path in (place / "backups").glob("*.json"):  # only the very last steps come after its list
            assert check_backups(place)["amiss"] == [], path
        made = back_up(yard, place)
        assert made["amiss"] == []
        assert check_backups(place)["amiss"] == []
        assert restore(place, tmp_path / f"again-{turn}")["amiss"] == []
        assert not list((place / "files" / "incoming").iterdir())
    assert 15 < reached < _MOST_STEPS - 1


def test_killed_at_each_step_of_bringing_back(yard: Workspace, tmp_path: Path) -> None:
    place = tmp_path / "kept"
    back_up(yard, place)
    reached = 0
    for turn in range(0, _MOST_STEPS, _EACH):
        folder = tmp_path / f"again-{turn}"
        if not _killed_at(turn, lambda folder=folder: restore(place, folder)):
            break
        reached += _EACH
        if not folder.exists():
            assert restore(place, folder)["amiss"] == []
        with open_store(folder, create=False) as store:
            assert store.check() == []
            assert len(store.entries(kind="shape")) == 1
        assert not folder.with_name(f".{folder.name}.restoring").exists()
    assert 8 < reached < _MOST_STEPS - 1
