"""Wishes about entries: write down what was seen, done or planned, and take it back."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from ringwise.desk import clock
from ringwise.desk.deeds import action, trees_by_id, undo_step
from ringwise.desk.entry_reading import Given, check_names, read_entry, refuse_idle_options
from ringwise.desk.entry_words import command_words, entry_words, group_of
from ringwise.desk.retired import refuse_on_retired
from ringwise.desk.shapes import Shape, entry_shape
from ringwise.desk.texts import one_line
from ringwise.desk.weight_checks import refuse_weights
from ringwise.desk.workspace import Workspace
from ringwise.kit.errors import ConflictError, InputError, MissingFieldError, NotFoundError
from ringwise.kit.words import _
from ringwise.records.date_shown import date_shown
from ringwise.records.model import Action, Entry, Tree

__all__ = ["Given", "log_entry", "undo_last"]

_KEY = re.compile(r"[a-z0-9-]{8,64}")  # of an entry that an app sends, so that it is stored once
_COMMAND_LENGTH = 60  # of what was typed, as kept with the step


def log_entry(workspace: Workspace, name: str, given: Given) -> Shape:
    """Write down an observation, a work done, a plan or a photo; returning means stored.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.
    given : Given
        What was typed. Its key, where there is one, becomes the entry's id; the same sent again is not
        stored again.

    Returns
    -------
    dict
        Keys entry, action, id and line.

    Raises
    ------
    InputError
        If a word or value does not read; nothing is stored then.
    ConflictError
        If the key was used for something else, or the tree was retired by then.
    """
    tree = workspace.tree(name)
    if given.word == "photo":
        entry = _photo_entry(workspace, tree, given)
    else:
        entry = of_pot(workspace, read_entry(workspace, tree, given))
    check_names(workspace, entry)
    doing = action(workspace, given.by, f"log {tree.id} {_command_words(given, entry)}")
    return keep_once(workspace, entry, doing, key=given.key, dated=bool(given.date))


def keep_once(workspace: Workspace, entry: Entry, doing: Action, *, key: str | None, dated: bool) -> Shape:
    """Store an entry under the key that its sender made; the same sent again is not stored again.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    entry : Entry
        Read and checked; its id is blank.
    doing : Action
        Who does what.
    key : str or None
        Becomes the entry's id.
    dated : bool
        Whether the sender gave its day; else it is of the day on which it was sent first.

    Returns
    -------
    dict
        Keys entry, action, id and line.

    Raises
    ------
    InputError
        If the key does not read.
    ConflictError
        If the key was used for something else, or the tree was retired by then.
    """
    tree = workspace.tree(entry.tree)
    if key and not _KEY.fullmatch(key):
        raise InputError(
            _('key is "{key}"; use 8 to 64 small letters, digits and "-"').format(key=one_line(key))
        )
    entry = replace(entry, id=key or "")
    sent = _sent_before(workspace, entry, dated=dated) if key else None
    if sent is not None:
        return _logged(tree, *sent)
    refuse_on_retired(workspace, tree, entry.kind, entry.on)
    refuse_weights(workspace, tree, [entry])
    try:
        saved, ids = workspace.store.save_all(doing, [entry])
    except ConflictError:  # the same key, sent twice at once
        sent = _sent_before(workspace, entry, dated=dated) if key else None
        if sent is None:
            raise
        return _logged(tree, *sent)
    return _logged(tree, workspace.store.entry(ids[0][1]), saved)


def of_pot(workspace: Workspace, entry: Entry) -> Entry:
    """An entry that weighs a pot, with the pot that the tree stands in now; any other as it is."""
    if entry.kind != "weight":
        return entry
    pot = next((each.id for each in workspace.pots if each.tree == entry.tree), None)
    return entry if pot is None else replace(entry, data={**entry.data, "pot": pot})


def _command_words(given: Given, entry: Entry) -> str:
    word = given.word
    value = str(entry.data["view"]) if word == "photo" else given.text
    return f"{word} {one_line(value)[:_COMMAND_LENGTH]}".strip()


def _sent_before(workspace: Workspace, entry: Entry, *, dated: bool) -> tuple[Entry, int] | None:
    """What was stored under the key of an entry, with its step; None where the key is new.

    An entry without a date of its own is of the day on which it was sent first.
    """
    try:
        first = workspace.store.history("entry", entry.id)[0]
    except NotFoundError:
        return None
    stored: Entry = first.value
    same = replace(
        entry, revision=stored.revision, recorded_at=stored.recorded_at, on=entry.on if dated else stored.on
    )
    if same != stored:
        raise ConflictError(
            _("the key {key} was used for another entry ({words}); send this one under a new key").format(
                key=entry.id, words=entry_words(stored)
            )
        )
    return stored, first.action_id


def _logged(tree: Tree, entry: Entry, saved: int) -> Shape:
    line = _("{id} {name}, {day}: {words}").format(
        id=tree.id, name=tree.name, day=date_shown(entry.on), words=entry_words(entry, group_of(tree))
    )
    return {"entry": entry_shape(entry), "action": saved, "id": entry.id, "line": line}


def _photo_entry(workspace: Workspace, tree: Tree, given: Given) -> Entry:
    from ringwise.desk.photos import PhotoGiven, photo_entry

    if isinstance(given.what, str):  # a form cannot name files of this machine
        raise InputError(_("a photo comes in as a file; send the file itself"))
    refuse_idle_options(given)
    if not given.text:
        raise MissingFieldError(_("a photo needs its file: ringwise log T03 photo FILE"))
    file = Path(given.text).expanduser()
    if not file.is_file():
        raise NotFoundError(_("there is no file {file}").format(file=file))
    said = PhotoGiven(given.view or "front", given.date, given.note, original_name=file.name, by=given.by)
    return replace(photo_entry(workspace, tree, file, said), confirmed_by=given.confirmed_by or "")


def undo_last(workspace: Workspace, *, by: str | None = None, expected: int | None = None) -> Shape:
    """Take back the latest action that was not yet taken back.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    by : str or None
        Who takes it back.
    expected : int or None
        The number of the action that is meant; another one is then not taken back in its stead.

    Returns
    -------
    dict
        Keys action, undone, command, by, touched and line.
    """
    who = by or workspace.settings.owner
    if undo_step(workspace) is None:
        raise NotFoundError(_("there is nothing to undo."))
    undone = workspace.store.undo(who, clock.moment(workspace.today), expected=expected)
    line = _("taken back: {what} by {by}; it stays in the history").format(
        what=command_words(undone.command, trees_by_id(workspace)), by=undone.by
    )
    return {
        "action": undone.action_id,
        "undone": undone.undone,
        "command": undone.command,
        "by": who,
        "touched": [{"kind": kind, "id": each} for kind, each in undone.touched],
        "line": line,
    }
