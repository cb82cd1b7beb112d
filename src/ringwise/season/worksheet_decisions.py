"""Which open decisions on a tree a work closes, and for how long."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ringwise.kit.words import _, from_data
from ringwise.operations.base import Operation
from ringwise.operations.conflicts import classes_of, rule
from ringwise.operations.registry import OPERATIONS
from ringwise.season.worksheet_content import Closed

if TYPE_CHECKING:
    from ringwise.records.facts import TreeFacts


def decisions(facts: TreeFacts, operation: Operation, root_removed_frac: float | None) -> tuple[Closed, ...]:
    """The open decisions on the tree and what this work closes.

    Parameters
    ----------
    facts : TreeFacts
        The tree with its questions; those that were decided are open no more.
    operation : Operation
        The work.
    root_removed_frac : float or None
        Share of roots to be removed; None counts as heavy.

    Returns
    -------
    tuple of Closed
        One for each open question; the waits come from the conflict table.

    Source
    ------
    practice: over about 30 percent of roots removed, no layer before next year; light work leaves it possible
    on strong trees of groups G1 and G2.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.records.facts import tree_facts
    >>> from ringwise.records.model import Tree
    >>> elm = Tree("T1", "Wren", "Ulmus procera")
    >>> facts = tree_facts(elm, entries=[], pots=[], places=[], on=date(2027, 3, 7))
    >>> decisions(facts, OPERATIONS["repot"], 0.4)
    ()
    """
    group = facts.taxon.group if facts.taxon else ""
    earlier = classes_of(operation, root_removed_frac=root_removed_frac)[0]
    closed = []
    for question in facts.open_questions:
        courses = question.data.get("courses")
        names = [str(course) for course in courses] if isinstance(courses, list | tuple) else []
        title = str(question.data.get("title", "")) or question.note or _("open question")
        closed.append(Closed(title, tuple(_effects(names, earlier, group, facts.vigour))))
    return tuple(closed)


def _effects(courses: Sequence[str], earlier: str, group: str, vigour: int | None) -> list[str]:
    lines = []
    for course in courses:
        later = _operation_in(course)
        if later is None:
            lines.append(_("{course}: not judged here, see its steps").format(course=_spoken(course)))
            continue
        later_class = classes_of(later)[1]
        wait = rule(earlier, later_class, group=group, vigour=vigour) if earlier and later_class else None
        if wait is None or wait.gap.free or not wait.gap.meaningful:
            lines.append(_("{course}: stays open").format(course=_spoken(course)))
        else:
            lines.append(_("{course}: {wait} after this").format(course=_spoken(course), wait=wait.text))
    return lines


def _operation_in(course: str) -> Operation | None:
    """The operation that a course is named after, by the longest key that its name holds."""
    named = [key for key in OPERATIONS if key in course]
    return OPERATIONS[max(named, key=len)] if named else None


def _spoken(key: str) -> str:
    return from_data(key.replace("_", " ").capitalize())
