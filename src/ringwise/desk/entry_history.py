"""Wishes that show an entry as it reads now, and every state in which an entry or a sheet was stored."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from ringwise.desk.entry_given import given_of
from ringwise.desk.entry_words import command_words, entry_title, group_of
from ringwise.desk.shapes import Shape, entry_shape
from ringwise.desk.told import day_shape
from ringwise.kit import show
from ringwise.kit.errors import NotFoundError
from ringwise.kit.words import _
from ringwise.records.date_shown import date_shown
from ringwise.records.dates import FuzzyDate
from ringwise.records.taxa import all_taxa

if TYPE_CHECKING:
    from datetime import datetime

    from ringwise.desk.workspace import Workspace
    from ringwise.records.model import Entry, Tree
    from ringwise.records.store import Revision


def _photo(entry: Entry) -> Shape | None:
    if entry.kind != "photo":
        return None
    data = entry.data
    return {
        "sha256": data["sha256"],
        "view": data["view"],
        "width_px": data["width_px"],
        "height_px": data["height_px"],
        "date_from": str(data.get("date_from") or "typed"),
        "mirrored": data.get("mirrored") is True,
    }


def entry_told(entry: Entry, group: str | None = None) -> Shape:
    """An entry as a room shows it.

    Parameters
    ----------
    entry : Entry
        As stored.
    group : str, optional
        Of its tree, for the words of a stage.

    Returns
    -------
    dict
        With its words, its photo and what a form offers for correction.

    Examples
    --------
    >>> from ringwise.records.dates import UNKNOWN
    >>> from ringwise.records.model import Entry
    >>> entry_told(Entry("E1", "T01", "vigour", UNKNOWN, {"score": 3}))["words"]
    'vigour 3'
    """
    return {
        "id": entry.id,
        "tree": entry.tree,
        "kind": entry.kind,
        "on": day_shape(entry.on),
        "words": entry_title(entry, group),
        "note": entry.note,
        "by": entry.by,
        "confirmed_by": entry.confirmed_by,
        "recorded_at": None if entry.recorded_at is None else entry.recorded_at.isoformat(),
        "revision": entry.revision,
        "photo": _photo(entry),
        "data": dict(entry.data),
        "given": given_of(entry),
    }


def entry(workspace: Workspace, entry_id: str) -> Shape:
    """One entry as it reads now.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    entry_id : str
        Of the entry.

    Returns
    -------
    dict
        As `entry_told`.

    Raises
    ------
    NotFoundError
        If there is none, or it was withdrawn.
    """
    found = workspace.store.entry(entry_id)
    return entry_told(found, group_of(workspace.tree(found.tree)))


def moment_shown(when: datetime) -> str:
    """A moment for people, in its own local time.

    Parameters
    ----------
    when : datetime
        With its offset.

    Returns
    -------
    str
        Day, year and time to the minute.

    Examples
    --------
    >>> from datetime import UTC, datetime
    >>> moment_shown(datetime(2027, 3, 7, 12, 5, tzinfo=UTC))
    '7 Mar 2027, 12:05'
    """
    return f"{show.day(when.date(), year=True)}, {when:%H:%M}"


def _revision(stored: Revision, words: str, on: FuzzyDate | None) -> Shape:
    return {
        "revision": stored.revision,
        "recorded_at": stored.recorded_at.isoformat(),
        "recorded_shown": moment_shown(stored.recorded_at),
        "by": stored.by,
        "command": command_words(stored.command),
        "words": words,
        "note": stored.value.note,
        "on": None if on is None else day_shape(on),
        "withdrawn": stored.withdrawn,
    }


def _lines(revisions: Sequence[Shape]) -> list[str]:
    lines = []
    for row in revisions:
        state = " " + _("(withdrawn)") if row["withdrawn"] else ""
        on = f"{row['on']['shown']}, " if row["on"] else ""
        note = f": {row['note']}" if row["note"] else ""
        lines.append(
            f"r{row['revision']}  {row['recorded_shown']}  {row['by']}  {on}{row['words']}{note}{state}"
        )
    return lines


def entry_history(workspace: Workspace, entry_id: str) -> Shape:
    """Every stored state of an entry, newest first; also of one that was withdrawn.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    entry_id : str
        Of the entry.

    Returns
    -------
    dict
        Keys kind, id, tree and revisions.

    Raises
    ------
    NotFoundError
        If nothing was ever stored under this id.
    """
    stored = workspace.store.history("entry", entry_id)[::-1]
    group = group_of(workspace.tree(stored[0].value.tree))
    return {
        "kind": "entry",
        "id": entry_id,
        "tree": stored[0].value.tree,
        "revisions": [_revision(each, entry_title(each.value, group), each.value.on) for each in stored],
    }


def show_entry(workspace: Workspace, entry_id: str) -> Shape:
    """One entry with its history, for the command line.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    entry_id : str
        Of the entry.

    Returns
    -------
    dict
        Keys entry (null where it was withdrawn), revisions and lines.

    Raises
    ------
    NotFoundError
        If nothing was ever stored under this id.
    """
    past = entry_history(workspace, entry_id)
    try:
        now = entry_shape(workspace.store.entry(entry_id))
    except NotFoundError:
        now = None
    head = f"{past['tree']} {entry_id}" + ("" if now else " " + _("(withdrawn)"))
    return {"entry": now, "revisions": past["revisions"], "lines": [head, *_lines(past["revisions"])]}


_SHEET = (
    "name",
    "species",
    "origin",
    "started",
    "stage",
    "parent",
    "front_mark",
    "goal",
    "size_class",
    "quarantine_until",
    "retired",
    "note",
)


def _field_words() -> dict[str, str]:
    return {
        "name": _("name"),
        "species": _("species"),
        "origin": _("origin"),
        "started": _("began"),
        "stage": _("stage of training"),
        "parent": _("parent"),
        "front_mark": _("front mark"),
        "goal": _("goal"),
        "size_class": _("size class"),
        "quarantine_until": _("quarantine until"),
        "retired": _("retired"),
        "note": _("note"),
    }


def _field_shown(name: str, value: Any) -> str:
    if value is None or value == "":
        return _("blank")
    if isinstance(value, FuzzyDate):
        return date_shown(value)
    if name == "species":
        known = all_taxa().get(value)
        return value if known is None else known.botanical_name
    if name == "quarantine_until":
        return show.day(value, year=True)
    return str(value)


def _sheet_words(now: Tree, before: Tree | None) -> str:
    """What a state of a sheet says: the whole at first, then what was changed."""
    if before is None:
        species = _field_shown("species", now.species)
        return _("sheet of {name}, {species}").format(name=now.name, species=species)
    words = _field_words()
    changes = [
        _("{field}: {new} (was {old})").format(
            field=words[name],
            new=_field_shown(name, getattr(now, name)),
            old=_field_shown(name, getattr(before, name)),
        )
        for name in _SHEET
        if getattr(now, name) != getattr(before, name)
    ]
    return "; ".join(changes) or _("as before")


def sheet_history(workspace: Workspace, name: str) -> Shape:
    """Every stored state of a tree's sheet, newest first, each told by what it changed.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.

    Returns
    -------
    dict
        Keys kind, id, tree and revisions.
    """
    tree = workspace.tree(name)
    stored = workspace.store.history("tree", tree.id)
    before: list[Tree | None] = [None, *(each.value for each in stored[:-1])]
    rows = [
        _revision(each, _sheet_words(each.value, earlier), None)
        for each, earlier in zip(stored, before, strict=True)
    ]
    return {"kind": "tree", "id": tree.id, "tree": tree.id, "revisions": rows[::-1]}
