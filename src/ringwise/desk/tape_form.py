"""Wishes of the tape's form: the last tape to begin from, a drawing of what is typed, and storing it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from ringwise.desk.deeds import action
from ringwise.desk.entries import keep_once
from ringwise.desk.entry_reading import read_day
from ringwise.desk.measuring import structure_shape, tree_of_tape
from ringwise.desk.shapes import Shape
from ringwise.desk.tape_typed import TapeGiven, tape_given
from ringwise.desk.texts import checked_note
from ringwise.records.date_shown import date_shown
from ringwise.records.model import Entry

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.structure.tape import Tape


def tape_page(workspace: Workspace, name: str) -> Shape:
    """The last tape of a tree, so that the next need not begin from nothing.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.

    Returns
    -------
    dict
        Keys tree, name and last (null where none was taken).
    """
    from ringwise.structure.tape import tape_from_json

    facts = workspace.facts_of(name)
    tapes = [each for each in facts.entries if each.kind == "tape"]
    last = None
    if tapes:
        last = _form(tape_from_json(tapes[-1].data)) | {"day_shown": date_shown(tapes[-1].on)}
    return {"tree": facts.tree.id, "name": facts.tree.name, "last": last}


def _form(tape: Tape) -> Shape:
    """A tape as the form fills itself: lengths in mm, null where unknown."""
    return {
        "height_mm": tape.height_mm,
        "girths": [{"at_mm": each.at_mm, "girth_mm": each.girth_mm} for each in tape.girths],
        "branches": [
            {
                "height_mm": each.height_mm,
                "clock": each.clock,
                "diameter_mm": each.diameter_mm,
                "length_mm": each.length_mm,
                "tips": each.tips,
                "angle_deg": each.angle_deg,
            }
            for each in tape.branches
        ],
        "apex_tips": tape.apex_tips,
        "lean_mm": tape.lean_mm,
        "lean_clock": tape.lean_clock,
        "roots": [hour + 1 for hour, seen in enumerate(tape.root_sectors or ()) if seen],
    }


def tape_tried(workspace: Workspace, name: str, given: TapeGiven, clock: float, which: int) -> Shape:
    """What is typed so far as a drawing; stores nothing.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.
    given : TapeGiven
        The form.
    clock : float
        From where it is seen.
    which : int
        Which of the equally likely trees.

    Returns
    -------
    dict
        Keys svg, sentence, segments and tips.

    Raises
    ------
    InputError
        Names the field of the form.
    """
    from ringwise.structure.line_drawing import line_drawing
    from ringwise.structure.line_svg import svg

    facts = workspace.facts_of(name)
    tape = tape_given(given)
    table = tree_of_tape(workspace, facts, tape, which)
    told = structure_shape(facts, table)
    sentence = str(told["lines"][0])
    drawn = line_drawing(table, view_clock=clock, dimensions=True, root_sectors=tape.root_sectors)
    return {
        "svg": svg(drawn, title=sentence),
        "sentence": sentence,
        "segments": table.n,
        "tips": told["tips"],
    }


def store_tape(
    workspace: Workspace,
    name: str,
    given: TapeGiven,
    *,
    key: str | None = None,
    date: str = "",
    note: str = "",
    by: str | None = None,
) -> Shape:
    """Store the form as one entry; the same sent again under its key is stored once.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.
    given : TapeGiven
        The form.
    key : str, optional
        Made by the sender.
    date, note, by : str, optional
        When, words to go with it, who measured.

    Returns
    -------
    dict
        Keys entry, action, id and line.

    Raises
    ------
    InputError, ConflictError
        Nothing is stored then.
    """
    tree = workspace.tree(name)
    tape = tape_given(given)
    tree_of_tape(workspace, workspace.facts_of(tree.id), tape, 0)  # what makes no tree is not stored
    entry = Entry(
        id="",
        tree=tree.id,
        kind="tape",
        on=read_day(workspace, "tape", date),
        data=json.loads(json.dumps(tape.to_json())),  # as it comes back: what is sent again is compared
        note=checked_note(note.strip(), "note"),
        by=by or workspace.settings.owner,
    )
    doing = action(workspace, by, f"measure tape {tree.id}")
    return keep_once(workspace, entry, doing, key=key, dated=bool(date))
