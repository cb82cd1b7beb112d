"""The wish to lay two measurements of one tree over each other."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ringwise.desk.measure_sheet import Sheet, facts_on, sheet_of
from ringwise.desk.measure_words import clock_words, length_with, ratio_with
from ringwise.desk.structures import structure_entry
from ringwise.kit import show
from ringwise.kit.days import parse_date
from ringwise.kit.errors import InputError, MissingFieldError
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.structure.branching import Branch
    from ringwise.structure.overlay import Overlay

_LENGTHS = ("height_mm", "spread_mm", "base_girth_mm", "half_height_diameter_mm")
_RATIOS = ("height_to_base_ratio", "taper_ratio", "movement_frac", "tips")


def measure_compare(workspace: Workspace, tree: str, first: str, second: str) -> Shape:
    """What changed of a tree between the measurements of two days.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    first, second : str
        Two days; the latest measurement by each counts.

    Returns
    -------
    dict
        Documented keys, and lines to show.

    Raises
    ------
    MissingFieldError
        If nothing was measured by one of the days.
    InputError
        If both days stand on the same measurement, or a day does not read.
    """
    from ringwise.structure.overlay import overlay

    days = sorted((parse_date(first, field="DATE"), parse_date(second, field="DATE")))
    one, other = (_sheet(workspace, tree, day) for day in days)
    assert one.entry is not None
    assert other.entry is not None
    if one.entry.id == other.entry.id:
        raise InputError(
            _("both days stand on the same measurement of {day}; name days with another one between").format(
                day=one.entry.on.typed
            )
        )
    laid = overlay(one.measured, other.measured)
    facts = facts_on(workspace, tree, days[1])
    answer = {
        "tree": facts.tree.id,
        "first": _side(one, days[0]),
        "second": _side(other, days[1]),
        "first_shown": show.day(days[0], year=True),
        "second_shown": show.day(days[1], year=True),
        "turn_deg": laid.turn_deg,
        "left_deg": None if math.isnan(laid.left_deg) else laid.left_deg,
        "rows": [_row(one, other, key) for key in (*_LENGTHS, *_RATIOS)],
        "branches": [_pair(laid.first[i], laid.second[j]) for i, j in laid.pairs],
        "gone": _left(laid.first, {i for i, _j in laid.pairs}),
        "new": _left(laid.second, {j for _i, j in laid.pairs}),
    }
    return answer | {"lines": _lines(f"{facts.tree.id} {facts.tree.name}", laid, answer)}


def _sheet(workspace: Workspace, tree: str, day: date) -> Sheet:
    facts = facts_on(workspace, tree, day)
    if structure_entry(facts) is None:
        raise MissingFieldError(
            _("nothing was measured by {day}; take it with: ringwise measure tape {id}").format(
                day=show.day(day, year=True), id=facts.tree.id
            ),
            where=facts.tree.id,
        )
    return sheet_of(workspace, facts)


def _side(sheet: Sheet, day: date) -> Shape:
    entry = sheet.entry
    return {
        "on": day.isoformat(),
        "entry": None if entry is None else entry.id,
        "measured": None if entry is None else entry.on.typed,
        "source": sheet.source,
    }


def _words(key: str) -> str:
    return {
        "height_mm": _("height"),
        "spread_mm": _("crown spread"),
        "base_girth_mm": _("girth above the flare"),
        "half_height_diameter_mm": _("trunk at half height"),
        "height_to_base_ratio": _("height to trunk"),
        "taper_ratio": _("trunk at half height against its base"),
        "movement_frac": _("movement against the height"),
        "tips": _("tips"),
    }[key]


def _row(one: Sheet, other: Sheet, key: str) -> Shape:
    before, after = (float(getattr(each.found, key)) for each in (one, other))
    sds = [each.sd[key] for each in (one, other)]
    known = [each if math.isfinite(each) else None for each in sds]
    sd = math.hypot(*sds)
    change = after - before
    length = key in _LENGTHS
    shown = length_with if length else ratio_with
    sign = "+" if change > 0 else "-" if change < 0 else ""
    size = show.length(abs(change)) if length else show.number(abs(change), 2)
    sure = math.isfinite(sd) and abs(change) <= sd
    return {
        "key": key,
        "words": _words(key),
        "first": before,
        "second": after,
        "change": change,
        "change_sd": sd if math.isfinite(sd) else None,
        "first_shown": shown(before, known[0]),
        "second_shown": shown(after, known[1]),
        "change_shown": f"{sign}{size}" + (" " + _("(within its spread)") if sure and change else ""),
    }


def _pair(one: Branch, other: Branch) -> Shape:
    return {
        "height_mm": other.height_mm,
        "clock": other.clock,
        "base_change_mm": other.base_diameter_mm - one.base_diameter_mm,
        "length_change_mm": other.length_mm - one.length_mm,
        "tips_change": other.tips - one.tips,
        "first_segment": one.row,
        "second_segment": other.row,
    }


def _left(branches: Sequence[Branch], paired: set[int]) -> list[Shape]:
    return [
        {"height_mm": each.height_mm, "clock": each.clock, "base_diameter_mm": each.base_diameter_mm}
        for place, each in enumerate(branches)
        if place not in paired
    ]


def _lines(tree: str, laid: Overlay, answer: Shape) -> list[str]:
    lines = [
        _("{tree}: {first} against {second}").format(
            tree=tree, first=answer["second_shown"], second=answer["first_shown"]
        ),
        _("laid over each other by a turn of {turn} degrees; {pairs} are the same").format(
            turn=show.number(laid.turn_deg, 2), pairs=counted("{n} branch", "{n} branches", len(laid.pairs))
        ),
    ]
    for key, text in (("gone", _("gone: {places}")), ("new", _("new: {places}"))):
        places = [
            _("{height} at {clock}").format(
                height=show.length(each["height_mm"]), clock=clock_words(each["clock"])
            )
            for each in answer[key]
        ]
        if places:
            lines.append(text.format(places=", ".join(places)))
    return lines
