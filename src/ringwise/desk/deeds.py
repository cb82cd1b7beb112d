"""Who does what, and when: what every change that is stored carries."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk import clock
from ringwise.desk.texts import one_line
from ringwise.kit import show
from ringwise.kit.errors import out_of_range
from ringwise.kit.words import _
from ringwise.records.dates import FuzzyDate, parse_fuzzy_date
from ringwise.records.model import Action, Tree

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace

DEMO_COMMAND = "demo"  # the step that builds the demo yard


def exact_day(workspace: Workspace) -> FuzzyDate:
    """Today as a date of the record."""
    return parse_fuzzy_date(workspace.today.isoformat(), field="date", south=workspace.settings.south)


def not_ahead(workspace: Workspace, on: FuzzyDate, field: str, way_out: str = "") -> FuzzyDate:
    """A date on which something was seen or done, which cannot lie after today.

    Parameters
    ----------
    workspace : Workspace
        For today.
    on : FuzzyDate
        As typed or found; an interval may reach beyond today, if it begins before.
    field : str
        What it is the day of, for the error line.
    way_out : str
        What to do instead, for the error line.

    Returns
    -------
    FuzzyDate
        The same.

    Raises
    ------
    RangeError
        If it lies ahead as a whole.
    """
    if on.earliest is not None and on.earliest > workspace.today:
        up_to = _("up to today, {day}").format(day=show.day(workspace.today, year=True))
        raise out_of_range(field, one_line(on.typed), up_to, way_out=way_out)
    return on


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
