"""Killed at any moment: nothing corrupt, no half action, nothing acknowledged lost. Both engines."""

from __future__ import annotations

import hashlib
import os
import random
import shutil
import signal
import sqlite3
import time
from collections.abc import Callable
from functools import partial
from io import BytesIO
from pathlib import Path

import pytest
from record_samples import ENGINES, action, tree

from ringwise.records import photos, thumbs
from ringwise.records.dates import UNKNOWN
from ringwise.records.model import Entry, Tree
from ringwise.records.photo_decoding import THUMB_SIZES_PX
from ringwise.records.photo_process import Decoded
from ringwise.records.photos import keep_photo
from ringwise.records.store import FILE_NAME, Store, open_store
from ringwise.records.store.drivers import Driver
from ringwise.records.store.migrating import VERSIONS
from ringwise.records.thumbs import thumb_path

LONG = bool(int(os.environ.get("RINGWISE_LONG", "0")))
KILLS = 200 if LONG else 20
BY_ENGINE = KILLS // len(ENGINES)
HERE = Path(__file__).parent
STEPS = (VERSIONS, HERE / "next_versions")


def _write_until_killed(folder: Path, engine: str, life: int, pipe: int) -> None:
    """The child: each action is one tree and three entries that belong together, then acknowledged."""
    with open_store(folder, engine=engine) as store:
        for turn in range(100_000):
            name = f"T{life}-{turn}"
            entries = [Entry(f"{name}-{n}", name, "note", UNKNOWN, note="x" * 900) for n in range(3)]
            store.save(action(f"kill {name}"), [tree(0), _named(name), *entries])
            os.write(pipe, f"{name}\n".encode())


def _named(name: str) -> Tree:
    return Tree(name, "Wren", "Morus alba")


def _killed(work: Callable[[int], None], acknowledged: int, wait_s: float) -> list[str]:
    """Fork a worker, kill it some time after so many acknowledgements, and return all that it gave."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        try:
            work(writing)
        finally:
            os._exit(1)
    os.close(writing)
    seen = b""
    while seen.count(b"\n") < acknowledged and (piece := os.read(reading, 4096)):
        seen += piece
    time.sleep(wait_s)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    while piece := os.read(reading, 4096):
        seen += piece
    os.close(reading)
    lines = seen.decode().splitlines(keepends=True)
    assert len(lines) >= acknowledged, "the worker failed before it was killed"
    return [line.strip() for line in lines if line.endswith("\n")]


@pytest.mark.parametrize("engine", ENGINES)
def test_killed_while_saving(tmp_path: Path, engine: str) -> None:
    chance = random.Random(20270307)
    acknowledged: set[str] = set()
    for life in range(BY_ENGINE):
        work = partial(_write_until_killed, tmp_path / "yard", engine, life)
        acknowledged |= set(_killed(work, chance.randrange(4), chance.uniform(0, 0.02)))
        with open_store(tmp_path / "yard", engine=engine) as store:
            assert store.check() == []
            trees = {each.id for each in store.trees()} - {"T00"}
            owners = [entry.tree for entry in store.entries()]
            commands = [done.command for _number, done, _undoes in store.actions()]
        assert acknowledged <= trees
        assert sorted(owners) == sorted(3 * list(trees))
        assert sorted(commands) == sorted(f"kill {name}" for name in trees)
    assert len(acknowledged) >= BY_ENGINE


@pytest.mark.parametrize("engine", ENGINES)
def test_killed_while_the_collection_is_made(tmp_path: Path, engine: str) -> None:
    chance = random.Random(7)
    for life in range(BY_ENGINE):
        folder = tmp_path / str(life)
        work = partial(_write_until_killed, folder, engine, life)
        known = _killed(work, 1 if life == 0 else 0, chance.uniform(0.0, 0.1))
        with open_store(folder, engine=engine) as store:
            assert set(known) <= {each.id for each in store.trees()}
            assert store.check() == []
        assert not list(folder.glob("*.part"))


def _migrate(folder: Path, engine: str, pipe: int) -> None:
    open_store(folder, engine=engine, versions=STEPS).close()
    os.write(pipe, b"migrated\n")
    time.sleep(60)


@pytest.mark.parametrize("engine", ENGINES)
def test_killed_while_migrating(tmp_path: Path, engine: str) -> None:
    dump = (HERE / "schemas" / "0001.sql").read_text(encoding="utf-8")
    chance = random.Random(11)
    found = set()
    for life in range(BY_ENGINE // 2):
        folder = tmp_path / str(life)
        folder.mkdir()
        connection = sqlite3.connect(folder / FILE_NAME)
        connection.executescript(dump)
        connection.close()
        ended = 1 if life == 0 else 0  # the first comes to its end
        _killed(partial(_migrate, folder, engine), ended, chance.uniform(0, 0.06))
        connection = sqlite3.connect(folder / FILE_NAME)
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        found.add(connection.execute("SELECT version_num FROM alembic_version").fetchone()[0])
        connection.close()
        with open_store(folder, engine=engine, versions=STEPS) as store:
            assert store.check() == []
            assert len(store.entries()) == 5
        assert list((folder / "backups").glob("*.sqlite"))
    assert "0004" in found
    assert found <= {"0001", "0004"}


def test_power_lost_in_the_middle_of_the_log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A log that ends anywhere opens at one of the states that were committed."""
    monkeypatch.setattr(Driver, "wal_safe", property(lambda _driver: True))
    with open_store(tmp_path / "yard") as store:
        for number in range(8):
            store.save(action(f"step {number}"), [tree(number), *_notes(number)])
        content, log = (path.read_bytes() for path in (store.path, store.path.with_name(FILE_NAME + "-wal")))
    chance = random.Random(5)
    seen = set()
    for turn in range(500 if LONG else 50):
        folder = tmp_path / str(turn)
        folder.mkdir()
        (folder / FILE_NAME).write_bytes(content)
        (folder / f"{FILE_NAME}-wal").write_bytes(log[: chance.randrange(len(log) + 1)])
        with open_store(folder) as store:
            steps = len(store.actions())
            assert store.check() == []
            assert [each.id for each in store.trees()] == [f"T{n:02}" for n in range(steps)]
            assert len(store.entries()) == 3 * steps
        seen.add(steps)
        shutil.rmtree(folder)
    assert len(seen) > 3


