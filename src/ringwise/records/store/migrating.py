"""Bringing a file to the newest schema: one transaction, after a verified backup, never half-way."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, create_engine, event
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool

from ringwise.kit.errors import DamagedError, NewerVersionError, RingwiseError, WorkspaceError
from ringwise.kit.words import _
from ringwise.records.store.backups import back_up, row_counts
from ringwise.records.store.connecting import WAIT_S, raw_connection
from ringwise.records.store.drivers import Driver
from ringwise.records.store.faults import BACKUPS, clear_faults, damaged, translated

SCRIPTS = Path(__file__).resolve().parent / "migrations"
VERSIONS = SCRIPTS / "versions"
NO_VERSION = ""

_SCRIPT = re.compile(r"v(\d{4})_\w+\.py")


def known_versions(folders: Sequence[Path] = (VERSIONS,)) -> tuple[str, ...]:
    """The versions of the schema, oldest first, read off the names of the migration scripts.

    Parameters
    ----------
    folders : sequence of Path
        Where the scripts lie.

    Returns
    -------
    tuple of str
        Four digits each.

    Examples
    --------
    >>> known_versions()[0]
    '0001'
    """
    names = (path.name for folder in folders for path in folder.iterdir())
    return tuple(sorted(match[1] for name in names if (match := _SCRIPT.fullmatch(name))))


def version_of(connection: Any) -> str:
    """The version of the schema in a file, by one raw query.

    Parameters
    ----------
    connection : sqlite3.Connection
        A plain connection.

    Returns
    -------
    str
        Four digits; `NO_VERSION` where the file holds no version.

    Examples
    --------
    >>> import sqlite3
    >>> version_of(sqlite3.connect(":memory:"))
    ''
    """
    found = connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'alembic_version'").fetchone()
    if found is None:
        return NO_VERSION
    row = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    return NO_VERSION if row is None else str(row[0])


def needs_migration(path: Path, version: str, known: Sequence[str]) -> bool:
    """Whether a file is older than this program.

    Parameters
    ----------
    path : Path
        The file, for the error line.
    version : str
        Its version.
    known : sequence of str
        All versions, oldest first.

    Returns
    -------
    bool
        False where the file is up to date.

    Raises
    ------
    NewerVersionError
        If the file is newer than this program.
    DamagedError
        If the file has no version or one that never was.

    Examples
    --------
    >>> needs_migration(Path("yard"), "0001", ("0001", "0002"))
    True
    """
    if version == known[-1]:
        return False
    if version in known:
        return True
    if version.isdigit() and version > known[-1]:
        raise NewerVersionError(
            _(
                "{path} was written by a newer Ringwise (its version is {found}, this program knows {head});"
                " it was left as it is. Install the newer Ringwise."
            ).format(path=path, found=version, head=known[-1])
        )
    raise damaged(path, _("is a database, but no collection of Ringwise"))


def migrate(
    path: Path, driver: Driver, folders: Sequence[Path] = (VERSIONS,), *, wait_s: float = WAIT_S
) -> None:
    """Bring a file to the newest version in one transaction; a filled file is backed up and verified first.

    Parameters
    ----------
    path : Path
        The file; an empty one is filled without a backup.
    driver : Driver
        The engine.
    folders : sequence of Path
        Where the migration scripts lie.
    wait_s : float
        How long to wait for another writer, in seconds.

    Raises
    ------
    DamagedError
        If the backup does not verify or the migrated file lost rows; the file is then as it was.
    LockedError
        If another program is writing.

    Examples
    --------
    >>> import tempfile
    >>> from ringwise.records.store.drivers import choose_driver
    >>> path, driver = Path(tempfile.mkdtemp()) / "new.sqlite", choose_driver()
    >>> path.touch()
    >>> migrate(path, driver)
    >>> version_of(raw_connection(path, driver)) == known_versions()[-1]
    True
    """
    engine = create_engine(
        "sqlite+pysqlite://",
        module=driver.module,
        creator=lambda: _without_foreign_keys(path, driver, wait_s),
        poolclass=NullPool,
    )
    event.listen(engine, "begin", lambda connection: connection.exec_driver_sql("BEGIN IMMEDIATE"))
    try:
        with clear_faults(path), engine.connect() as connection, connection.begin():
            _upgrade_locked(path, driver, folders, connection)
    finally:
        engine.dispose()


def _without_foreign_keys(path: Path, driver: Driver, wait_s: float) -> Any:
    """Rebuilding a table deletes its children where foreign keys act; in a transaction it is too late."""
    connection = raw_connection(path, driver, wait_s=wait_s)
    connection.execute("PRAGMA foreign_keys = OFF")
    connection.execute("PRAGMA synchronous = FULL")
    return connection


def _upgrade_locked(path: Path, driver: Driver, folders: Sequence[Path], connection: Connection) -> None:
    raw: Any = connection.connection.driver_connection
    known = known_versions(folders)
    before = version_of(raw)
    if before == known[-1]:
        return  # another program migrated while this one waited
    counts = row_counts(raw)
    if before != NO_VERSION:
        back_up(path, driver, _free_name(path, before, known[-1]))
    try:
        _run_scripts(folders, connection)
    except DBAPIError as error:
        raise _failed(path, known[-1], error) from error
    after = row_counts(raw)
    lost = [name for name, count in counts.items() if after.get(name, count) < count]
    broken = raw.execute("PRAGMA foreign_key_check").fetchall()
    if lost or broken:
        raise DamagedError(
            _("{path} was left as it was: migrating it would have lost rows of {tables}.").format(
                path=path, tables=", ".join(lost or sorted({str(row[0]) for row in broken}))
            )
        )


def _failed(path: Path, head: str, error: DBAPIError) -> RingwiseError:
    outer = translated(error, path)
    if isinstance(outer, WorkspaceError) and not isinstance(outer, DamagedError):
        return outer
    return WorkspaceError(
        _("{path} could not be brought to version {head} ({reason}); it was left as it was.").format(
            path=path, head=head, reason=error.orig
        )
    )


def _run_scripts(folders: Sequence[Path], connection: Connection) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(SCRIPTS).replace("%", "%%"))
    config.set_main_option("path_separator", "newline")
    config.set_main_option("version_locations", "\n".join(str(f) for f in folders).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def _free_name(path: Path, before: str, after: str) -> Path:
    stem = f"{path.stem}-{before}-before-{after}"
    taken = path.parent / BACKUPS
    number = 1
    while (taken / f"{stem}-{number}{path.suffix}").exists():
        number += 1
    return taken / f"{stem}-{number}{path.suffix}"
