"""The list of a backup: which files it has and what they held. A backup without its list is none.

The list is written last and in one step, so that one that was broken off never looks whole. It bears its
own hash, so that a list that was changed is told from one that was written.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from ringwise.kit.errors import DamagedError, NotFoundError
from ringwise.kit.words import _
from ringwise.records.durable import sync_folder, write_whole
from ringwise.records.kept_copies import Copied

LISTS = "backups"  # below the place
_INCOMING = "incoming"
_LAYOUT = 1  # of a list; a newer one is refused


@dataclass(frozen=True)
class Backup:
    """A backup: its name, when it was made, from which folder, by which version, and its files."""

    name: str
    made: datetime
    folder: str
    version: str
    files: tuple[Copied, ...]


def write_list(place: Path, backup: Backup) -> Path:
    """Make a backup whole by writing its list; it is safe on disk when this returns.

    Parameters
    ----------
    place : Path
        Where its copies lie already.
    backup : Backup
        With a name that is free.

    Returns
    -------
    Path
        The list.

    Raises
    ------
    OSError
        If it cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> place = Path(tempfile.mkdtemp())
    >>> made = Backup("first", datetime(2027, 3, 7), "yard", "1", ())
    >>> write_list(place, made).name
    'first.json'
    """
    told = {
        "layout": _LAYOUT,
        "made": backup.made.isoformat(),
        "folder": backup.folder,
        "version": backup.version,
        "files": [asdict(each) for each in backup.files],
    }
    incoming = place / LISTS / _INCOMING
    incoming.mkdir(parents=True, exist_ok=True)
    path = place / LISTS / f"{backup.name}.json"
    whole = json.dumps({"backup": told, "sha256": _seal(told)}, ensure_ascii=False, indent=1)
    write_whole(incoming, path, whole.encode())
    sync_folder(path.parent)
    return path


def free_name(place: Path, made: datetime) -> str:
    """A name for a backup of a moment that no other in the place has.

    Parameters
    ----------
    place : Path
        Of the backups.
    made : datetime
        The moment.

    Returns
    -------
    str
        Such as "2027-03-07T101500", or with a number behind it.

    Examples
    --------
    >>> free_name(Path("kept"), datetime(2027, 3, 7, 10, 15))
    '2027-03-07T101500'
    """
    first = made.strftime("%Y-%m-%dT%H%M%S")
    name, number = first, 1
    while (place / LISTS / f"{name}.json").exists():
        number += 1
        name = f"{first}-{number}"
    return name


def list_paths(place: Path) -> list[Path]:
    """The lists of a place, whether or not they read.

    Parameters
    ----------
    place : Path
        Of the backups.

    Returns
    -------
    list of Path
        By name.

    Examples
    --------
    >>> list_paths(Path("nowhere"))
    []
    """
    return sorted((place / LISTS).glob("*.json"))


def read_list(path: Path) -> Backup:
    """A backup by its list.

    Parameters
    ----------
    path : Path
        The list.

    Returns
    -------
    Backup
        As it was written.

    Raises
    ------
    DamagedError
        If it is not as it was written, or of a newer layout.

    Examples
    --------
    >>> import tempfile
    >>> place = Path(tempfile.mkdtemp())
    >>> made = Backup("first", datetime(2027, 3, 7), "yard", "1", ())
    >>> read_list(write_list(place, made)) == made
    True
    """
    try:
        whole = json.loads(path.read_bytes())
        told: dict[str, Any] = whole["backup"]
        if whole["sha256"] != _seal(told):
            raise ValueError
        if told["layout"] > _LAYOUT:
            raise DamagedError(_("the backup {path} was written by a newer Ringwise.").format(path=path))
        files = tuple(Copied(each["path"], each["sha256"], each["size_bytes"]) for each in told["files"])
        made = datetime.fromisoformat(told["made"])
        return Backup(path.stem, made, str(told["folder"]), str(told["version"]), files)
    except (ValueError, KeyError, TypeError):
        raise DamagedError(_("the list of the backup {path} is damaged.").format(path=path)) from None


def latest(backups: Sequence[Backup], place: Path) -> Backup:
    """The newest of some backups.

    Parameters
    ----------
    backups : sequence of Backup
        Of a place.
    place : Path
        Named where there is none.

    Returns
    -------
    Backup
        By the moment it was made.

    Raises
    ------
    NotFoundError
        If there is none.

    Examples
    --------
    >>> made = Backup("first", datetime(2027, 3, 7), "yard", "1", ())
    >>> latest([made], Path("kept")).name
    'first'
    """
    if not backups:
        raise NotFoundError(_("there is no whole backup in {place}.").format(place=place))
    return max(backups, key=lambda each: (each.made, each.name))


def _seal(told: dict[str, Any]) -> str:
    return hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()
