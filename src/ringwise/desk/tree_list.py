"""The wish for the list of trees: found, filtered, sorted, and only the rows shown put into words."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ringwise.desk.almanac import NO_DAY, NextTold
from ringwise.desk.almanac_access import almanac_of
from ringwise.desk.entry_words import operation_words
from ringwise.desk.shapes import Shape, pot_words
from ringwise.desk.told import told
from ringwise.kit import show
from ringwise.kit.errors import out_of_range, unknown_name
from ringwise.kit.reading import current_reading
from ringwise.kit.words import _, counted, from_data
from ringwise.records.facts import TreeFacts, tree_facts

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace

MOST_ROWS = 500
STATES = ("open", "ahead", "closed", "blocked", "wanted")
_NUMBERS = re.compile(r"(\d+)")


@dataclass(frozen=True)
class Line:
    """What a tree is found, filtered and sorted by; made once and kept while nothing changes of the tree."""

    facts: TreeFacts
    id_order: tuple[Any, ...]
    name_order: str
    species: str
    botanical_name: str
    common_name: str
    place: str
    text: str
    photo: str | None


def line_of(facts: TreeFacts) -> Line:
    """The line of a tree in the current language.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    Line
        Without numbers in words: those are made for the rows that are shown.
    """
    tree, taxon = facts.tree, facts.taxon
    botanical = tree.species if taxon is None else taxon.botanical_name
    common = "" if taxon is None else from_data(taxon.common_name)
    place = "" if facts.place is None else facts.place.place
    found_by = (tree.id, tree.name, botanical, tree.species, common, place, tree.note)
    return Line(
        facts=facts,
        id_order=_by_number(tree.id),
        name_order=tree.name.casefold(),
        species=tree.species if taxon is None else taxon.key,
        botanical_name=botanical,
        common_name=common,
        place=place,
        text="\n".join(each.casefold() for each in found_by if each),
        photo=_front_photo(facts),
    )


def _by_number(id_: str) -> tuple[Any, ...]:
    """T2 before T10."""
    parts = _NUMBERS.split(id_.casefold())
    return tuple((1, int(part), "") if part.isdecimal() else (0, 0, part) for part in parts if part)


def _front_photo(facts: TreeFacts) -> str | None:
    found = (e for e in reversed(facts.entries) if e.kind == "photo" and e.data.get("view") == "front")
    photo = next(found, None)
    return None if photo is None else str(photo.data["sha256"])


@dataclass(frozen=True)
class ListWish:
    """Which part of the list is wanted, and in which order.

    The words of `q` must all be found in id, name, species, place or note. `place` and `species` (by its key)
    keep only trees that stand there, are of it; `state` only those whose next work is "open", "ahead",
    "closed" or "blocked", or is "wanted". `sort` is "name", "species", "place", "next", "trunk" or "id"
    (also for a blank one); "-" before it turns it.
    """

    q: str = ""
    place: str = ""
    species: str = ""
    state: str = ""
    sort: str = ""
    offset: int = 0
    limit: int = 100
    retired: bool = False


def tree_list(workspace: Workspace, wish: ListWish | None = None) -> Shape:
    """Part of the list of trees.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : ListWish, optional
        By default the first hundred by id.

    Returns
    -------
    dict
        Keys total, offset, trees, places and species (with counts over all that is found by the words).

    Raises
    ------
    UnknownNameError
        If there is no such order or state.
    RangeError
        If the part is out of range.
    """
    asked = _checked(wish or ListWish())
    almanac = almanac_of(workspace).almanac
    nexts: Mapping[str, NextTold] = {} if almanac is None else almanac.nexts
    words = asked.q.casefold().split()
    lines = _lines(workspace, asked.retired)
    if words:
        lines = [each for each in lines if all(word in each.text for word in words)]
    chosen = [each for each in lines if _fits(each, asked, nexts)]
    ordered = _sorted(chosen, asked.sort, nexts)
    return {
        "total": len(ordered),
        "offset": asked.offset,
        "trees": [_row(each, nexts) for each in ordered[asked.offset : asked.offset + asked.limit]],
        "places": _counts((each.place, each.place) for each in lines if each.place),
        "species": _counts((each.species, each.botanical_name) for each in lines),
    }


def _checked(wish: ListWish) -> ListWish:
    if not 1 <= wish.limit <= MOST_ROWS:
        raise out_of_range(_("limit"), str(wish.limit), _("{low} to {high}").format(low=1, high=MOST_ROWS))
    if wish.offset < 0:
        raise out_of_range(_("offset"), str(wish.offset), _("0 or more"))
    if wish.state and wish.state not in STATES:
        raise unknown_name(_("state"), wish.state, STATES)
    return wish


def _fits(line: Line, wish: ListWish, nexts: Mapping[str, NextTold]) -> bool:
    if (wish.place and line.place != wish.place) or (wish.species and line.species != wish.species):
        return False
    return not wish.state or _has_state(nexts.get(line.facts.tree.id), wish.state)


def _lines(workspace: Workspace, retired: bool) -> list[Line]:
    lines = list(workspace.made_of(f"list {current_reading().language}", line_of).values())
    if retired:
        everyone = getattr(workspace, "every_tree", None)
        gone = [t for t in (workspace.store.trees() if everyone is None else everyone) if t.retired]
        from ringwise.desk.own_facts import own_entries

        lines += [
            line_of(
                tree_facts(
                    tree,
                    entries=own_entries(workspace, tree.id),
                    pots=(),
                    places=workspace.places,
                    on=workspace.today,
                )
            )
            for tree in gone
        ]
    return lines


def _has_state(work: NextTold | None, state: str) -> bool:
    return work is not None and (work.wanted if state == "wanted" else work.state == state)


def _sorted(lines: list[Line], sort: str, nexts: Mapping[str, NextTold]) -> list[Line]:
    turned, name = sort.startswith("-"), sort.removeprefix("-")

    def next_of(line: Line) -> tuple[Any, ...]:
        work = nexts.get(line.facts.tree.id)
        return (2, NO_DAY) if work is None else (work.state in {"closed", "blocked"}, work.opens)

    def trunk_of(line: Line) -> float | None:
        return line.facts.trunk_mm

    orders: dict[str, Callable[[Line], Any]] = {
        "": lambda line: line.id_order,
        "id": lambda line: line.id_order,
        "name": lambda line: line.name_order,
        "species": lambda line: line.botanical_name.casefold(),
        "place": lambda line: line.place.casefold() or None,
        "next": next_of,
        "trunk": trunk_of,
    }
    if name not in orders:
        raise unknown_name(_("order of the list"), sort, [key for key in orders if key])
    by_id = sorted(lines, key=lambda line: line.id_order)
    if name in {"", "id"}:
        return by_id[::-1] if turned else by_id
    keys = [orders[name](line) for line in by_id]
    known = [at for at, key in enumerate(keys) if key is not None]
    unknown = [at for at, key in enumerate(keys) if key is None]  # last, whichever way the list is turned
    known.sort(key=keys.__getitem__, reverse=turned)
    return [by_id[at] for at in (*known, *unknown)]


def _counts(names: Iterable[tuple[str, str]]) -> list[Shape]:
    found = Counter(names)
    return [
        {"key": key, "words": words, "more": counted("{n} tree", "{n} trees", count)}
        for (key, words), count in sorted(found.items(), key=lambda each: each[0][1].casefold())
    ]


def _row(line: Line, nexts: Mapping[str, NextTold]) -> Shape:
    facts, id_ = line.facts, line.facts.tree.id

    def size(key: str, value_mm: float | None) -> Shape:
        return told(value_mm, "" if value_mm is None else show.length(value_mm), f"{id_}:fact:{key}")

    return {
        "id": id_,
        "name": facts.tree.name,
        "species": line.species,
        "botanical_name": line.botanical_name,
        "common_name": line.common_name,
        "place": line.place,
        "stage": facts.tree.stage or "",
        "vigour": facts.vigour,
        "trunk_mm": size("trunk_mm", facts.trunk_mm),
        "girth_mm": size("girth_mm", facts.girth_mm),
        "height_mm": size("height_mm", facts.height_mm),
        "pot_shown": pot_words(facts.pot),
        "photo": line.photo,
        "next": _next(nexts.get(id_)),
        "retired": facts.tree.retired is not None,
    }


def _next(work: NextTold | None) -> Shape | None:
    if work is None:
        return None
    return {
        "operation": work.operation,
        "operation_words": operation_words(work.operation),
        "state": work.state,
        "shown": work.sentence,
        "wanted": work.wanted,
    }
