"""What the last root work left behind: what was found, and the old ties to count out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.kit.show import number, wire_span
from ringwise.kit.words import _, counted, from_data
from ringwise.operations.registry import OPERATIONS
from ringwise.records.date_shown import date_shown
from ringwise.structure.root_words import map_words
from ringwise.structure.roots import root_map

if TYPE_CHECKING:
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry
    from ringwise.rootzone.potting import Potting


def last_time(facts: TreeFacts, potting: Potting | None) -> tuple[str, ...]:
    """What the last root work found, and the old ties to find, cut and count out.

    Parameters
    ----------
    facts : TreeFacts
        The tree with its works.
    potting : Potting or None
        For the number of ties to expect where it was not recorded.

    Returns
    -------
    tuple of str
        Lines; unknown stays unknown.

    Source
    ------
    practice: ties left behind scar the trunk, so each is counted out.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.records.facts import tree_facts
    >>> from ringwise.records.model import Tree
    >>> elm = Tree("T1", "Wren", "Ulmus procera")
    >>> facts = tree_facts(elm, entries=[], pots=[], places=[], on=date(2027, 3, 7))
    >>> last_time(facts, None)[0]
    'No root work is recorded: expect anything.'
    """
    works = [work for work in facts.works if _is_root_work(work)]
    if not works:
        return (
            _("No root work is recorded: expect anything."),
            _("Old ties: number unknown. Find, cut and count them: ____ out."),
        )
    last = works[-1]
    lines = [_root_work_words(last)]
    if last.note:
        lines.append(last.note)
    lines += _roots_seen(facts, last)
    ties = last.data.get("tie_count")
    if isinstance(ties, int) and ties > 0:
        lines.append(_tie_words(last, ties))
    else:
        usual = "" if potting is None else _(" (by its size {n} are usual)").format(n=len(potting.ties))
        lines.append(
            _("Old ties: number not written down{usual}. Find, cut, count: ____ out.").format(usual=usual)
        )
    return tuple(lines)


def _roots_seen(facts: TreeFacts, last: Entry) -> list[str]:
    """The latest map of the underside, where it was drawn up at the last root work or since."""
    maps = [each for each in facts.entries if each.kind == "roots"]
    if not maps:
        return []
    seen = maps[-1]
    begun = last.on.earliest
    if begun is not None and seen.on.latest is not None and seen.on.latest < begun:
        return []
    words = _("Roots seen {when}: {found}.").format(
        when=date_shown(seen.on), found=map_words(root_map(seen.data))
    )
    return [words, seen.note] if seen.note else [words]


def _is_root_work(work: Entry) -> bool:
    operation = OPERATIONS.get(str(work.data.get("operation")))
    return operation is not None and operation.root_work


def _root_work_words(work: Entry) -> str:
    name = from_data(OPERATIONS[str(work.data["operation"])].name)
    parts = [_("{name}, {when}").format(name=name, when=date_shown(work.on))]
    removed = work.data.get("root_removed_frac")
    if isinstance(removed, int | float):
        parts.append(_("about {n} % of the roots off").format(n=number(100 * removed, 1)))
    mix = work.data.get("mix")
    if mix:
        parts.append(_("mix {mix}").format(mix=mix))
    return ": ".join((parts[0], ", ".join(parts[1:]))) + "." if parts[1:] else parts[0] + "."


def ties_to_remove(work: Entry) -> str:
    """The ties that a work put in, to be taken out again when the roots hold.

    Parameters
    ----------
    work : Entry
        A work on the roots.

    Returns
    -------
    str
        Such as "4 old ties (2.5 mm wire, crossing)"; empty where their number was not written down.

    Source
    ------
    practice: a forgotten tie scars.

    Examples
    --------
    >>> from ringwise.records.dates import UNKNOWN
    >>> from ringwise.records.model import Entry
    >>> tied = {"operation": "repot", "tie_count": 4, "tie_wire_mm": 2.5, "tie_route": "crossing"}
    >>> ties_to_remove(Entry("E1", "T1", "work", UNKNOWN, tied))
    '4 old ties (2.5 mm wire, crossing)'
    """
    ties = work.data.get("tie_count")
    return _ties_named(work, ties) if isinstance(ties, int) and ties > 0 else ""


def _tie_words(work: Entry, ties: int) -> str:
    return _("{ties} to find, cut and count out: ____ of {n}.").format(ties=_ties_named(work, ties), n=ties)


def _ties_named(work: Entry, ties: int) -> str:
    wire, route = work.data.get("tie_wire_mm"), work.data.get("tie_route")
    detail = ", ".join(
        part
        for part in (
            _("{size} wire").format(size=wire_span(float(wire), float(wire)))
            if isinstance(wire, int | float)
            else "",
            str(route) if route else "",
        )
        if part
    )
    count = counted("{n} old tie", "{n} old ties", ties)
    return f"{count} ({detail})" if detail else count
