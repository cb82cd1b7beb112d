"""Why a year ahead shows its girth, and how the figure of a tree was made."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ringwise.desk.ahead import AheadYear, ahead_stored, ahead_words
from ringwise.desk.figures import basis_of, basis_words
from ringwise.desk.own_facts import own_facts
from ringwise.desk.structures import structure_entry
from ringwise.desk.tree_facts_told import newest
from ringwise.desk.turnings import futures_trace
from ringwise.desk.why_facts import RECORD, entry_trace
from ringwise.kit import show
from ringwise.kit.errors import NotFoundError, NotReadyError
from ringwise.kit.trace import Trace
from ringwise.kit.words import _, counted, from_data

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts


def _girths(workspace: Workspace, facts: TreeFacts) -> tuple[Trace, ...]:
    """The newest girth or trunk that the years ahead start from."""
    found = [newest(facts, "girth", "girth_mm"), newest(facts, "trunk", "diameter_mm")]
    return tuple(entry_trace(workspace, entry) for entry in found if entry is not None)


def ahead_trace(workspace: Workspace, tree: str, label: str = "") -> Trace:
    """Why a year ahead shows its girth.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    label : str
        The growing year; blank for all of them together.

    Returns
    -------
    Trace
        Down to the rows that growth reads.

    Raises
    ------
    NotReadyError
        If the years ahead are not made yet.
    NotFoundError
        If there is no such year, or the tree lives in no future then.
    """
    facts = own_facts(workspace, tree)
    ahead = ahead_stored(workspace, facts)
    if ahead is None:
        raise NotReadyError(
            _("the years ahead of {tree} are not made yet; open its dial").format(tree=facts.tree.id)
        )
    growth = replace(futures_trace(workspace, facts.tree.id), label=_("growth, year by year"))
    below = (*_girths(workspace, facts), growth) if ahead.measured else (growth,)
    formula = (
        _("girth measured x the share by which the base thickens in the futures")
        if ahead.measured
        else _("girth at the base in the futures")
    )
    if not label:
        title = _("years ahead of {tree}").format(tree=facts.tree.id)
        return Trace(title, ahead_words(ahead), "futures.simulate", formula, "own", "assumed", below)
    years = {str(year.label): year for year in ahead.years}
    if label not in years:
        raise NotFoundError(
            _("{tree} has no year {year} ahead; known: {known}").format(
                tree=facts.tree.id, year=label, known=", ".join(years)
            )
        )
    return Trace(
        _year_title(facts, label, ahead.course),
        _year_words(years[label]),
        "futures.simulate",
        formula,
        "own",
        "assumed",
        (Trace(_("alive then"), show.odds(years[label].alive_frac), "", _of_futures(ahead.futures)), *below),
    )


def _year_title(facts: TreeFacts, label: str, course: str) -> str:
    if not course:
        return _("girth of {tree} at the end of {year}, left as it is").format(tree=facts.tree.id, year=label)
    return _("girth of {tree} at the end of {year}, as decided: {course}").format(
        tree=facts.tree.id, year=label, course=from_data(course)
    )


def _year_words(year: AheadYear) -> str:
    return _("{low} to {high}").format(low=show.length(year.low_mm), high=show.length(year.high_mm))


def _of_futures(number: int) -> str:
    return counted("of {n} future", "of {n} futures", number)


def figure_trace(workspace: Workspace, tree: str) -> Trace:
    """How the silhouette of a tree was made.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.

    Returns
    -------
    Trace
        With the tape or the measures that it stands on.
    """
    facts = own_facts(workspace, tree)
    basis = basis_of(facts)
    if basis == "structure":
        kinds = [structure_entry(facts)]
    else:
        kinds = [
            newest(facts, "height", "height_mm"),
            newest(facts, "trunk", "diameter_mm") or newest(facts, "girth", "girth_mm"),
        ]
    below = tuple(entry_trace(workspace, entry) for entry in kinds if entry is not None)
    return Trace(
        _("figure of {tree}").format(tree=facts.tree.id),
        basis_words(facts, basis),
        RECORD if below else "",
        "",
        "own",
        "measured" if basis == "structure" else "assumed",
        below,
    )
