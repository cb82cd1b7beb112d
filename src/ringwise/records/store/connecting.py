"""Connections to one collection file: pragmas, transactions, and no silent change of journal."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.pool import QueuePool

from ringwise.kit.errors import LockedError
from ringwise.kit.words import _
from ringwise.records.store.drivers import Driver
from ringwise.records.store.faults import clear_faults, translated

WAIT_S = 5.0  # how long a writer waits for another one before it gives up


@dataclass(frozen=True)
class Database:
    """One collection file with the engine that serves it."""

    path: Path
    driver: Driver
    journal: str
    engine: Engine

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One consistent view of the file."""
        with clear_faults(self.path), self.engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """One transaction with the only write lock; committed when the block ends, else nothing happened."""
        with clear_faults(self.path), self.engine.connect() as plain:
            connection = plain.execution_options(ringwise_writer=True)
            with connection.begin():
                self._refuse_unsafe_log(connection)
                yield connection

    def _refuse_unsafe_log(self, connection: Connection) -> None:
        """Another program may have switched the file to a write-ahead log since it was opened here."""
        if self.journal == "wal":
            return
        if connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal":
            raise unsafe_log(self.path)


def unsafe_log(path: Path) -> LockedError:
    """The error for a write-ahead log that this engine or file system must not share.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    LockedError
        To be raised by the caller.

    Examples
    --------
    >>> "close it there" in str(unsafe_log(Path("yard/collection.sqlite")))
    True
    """
    return LockedError(
        _(
            "{path} is open in another program with a write-ahead log, which this SQLite or this file"
            " system cannot share safely; close it there, then try again."
        ).format(path=path)
    )


def raw_connection(path: Path, driver: Driver, *, wait_s: float = WAIT_S, must_exist: bool = True) -> Any:
    """A plain connection of the driver without an implicit transaction.

    Parameters
    ----------
    path : Path
        The file.
    driver : Driver
        The engine.
    wait_s : float
        How long to wait for a lock, in seconds.
    must_exist : bool
        Whether a missing file is an error instead of a new file.

    Returns
    -------
    sqlite3.Connection
        Of the driver's own class.

    Raises
    ------
    WorkspaceError
        If the file cannot be opened.

    Examples
    --------
    >>> from ringwise.records.store.drivers import choose_driver
    >>> raw_connection(Path(":memory:"), choose_driver(), must_exist=False).execute("SELECT 1").fetchone()
    (1,)
    """
    target: str = str(path)
    if must_exist:
        target = path.resolve().as_uri() + "?mode=rw"
    try:
        connection = driver.module.connect(
            target, uri=must_exist, timeout=wait_s, isolation_level=None, check_same_thread=False
        )
        connection.execute("PRAGMA trusted_schema = OFF")
    except driver.module.Error as error:
        raise translated(error, path) or error from error
    return connection


def connect(path: Path, driver: Driver, journal: str, *, wait_s: float = WAIT_S) -> Database:
    """The database of a file, with its pool of connections.

    Parameters
    ----------
    path : Path
        An existing file.
    driver : Driver
        The engine.
    journal : str
        "wal" or "delete": what the file is known to use.
    wait_s : float
        How long to wait for a lock, in seconds.

    Returns
    -------
    Database
        Nothing is opened before the first use.

    Examples
    --------
    >>> from ringwise.records.store.drivers import choose_driver
    >>> connect(Path("yard"), choose_driver("standard"), "delete").journal
    'delete'
    """

    def opened() -> Any:
        connection = raw_connection(path, driver, wait_s=wait_s)
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA foreign_keys = ON")
        return connection

    engine = create_engine(
        "sqlite+pysqlite://", module=driver.module, creator=opened, poolclass=QueuePool, pool_size=2
    )
    event.listen(engine, "begin", _begin)
    return Database(path, driver, journal, engine)


def _begin(connection: Connection) -> None:
    """Begin explicitly: the driver's own implicit BEGIN leaves reads and DDL outside of transactions."""
    writer = connection.get_execution_options().get("ringwise_writer", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writer else "BEGIN")
