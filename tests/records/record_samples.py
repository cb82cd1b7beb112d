"""Small values shared by the tests of the records."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from ringwise.records.model import Action, Tree

NOON = datetime(2027, 3, 7, 12, tzinfo=UTC)
ENGINES = ("auto", "standard")


def action(command: str = "log", *, days: int = 0, by: str = "Ida") -> Action:
    """An action so many days after the first."""
    return Action(by, command, NOON + timedelta(days=days))


def tree(number: int, name: str = "Hollow Lane") -> Tree:
    """A tree with a short id."""
    return Tree(f"T{number:02}", name, "Morus alba")
