"""Write down that a whole place was watered: an entry for each tree that stands there, in one step."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.deeds import action
from ringwise.desk.entry_reading import Given, read_entry
from ringwise.desk.entry_words import entry_words
from ringwise.desk.retired import refuse_on_retired
from ringwise.desk.shapes import Shape, entry_shape
from ringwise.kit.words import _, counted
from ringwise.records.date_shown import date_shown

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts

WATERED = "watered"


def trees_standing(workspace: Workspace, place: str) -> tuple[TreeFacts, ...]:
    """The trees that stand at a place today, whatever the case of its name.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    place : str
        Its name.

    Returns
    -------
    tuple of TreeFacts
        By id; none where there is no such place, or nothing stands there.
    """
    wanted = place.strip().casefold()
    return tuple(
        facts
        for facts in workspace.facts.values()
        if facts.place is not None and facts.place.place.casefold() == wanted
    )


def means_place(workspace: Workspace, name: str, given: Given) -> bool:
    """Whether a watering is meant for a whole place: no tree has that id or name, and trees stand there.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        As typed where a tree is expected.
    given : Given
        What was typed.

    Returns
    -------
    bool
        False for every other kind of entry.
    """
    wanted = name.casefold()
    named = any(wanted in (tree.id.casefold(), tree.name.casefold()) for tree in workspace.every_tree)
    return given.word == WATERED and not named and bool(trees_standing(workspace, name))


def log_place(workspace: Workspace, place: str, given: Given) -> Shape:
    """Write down a watering of every tree that stands at a place; returning means all are stored.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    place : str
        Its name.
    given : Given
        What was typed; a volume counts for each pot.

    Returns
    -------
    dict
        Keys place, entries, action and line. One undo takes all of them back.

    Raises
    ------
    InputError
        If a word or value does not read; nothing is stored then.
    """
    standing = trees_standing(workspace, place)
    entries = [read_entry(workspace, facts.tree, given) for facts in standing]
    for facts, entry in zip(standing, entries, strict=True):
        refuse_on_retired(workspace, facts.tree, entry.kind, entry.on)
    name = next(facts.place.place for facts in standing if facts.place is not None)
    saved, ids = workspace.store.save_all(action(workspace, given.by, f"watered {name}"), entries)
    stored = [workspace.store.entry(each) for _kind, each in ids]
    line = _("{place}, {day}: {words}, {trees}").format(
        place=name,
        day=date_shown(stored[0].on),
        words=entry_words(stored[0]),
        trees=counted("{n} tree", "{n} trees", len(stored)),
    )
    return {"place": name, "entries": [entry_shape(each) for each in stored], "action": saved, "line": line}
