"""What wants water within two days, for the page of the day: one line a tree or a place."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.desk.watering import TreeWater, YardWater
from ringwise.desk.watering_told import DUE, SOON, need_order, state_of, water_words
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace


def water_block(workspace: Workspace, made: YardWater) -> Shape:
    """What wants water within two days, for the page of the day: one line a tree or a place.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    made : YardWater
        Of the yard.

    Returns
    -------
    dict
        Keys rows (in order of need) and roof (wet pots that root work waits for); both empty where nothing
        is due.
    """
    from ringwise.desk.watering_roof import roof_lines

    due = [
        each
        for each in sorted(made.trees.values(), key=lambda each: (each.due.median_days, need_order(each)))
        if state_of(each) == DUE or (state_of(each) == SOON and each.full.day < workspace.today)
    ]  # what was watered today is done for today, unless it is due again before the evening
    by_place: dict[str, list[TreeWater]] = {}
    for each in due:
        place = "" if each.facts.place is None else each.facts.place.place
        by_place.setdefault(place, []).append(each)
    rows = []
    told: set[str] = set()
    for each in due:
        place = "" if each.facts.place is None else each.facts.place.place
        if place in told:
            continue
        there = by_place[place]
        if place and len(there) >= _LEAST_OF_A_PLACE:
            told.add(place)
            rows.append(_block_row(there, workspace.today, place))
        else:
            rows.append(_block_row([each], workspace.today, ""))
    return {"rows": rows, "roof": roof_lines(workspace, made)}


_LEAST_OF_A_PLACE = 3  # trees that make one line of their place


def _block_row(trees: Sequence[TreeWater], today: date, place: str) -> Shape:
    first = trees[0]
    name = first.facts.tree.name
    title = (
        _("{place}, {trees}, first {name}").format(
            place=place, trees=counted("{n} tree", "{n} trees", len(trees)), name=name
        )
        if place
        else name
    )
    words = water_words(first, today)
    unmeasured = not any(each.measured for each in trees)
    told = _("{words} (not measured)").format(words=words) if unmeasured else words
    return {
        "place": place,
        "trees": [{"tree": each.facts.tree.id, "name": each.facts.tree.name} for each in trees],
        "title": title,
        "words": told,
        "state": state_of(first),
        "twice": [each.facts.tree.id for each in trees if each.twice],
        "why": f"{first.facts.tree.id}:water:due",
        "line": f"{title}: {told}",
    }