def _notes(number: int) -> list[Entry]:
    name = f"T{number:02}"
    return [Entry(f"{name}-{n}", name, "note", UNKNOWN, note="x" * 900) for n in range(3)]


def _take_photos(folder: Path, picture: bytes, pipe: int) -> None:
    with open_store(folder) as store:
        for turn in range(10_000):
            source = folder / "taken.png"
            source.write_bytes(picture + b"\x00" * turn)  # each its own hash
            facts = keep_photo(source, folder)
            name = f"T{os.getpid()}-{turn}"
            entry = Entry(name, name, "photo", UNKNOWN, facts.entry_data("front"))
            store.save(action("photo"), [_named(name), entry])
            os.write(pipe, f"{name}\n".encode())


def _die(*_arguments: object, **_options: object) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def _take_one_and_die_at(folder: Path, source: Path, module: object, name: str, calls: int) -> None:
    """The child: the step named dies in place of its last call."""
    real, left = getattr(module, name), [calls]

    def step(*arguments: object, **options: object) -> object:
        left[0] -= 1
        return _die() if left[0] == 0 else real(*arguments, **options)

    setattr(module, name, step)
    with open_store(folder) as store:
        facts = keep_photo(source, folder)
        store.save(action("photo"), [Entry("photo", "T00", "photo", UNKNOWN, facts.entry_data("front"))])


@pytest.mark.parametrize(
    ("module", "name", "calls"),
    [
        (photos, "write_thumbs", 1),  # the photo has its name, no small picture is there
        (thumbs, "write_whole", 1),
        (thumbs, "write_whole", 2),  # one of three small pictures is there
        (thumbs, "sync_folder", 1),  # all three, but nothing was stored yet
        (Store, "save", 1),
    ],
)
def test_killed_between_photo_small_pictures_and_entry(
    tmp_path: Path, module: object, name: str, calls: int
) -> None:
    from PIL import Image

    folder, source = tmp_path / "yard", tmp_path / "taken.png"
    Image.new("RGB", (20, 8), "green").save(source)
    with open_store(folder) as store:
        store.save(action("tree add"), [tree(0)])
    child = os.fork()
    if child == 0:
        try:
            _take_one_and_die_at(folder, source, module, name, calls)
        finally:
            os._exit(1)
    assert os.WIFSIGNALED(os.waitpid(child, 0)[1]), "the step was never reached"
    with open_store(folder) as store:
        assert store.check() == []
        assert store.entries(kind="photo") == []
        facts = keep_photo(source, folder)  # taken in again
        store.save(action("photo"), [Entry("photo", "T00", "photo", UNKNOWN, facts.entry_data("front"))])
        assert len(store.entries(kind="photo")) == 1
    assert [path.read_bytes() for path in (folder / "photos").glob("??/*")] == [source.read_bytes()]
    for size_px in THUMB_SIZES_PX:
        with Image.open(thumb_path(folder, facts.sha256, size_px)) as image:
            assert (image.format, image.size) == ("WEBP", (20, 8))


def test_killed_while_photos_come_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from PIL import Image

    stream = BytesIO()
    Image.new("RGB", (8, 8), "green").save(stream, "PNG")
    sound = {"width_px": 8, "height_px": 8, "orientation": 1, "taken": None, "taken_offset": None}
    # How a picture decodes is tested elsewhere; here it would only slow the photos down.
    decoded = Decoded(sound, (b"small", b"middle", b"large"))
    monkeypatch.setattr(photos, "decode_photo", lambda _path, _suffix, _source: decoded)
    chance, known = random.Random(13), set[str]()
    work = partial(_take_photos, tmp_path, stream.getvalue())
    for _life in range(KILLS // 4):
        known |= set(_killed(work, chance.randrange(3), chance.uniform(0, 0.02)))
        with open_store(tmp_path) as store:
            kept = store.entries(kind="photo")
            assert known <= {entry.id for entry in kept}
            for entry in kept:
                content = (tmp_path / str(entry.data["file"])).read_bytes()
                digest = hashlib.sha256(content).hexdigest()
                assert digest == entry.data["sha256"]
                small = [thumb_path(tmp_path, digest, size).read_bytes() for size in THUMB_SIZES_PX]
                assert small == list(decoded.thumbs)
        for each in (tmp_path / "photos" / "thumbs").iterdir():  # also those whose entry never came are whole
            assert each.read_bytes() in decoded.thumbs
    assert known
