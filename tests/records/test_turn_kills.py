"""Killed at each step of keeping a turn or a wound: all of it is in the record, or nothing that is named."""

from __future__ import annotations

import hashlib
import os
import signal
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from PIL import Image

from ringwise.desk.backups import check_collection
from ringwise.desk.entries import Given, log_entry, undo_last
from ringwise.desk.structures import structure_entry, structure_of
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.turntable_keep import keep_turn
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.records import photos
from ringwise.records.photo_decoding import THUMB_SIZES_PX
from ringwise.records.photo_process import Decoded
from ringwise.records.store import Store
from ringwise.structure.cameras import Camera
from ringwise.structure.measured import measured_of
from ringwise.structure.table import single_segment

DAY = "2027-03-07"
SIDES = 4
_MOST_STEPS = 400  # far more than keeping a turn has
_EACH = 1 if os.environ.get("RINGWISE_LONG") == "1" else 7  # every step, or every seventh


def opened(folder: Path) -> Workspace:
    return open_workspace(folder, on=DAY)


def camera(number: int) -> Camera:
    """A camera that looks level at the tree from one side."""
    c, s = np.cos(np.pi * number / 2), np.sin(np.pi * number / 2)
    turned = np.array([[-s, c, 0.0], [0.0, 0.0, -1.0], [-c, -s, 0.0]])
    k = np.array([[900.0, 0.0, 59.5], [0.0, 900.0, 39.5], [0.0, 0.0, 1.0]])
    return Camera(f"v{number}.png", k, turned, np.array([0.0, 100.0, 900.0]), 0.0, 120, 80)


@pytest.fixture
def turn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Any, Any]:
    """Four photos and what was measured in them; photos are not decoded anew at each of the steps."""
    stream = BytesIO()
    Image.new("RGB", (120, 80), (90, 60, 30)).save(stream, "WEBP")
    found = {"width_px": 120, "height_px": 80, "orientation": 1, "taken": None, "taken_offset": None}
    decoded = Decoded(found, (stream.getvalue(),) * len(THUMB_SIZES_PX))
    monkeypatch.setattr(photos, "decode_photo", lambda _path, _suffix, _source: decoded)
    sources = []
    for number in range(SIDES):
        path = tmp_path / f"v{number}.png"
        Image.new("RGB", (120, 80), (90, 60, 30 + number)).save(path)
        digest = hashlib.sha256(path.read_bytes()).hexdigest()
        sources.append(SimpleNamespace(name=path.name, path=path, sha256=digest))
    measured = measured_of(single_segment(length_mm=300.0, diameter_mm=30.0))
    cameras = tuple(camera(number) for number in range(SIDES))
    result = SimpleNamespace(measured=measured, cameras=cameras, quality={"views": []})
    return SimpleNamespace(sources=sources), result


def killed_at(step: int, work: Callable[[], object]) -> bool:
    """Run in a child that dies at a step that reaches the disk; False where it came to its end before."""
    left = [step]

    def counted(own: Callable[..., object]) -> Callable[..., object]:
        def stepped(*given: object, **more: object) -> object:
            left[0] -= 1
            if left[0] < 0:
                os.kill(os.getpid(), signal.SIGKILL)
            return own(*given, **more)

        return stepped

    child = os.fork()
    if child == 0:
        try:
            on_disk: list[tuple[object, str]] = [
                (os, name) for name in ("fsync", "replace", "link", "rename")
            ]
            for owner, name in [*on_disk, (Store, "save_all")]:
                setattr(owner, name, counted(getattr(owner, name)))
            work()
            os._exit(0)
        finally:
            os._exit(1)
    status = os.waitpid(child, 0)[1]
    assert os.WIFSIGNALED(status) or os.waitstatus_to_exitcode(status) == 0, "it failed before it was killed"
    return os.WIFSIGNALED(status)


def yard_with_a_tree(folder: Path) -> Workspace:
    yard = opened(folder)
    add_tree(yard, NewTree("Old Elm", "Ulmus procera"))
    yard.store.close()
    return opened(folder)


def test_killed_at_each_step_of_keeping_a_turn(tmp_path: Path, turn: tuple[Any, Any]) -> None:
    taken, result = turn
    reached = 0
    for step in range(0, _MOST_STEPS, _EACH):
        yard = yard_with_a_tree(tmp_path / f"yard-{step}")
        if not killed_at(step, lambda yard=yard: keep_turn(yard, yard.facts_of("T01"), taken, result)):
            break
        reached += _EACH
        yard = opened(yard.folder)
        assert check_collection(yard)["amiss"] == []  # files without an entry do no harm
        assert [each for each in yard.entries if each.kind in ("photo", "shape")] == []
        keep_turn(yard, yard.facts_of("T01"), taken, result)
        yard.store.close()
        yard = opened(yard.folder)
        assert [each.kind for each in yard.entries].count("photo") == SIDES
        assert check_collection(yard)["amiss"] == []
        assert len(list((yard.folder / "photos").glob("[0-9a-f][0-9a-f]/*"))) == SIDES
        yard.store.close()
    assert 15 < reached < _MOST_STEPS - _EACH


def test_a_turn_taken_back_keeps_its_files_and_can_be_kept_again(
    tmp_path: Path, turn: tuple[Any, Any]
) -> None:
    yard = yard_with_a_tree(tmp_path / "yard")
    kept = keep_turn(yard, yard.facts_of("T01"), *turn)
    yard.store.close()
    yard = opened(yard.folder)
    undo_last(yard)
    yard.store.close()
    yard = opened(yard.folder)
    assert structure_entry(yard.facts_of("T01")) is None
    assert [each for each in yard.entries if each.kind in ("photo", "shape")] == []
    assert [path.stem for path in (yard.folder / "shapes").glob("??/*")] == [kept["sha256"]]
    assert check_collection(yard)["amiss"] == []
    assert keep_turn(yard, yard.facts_of("T01"), *turn)["sha256"] == kept["sha256"]
    yard.store.close()
    yard = opened(yard.folder)
    assert structure_of(yard, yard.facts_of("T01")).table.length_mm.tolist() == [300.0]
    yard.store.close()


def test_killed_while_a_wound_is_written_down(tmp_path: Path) -> None:
    wound = Given(("wound", "15mm"), at="14cm,3")
    yard = yard_with_a_tree(tmp_path / "yard")
    assert killed_at(0, lambda: log_entry(yard, "T01", wound))  # at the store's door
    yard = opened(yard.folder)
    assert check_collection(yard)["amiss"] == []
    assert yard.entries == ()
    assert not killed_at(1, lambda: log_entry(yard, "T01", wound))
    yard.store.close()
    yard = opened(yard.folder)
    assert [each.data["width_mm"] for each in yard.entries] == [15.0]
    yard.store.close()
