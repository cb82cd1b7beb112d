"""What was put into a tree so far: shown beside a turning, counted in none of its courses."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry


def sunk_hours(entries: Sequence[Entry]) -> float:
    """Hours of noted work on a tree so far.

    Parameters
    ----------
    entries : sequence of Entry
        Of the tree.

    Returns
    -------
    float
        In hours; work without noted minutes is not in it.
    """
    minutes = [entry.data.get("minutes_min") for entry in entries if entry.kind == "work"]
    return sum(float(str(each)) for each in minutes if each is not None) / 60.0


def sunk_words(facts: TreeFacts) -> str:
    """What was put into a tree so far, in words: shown beside a turning, never counted in it.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    str
        Words.
    """
    from ringwise.kit import show

    hours = sunk_hours(facts.entries)
    if hours <= 0:
        return _("Hours put in so far are not noted; they would count in no course.")
    return _("Put in so far: {hours} h of noted work, spent under every course and counted in none.").format(
        hours=show.number(hours)
    )
