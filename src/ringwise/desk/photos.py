"""Wishes about photos: take one in, tag and mark it, find the small picture that is shown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

from ringwise.desk.deeds import action, not_ahead
from ringwise.desk.entry_words import entry_words
from ringwise.desk.photo_rims import set_rim_width
from ringwise.desk.photo_strips import photo_strip
from ringwise.desk.retired import refuse_on_retired
from ringwise.desk.shapes import Shape, entry_shape
from ringwise.desk.texts import checked_note, one_line
from ringwise.desk.workspace import Workspace
from ringwise.kit.days import parse_date
from ringwise.kit.errors import (
    ConflictError,
    InputError,
    NotFoundError,
    unknown_name,
)
from ringwise.kit.words import _
from ringwise.records.date_shown import date_shown
from ringwise.records.dates import FuzzyDate, exact_day, parse_fuzzy_date
from ringwise.records.model import PHOTO_VIEWS, Entry, Tree
from ringwise.records.observations import TYPED
from ringwise.records.photos import PhotoFacts, keep_photo
from ringwise.records.store import Seen
from ringwise.records.thumbs import ensure_thumbs, thumb_path

__all__ = ["PhotoChange", "PhotoGiven", "add_photo", "edit_photo", "photo_entry", "photo_strip", "thumb_file"]

Points = Sequence[Sequence[float]]
Data = dict[str, Any]

_CLOCK_UNSET = date(1980, 1, 1)  # clocks that nobody set begin in 1970 or on this day
_MARKS = ("align", "rim", "rim_mm", "mirrored", TYPED)  # keys that a photo need not have


@dataclass(frozen=True)
class PhotoGiven:
    """What is said of a photo that comes in.

    `file_modified` is its device's local time of the file; `called` stands for its path in lines of error.
    """

    view: str = "front"
    date: str = ""
    note: str = ""
    file_modified: str | None = None
    original_name: str = ""
    called: str | None = None
    mirrored: bool = False
    by: str | None = None
    id: str | None = None


@dataclass(frozen=True)
class PhotoChange:
    """What should read otherwise: None stays as it is, an empty list of points clears, blank asks the pot."""

    revision: int | None = None
    view: str | None = None
    date: str | None = None
    note: str | None = None
    align: Points | None = None
    rim: Points | None = None
    rim_width: str | None = None
    mirrored: bool | None = None
    by: str | None = None


def _checked_view(view: str) -> str:
    if view not in PHOTO_VIEWS:
        raise unknown_name(_("view"), view, PHOTO_VIEWS)
    return view


def _typed_day(workspace: Workspace, text: str) -> FuzzyDate:
    on = parse_fuzzy_date(text, field=_("date"), south=workspace.settings.south)
    return not_ahead(workspace, on, _("date"))


def _found_day(workspace: Workspace, given: PhotoGiven, photo: PhotoFacts) -> tuple[FuzzyDate, str]:
    """The day of a photo and where it comes from; a clock that was never set says nothing.

    A day of the camera after today is refused as a typed one is: another day in its stead would be a guess.
    The time of a file says little and is asked about anyway, so one that lies ahead is left out.
    """
    if given.date.strip():
        return _typed_day(workspace, given.date), "typed"
    for source, moment in (("camera", photo.taken), ("file", given.file_modified)):
        if moment:  # a local time: its first ten characters are the civil day, and no zone is applied
            day = parse_date(moment[:10], field=_("day of the {source}").format(source=source))
            if source == "camera":
                not_ahead(
                    workspace,
                    exact_day(day),
                    _("day of the camera"),
                    _("Give its date, and check the clock of the camera."),
                )
            if _CLOCK_UNSET < day <= workspace.today:
                return exact_day(day), source
    return exact_day(workspace.today), "today"


def _file_name(typed: str) -> str:
    return one_line(typed.replace("\\", "/").rsplit("/", 1)[-1])


def photo_entry(workspace: Workspace, tree: Tree, upload: Path, given: PhotoGiven) -> Entry:
    """Keep a photo with its small pictures, and give the entry that is still to be stored.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : Tree
        Of which tree.
    upload : Path
        The file; it is only read.
    given : PhotoGiven
        What is said of it.

    Returns
    -------
    Entry
        With the day of the camera, of the file, or as typed.

    Raises
    ------
    InputError
        If a word does not read or the file is no photo; nothing is kept then.
    """
    _checked_view(given.view)
    checked_note(given.note, _("note"))
    if given.date.strip():  # before the file is looked at
        _typed_day(workspace, given.date)
    if given.mirrored and given.view != "underside":
        raise InputError(_("only a photo of the underside is shown mirrored; leave it out."))
    shown = None if given.called is None else Path(_file_name(given.called) or "?")

    def accept(found: PhotoFacts) -> None:
        on, _source = _found_day(workspace, given, found)
        if not workspace.store.names_photo(found.sha256):  # else it may be one that is sent again
            refuse_on_retired(workspace, tree, "photo", on)

    photo = keep_photo(upload, workspace.folder, shown=shown, accept=accept)
    on, source = _found_day(workspace, given, photo)
    data: Data = photo.entry_data(given.view) | {"date_from": source}
    name = _file_name(given.original_name)
    if name:
        data["original_name"] = name
    if given.mirrored:
        data["mirrored"] = True
    return Entry(
        id=given.id or "",
        tree=tree.id,
        kind="photo",
        on=on,
        data=data,
        note=given.note,
        by=given.by or workspace.settings.owner,
    )


def add_photo(workspace: Workspace, tree: str, upload: Path, given: PhotoGiven) -> Shape:
    """Take a photo in; returning means that file, small pictures and entry are safe.

    The same photo of the same side, sent again, is answered with the entry that is there.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name of the tree.
    upload : Path
        The file; it is only read.
    given : PhotoGiven
        What is said of it.

    Returns
    -------
    dict
        Keys entry, action (of the first time where its id was sent before, None where the same photo was
        there under another), id, date_from, ask_date and line.

    Raises
    ------
    InputError
        If a word does not read or the file is no photo; nothing is stored then.
    ConflictError
        If the id belongs to another entry, or the tree was retired by the day of the photo.
    """
    entry = photo_entry(workspace, workspace.tree(tree), upload, given)
    sent = _there_already(workspace, entry)
    if sent is not None:
        return sent
    refuse_on_retired(workspace, workspace.tree(entry.tree), entry.kind, entry.on)
    seen = [Seen("entry", entry.id)] if entry.id else []
    doing = action(workspace, entry.by, f"log {entry.tree} photo {entry.data['view']}")
    try:
        saved, ids = workspace.store.save_all(doing, [entry], seen=seen)
    except ConflictError:  # sent twice at once: the other one was first
        sent = _there_already(workspace, entry)
        if sent is None:
            raise
        return sent
    stored = workspace.store.entry(ids[0][1])
    line = _("{tree}, {day}: {words}").format(
        tree=_tree_shown(workspace, stored), day=date_shown(stored.on), words=entry_words(stored)
    )
    asked = {
        "file": _("the day is that of the file, please check it"),
        "today": _("the photo says no day, so it has today's; please check it"),
    }.get(str(stored.data["date_from"]))
    return _answer(stored, saved, f"{line}; {asked}" if asked else line)


def _there_already(workspace: Workspace, entry: Entry) -> Shape | None:
    """The answer for a photo that was sent before, under the same id or as the same side of the same tree."""
    line = _("{tree}: this photo is there already").format(tree=_tree_shown(workspace, entry))
    sent = _sent_before(workspace, entry) if entry.id else None
    if sent is not None:
        return _answer(*sent, line)
    for each in workspace.store.entries(tree=entry.tree, kind="photo"):
        if _is_same(each, entry):
            return _answer(each, None, line)
    return None


def _sent_before(workspace: Workspace, entry: Entry) -> tuple[Entry, int] | None:
    """What was first stored under the id of an entry, with its step; also where it was taken back since."""
    try:
        first = workspace.store.history("entry", entry.id)[0]
    except NotFoundError:
        return None
    if not _is_same(first.value, entry):
        raise ConflictError(
            _("the id {id} was used for another entry; send this one under a new id.").format(id=entry.id)
        )
    return first.value, first.action_id


def _is_same(one: Entry, other: Entry) -> bool:
    alike = all(one.data.get(key) == other.data[key] for key in ("sha256", "view"))
    return (one.tree, one.kind) == (other.tree, other.kind) and alike


def _tree_shown(workspace: Workspace, entry: Entry) -> str:
    """The tree of an entry by its id and its name, as other lines about entries have it."""
    return f"{entry.tree} {workspace.tree(entry.tree).name}"


def _answer(entry: Entry, saved: int | None, line: str) -> Shape:
    source = entry.data.get("date_from")
    return {
        "entry": entry_shape(entry),
        "action": saved,
        "id": entry.id,
        "date_from": source,
        "ask_date": source in ("file", "today"),
        "line": line,
    }


def edit_photo(workspace: Workspace, entry_id: str, change: PhotoChange) -> Shape:
    """Correct view, day or note of a photo, or mark places on it, as a new revision.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    entry_id : str
        The entry of the photo.
    change : PhotoChange
        What should read otherwise, and the revision that was seen.

    Returns
    -------
    dict
        Keys entry, action (None where nothing changed), id, date_from, ask_date and line.

    Raises
    ------
    NotFoundError
        If there is no such entry.
    ConflictError
        If it was changed meanwhile.
    InputError
        If a value does not read; nothing is stored then.
    """
    stored = workspace.store.entry(entry_id)
    if stored.kind != "photo":
        raise InputError(_("entry {id} is no photo.").format(id=entry_id))
    if change.revision is not None and change.revision != stored.revision:
        raise ConflictError(_("entry {id} was changed meanwhile; look at it again.").format(id=entry_id))
    data = dict(stored.data)
    on, note = stored.on, stored.note
    if change.view is not None:
        data["view"] = _checked_view(change.view)
    if change.date is not None:
        on, data["date_from"] = _typed_day(workspace, change.date), "typed"
        if on != stored.on:
            refuse_on_retired(workspace, workspace.tree(stored.tree), stored.kind, on)
    if change.note is not None:
        note = checked_note(change.note, _("note"))
    if change.mirrored is not None:
        data["mirrored"] = change.mirrored or None
    for key, points in (("align", change.align), ("rim", change.rim)):
        if points is not None:
            data[key] = [list(point) for point in points] or None
    set_rim_width(workspace, replace(stored, on=on), data, change.rim_width)
    kept = {key: value for key, value in data.items() if value is not None or key not in _MARKS}
    edited = replace(stored, on=on, note=note, data=kept)
    if edited == stored:
        line = _("{tree}: nothing to change").format(tree=_tree_shown(workspace, stored))
        return _answer(stored, None, line)
    saved = workspace.store.save(
        action(workspace, change.by, f"edit {stored.tree} photo"),
        [edited],
        seen=[Seen("entry", stored.id, stored)],
    )
    line = _("{tree}, {day}: {words} corrected").format(
        tree=_tree_shown(workspace, stored), day=date_shown(on), words=entry_words(edited)
    )
    return _answer(workspace.store.entry(stored.id), saved, line)


def thumb_file(workspace: Workspace, sha256: str, size_px: int) -> Path:
    """The small picture of a photo that an entry names or named, made again where it is missing.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    sha256 : str
        Hash of the photo, 64 hexadecimal digits.
    size_px : int
        256, 800 or 1600, its longer side at most.

    Returns
    -------
    Path
        A WebP file.

    Raises
    ------
    InputError
        If the hash or the size is none.
    NotFoundError
        If no entry ever named such a photo, or it is gone.
    """
    path = thumb_path(workspace.folder, sha256, size_px)
    if not workspace.store.names_photo(sha256):
        raise NotFoundError(_("no entry names a photo {sha}.").format(sha=sha256[:8]))
    if path.is_file() and path.stat().st_size:
        return path
    ensure_thumbs(workspace.folder, sha256)
    return path
