"""Who does what, and when: what every change that is stored carries."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk import clock
from ringwise.records.dates import FuzzyDate, parse_fuzzy_date
from ringwise.records.model import Action, Tree

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace

DEMO_COMMAND = "demo"  # the step that builds the demo yard


def exact_day(workspace: Workspace) -> FuzzyDate:
    """Today as a date of the record."""
    return parse_fuzzy_date(workspace.today.isoformat(), field="date", south=workspace.settings.south)


def trees_by_id(workspace: Workspace) -> dict[str, Tree]:
    """All trees by id, also those that are retired; an open yard has read them already."""
    everyone = getattr(workspace, "every_tree", None)
    return {tree.id: tree for tree in (workspace.store.trees() if everyone is None else everyone)}


def action(workspace: Workspace, by: str | None, words: str) -> Action:
    """Who does what, now."""
    return Action(by or workspace.settings.owner, words, clock.moment(workspace.today))


def undo_step(workspace: Workspace) -> tuple[int, Action] | None:
    """The step that undo would take back next.

    The building of the demo yard is none: taken back, it would leave an empty yard behind a single tap.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    (int, Action) or None
        Its number and what it was; None where nothing is left.
    """
    found = workspace.store.next_undo()
    return None if found is None or found[1].command == DEMO_COMMAND else found
