"""What is known of one tree on a day: the newest of each measure, pot and place, works and plans."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from ringwise.kit.errors import UnknownNameError
from ringwise.records.dates import FuzzyDate
from ringwise.records.model import Entry, Place, Pot, Tree
from ringwise.records.taxa import Taxon, find_taxon

# Work that renews the pot or the root ball, by the keys of the catalogue of operations.
REPOTTING = frozenset({"repot", "bare_root", "lift", "root_rescue", "first_pot"})


@dataclass(frozen=True)
class TreeFacts:
    """One tree as known on a day; None is not measured or not known, never 0."""

    tree: Tree
    taxon: Taxon | None
    pot: Pot | None
    place: Place | None
    vigour: int | None
    last_repot: FuzzyDate | None
    trunk_mm: float | None
    girth_mm: float | None
    height_mm: float | None
    drain_seconds: float | None
    days_to_dry: float | None
    entries: tuple[Entry, ...]
    planned: tuple[Entry, ...]
    works: tuple[Entry, ...]
    questions: tuple[Entry, ...]
    stays: tuple[Place, ...] = ()  # every place where it stood or is to stand
    courses: tuple[Entry, ...] = ()  # the grower's own
    decisions: tuple[Entry, ...] = ()

    @property
    def open_questions(self) -> tuple[Entry, ...]:
        """Questions that no decision answers yet: each answers the newest that had been asked by then."""
        answered = set[str]()
        for decision in self.decisions:
            asked = [each for each in self.questions if _asked_by(each, decision)]
            answered.update(each.id for each in asked[-1:])
        return tuple(each for each in self.questions if each.id not in answered)

    @property
    def question(self) -> Entry | None:
        """The newest open question; where none is open, the newest one that was asked."""
        asked = self.open_questions or self.questions
        return asked[-1] if asked else None


def tree_facts(
    tree: Tree, *, entries: Iterable[Entry], pots: Sequence[Pot], places: Iterable[Place], on: date
) -> TreeFacts:
    """What is known of one tree on a day.

    Parameters
    ----------
    tree : Tree
        The tree.
    entries : iterable of Entry
        Of this tree or of all.
    pots : sequence of Pot
        Of the collection.
    places : iterable of Place
        Of this tree or of all.
    on : date
        The day. What may lie after it is not counted as seen or done; plans may lie ahead. An entry whose
        date is unknown counts as earlier than all others.

    Returns
    -------
    TreeFacts
        The newest of each measure.

    Examples
    --------
    >>> from ringwise.records.dates import exact_day
    >>> seen = Entry("E1", "T01", "vigour", exact_day(date(2027, 3, 1)), {"score": 4})
    >>> oak = Tree("T01", "Parson", "Quercus robur")
    >>> tree_facts(oak, entries=[seen], pots=[], places=[], on=date(2027, 3, 7)).vigour
    4
    """
    own = sorted((entry for entry in entries if entry.tree == tree.id), key=_when)
    past = [entry for entry in own if entry.kind == "planned" or _began(entry, on)]
    works = tuple(entry for entry in past if entry.kind == "work")
    repots = [work for work in works if _is_repotting(work)]
    stays = tuple(place for place in places if place.tree == tree.id)
    vigour = _newest(past, "vigour", "score")
    return TreeFacts(
        tree=tree,
        taxon=_taxon(tree),
        pot=_pot(tree, pots, repots),
        place=_place(stays, on),
        vigour=None if vigour is None else int(vigour),
        last_repot=repots[-1].on if repots else None,
        trunk_mm=_newest(past, "trunk", "diameter_mm"),
        girth_mm=_newest(past, "girth", "girth_mm"),
        height_mm=_newest(past, "height", "height_mm"),
        drain_seconds=_newest(past, "drain", "seconds"),
        days_to_dry=_newest(past, "days_dry", "days"),
        entries=tuple(past),
        planned=tuple(entry for entry in past if entry.kind == "planned"),
        works=works,
        questions=tuple(entry for entry in past if entry.kind == "question"),
        courses=tuple(entry for entry in past if entry.kind == "course"),
        decisions=tuple(entry for entry in past if entry.kind == "decision"),
        stays=stays,
    )


def _when(entry: Entry) -> tuple[date, str, int, str]:
    recorded = "" if entry.recorded_at is None else entry.recorded_at.isoformat()
    return (entry.on.by or date.min, recorded, len(entry.id), entry.id)


def _began(entry: Entry, on: date) -> bool:
    """Whether it may have happened by a day: an interval that reaches beyond the day may still have begun."""
    first = entry.on.earliest or entry.on.latest
    return first is None or first <= on


def _asked_by(question: Entry, decision: Entry) -> bool:
    """Whether a question was there when a decision was made: by its day, and by when both were written."""
    made = decision.on.by
    if made is not None and not _began(question, made):
        return False
    written = (question.recorded_at, decision.recorded_at)
    return written[0] is None or written[1] is None or written[0] <= written[1]


def _is_repotting(work: Entry) -> bool:
    named = work.data.get("operation") in REPOTTING
    return named or any(work.data.get(key) is not None for key in ("pot", "mix"))


def _newest(past: Sequence[Entry], kind: str, key: str) -> float | None:
    for entry in reversed(past):
        value = entry.data.get(key) if entry.kind == kind else None
        if isinstance(value, int | float):
            return float(value)
    return None


def _taxon(tree: Tree) -> Taxon | None:
    """The species by its accepted name; None where the grower's own name is in no list."""
    try:
        return find_taxon(tree.species)
    except UnknownNameError:
        return None


def _pot(tree: Tree, pots: Sequence[Pot], repots: Sequence[Entry]) -> Pot | None:
    """The pot that says it holds the tree; of several, the one named by the last repotting."""
    holding = {pot.id: pot for pot in pots if pot.tree == tree.id}
    for work in reversed(repots):
        if work.data.get("pot") in holding:
            return holding[str(work.data["pot"])]
    return next(iter(holding.values()), None)


def _place(stays: Iterable[Place], on: date) -> Place | None:
    own = [place for place in stays if _stands(place, on)]
    return max(own, key=lambda place: (place.since.by or date.min, len(place.id), place.id), default=None)


def _stands(place: Place, on: date) -> bool:
    begun = place.since.earliest or place.since.latest
    ended = None if place.until is None else place.until.by
    return (begun is None or begun <= on) and (ended is None or ended >= on)
