"""Every schema that was ever released migrates to the newest: backed up first, and whole or not at all."""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from record_samples import NOON, action, tree
from sqlalchemy import create_engine, inspect

from ringwise.kit.errors import DamagedError, NewerVersionError, WorkspaceError
from ringwise.records.store import FILE_NAME, migrating, open_store
from ringwise.records.store.backups import row_counts
from ringwise.records.store.migrating import VERSIONS, known_versions
from ringwise.records.store.tables import METADATA

HERE = Path(__file__).parent
SCHEMAS = sorted((HERE / "schemas").glob("*.sql"))
NEXT = (VERSIONS, HERE / "next_versions")
FAILING = (VERSIONS, HERE / "failing_versions")
LOSING = (VERSIONS, HERE / "losing_versions")

# What the filled files hold, written by hand from make_schema.py.
EXPECTED: dict[str, dict[str, Any]] = {
    "0001": {
        "trees": {"T01": "Gatepost", "T02": "Spindle", "T03": "Long Gone"},
        "entries": ["E4", "E3", "E1", "E2", "E6"],
        "girth_mm": 525.0,
        "girth_known_on_2_march": 520.0,
        "pots": ["P1", "P2"],
        "places": ["L1", "L2"],
        "actions": 7,
        "spot": (None, None),
        "weather": {"station": {"yard": 3}, "forecast": {}, "place": {}},
    },
    "0002": {
        "trees": {"T01": "Gatepost", "T02": "Spindle", "T03": "Long Gone"},
        "entries": ["E4", "E3", "E1", "E2", "E6"],
        "girth_mm": 525.0,
        "girth_known_on_2_march": 520.0,
        "pots": ["P1", "P2"],
        "places": ["L1", "L2"],
        "actions": 7,
        "spot": (450.0, 250.0),
        "weather": {"station": {"yard": 3}, "forecast": {}, "place": {}},
    },
    "0003": {
        "trees": {"T01": "Gatepost", "T02": "Spindle", "T03": "Long Gone"},
        "entries": ["E4", "E3", "E1", "E2", "E6"],
        "girth_mm": 525.0,
        "girth_known_on_2_march": 520.0,
        "pots": ["P1", "P2"],
        "places": ["L1", "L2"],
        "actions": 8,
        "spot": (450.0, 250.0),
        "weather": {"station": {"yard": 3}, "forecast": {"yard": 2}, "place": {"Shed": 1}},
    },
}


def _restored(schema: Path, folder: Path) -> Path:
    folder.mkdir(parents=True)
    path = folder / FILE_NAME
    connection = sqlite3.connect(path)
    connection.executescript(schema.read_text(encoding="utf-8"))
    connection.close()
    return path


