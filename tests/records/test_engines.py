"""The journal is the one that is safe for engine and file system, and never changed under another program."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest
from record_samples import action, tree

from ringwise.kit.errors import LockedError
from ringwise.records.store import open_store, opening
from ringwise.records.store.connecting import raw_connection
from ringwise.records.store.drivers import Driver, choose_driver


def _is_wal(path: Path) -> bool:
    """By the header of a closed file: bytes 18 and 19 are 2 for a write-ahead log (SQLite file format)."""
    return path.read_bytes()[18:20] == b"\x02\x02"


@pytest.fixture
def as_mended(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let whatever engine this machine has pass for a mended one, so that the log is used."""
    monkeypatch.setattr(Driver, "wal_safe", property(lambda _driver: True))


def _as_vulnerable(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Driver, "wal_safe", property(lambda _driver: False))


def test_the_journal_follows_the_engine(tmp_path: Path, engine: str) -> None:
    with open_store(tmp_path / "yard", engine=engine) as store:
        assert store.journal == ("wal" if choose_driver(engine).wal_safe else "delete")
    assert _is_wal(store.path) == (store.journal == "wal")


def test_auto_takes_the_newer_engine_where_its_wheel_is() -> None:
    wanted = "pysqlite3" if importlib.util.find_spec("pysqlite3") else "sqlite3"
    assert choose_driver("auto").module.__name__ == wanted


def test_every_commit_reaches_the_disk(store_file: Path, engine: str) -> None:
    with open_store(store_file.parent, engine=engine) as store, store._database.reading() as connection:
        settings = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("synchronous", "foreign_keys", "trusted_schema", "busy_timeout", "mmap_size")
        }
    # synchronous 2 is FULL
    assert settings == {
        "synchronous": 2,
        "foreign_keys": 1,
        "trusted_schema": 0,
        "busy_timeout": 5000,
        "mmap_size": settings["mmap_size"],
    }
    assert settings["mmap_size"] in (0, None)


@pytest.fixture
def store_file(tmp_path: Path, engine: str) -> Path:
    """A collection with three trees, closed."""
    with open_store(tmp_path / "yard", engine=engine) as store:
        store.save(action(), [tree(1), tree(2), tree(3)])
        return store.path


def test_an_engine_without_the_mend_unwinds_the_log_when_alone(
    tmp_path: Path, as_mended: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_store(tmp_path / "yard") as store:
        store.save(action(), [tree(1)])
    assert _is_wal(store.path)
    _as_vulnerable(monkeypatch)
    with open_store(tmp_path / "yard") as store:
        assert store.journal == "delete"
        assert len(store.trees()) == 1
    assert not _is_wal(store.path)
    assert not list((tmp_path / "yard").glob("*-wal"))


def test_an_engine_without_the_mend_refuses_a_log_in_use(
    tmp_path: Path, as_mended: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_store(tmp_path / "yard") as first:
        first.save(action(), [tree(1)])
        first.trees()
        _as_vulnerable(monkeypatch)
        with pytest.raises(LockedError, match="write-ahead log"):
            open_store(tmp_path / "yard", wait_s=0.05)
        assert len(first.trees()) == 1
    assert _is_wal(first.path)


def test_a_store_on_the_rollback_journal_notices_a_log_that_came_later(tmp_path: Path) -> None:
    with open_store(tmp_path / "yard", engine="standard") as store:
        store.save(action(), [tree(1)])
        other = raw_connection(store.path, choose_driver("standard"))
        other.execute("PRAGMA journal_mode = WAL")
        if store.journal == "delete":
            with pytest.raises(LockedError, match="write-ahead log"):
                store.save(action(), [tree(2)])
        store.close()  # a connection that has read a log holds it
        other.execute("PRAGMA journal_mode = DELETE")
        other.close()
        store.save(action(), [tree(3)])
        assert "T02" not in [each.id for each in store.trees()]


def test_a_log_is_not_switched_on_under_a_reader(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _as_vulnerable(monkeypatch)
    with open_store(tmp_path / "yard") as store:
        store.save(action(), [tree(1)])
        path = store.path
    monkeypatch.setattr(Driver, "wal_safe", property(lambda _driver: True))
    reader = raw_connection(path, choose_driver())
    reader.execute("BEGIN")
    reader.execute("SELECT count(*) FROM actions").fetchone()
    with open_store(tmp_path / "yard", wait_s=0.05) as store:
        assert store.journal == "delete"
    reader.close()
    assert not _is_wal(path)


def test_a_file_made_by_one_engine_opens_with_the_other(tmp_path: Path) -> None:
    for number, engine in enumerate(("auto", "standard", "auto", "standard")):
        with open_store(tmp_path / "yard", engine=engine) as store:
            store.save(action(), [tree(number)])
            assert len(store.trees()) == number + 1
            assert store.check() == []


def test_shared_file_system(tmp_path: Path, as_mended: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(opening, "journal_for", lambda _driver, _folder: "delete")
    with open_store(tmp_path / "yard") as store:
        assert store.journal == "delete"
    assert not _is_wal(store.path)
