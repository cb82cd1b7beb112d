"""Wishes that find something by a few letters: trees, benches and rooms, and kinds of tree."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import TYPE_CHECKING
from urllib.parse import quote

from ringwise.desk.shapes import Shape
from ringwise.kit.words import _, counted, from_data
from ringwise.records.taxa import Taxon, all_taxa

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace

MOST_HITS = 20
MOST_SPECIES = 30
_NEAR_RATIO = 0.72  # how alike two words are from which on one is offered for the other


def _rooms() -> tuple[tuple[str, str, str], ...]:
    return (
        ("/", _("Today"), _("what needs you")),
        ("/yard", _("Yard"), _("plan and list of trees")),
        ("/start", _("First steps"), _("place, climate, first tree")),
        ("/weather", _("Weather"), _("files, past forecasts, places")),
        ("/settings", _("Settings"), _("language, units, place, weather")),
    )


def _rank(query: str, names: Iterable[str]) -> int | None:
    """How well a search fits: 0 the whole, 1 a beginning, 2 a word's beginning, 3 anywhere, 4 nearly."""
    best: int | None = None
    for name in names:
        folded = name.casefold()
        if not folded:
            continue
        rank = _fit(query, folded)
        if rank is not None and (best is None or rank < best):
            best = rank
    return best


def _fit(query: str, name: str) -> int | None:
    if query == name:
        return 0
    if name.startswith(query):
        return 1
    words = name.split()
    if any(word.startswith(query) for word in words):
        return 2
    if query in name:
        return 3
    return 4 if len(query) > 3 and _is_near(query, [name, *words]) else None


def _is_near(query: str, words: Iterable[str]) -> bool:
    matcher = difflib.SequenceMatcher(b=query)
    for word in words:
        matcher.set_seq1(word)
        if matcher.real_quick_ratio() >= _NEAR_RATIO and matcher.ratio() >= _NEAR_RATIO:
            return True
    return False


def goto(workspace: Workspace, query: str) -> Shape:
    """Trees, benches and rooms that a search line finds, the closest first.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    query : str
        What was typed so far; blank lists the rooms.

    Returns
    -------
    dict
        Key hits: kind, words, more and path.
    """
    wanted = " ".join(query.casefold().split())
    found: list[tuple[int, int, str, Shape]] = []
    for path, words, more in _rooms():
        rank = _rank(wanted, (words,)) if wanted else 0
        if rank is not None:
            found.append((rank, 1, path, _hit("room", words, more, path)))
    if wanted:
        found += _trees(workspace, wanted)
        found += _benches(workspace, wanted)
    found.sort(key=lambda each: each[:3])
    return {"hits": [hit for _rank_, _order, _key, hit in found[:MOST_HITS]]}


def _hit(kind: str, words: str, more: str, path: str) -> Shape:
    return {"kind": kind, "words": words, "more": more, "path": path}


def _trees(workspace: Workspace, wanted: str) -> list[tuple[int, int, str, Shape]]:
    taxa, found = all_taxa(), []
    for tree in workspace.trees:
        kind = taxa.get(tree.species)
        names = [tree.id, tree.name]
        names += [tree.species] if kind is None else [kind.botanical_name, _common(kind)]
        rank = _rank(wanted, names)
        if rank is not None:
            more = tree.species if kind is None else kind.botanical_name
            hit = _hit("tree", f"{tree.id} {tree.name}", more, f"/tree/{quote(tree.id, safe='')}")
            found.append((rank, 0, tree.id, hit))
    return found


def _benches(workspace: Workspace, wanted: str) -> list[tuple[int, int, str, Shape]]:
    standing: dict[str, int] = {}
    for facts in workspace.facts.values():
        if facts.place is not None:
            standing[facts.place.place] = standing.get(facts.place.place, 0) + 1
    found = []
    for name, number in standing.items():
        rank = _rank(wanted, (name,))
        if rank is not None:
            more = counted("{n} tree", "{n} trees", number)
            found.append((rank, 2, name, _hit("bench", name, more, f"/yard?place={quote(name, safe='')}")))
    return found


def _common(kind: Taxon) -> str:
    return from_data(kind.common_name)


def species(workspace: Workspace, query: str) -> Shape:
    """Kinds of tree whose names match, the closest first; where nothing is typed, those of the yard first.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    query : str
        What was typed so far: botanical or common name, in any language that there are texts in.

    Returns
    -------
    dict
        Key species: key, botanical_name, common_name and group.
    """
    wanted = " ".join(query.casefold().split())
    own = {tree.species for tree in workspace.trees}
    found = []
    for kind in all_taxa().values():
        names = (kind.botanical_name, _common(kind), kind.common_name, kind.key.replace("_", " "))
        rank = _rank(wanted, names) if wanted else int(kind.key not in own)
        if rank is not None:
            found.append((rank, kind.key not in own, kind.botanical_name, kind))
    found.sort(key=lambda each: each[:3])
    rows = [
        {
            "key": kind.key,
            "botanical_name": kind.botanical_name,
            "common_name": _common(kind),
            "group": kind.group,
        }
        for _rank_, _foreign, _name, kind in found[:MOST_SPECIES]
    ]
    return {"species": rows}
