"""The wishes for a backup, for bringing one back, and for a full check of a collection or of its backups.

A backup holds all that cannot be made again: the database, photos, measured trees, lenses, turns under
review, the calendar's memory and settings. Files that are only passing or made again (small pictures, the
log, copies made before a migration) are left out.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise import __version__
from ringwise.desk import clock
from ringwise.kit import show
from ringwise.kit.errors import DamagedError, InputError, RingwiseError, WorkspaceError, unknown_name
from ringwise.kit.words import _, counted
from ringwise.records.backup_lists import Backup, free_name, latest, list_paths, read_list, write_list
from ringwise.records.durable import folder_held, sync_file, sync_folder
from ringwise.records.kept_copies import (
    Copying,
    bring_back,
    check_copy,
    clear_incoming,
    collection_files,
    content_hash,
    copy_files,
    incoming_copies,
)

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace

MARK = "ringwise-backups.txt"  # tells a place for backups from any other folder
_MARK_PART = f"{MARK}.part"
_BYTES_PER_MB = 1_000_000.0  # exact


def back_up(workspace: Workspace, place: Path) -> Shape:
    """Back a collection up; the backup is whole and safe on disk when this returns.

    Parameters
    ----------
    workspace : Workspace
        The collection; it may be in use.
    place : Path
        The folder for its backups: empty at first, outside the collection.

    Returns
    -------
    dict
        Keys backup_place, backup, kept_files, new_files, new_bytes, amiss and lines.

    Raises
    ------
    InputError
        If the place lies in the collection, or is another folder with files in it.
    WorkspaceError
        If it cannot be written; earlier backups are as they were, and this one is none.
    """
    from ringwise.records.store import FILE_NAME

    place = place.expanduser().absolute()
    _refuse_place(workspace.folder, place)
    faults = workspace.store.check()
    with _told(place), folder_held(place):
        _mark(place)
        clear_incoming(place)
        try:
            database = _database(workspace, place)  # first: what it names was on disk before it
            paths = collection_files(workspace.folder, ["backups", "ringwise.log*", f"{FILE_NAME}*"])
            copying = copy_files(workspace.folder, paths, place)
        finally:
            clear_incoming(place)
        made = clock.now()
        files = (*database.files, *copying.files)
        backup = Backup(free_name(place, made), made, str(workspace.folder.absolute()), __version__, files)
        write_list(place, backup)
    new = [*database.new, *copying.new]
    answer: Shape = {
        "backup_place": str(place),
        "backup": backup.name,
        "kept_files": len(backup.files),
        "new_files": len(new),
        "new_bytes": sum(each.size_bytes for each in new),
        "amiss": [*faults, *database.faults, *copying.faults],
    }
    return answer | {"lines": _backup_lines(answer)}


def _backup_lines(answer: Shape) -> list[str]:
    lines = [
        _("backup {name} in {place}: {files}, {new} of them new ({size} MB)").format(
            name=answer["backup"],
            place=answer["backup_place"],
            files=counted("{n} file", "{n} files", answer["kept_files"]),
            new=answer["new_files"],
            size=show.number(answer["new_bytes"] / _BYTES_PER_MB, 2),
        ),
        _(
            "It holds database, photos, measured trees, lenses, turns under review and settings; "
            "small pictures and the log are made again."
        ),
    ]
    return [*lines, *_fault_lines(answer["amiss"])]


def _refuse_place(folder: Path, place: Path) -> None:
    if place.resolve().is_relative_to(folder.resolve()):
        raise InputError(
            _("{place} lies in the collection; choose a folder elsewhere, best on another disk.").format(
                place=place
            )
        )
    if place.exists() and not place.is_dir():
        raise InputError(_("{place} is no folder.").format(place=place))
    begun = {MARK, _MARK_PART}  # a kill may have left the mark half-written, and nothing else
    if place.is_dir() and not (place / MARK).is_file() and {each.name for each in place.iterdir()} - begun:
        raise InputError(
            _("{place} holds other files; choose an empty folder or one with backups of Ringwise.").format(
                place=place
            )
        )


def _mark(place: Path) -> None:
    if not (place / MARK).is_file():
        told = _(
            "Backups of a Ringwise collection. backups/ holds a list of files for each, files/ their content "
            "by its SHA-256. Bring one back with: ringwise restore {place} --collection EMPTY_FOLDER"
        ).format(place=place)
        part = place / _MARK_PART
        part.write_text(f"{told}\n", encoding="utf-8")
        sync_file(part)
        os.replace(part, place / MARK)
        sync_folder(place)


def _database(workspace: Workspace, place: Path) -> Copying:
    """A verified copy of the database, in which no other writer is half-way."""
    from ringwise.records.store import FILE_NAME

    incoming = incoming_copies(place)
    workspace.store.back_up(incoming / FILE_NAME)
    return copy_files(incoming, [FILE_NAME], place)


@contextmanager
def _told(place: Path) -> Iterator[None]:
    """What the disk refuses, in one line."""
    try:
        yield
    except OSError as error:
        raise WorkspaceError(
            _("{path} cannot be written or read ({why}); nothing that was there before was changed.").format(
                path=error.filename or place, why=error.strerror or error
            )
        ) from error


def restore(place: Path, folder: Path, name: str = "") -> Shape:
    """Bring a backup back into an empty folder; the folder has its name only when all of it is there.

    Parameters
    ----------
    place : Path
        With the backups.
    folder : Path
        Where the collection goes: not there yet, or empty.
    name : str
        Of the backup; the newest by default.

    Returns
    -------
    dict
        Keys backup_place, backup, collection, kept_files, amiss (what the full check finds) and lines.

    Raises
    ------
    InputError
        If the folder holds anything.
    NotFoundError, DamagedError
        If there is no such backup, or a copy of it is not what was kept; nothing is brought back then.
    WorkspaceError
        If the folder cannot be written.
    """
    from ringwise.records.store import open_store

    place, folder = place.expanduser().absolute(), folder.expanduser().absolute()
    if folder.exists() and not (folder.is_dir() and not any(folder.iterdir())):
        raise InputError(
            _("{folder} is not empty; choose another folder, or move what is there.").format(folder=folder)
        )
    backup, unread = _chosen(place, name)
    part = folder.with_name(f".{folder.name}.restoring")
    with _told(folder), folder_held(place):
        shutil.rmtree(part, ignore_errors=True)  # of one that was broken off
        part.mkdir(parents=True)
        bring_back(place, backup.files, part)
        with open_store(part, create=False) as store:
            faults = store.check()
        os.rename(part, folder)
        sync_folder(folder.parent)
    answer: Shape = {
        "backup_place": str(place),
        "backup": backup.name,
        "collection": str(folder),
        "kept_files": len(backup.files),
        "amiss": [*unread, *faults],
    }
    line = _("backup {name} of {when} brought back to {folder}: {files}, each as it was kept").format(
        name=backup.name,
        when=show.day(backup.made.date(), year=True),
        folder=folder,
        files=counted("{n} file", "{n} files", answer["kept_files"]),
    )
    return answer | {"lines": [line, *_fault_lines(answer["amiss"])]}


def _chosen(place: Path, name: str) -> tuple[Backup, list[str]]:
    """The backup that is meant, and which lists do not read."""
    backups, unread = _read(place)
    if not name:
        return latest(backups, place), unread
    for each in backups:
        if each.name == name:
            return each, []
    path = next((path for path in list_paths(place) if path.stem == name), None)
    if path is not None:
        read_list(path)
    raise unknown_name(_("backup"), name, [each.name for each in backups])


def _read(place: Path) -> tuple[list[Backup], list[str]]:
    backups, unread = [], []
    for path in list_paths(place):
        try:
            backups.append(read_list(path))
        except DamagedError as wrong:
            unread.append(str(wrong))
    return backups, unread


def check_collection(workspace: Workspace) -> Shape:
    """All that a full check finds in a collection: its database, and each file that an entry names.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    dict
        Keys collection, amiss and lines.
    """
    faults = [*workspace.store.check(), *_changed_photos(workspace)]
    sound = _("{folder} is sound: database, photos and measured trees").format(folder=workspace.folder)
    return {
        "collection": str(workspace.folder),
        "amiss": faults,
        "lines": _fault_lines(faults) or [sound],
    }


def _changed_photos(workspace: Workspace) -> list[str]:
    """Photos whose content is not what their entries say; those that are not there are told already."""
    found = []
    for entry in workspace.entries:
        file = workspace.folder / str(entry.data["file"]) if entry.kind == "photo" else None
        if file is not None and file.is_file() and content_hash(file)[0] != entry.data["sha256"]:
            found.append(
                _("entry {id}: {path} is not as it was kept; bring it back from a backup").format(
                    id=entry.id, path=entry.data["file"]
                )
            )
    return found


def check_backups(place: Path) -> Shape:
    """All that is wrong with the backups in a place: each list, and each copy against its hash.

    Parameters
    ----------
    place : Path
        With the backups.

    Returns
    -------
    dict
        Keys backup_place, backups (names, the oldest first), kept_files (different contents), amiss, lines.

    Raises
    ------
    NotFoundError
        If there is no backup.
    """
    place = place.expanduser().absolute()
    backups, faults = _read(place)
    latest(backups, place)
    copies = {each.copy: each for backup in backups for each in backup.files}
    with _told(place):
        for each in copies.values():
            try:
                check_copy(place, each)
            except RingwiseError as wrong:
                faults.append(str(wrong))
    names = [each.name for each in sorted(backups, key=lambda each: (each.made, each.name))]
    sound = _("{place} is sound: {backups}, {files}").format(
        place=place,
        backups=counted("{n} backup", "{n} backups", len(names)),
        files=counted("{n} different file", "{n} different files", len(copies)),
    )
    return {
        "backup_place": str(place),
        "backups": names,
        "kept_files": len(copies),
        "amiss": faults,
        "lines": _fault_lines(faults) or [sound],
    }


def _fault_lines(faults: Sequence[str]) -> list[str]:
    return [_("look at this: {fault}").format(fault=fault) for fault in faults]
