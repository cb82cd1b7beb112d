"""What stands in the way of a work on one tree, in words: weakness, quarantine, ground or pot."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from ringwise.kit import show
from ringwise.kit.ranged import DateBand
from ringwise.kit.words import _, from_data
from ringwise.season.feeding import FEED, feed_holds

if TYPE_CHECKING:
    from ringwise.operations.base import Operation
    from ringwise.records.facts import TreeFacts

IN_GROUND = "F"
LIFTS = frozenset({"lift", "root_prune_in_ground"})  # root work that only a tree in the ground gets


def too_weak(operation: Operation, vigour: int | None) -> str:
    """Why a tree's vigour stands in the way of a work.

    Parameters
    ----------
    operation : Operation
        From the registry.
    vigour : int or None
        0 to 5; an unknown vigour blocks nothing.

    Returns
    -------
    str
        Empty where nothing stands in the way; work that is not elective is never blocked by weakness.

    Source
    ------
    practice: elective work waits at vigour 2 and below and below the work's own least vigour.

    Examples
    --------
    >>> from ringwise.operations.registry import OPERATIONS
    >>> too_weak(OPERATIONS["repot"], 2), too_weak(OPERATIONS["root_rescue"], 1)
    ('weak: vigour 2, needs 3', '')
    """
    if not operation.elective or vigour is None or vigour >= operation.vigour_min:
        return ""
    return _("weak: vigour {vigour}, needs {least}").format(vigour=vigour, least=operation.vigour_min)


def in_quarantine(operation: Operation, until: date | None, by: date) -> str:
    """Why quarantine stands in the way of a work.

    Parameters
    ----------
    operation : Operation
        From the registry.
    until : date or None
        Last day of the quarantine.
    by : date
        The day on which the work would be done.

    Returns
    -------
    str
        Empty where the work touches no roots or the quarantine is over by then.

    Source
    ------
    practice: no root work before the quarantine ends.

    Examples
    --------
    >>> from ringwise.operations.registry import OPERATIONS
    >>> in_quarantine(OPERATIONS["repot"], date(2027, 9, 1), date(2027, 4, 1))
    'in quarantine until 1 Sep 2027'
    """
    if not operation.root_work or until is None or by > until:
        return ""
    return _("in quarantine until {day}").format(day=show.day(until, year=True))


def not_done(name: str, note: str) -> str:
    """The words for a work that is not done on a kind of tree.

    Parameters
    ----------
    name : str
        The operation's name.
    note : str
        Why.

    Returns
    -------
    str
        One line.

    Source
    ------
    practice: timing table.

    Examples
    --------
    >>> not_done("Pinch", "cut back a hardened flush instead")
    'pinch is not done on this kind of tree: cut back a hardened flush instead'
    """
    return _("{name} is not done on this kind of tree: {note}").format(
        name=from_data(name[:1].lower() + name[1:]), note=from_data(note)
    )


def _standing(operation: Operation, facts: TreeFacts) -> str:
    in_ground = facts.tree.size_class == IN_GROUND
    if in_ground and IN_GROUND not in operation.minutes:
        return _("stands in the ground: lift it first")
    if operation.key in LIFTS and facts.pot is not None and facts.pot.shape != "ground" and not in_ground:
        return _("stands in a pot")
    return ""


def blockers(
    operation: Operation, facts: TreeFacts, *, today: date, opens: DateBand | None
) -> tuple[str, ...]:
    """All that stands in the way of a work on one tree, apart from conflicts with other work.

    Parameters
    ----------
    operation : Operation
        From the registry.
    facts : TreeFacts
        What is known of the tree.
    today : date
        The day of asking.
    opens : DateBand or None
        When the work would be done; None counts as today.

    Returns
    -------
    tuple of str
        In words; empty where nothing does.

    Source
    ------
    practice: elective work waits on weak trees, root work waits for the end of quarantine.

    Examples
    --------
    >>> from types import SimpleNamespace as Some
    >>> from ringwise.operations.registry import OPERATIONS
    >>> tree = Some(size_class="M", quarantine_until=None)
    >>> blockers(OPERATIONS["chop"], Some(tree=tree, vigour=3, pot=None), today=date(2027, 3, 7), opens=None)
    ('weak: vigour 3, needs 4',)
    """
    by = max(opens.median, today) if opens is not None else today
    found = (
        too_weak(operation, facts.vigour),
        in_quarantine(operation, facts.tree.quarantine_until, by),
        _standing(operation, facts),
    )
    return tuple(each for each in (*found, *_unfed(operation, facts, today)) if each)


def _unfed(operation: Operation, facts: TreeFacts, today: date) -> tuple[str, ...]:
    """What keeps feed from a tree after other work; its weakness is told already."""
    if operation.key != FEED:
        return ()
    return tuple(hold.words for hold in feed_holds(facts, today=today) if not hold.is_weakness)
