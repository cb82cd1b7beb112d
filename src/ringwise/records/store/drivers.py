"""Which SQLite serves a file, and whether its write-ahead log may be used.

SQLite 3.7.0 to 3.51.2 can lose pages when two connections write and reset a write-ahead log at the same
moment; 3.51.3 mends it, as do the backports 3.50.7 and 3.44.6. With any other version, and on any file system
that is shared over a network or into a virtual machine, the rollback journal is used.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

from ringwise.kit.errors import unknown_name

VARIABLE = "RINGWISE_SQLITE"  # "standard" forces the module of the standard library
ENGINES = ("auto", "standard")

_MENDED_FROM = (3, 51, 3)
_BACKPORTS = {(3, 50): 7, (3, 44): 6}
_SHARED_FILE_SYSTEMS = ("nfs", "cifs", "smb", "fuse", "9p", "virtiofs", "afs", "ceph", "glusterfs", "lustre")
_MOUNTS = Path("/proc/self/mounts")


@dataclass(frozen=True)
class Driver:
    """A DB-API module and the version of SQLite behind it."""

    module: ModuleType
    version: tuple[int, int, int]

    @property
    def wal_safe(self) -> bool:
        """Whether this version may share a write-ahead log."""
        return wal_is_safe(self.version)


def wal_is_safe(version: tuple[int, int, int]) -> bool:
    """Whether a version of SQLite has the mend of the write-ahead log reset.

    Parameters
    ----------
    version : tuple of three int
        Such as (3, 51, 3).

    Returns
    -------
    bool
        True from 3.51.3 on, and for the backports 3.50.7 and 3.44.6 and what follows them.

    Examples
    --------
    >>> wal_is_safe((3, 51, 2)), wal_is_safe((3, 51, 3)), wal_is_safe((3, 44, 6))
    (False, True, True)
    """
    if version >= _MENDED_FROM:
        return True
    least = _BACKPORTS.get(version[:2])
    return least is not None and version[2] >= least


def choose_driver(engine: str | None = None) -> Driver:
    """The newer SQLite where it is installed, else the one of the standard library.

    Parameters
    ----------
    engine : str, optional
        "auto" or "standard"; by default the variable RINGWISE_SQLITE, else "auto".

    Returns
    -------
    Driver
        Module and version.

    Raises
    ------
    UnknownNameError
        If the engine is neither.

    Examples
    --------
    >>> choose_driver("standard").module.__name__
    'sqlite3'
    """
    wanted = engine or os.environ.get(VARIABLE) or "auto"
    if wanted not in ENGINES:
        raise unknown_name(VARIABLE, wanted, ENGINES)
    if wanted == "auto":
        try:
            import pysqlite3
        except ImportError:
            pass
        else:
            return Driver(pysqlite3, _version(pysqlite3.sqlite_version))
    import sqlite3

    return Driver(sqlite3, _version(sqlite3.sqlite_version))


def _version(text: str) -> tuple[int, int, int]:
    major, minor, patch = (int(part) for part in text.split(".")[:3])
    return major, minor, patch


def file_system_of(folder: Path, mounts: str) -> str:
    """The type of the file system that holds a folder.

    Parameters
    ----------
    folder : Path
        An absolute path.
    mounts : str
        The table of mounts, one a line: device, mount point, type, options.

    Returns
    -------
    str
        Such as "ext4"; empty where the table does not say.

    Examples
    --------
    >>> file_system_of(Path("/srv/yard"), "a / ext4 rw\\nhost:/x /srv nfs4 rw")
    'nfs4'
    """
    best, found = -1, ""
    for line in mounts.splitlines():
        fields = line.split()
        if len(fields) < 3:
            continue
        point = Path(fields[1].encode().decode("unicode_escape"))
        if (folder == point or point in folder.parents) and len(point.parts) >= best:
            best, found = len(point.parts), fields[2]
    return found


def is_shared(file_system: str) -> bool:
    """Whether a file system may be shared with another machine, so that no write-ahead log works on it.

    Parameters
    ----------
    file_system : str
        Its type; empty if unknown, which counts as shared.

    Returns
    -------
    bool
        True where the rollback journal must be used.

    Examples
    --------
    >>> is_shared("fuse.sshfs"), is_shared("ext4"), is_shared("")
    (True, False, True)
    """
    return not file_system or file_system.startswith(_SHARED_FILE_SYSTEMS)


def journal_for(driver: Driver, folder: Path) -> str:
    """The journal to use for a file in a folder: "wal" or "delete".

    Parameters
    ----------
    driver : Driver
        The engine.
    folder : Path
        Where the file lies.

    Returns
    -------
    str
        "wal" only for a mended engine on a local file system.

    Examples
    --------
    >>> journal_for(Driver(choose_driver("standard").module, (3, 40, 1)), Path("/"))
    'delete'
    """
    if not driver.wal_safe:
        return "delete"
    try:
        mounts = _MOUNTS.read_text(errors="replace")
    except OSError:
        return "delete"
    return "delete" if is_shared(file_system_of(folder.resolve(), mounts)) else "wal"
