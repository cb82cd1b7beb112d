"""Who does what, and when: what every change that is stored carries."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk import clock
from ringwise.records.dates import FuzzyDate, parse_fuzzy_date
from ringwise.records.model import Action, Tree

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace


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
