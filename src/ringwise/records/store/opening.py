"""Opening a collection: created whole or not at all, checked, migrated, with a journal safe here."""

from __future__ import annotations

import os
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from ringwise.kit.errors import LockedError, NotFoundError, WorkspaceError
from ringwise.kit.words import _
from ringwise.records.durable import give_name, sync_file
from ringwise.records.store.collection import Store
from ringwise.records.store.connecting import WAIT_S, connect, raw_connection, unsafe_log
from ringwise.records.store.drivers import Driver, choose_driver, journal_for
from ringwise.records.store.faults import BACKUPS, damaged, translated
from ringwise.records.store.migrating import VERSIONS, known_versions, migrate, needs_migration, version_of

FILE_NAME = "collection.sqlite"

_CHECKED_WHOLE_BYTES = 4_000_000  # up to this size the whole file is checked at every opening: some 10 ms


def open_store(
    folder: Path,
    *,
    create: bool = True,
    engine: str | None = None,
    wait_s: float = WAIT_S,
    versions: Sequence[Path] = (VERSIONS,),
) -> Store:
    """Open the collection in a folder; a missing one is made, an older one is backed up and migrated.

    Parameters
    ----------
    folder : Path
        The folder of the collection.
    create : bool
        Whether to make the folder and an empty collection where there is none.
    engine : str, optional
        "auto" or "standard"; by default the variable RINGWISE_SQLITE, else "auto".
    wait_s : float
        How long to wait for another writer, in seconds.
    versions : sequence of Path
        Where the migration scripts lie.

    Returns
    -------
    Store
        Ready to read and write.

    Raises
    ------
    NotFoundError
        If there is no collection and none is to be made.
    DamagedError
        If the file is damaged, empty, missing beside its photos, or no collection.
    NewerVersionError
        If a newer Ringwise wrote it.
    LockedError
        If another program holds it.
    WorkspaceError
        If the folder cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> store = open_store(Path(tempfile.mkdtemp()) / "yard")
    >>> store.trees()
    []
    """
    folder = Path(folder)
    path = folder / FILE_NAME
    driver = choose_driver(engine)
    if not path.exists():
        if not create:
            raise NotFoundError(_("there is no collection in {folder}.").format(folder=folder))
        _refuse_lost_file(folder, path)
        _create(folder, path, driver, versions)
    else:
        with suppress(OSError):  # a folder that is only read keeps them; they do no harm
            _clear_abandoned_parts(folder)  # a kill just after naming leaves the passing name beside the file
    _refuse_empty(path)
    connection = _opened(path, driver, wait_s)
    try:
        journal = _settle_journal(connection, path, journal_for(driver, folder))
        _check_content(connection, path)
        old = needs_migration(path, version_of(connection), known_versions(versions))
    except driver.module.Error as error:
        raise translated(error, path) or error from error
    finally:
        connection.close()
    if old:
        migrate(path, driver, versions, wait_s=wait_s)
    return Store(connect(path, driver, journal, wait_s=wait_s), folder)


def _opened(path: Path, driver: Driver, wait_s: float) -> Any:
    if not os.access(path, os.R_OK):
        raise WorkspaceError(_("{path} cannot be read; check who may read it.").format(path=path))
    return raw_connection(path, driver, wait_s=wait_s)


def _refuse_lost_file(folder: Path, path: Path) -> None:
    """What lies beside a file without it means that it was lost; an empty one must not hide that."""
    kept = "[0-9a-f][0-9a-f]/*"
    ours = {"photos": kept, "shapes": kept, BACKUPS: f"{path.stem}-*{path.suffix}"}
    left = [name for name, names in ours.items() if any((folder / name).glob(names))]
    left += [name for name in (f"{FILE_NAME}-wal", f"{FILE_NAME}-journal") if (folder / name).exists()]
    if left:
        raise damaged(path, _("is missing, though {left} is there").format(left=", ".join(left)))


def _create(folder: Path, path: Path, driver: Driver, versions: Sequence[Path]) -> None:
    """Make the file under another name and give it its own name only when it is whole."""
    part = folder / f"{FILE_NAME}.{os.getpid()}.part"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _clear_abandoned_parts(folder)
        part.touch()
        migrate(part, driver, versions)
        sync_file(part)
        give_name(part, path)  # where another program made the collection in the meantime, that one is used
    except OSError as error:
        raise WorkspaceError(
            _("{folder} cannot be written ({why}); choose another folder.").format(
                folder=folder, why=error.strerror or error
            )
        ) from error
    finally:
        if part.exists():
            part.unlink()


def _clear_abandoned_parts(folder: Path) -> None:
    for part in folder.glob(f"{FILE_NAME}.*.part"):
        owner = part.name.removeprefix(f"{FILE_NAME}.").removesuffix(".part")
        if not owner.isdigit() or not Path("/proc", owner).exists():
            part.unlink(missing_ok=True)


def _refuse_empty(path: Path) -> None:
    """The engine would take an empty file for a new database.

    The file is never opened here other than by the engine: closing it again would let go of every lock that
    this process holds on it.
    """
    if path.stat().st_size == 0:
        raise damaged(path, _("is empty"))


def _settle_journal(connection: Any, path: Path, journal: str) -> str:
    """The journal that the file will use; a log that cannot be shared here is only unwound when alone."""
    if journal == "delete":
        _unwind_log(connection, path)
        return "delete"
    if _mode(connection) == "wal":
        return "wal"
    try:
        return str(connection.execute("PRAGMA journal_mode = WAL").fetchone()[0])
    except Exception as error:  # the file is in use with a rollback journal, which serves as well
        if isinstance(translated(error, path), LockedError):
            return "delete"
        raise


def _mode(connection: Any) -> str:
    connection.execute("SELECT count(*) FROM sqlite_master").fetchone()  # the mode is only known after a read
    return str(connection.execute("PRAGMA journal_mode").fetchone()[0])


def _unwind_log(connection: Any, path: Path) -> None:
    """In exclusive mode the engine reads a log only if no other connection has it."""
    connection.execute("PRAGMA locking_mode = EXCLUSIVE")
    try:
        if _mode(connection) != "wal":
            return
        mode = connection.execute("PRAGMA journal_mode = DELETE").fetchone()[0]
    except Exception as error:
        in_use = isinstance(translated(error, path), LockedError)
        if in_use and path.with_name(path.name + "-wal").exists():
            raise unsafe_log(path) from error
        raise
    if mode != "delete":
        raise unsafe_log(path)


def _check_content(connection: Any, path: Path) -> None:
    pages, page_bytes = (
        connection.execute(f"PRAGMA {name}").fetchone()[0] for name in ("page_count", "page_size")
    )
    log = path.with_name(path.name + "-wal")
    size = path.stat().st_size
    if size < pages * page_bytes and not (log.exists() and log.stat().st_size > 0):
        raise damaged(path, _("is cut short"))
    if size > _CHECKED_WHOLE_BYTES:
        return
    verdict = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    if verdict != "ok":
        raise damaged(path, _("is damaged ({reason})").format(reason=verdict.splitlines()[-1]))
