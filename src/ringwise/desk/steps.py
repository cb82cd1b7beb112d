"""The wish for the latest steps of the record, in words, and what undo would take back next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.deeds import trees_by_id, undo_step
from ringwise.desk.entry_history import moment_shown
from ringwise.desk.entry_words import command_words
from ringwise.desk.shapes import Shape

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace


def steps(workspace: Workspace, *, limit: int = 50) -> Shape:
    """The latest steps, newest first; one that was taken back is marked.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    limit : int
        How many at most.

    Returns
    -------
    dict
        Key steps: action, by, words, at, at_shown, undone and undoes.
    """
    latest = workspace.store.actions(latest=limit)
    undone = {undoes for _number, _action, undoes in latest if undoes is not None}
    trees = trees_by_id(workspace)
    words = {number: command_words(action.command, trees) for number, action, _undoes in latest}
    rows = [
        {
            "action": number,
            "by": action.by,
            "words": words[number] if undoes is None else _taken_back(words, number, undoes),
            "at": action.at.isoformat(),
            "at_shown": moment_shown(action.at),
            "undone": number in undone,
            "undoes": undoes,
        }
        for number, action, undoes in latest
    ]
    return {"steps": rows[::-1]}


def _taken_back(words: dict[int, str], number: int, undoes: int) -> str:
    return f"{words[number]}: {words[undoes]}" if undoes in words else words[number]


def next_undo(workspace: Workspace) -> str | None:
    """What undo would take back next.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    str or None
        In words; None where nothing is left.
    """
    found = undo_step(workspace)
    return None if found is None else command_words(found[1].command, trees_by_id(workspace))
