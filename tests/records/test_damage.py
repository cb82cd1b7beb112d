"""Damaged, foreign, lost, locked and full: one clear line each, and the file is left as it is."""

from __future__ import annotations

import os
import shutil
import sqlite3
from pathlib import Path

import pytest
from record_samples import action, tree

from ringwise.kit.errors import (
    DamagedError,
    InputError,
    LockedError,
    NotFoundError,
    RingwiseError,
    WorkspaceError,
)
from ringwise.records.dates import UNKNOWN
from ringwise.records.model import Entry
from ringwise.records.store import FILE_NAME, Store, open_store
from ringwise.records.store.connecting import raw_connection
from ringwise.records.store.drivers import choose_driver

PAGE = 4096  # SQLite's usual page


def _filled(folder: Path, engine: str) -> Path:
    with open_store(folder, engine=engine) as store:
        store.save(action("tree add"), [tree(number) for number in range(40)])
        notes = [Entry("", f"T{n % 40:02}", "note", UNKNOWN, note="buds " * 40) for n in range(200)]
        store.save(action("log"), notes)
        return store.path


def _opened_and_read(folder: Path, engine: str) -> int:
    with open_store(folder, engine=engine) as store:
        return len(store.trees()) + len(store.entries()) + len(store.actions()) + len(store.check())


def _one_line(caught: pytest.ExceptionInfo[RingwiseError]) -> str:
    text = str(caught.value)
    assert "\n" not in text
    return text


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (b"", "is empty"),
        (b"not a database, but a long enough text to fill a header " * 4, "is no collection"),
        (b"SQLite format 3\x00" + bytes(84), "is no collection"),
        (b"<html>", "is no collection"),
    ],
)
def test_no_database(tmp_path: Path, engine: str, content: bytes, what: str) -> None:
    path = tmp_path / FILE_NAME
    path.write_bytes(content)
    with pytest.raises(DamagedError, match=what) as caught:
        open_store(tmp_path, engine=engine)
    assert "backups" in _one_line(caught)
    assert path.read_bytes() == content


def test_a_database_of_another_program(tmp_path: Path, engine: str) -> None:
    connection = sqlite3.connect(tmp_path / FILE_NAME)
    connection.execute("CREATE TABLE contacts (name)")
    connection.close()
    with pytest.raises(DamagedError, match="no collection of Ringwise"):
        open_store(tmp_path, engine=engine)


def test_a_file_cut_short(tmp_path: Path, engine: str) -> None:
    path = _filled(tmp_path / "yard", engine)
    for size in (PAGE // 2, PAGE, 3 * PAGE, path.stat().st_size - 1):
        content = path.read_bytes()[:size]
        (tmp_path / str(size)).mkdir()
        (tmp_path / str(size) / FILE_NAME).write_bytes(content)
        with pytest.raises(DamagedError, match=r"is damaged|is no collection|is cut short"):
            open_store(tmp_path / str(size), engine=engine)
        assert (tmp_path / str(size) / FILE_NAME).read_bytes() == content


def test_every_overwritten_page_is_noticed_or_harmless(tmp_path: Path, engine: str) -> None:
    path = _filled(tmp_path / "yard", engine)
    whole = path.read_bytes()
    sound = _opened_and_read(path.parent, engine)
    noticed = 0
    for page in range(len(whole) // PAGE):
        spoiled = whole[: page * PAGE] + b"\xa5" * PAGE + whole[(page + 1) * PAGE :]
        path.write_bytes(spoiled)
        try:
            assert _opened_and_read(path.parent, engine) == sound
        except DamagedError:
            noticed += 1
        assert path.read_bytes() == spoiled
    assert noticed >= len(whole) // PAGE - 1


def test_a_stale_log_beside_a_file_is_not_taken_for_its_own(tmp_path: Path, engine: str) -> None:
    path = _filled(tmp_path / "yard", engine)
    path.with_name(FILE_NAME + "-wal").write_bytes(os.urandom(3 * PAGE))
    with open_store(path.parent, engine=engine) as store:
        assert len(store.trees()) == 40
        assert store.check() == []


@pytest.mark.parametrize("left", ["photos/ab/ab12.jpg", "backups/collection-0001-before-0002-1.sqlite"])
def test_a_lost_file_is_not_replaced_by_an_empty_one(tmp_path: Path, engine: str, left: str) -> None:
    path = _filled(tmp_path / "yard", engine)
    path.unlink()
    (path.parent / left).parent.mkdir(parents=True, exist_ok=True)
    (path.parent / left).touch()
    with pytest.raises(DamagedError, match=f"missing, though {left.split('/')[0]} is there"):
        open_store(path.parent, engine=engine)
    assert not path.exists()


def test_pictures_of_other_making_are_no_lost_collection(tmp_path: Path) -> None:
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "holiday.jpg").touch()
    assert open_store(tmp_path).trees() == []


@pytest.mark.parametrize("taken", [False, True])
def test_a_file_system_without_second_names(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, taken: bool
) -> None:
    def refuse(_part: Path, path: Path) -> None:
        if taken:
            shutil.copy(other, path)  # another program is first
        raise PermissionError

    other = open_store(tmp_path / "other").path
    monkeypatch.setattr(os, "link", refuse)
    with open_store(tmp_path / "yard") as store:
        store.save(action(), [tree(1)])
    assert [path.name for path in store.folder.iterdir()] == [FILE_NAME]


def test_no_collection_and_none_wanted(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="no collection"):
        open_store(tmp_path / "nowhere", create=False)
    assert not (tmp_path / "nowhere").exists()


def test_a_folder_that_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "yard").write_text("")
    with pytest.raises(WorkspaceError):
        open_store(tmp_path / "yard")


def test_left_over_parts_of_a_killed_creation_are_cleared(tmp_path: Path) -> None:
    (tmp_path / f"{FILE_NAME}.999999999.part").write_bytes(b"half")
    open_store(tmp_path).close()
    assert [path.name for path in tmp_path.iterdir()] == [FILE_NAME]


def test_another_writer_locks_and_nothing_is_lost(tmp_path: Path, engine: str) -> None:
    path = _filled(tmp_path / "yard", engine)
    other = raw_connection(path, choose_driver(engine))
    with open_store(path.parent, engine=engine, wait_s=0.05) as store:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LockedError, match="another program") as caught:
            store.save(action(), [tree(77)])
        assert FILE_NAME in _one_line(caught)
        assert len(store.trees()) == 40
        other.execute("ROLLBACK")
        store.save(action(), [tree(77)])
        assert len(store.trees()) == 41
    other.close()


def test_a_full_disk_stores_nothing_and_recovers(store: Store) -> None:
    many = [tree(number, "x" * 200) for number in range(100, 400)]
    pages = "PRAGMA max_page_count = {}"
    with store._database.engine.connect() as connection:
        now = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
        connection.exec_driver_sql(pages.format(now + 2))
    with pytest.raises(WorkspaceError, match="disk is full; nothing was stored"):
        store.save(action(), many)
    assert len(store.trees()) == 3
    assert len(store.actions()) == 1
    with store._database.engine.connect() as connection:
        connection.exec_driver_sql(pages.format(1_000_000))
    store.save(action(), many)
    assert len(store.trees()) == 303
    assert store.check() == []


def test_a_backup_on_demand(store: Store, tmp_path: Path) -> None:
    target = store.back_up(tmp_path / "kept" / FILE_NAME)
    with open_store(target.parent) as copy:
        assert copy.trees() == store.trees()
    with pytest.raises(InputError, match="exists already"):
        store.back_up(target)
