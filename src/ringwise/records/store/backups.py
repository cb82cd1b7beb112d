"""Verified copies of a collection file."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from ringwise.kit.errors import DamagedError
from ringwise.kit.words import _
from ringwise.records.durable import sync_file, sync_folder
from ringwise.records.store.connecting import raw_connection
from ringwise.records.store.drivers import Driver


def back_up(path: Path, driver: Driver, target: Path) -> Path:
    """Copy a collection file by the engine's own backup, verify the copy, and only then give it its name.

    Parameters
    ----------
    path : Path
        The file; it may be open.
    driver : Driver
        The engine.
    target : Path
        Where the copy goes; it must not exist.

    Returns
    -------
    Path
        The copy: whole, synced to disk, with as many rows in every table as the original.

    Raises
    ------
    DamagedError
        If the copy does not verify; the original is as it was.

    Examples
    --------
    >>> import tempfile
    >>> from ringwise.records.store.drivers import choose_driver
    >>> folder, driver = Path(tempfile.mkdtemp()), choose_driver()
    >>> made = raw_connection(folder / "a", driver, must_exist=False).execute("CREATE TABLE t (x)")
    >>> back_up(folder / "a", driver, folder / "kept" / "a").is_file()
    True
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(target.name + ".part")
    part.unlink(missing_ok=True)
    source = raw_connection(path, driver)
    try:
        copy = raw_connection(part, driver, must_exist=False)
        try:
            source.execute("BEGIN")
            counts = row_counts(source)  # opens the view that the backup then copies
            source.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")
            _verify(copy, counts, target)
        finally:
            copy.close()
    finally:
        source.close()
    sync_file(part)
    os.replace(part, target)
    sync_folder(target.parent)
    return target


def _verify(copy: Any, counts: dict[str, int], target: Path) -> None:
    verdict = copy.execute("PRAGMA integrity_check(1)").fetchone()[0]
    if verdict != "ok":
        raise DamagedError(_("the backup {path} is not whole ({why}).").format(path=target, why=verdict))
    if row_counts(copy) != counts:
        raise DamagedError(_("the backup {path} does not hold every row.").format(path=target))


def row_counts(connection: Any) -> dict[str, int]:
    """How many rows every table holds.

    Parameters
    ----------
    connection : sqlite3.Connection
        A plain connection.

    Returns
    -------
    dict of str to int
        By table name.

    Examples
    --------
    >>> import sqlite3
    >>> memory = sqlite3.connect(":memory:")
    >>> made = memory.execute("CREATE TABLE t (x)")
    >>> row_counts(memory)
    {'t': 0}
    """
    names = connection.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name"
    ).fetchall()
    return {name: connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for (name,) in names}
