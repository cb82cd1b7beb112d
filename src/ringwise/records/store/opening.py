"""Opening a collection: created whole or not at all, checked, migrated, with a journal safe here."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from ringwise.kit.errors import LockedError, NotFoundError, WorkspaceError
from ringwise.kit.words import _
from ringwise.records.store.backups import sync_file, sync_folder
from ringwise.records.store.collection import Store
from ringwise.records.store.connecting import WAIT_S, connect, raw_connection, unsafe_log
from ringwise.records.store.drivers import Driver, choose_driver, file_is_wal, journal_for
from ringwise.records.store.faults import BACKUPS, damaged, translated
from ringwise.records.store.migrating import VERSIONS, known_versions, migrate, needs_migration, version_of

FILE_NAME = "collection.sqlite"

_MAGIC = b"SQLite format 3\x00"
_HEADER_BYTES = 100
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
    header = _checked_header(path)
    journal = journal_for(driver, folder)
    connection = _opened(path, driver, wait_s)
    try:
        journal = _settle_journal(connection, path, file_is_wal(header), journal)
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
    """Photos or backups without their file mean that the file was lost; an empty one must not hide that."""
    left = [
        name for name in ("photos", BACKUPS) if (folder / name).is_dir() and any((folder / name).iterdir())
    ]
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
        os.link(part, path)
        sync_folder(folder)
    except FileExistsError:
        if not path.is_file():
            raise WorkspaceError(_("{folder} is no folder.").format(folder=folder)) from None
        # Another program made the collection in the meantime: use that one.
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


def _checked_header(path: Path) -> bytes:
    try:
        with path.open("rb") as stream:
            header = stream.read(_HEADER_BYTES)
        size = path.stat().st_size
    except OSError as error:
        raise WorkspaceError(
            _("{path} cannot be read ({why}).").format(path=path, why=error.strerror or error)
        ) from error
    if size == 0:
        raise damaged(path, _("is empty"))
    if len(header) < _HEADER_BYTES or not header.startswith(_MAGIC):
        raise damaged(path, _("is no collection of Ringwise"))
    page = int.from_bytes(header[16:18], "big")
    page_bytes = 65536 if page == 1 else page  # the file format writes 65536 as 1
    wal = path.with_name(path.name + "-wal")
    promised = int.from_bytes(header[28:32], "big") * page_bytes
    if size < promised and not (wal.exists() and wal.stat().st_size > 0):
        raise damaged(path, _("is cut short"))
    return header


def _settle_journal(connection: Any, path: Path, is_wal: bool, journal: str) -> str:
    """The journal that the file will use; a log that cannot be shared here is only unwound when alone."""
    if journal == "wal":
        if is_wal:
            return "wal"
        try:
            return str(connection.execute("PRAGMA journal_mode = WAL").fetchone()[0])
        except Exception as error:  # the file is in use with a rollback journal, which serves as well
            if isinstance(translated(error, path), LockedError):
                return "delete"
            raise
    if is_wal:
        _unwind_log(connection, path)
    return "delete"


def _unwind_log(connection: Any, path: Path) -> None:
    connection.execute("PRAGMA locking_mode = EXCLUSIVE")
    try:
        mode = connection.execute("PRAGMA journal_mode = DELETE").fetchone()[0]
    except Exception as error:
        if isinstance(translated(error, path), LockedError):
            raise unsafe_log(path) from error
        raise
    if mode != "delete":
        raise unsafe_log(path)


def _check_content(connection: Any, path: Path) -> None:
    connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    if path.stat().st_size > _CHECKED_WHOLE_BYTES:
        return
    verdict = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    if verdict != "ok":
        raise damaged(path, _("is damaged ({reason})").format(reason=verdict.splitlines()[-1]))
