"""Wishes that correct an entry or take it out of view; the old wording stays in its history."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any

from ringwise.desk.deeds import action
from ringwise.desk.entry_given import FORM_KEYS, form_word, given_of
from ringwise.desk.entry_reading import Given, check_names, read_day, read_entry, refuse_idle_options
from ringwise.desk.entry_words import entry_words, group_of
from ringwise.desk.retired import refuse_on_retired
from ringwise.desk.shapes import Shape, entry_shape
from ringwise.desk.texts import checked_note
from ringwise.desk.workspace import Workspace, find_tree
from ringwise.kit.errors import ConflictError, InputError, unknown_name
from ringwise.kit.words import _
from ringwise.records.date_shown import date_shown
from ringwise.records.model import PHOTO_VIEWS, Entry, Tree, Withdrawn
from ringwise.records.store import Seen

_AS_STORED = ("photo", "tape", "shape", "aim")  # kinds of which a form says no more than date, note and view


def _seen(workspace: Workspace, entry_id: str, revision: int) -> tuple[Entry, Tree]:
    entry = workspace.store.entry(entry_id)
    if entry.revision != revision:
        raise ConflictError(
            _("entry {id} was changed meanwhile (it is at revision {now}); look at it again.").format(
                id=entry.id, now=entry.revision
            )
        )
    return entry, find_tree(workspace.store.trees(), entry.tree)


def _reworded(
    workspace: Workspace, tree: Tree, entry: Entry, given: Given, shown: Mapping[str, Any]
) -> Entry:
    """The entry as the form has it now; what was not touched keeps its stored value to the last digit."""
    if entry.kind in _AS_STORED:
        refuse_idle_options(given)
        if given.text not in ("", str(shown["value"])):
            raise InputError(_("what was measured or taken cannot be typed anew; only date, note and view"))
        if given.view and given.view not in PHOTO_VIEWS:
            raise unknown_name("--view", given.view, PHOTO_VIEWS)
        data = dict(entry.data) | ({"view": given.view} if given.view else {})
        return replace(entry, data=data, note=checked_note(given.note, "--note"))
    fresh = read_entry(workspace, tree, replace(given, date=""))
    kept = {key: value for key, value in entry.data.items() if key not in FORM_KEYS[entry.kind]}
    data = kept | dict(fresh.data)
    if entry.kind == "question":
        data["courses"] = entry.data["courses"]
    if entry.kind == "planned" and given.reason == shown["reason"]:
        # a plain reason must not turn into one that overrides a stop just because a date was put right
        for key in ("reason", "override_reason"):
            data.pop(key, None)
            if entry.data.get(key) is not None:
                data[key] = entry.data[key]
    return replace(entry, data=data, note=fresh.note)


def change_entry(
    workspace: Workspace, entry_id: str, given: Given, *, revision: int, by: str | None = None
) -> Shape:
    """Correct an entry: a new revision under the same id.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    entry_id : str
        Of the entry.
    given : Given
        Everything as it should read now; a blank date keeps the old one.
    revision : int
        The revision that was seen.
    by : str or None
        Who corrects it; the owner where not given.

    Returns
    -------
    dict
        Keys entry, action, id and line.

    Raises
    ------
    ConflictError
        If the entry was changed since it was seen, or moves to a day on which the tree was retired.
    InputError
        If a value does not read, the kind differs or nothing changes; nothing is stored then.
    """
    entry, tree = _seen(workspace, entry_id, revision)
    if given.word != form_word(entry.kind):
        raise InputError(
            _('the entry is a {kind} and cannot become a "{word}"; withdraw it and log the other').format(
                kind=form_word(entry.kind), word=given.word
            )
        )
    shown = given_of(entry) or {}
    changed = _reworded(workspace, tree, entry, given, shown)
    typed = given.date.strip()
    if typed and typed != entry.on.typed:
        changed = replace(changed, on=read_day(workspace, entry.kind, typed))
        refuse_on_retired(workspace, tree, entry.kind, changed.on)
    changed = replace(
        changed,
        by=given.by or entry.by,
        confirmed_by=entry.confirmed_by if given.confirmed_by is None else given.confirmed_by,
    )
    if changed == entry:
        raise InputError(_("nothing changes: that is what is written already"))
    check_names(workspace, changed, entry)
    saved = workspace.store.save(
        action(workspace, by, f"entry edit {tree.id}"), [changed], seen=[Seen("entry", entry.id, entry)]
    )
    line = _("{id} {name}, {day}: corrected to {words}").format(
        id=tree.id, name=tree.name, day=date_shown(changed.on), words=entry_words(changed, group_of(tree))
    )
    stored = workspace.store.entry(entry.id)
    return {"entry": entry_shape(stored), "action": saved, "id": entry.id, "line": line}


def edit_entry(
    workspace: Workspace, entry_id: str, changes: Mapping[str, str | None], *, by: str | None = None
) -> Shape:
    """Correct some fields of an entry; what is not named stays.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    entry_id : str
        Of the entry.
    changes : mapping of str to str or None
        Fields of `Given`; None for what stays.
    by : str or None
        Who corrects it.

    Returns
    -------
    dict
        As `change_entry`.
    """
    entry = workspace.store.entry(entry_id)
    shown = given_of(entry) or {}
    new = {key: value for key, value in changes.items() if value is not None}
    if not new:
        raise InputError(_('nothing to change; name a field, such as --date "March 2021"'))
    known = {field.name for field in fields(Given)}
    given = Given(**{key: value for key, value in (shown | new).items() if key in known})
    return change_entry(workspace, entry_id, given, revision=entry.revision, by=by)


def withdraw_entry(workspace: Workspace, entry_id: str, *, revision: int, by: str | None = None) -> Shape:
    """Take an entry out of view; its history stays and undo brings it back.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    entry_id : str
        Of the entry.
    revision : int
        The revision that was seen.
    by : str or None
        Who does it; the owner where not given.

    Returns
    -------
    dict
        Keys entry (as it was), action, id and line.

    Raises
    ------
    ConflictError
        If the entry was changed since it was seen.
    """
    entry, tree = _seen(workspace, entry_id, revision)
    saved = workspace.store.save(
        action(workspace, by, f"entry withdraw {tree.id}"),
        [Withdrawn("entry", entry.id)],
        seen=[Seen("entry", entry.id, entry)],
    )
    line = _("{id} {name}, {day}: withdrawn, {words}; it stays in the history").format(
        id=tree.id, name=tree.name, day=date_shown(entry.on), words=entry_words(entry, group_of(tree))
    )
    return {"entry": entry_shape(entry), "action": saved, "id": entry.id, "line": line}
