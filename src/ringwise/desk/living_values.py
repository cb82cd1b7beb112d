"""The values of a collection at one step, and those of the next step made from them and what is new."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any, TypeVar

from ringwise.records.model import Entry, Mix, Place, Pot, Setting, Tree

if TYPE_CHECKING:
    from ringwise.records.store import News

V = TypeVar("V")
Held = TypeVar("Held", Pot, Place)


@dataclass(frozen=True)
class YardValues:
    """All that holds at a step, by id and in the order of the store; never changed in place."""

    step: int = 0
    trees: Mapping[str, Tree] = field(default_factory=dict)  # retired ones too
    pots: Mapping[str, Pot] = field(default_factory=dict)
    places: Mapping[str, Place] = field(default_factory=dict)
    mixes: Mapping[str, Mix] = field(default_factory=dict)
    settings: Mapping[str, Setting] = field(default_factory=dict)
    weather: tuple[str, ...] = ()  # ids of the batches that count
    entries: tuple[Entry, ...] = ()
    entries_of: Mapping[str, tuple[Entry, ...]] = field(default_factory=dict)
    pots_of: Mapping[str, tuple[Pot, ...]] = field(default_factory=dict)
    places_of: Mapping[str, tuple[Place, ...]] = field(default_factory=dict)


def _by_day(entry: Entry) -> tuple[date, str, int, str]:
    """The order of the store, so that living values and fresh ones are equal."""
    recorded = "" if entry.recorded_at is None else entry.recorded_at.isoformat()
    return (entry.on.by or date.min, recorded, len(entry.id), entry.id)


def _merged(held: Mapping[str, V], news: Mapping[str, V | None] | None) -> Mapping[str, V]:
    if not news:
        return held
    merged = dict(held)
    for id_, value in news.items():
        if value is None:
            merged.pop(id_, None)
        else:
            merged[id_] = value
    if any(id_ not in held for id_ in news):
        merged = dict(sorted(merged.items()))  # by code points, as the file orders them
    return merged


def _by_tree(
    held: Mapping[str, tuple[Held, ...]], values: Mapping[str, Held], trees: set[str]
) -> Mapping[str, tuple[Held, ...]]:
    if not trees:
        return held
    found: dict[str, list[Held]] = {}
    for value in values.values():
        if value.tree is not None and value.tree in trees:
            found.setdefault(value.tree, []).append(value)
    kept = {tree: some for tree, some in held.items() if tree not in trees}
    return kept | {tree: tuple(some) for tree, some in found.items()}


def _without(entries: list[Entry], gone: Entry) -> None:
    at = bisect_left(entries, _by_day(gone), key=_by_day)
    if at < len(entries) and entries[at].id == gone.id:
        del entries[at]


def _entries_of(entries: Iterable[Entry]) -> dict[str, tuple[Entry, ...]]:
    found: dict[str, list[Entry]] = {}
    for entry in entries:
        found.setdefault(entry.tree, []).append(entry)
    return {tree: tuple(some) for tree, some in found.items()}


_SORTED_ANEW = 200  # from so many changed entries on sorting all is quicker than putting each in its place


def _with_entries(held: YardValues, news: Mapping[str, Entry | None]) -> tuple[Entry, ...]:
    if len(news) > _SORTED_ANEW or not held.entries:
        kept = [entry for entry in held.entries if entry.id not in news]
        kept += [entry for entry in news.values() if entry is not None]
        return tuple(sorted(kept, key=_by_day))
    entries = list(held.entries)
    gone = {entry.id: entry for entry in held.entries if entry.id in news}
    for old in gone.values():
        _without(entries, old)
    for entry in news.values():
        if entry is not None:
            insort(entries, entry, key=_by_day)
    return tuple(entries)


def _touched_trees(held: YardValues, news: News) -> dict[str, set[str]]:
    """The trees that a change of each kind concerns: those of the old value and of the new one."""
    touched: dict[str, set[str]] = {"tree": set(news.values.get("tree", ()))}
    before: dict[str, Mapping[str, Any]] = {"pot": held.pots, "place": held.places}
    if "entry" in news.values:
        before["entry"] = {e.id: e for e in held.entries if e.id in news.values["entry"]}
    for kind, old in before.items():
        values = news.values.get(kind, {})
        both = [*(old[id_] for id_ in values if id_ in old), *(v for v in values.values() if v is not None)]
        touched[kind] = {value.tree for value in both if value.tree is not None}
    return touched


def values_after(held: YardValues, news: News) -> tuple[YardValues, frozenset[str]]:
    """The values with what is new, and the trees of which something is known that was not, or no longer.

    Parameters
    ----------
    held : YardValues
        At an earlier step; empty ones for the first reading.
    news : News
        Since that step.

    Returns
    -------
    (YardValues, frozenset of str)
        The trees by id.

    Examples
    --------
    >>> from ringwise.records.store import News
    >>> planted = News(1, {"tree": {"T1": Tree("T1", "Lane", "Morus alba")}})
    >>> after, touched = values_after(YardValues(), planted)
    >>> after.step, sorted(after.trees), sorted(touched)
    (1, ['T1'], ['T1'])
    """
    touched = _touched_trees(held, news)
    pots = _merged(held.pots, news.values.get("pot"))
    places = _merged(held.places, news.values.get("place"))
    entries, entries_of = held.entries, held.entries_of
    if news.values.get("entry"):
        entries = _with_entries(held, news.values["entry"])
        some = (entry for entry in entries if entry.tree in touched["entry"])
        kept = {tree: own for tree, own in entries_of.items() if tree not in touched["entry"]}
        entries_of = kept | _entries_of(some)
    weather = dict.fromkeys(held.weather, True) | {
        id_: value is not None for id_, value in news.values.get("weather", {}).items()
    }
    settings = _merged(held.settings, news.values.get("setting"))
    after = YardValues(
        step=news.step,
        trees=_merged(held.trees, news.values.get("tree")),
        pots=pots,
        places=places,
        mixes=_merged(held.mixes, news.values.get("mix")),
        settings=settings,
        weather=tuple(sorted(id_ for id_, counts in weather.items() if counts)),
        entries=entries,
        entries_of=entries_of,
        pots_of=_by_tree(held.pots_of, pots, touched["pot"]),
        places_of=_by_tree(held.places_of, places, touched["place"]),
    )
    return after, frozenset().union(*touched.values())
