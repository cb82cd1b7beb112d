"""The grower's own tries in the record, and the odds that they leave of the book's."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING, Any

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.words import _
from ringwise.records.facts import REPOTTING, tree_facts
from ringwise.records.taxa import find_taxon, lookup_keys

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.growth.biology import Biology
    from ringwise.growth.odds import Odds
    from ringwise.growth.tries import Learned, Tries
    from ringwise.growth.try_conditions import OwnTry
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry

_LAYERS = ("air_layer", "ground_layer")
_YEAR_DAYS = 365.25
_CELLS = ("layer", "severed", "graft", "scion")


def _results(facts: TreeFacts) -> Iterator[tuple[Entry, dict[str, Any]]]:
    """What became of tries: as logged, and that a layer which was separated had rooted."""
    logged = [each for each in facts.entries if each.kind == "result"]
    for each in logged:
        yield each, dict(each.data)
    parted = [each for each in facts.works if each.data.get("operation") == "separate_layer"]
    told = sum(bool(each.data["came_off"]) for each in logged if each.data["operation"] in _LAYERS)
    for each in parted[told:]:  # those whose rooting nobody wrote down
        work = _work_before(facts, _LAYERS, each.on.middle)
        if work is not None:
            yield each, {"operation": str(work.data["operation"]), "came_off": True}


def _work_before(facts: TreeFacts, operations: tuple[str, ...], when: date | None) -> Entry | None:
    found = None
    for each in facts.works:
        middle = each.on.middle
        early = when is None or middle is None or middle <= when
        if each.data.get("operation") in operations and early:
            found = each
    return found


def _vigour_on(facts: TreeFacts, when: date | None) -> int | None:
    found = None
    for each in facts.entries:
        middle = each.on.middle
        if each.kind == "vigour" and (when is None or middle is None or middle <= when):
            found = int(str(each.data["score"]))
    return found


def _pot_bound_on(facts: TreeFacts, when: date | None, interval_years: float) -> bool:
    repots = [
        each.on.middle
        for each in facts.works
        if each.data.get("operation") in REPOTTING and each.on.middle is not None
    ]
    before = [each for each in repots if when is not None and each <= when]
    return bool(before) and when is not None and (when - max(before)).days / _YEAR_DAYS > interval_years


def tries_of(facts: TreeFacts, life: Biology) -> tuple[OwnTry, ...]:
    """The tries on one tree that ended, with what they were tried under.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    life : Biology
        Its kind, for when its pot is overdue.

    Returns
    -------
    tuple of OwnTry
        In the order of the record.
    """
    from ringwise.growth.try_conditions import Covariates, OwnTry, cell_of

    out = []
    for entry, data in _results(facts):
        operation = str(data["operation"])
        work = _work_before(facts, (operation,), entry.on.middle)
        when = entry.on.middle if work is None else work.on.middle
        conditions = data.get("conditions") or ()
        grafted = cell_of(operation) in ("graft", "scion")
        of = Covariates(
            hormone="hormone" in conditions,
            off_season="off_season" in conditions,
            thick_stem="thick_stem" in conditions,
            vigour=_vigour_on(facts, when),
            pot_bound=grafted and _pot_bound_on(facts, when, life.repot_years),
            thread=operation == "thread_graft",
        )
        out.append(OwnTry(operation, bool(data["came_off"]), of, data.get("weeks")))
    return tuple(out)


def _kind_of(facts: TreeFacts) -> str:
    return facts.tree.species if facts.taxon is None else facts.taxon.key


def _by_cell(workspace: Workspace) -> dict[tuple[str, str], Tries]:
    """Own tries by kind of tree and group of techniques, with what the book says of each."""
    from ringwise.growth.biology import biology
    from ringwise.growth.tries import Tries, book_odds
    from ringwise.growth.try_conditions import cell_of

    def make() -> dict[tuple[str, str], Tries]:
        found: dict[tuple[str, str], list[OwnTry]] = {}
        for facts in (*workspace.facts.values(), *_gone(workspace)):
            life = biology(_keys(facts))
            for each in tries_of(facts, life):
                found.setdefault((_kind_of(facts), cell_of(each.technique)), []).append(each)
        return {
            (kind, cell): Tries(book_odds(biology(_keys_of(kind)), cell), tuple(own))
            for (kind, cell), own in found.items()
        }

    return workspace.once("own_tries", make)


def _gone(workspace: Workspace) -> Iterator[TreeFacts]:
    """Trees that are no longer kept: their tries count as well, above all where they ended badly."""
    for tree in workspace.every_tree:
        if tree.retired is not None:
            yield tree_facts(tree, entries=workspace.entries, pots=(), places=(), on=workspace.today)


def _keys_of(species: str) -> tuple[str, ...]:
    from ringwise.kit.errors import UnknownNameError

    try:
        return lookup_keys(find_taxon(species).key)
    except UnknownNameError:
        return ()


def _keys(facts: TreeFacts) -> tuple[str, ...]:
    return _keys_of(facts.tree.species)


def learned_of(workspace: Workspace, facts: TreeFacts) -> Learned | None:
    """What the grower's own tries say of a tree.

    Parameters
    ----------
    workspace : Workspace
        The collection, with all tries on all trees.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    Learned or None
        None where nobody wrote down what became of a try.
    """
    from ringwise.growth.biology import biology
    from ringwise.growth.tries import Tries, book_odds, learned

    every = _by_cell(workspace)
    if not every:
        return None
    kind, life = _kind_of(facts), biology(_keys(facts))
    mine = {cell: every.get((kind, cell), Tries(book_odds(life, cell))) for cell in _CELLS}
    others = tuple(tries for (other, _cell), tries in every.items() if other != kind)
    return learned(mine, others)


def odds_told(workspace: Workspace, tree: str) -> Shape:
    """The odds of layers and grafts on a tree: the book's, one's own tries, and both together.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.

    Returns
    -------
    dict
        Keys tree, odds (a list by technique) and lines.

    Raises
    ------
    NotFoundError
        If there is no such tree.
    """
    from ringwise.growth.biology import biology
    from ringwise.growth.odds import success_in_two_prob
    from ringwise.growth.tries import Learned, book_odds

    facts = workspace.facts_of(tree)
    life = biology(_keys(facts))
    told = learned_of(workspace, facts) or Learned()
    names = {
        "layer": _("a ring roots"),
        "severed": _("it lives once separated"),
        "graft": _("a graft takes"),
        "scion": _("a scion takes"),
    }
    rows, lines = [], [f"{facts.tree.id} {facts.tree.name}"]
    for cell in _CELLS:
        book = book_odds(life, cell)
        now: Odds = getattr(told, cell) or book
        came, tried = told.count(cell)
        words = _("{what}: {chance}; {own}").format(
            what=names[cell], chance=show.chance(now.mean_prob), own=own_words(came, tried, book)
        )
        low, high = _ends(now)
        rows.append(
            {
                "technique": cell,
                "mean": now.mean_prob,
                "low": low,
                "high": high,
                "two_tries": success_in_two_prob(now),
                "prior_mean": book.mean_prob,
                "came_off": came,
                "tried": tried,
                "basis": now.basis,
                "words": words,
            }
        )
        lines.append(words)
    return {"tree": facts.tree.id, "odds": rows, "lines": lines}


def _ends(odds: Odds) -> tuple[float, float]:
    import numpy as np

    from ringwise.growth.odds import odds_quantile

    low, high = odds_quantile(odds, np.array([0.05, 0.95]))
    return float(low), float(high)


def own_words(came_off: int, tried: int, book: Odds) -> str:
    """One's own count beside what the book says.

    Parameters
    ----------
    came_off, tried : int
        Own tries.
    book : Odds
        The prior.

    Returns
    -------
    str
        Such as "3 of 5 of your own; the book says wide".

    Examples
    --------
    >>> from ringwise.growth.odds import Odds
    >>> own_words(3, 5, Odds(2.0, 3.0))
    '3 of 5 of your own; the book says rather unlikely, and is wide'
    >>> own_words(0, 0, Odds(7.0, 2.0))
    'none of your own yet; the book says likely'
    """
    from ringwise.growth.tries import is_wide

    own = _("{n} of {of} of your own").format(n=came_off, of=tried) if tried else _("none of your own yet")
    says = show.chance(book.mean_prob).split(",", maxsplit=1)[0]
    if is_wide(book):
        return _("{own}; the book says {says}, and is wide").format(own=own, says=says)
    return _("{own}; the book says {says}").format(own=own, says=says)