def _raw(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(path)


def test_there_is_a_filled_file_for_every_version() -> None:
    assert [schema.stem for schema in SCHEMAS] == list(known_versions())
    assert set(EXPECTED) == set(known_versions())


@pytest.mark.parametrize("schema", SCHEMAS, ids=lambda schema: schema.stem)
def test_every_old_file_reaches_the_newest_version(schema: Path, tmp_path: Path, engine: str) -> None:
    expected = EXPECTED[schema.stem]
    path = _restored(schema, tmp_path / "yard")
    with open_store(path.parent, engine=engine) as store:
        assert {each.id: each.name for each in store.trees()} == expected["trees"]
        assert [entry.id for entry in store.entries()] == expected["entries"]
        assert store.entry("E2").data["girth_mm"] == expected["girth_mm"]
        known = store.entries(kind="girth", as_of=date(2026, 3, 2))
        assert [entry.data["girth_mm"] for entry in known] == [expected["girth_known_on_2_march"]]
        assert [pot.id for pot in store.pots()] == expected["pots"]
        assert [place.id for place in store.places()] == expected["places"]
        assert (store.places()[0].x_mm, store.places()[0].y_mm) == expected["spot"]
        assert len(store.actions()) == expected["actions"]
        for role, stations in expected["weather"].items():
            assert store.weather_stations(role=role) == list(stations)
            for station, n_days in stations.items():
                assert store.weather_get(station, role=role).n_days == n_days
        assert store.result_get("abc") == '{"day": 87}'
        assert store.jobs.blocks("job-1") == {0: b"\x00\x01"}
        assert store.check() == []
        assert store.undo("Ida", NOON).command == "weather import"


def test_a_new_collection_has_the_tables_that_the_program_knows(tmp_path: Path) -> None:
    path = open_store(tmp_path / "yard", engine="standard").path
    found = inspect(create_engine(f"sqlite:///{path}"))
    assert set(found.get_table_names()) == {*METADATA.tables, "alembic_version"}
    for name, table in METADATA.tables.items():
        columns = [(c["name"], str(c["type"]), c["nullable"]) for c in found.get_columns(name)]
        known = [(c.name, c.type.compile(dialect=found.dialect), bool(c.nullable)) for c in table.columns]
        assert columns == known, name
        assert found.get_pk_constraint(name)["constrained_columns"] == table.primary_key.columns.keys()
        assert {i["name"] for i in found.get_indexes(name)} == {i.name for i in table.indexes}
    strict = {row[1]: row[5] for row in _raw(path).execute("PRAGMA table_list") if row[2] == "table"}
    assert all(strict[name] == 1 for name in METADATA.tables)


def test_a_migration_is_preceded_by_a_verified_backup(tmp_path: Path, engine: str) -> None:
    path = _restored(SCHEMAS[0], tmp_path / "yard")
    before = row_counts(_raw(path))
    with open_store(path.parent, engine=engine, versions=NEXT) as store:
        assert store.check() == []
    backup = path.parent / "backups" / "collection-0001-before-0004-1.sqlite"
    assert [each.name for each in backup.parent.iterdir()] == [backup.name]
    assert row_counts(_raw(backup)) == before
    assert _raw(backup).execute("SELECT version_num FROM alembic_version").fetchone() == ("0001",)
    assert _raw(backup).execute("PRAGMA integrity_check").fetchone() == ("ok",)
    after = _raw(path)
    assert after.execute("SELECT version_num FROM alembic_version").fetchone() == ("0004",)
    assert after.execute("SELECT DISTINCT label FROM tree_revisions").fetchall() == [("",)]
    assert row_counts(after) == before  # the rebuilt table kept the blocks that refer to it


def test_a_backup_can_stand_in_for_the_file(tmp_path: Path) -> None:
    path = _restored(SCHEMAS[0], tmp_path / "yard")
    open_store(path.parent, versions=NEXT).close()
    backup = next((path.parent / "backups").iterdir())
    (tmp_path / "again").mkdir()
    shutil.copy(backup, tmp_path / "again" / FILE_NAME)
    with open_store(tmp_path / "again") as store:
        assert store.tree("T01").name == "Gatepost"


def test_a_failing_migration_leaves_file_and_backup(tmp_path: Path, engine: str) -> None:
    path = _restored(SCHEMAS[0], tmp_path / "yard")
    before = list(_raw(path).iterdump())
    with pytest.raises(WorkspaceError, match=r"version 0004 \(.*no_such_table"):
        open_store(path.parent, engine=engine, versions=FAILING)
    assert list(_raw(path).iterdump()) == before
    backup = path.parent / "backups" / "collection-0001-before-0004-1.sqlite"
    assert list(_raw(backup).iterdump()) == before
    with open_store(path.parent, engine=engine) as store:
        assert store.result_get("abc") is not None
    with pytest.raises(WorkspaceError, match="left as it was"):
        open_store(path.parent, engine=engine, versions=FAILING)
    kept = sorted(each.name for each in backup.parent.iterdir())  # a backup is never written over
    steps = ("0001-before-0003", "0001-before-0004", "0003-before-0004")
    assert kept == [f"collection-{step}-1.sqlite" for step in steps]


def test_a_migration_that_loses_rows_is_taken_back(tmp_path: Path, engine: str) -> None:
    path = _restored(SCHEMAS[0], tmp_path / "yard")
    with pytest.raises(DamagedError, match="lost rows of results"):
        open_store(path.parent, engine=engine, versions=LOSING)
    with open_store(path.parent, engine=engine) as store:
        assert store.result_get("abc") is not None


def test_no_migration_without_its_backup(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = _restored(SCHEMAS[0], tmp_path / "yard")
    before = list(_raw(path).iterdump())

    def refuse(*_args: object) -> Path:
        raise DamagedError("the backup is not whole")

    monkeypatch.setattr(migrating, "back_up", refuse)
    with pytest.raises(DamagedError, match="not whole"):
        open_store(path.parent, versions=NEXT)
    assert list(_raw(path).iterdump()) == before


def test_a_newer_file_is_left_alone(tmp_path: Path, engine: str) -> None:
    path = _restored(SCHEMAS[0], tmp_path / "yard")
    open_store(path.parent, engine=engine, versions=NEXT).close()
    before = list(_raw(path).iterdump())
    with pytest.raises(NewerVersionError, match="0004, this program knows 0003"):
        open_store(path.parent, engine=engine)
    assert list(_raw(path).iterdump()) == before


def test_two_programs_that_open_an_old_file_migrate_it_once(tmp_path: Path) -> None:
    from concurrent.futures import ThreadPoolExecutor

    path = _restored(SCHEMAS[0], tmp_path / "yard")
    code = (
        "import sys; from pathlib import Path; from ringwise.records.store import open_store;"
        "open_store(Path(sys.argv[1]), versions=[Path(p) for p in sys.argv[2:]]).close()"
    )
    command = [sys.executable, "-c", code, str(path.parent), *map(str, NEXT)]
    with ThreadPoolExecutor(2) as pool:
        ends = list(pool.map(lambda _n: subprocess.run(command, check=False).returncode, range(2)))
    assert ends == [0, 0]
    assert len(list((path.parent / "backups").iterdir())) == 1
    assert _raw(path).execute("SELECT version_num FROM alembic_version").fetchall() == [("0004",)]


def test_the_migration_tool_is_loaded_only_when_needed(tmp_path: Path) -> None:
    with open_store(tmp_path / "yard") as store:
        store.save(action(), [tree(1)])
    code = (
        "import sys; from pathlib import Path; from ringwise.records.store import open_store;"
        "assert len(open_store(Path(sys.argv[1])).trees()) == 1;"
        "sys.exit(int(any(m in sys.modules for m in ('alembic', 'sqlalchemy.orm', 'PIL', 'numpy'))))"
    )
    done = subprocess.run([sys.executable, "-c", code, str(tmp_path / "yard")], check=False)
    assert done.returncode == 0
