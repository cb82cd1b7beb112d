"""What the Shape room says of wounds, faults by rule and trade proportions, with their places."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.entry_words import wound_words
from ringwise.desk.measure_figures import trunk_row_at
from ringwise.desk.measure_sheet import faults_of, standings_of, wounds_of
from ringwise.desk.measure_words import fault_words, found_words, place_words, proportion_name, usual_words
from ringwise.desk.shapes import Shape
from ringwise.desk.told import told
from ringwise.kit import show
from ringwise.kit.words import _
from ringwise.structure.tape import clock_direction

if TYPE_CHECKING:
    from collections.abc import Callable

    from ringwise.desk.measure_sheet import Sheet
    from ringwise.kit.types import FloatArray, IntArray
    from ringwise.records.facts import TreeFacts
    from ringwise.structure.faults import Fault
    from ringwise.structure.standing import Standing
    from ringwise.structure.wound_list import Wound


def judged_told(facts: TreeFacts, sheet: Sheet, branch_of: IntArray, why: Callable[[str], str]) -> Shape:
    """What a judge would point at, and what a wound does meanwhile.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    sheet : Sheet
        Its measures.
    branch_of : (n,) int
        For each segment its branch in the list that is shown; -1 for none.
    why : callable
        Names the why of a figure.

    Returns
    -------
    dict
        Keys wounds, faults and proportions.
    """
    wounds, faults = wounds_of(facts), faults_of(facts, sheet)
    return {
        "wounds": [_wound(sheet, each, why(f"wound_{n}")) for n, each in enumerate(wounds, start=1)],
        "faults": [
            _fault(sheet, each, branch_of, why(f"fault_{n}")) for n, each in enumerate(faults, start=1)
        ],
        "proportions": [_proportion(each, why(each.key)) for each in standings_of(facts, sheet)],
    }


def _wound(sheet: Sheet, wound: Wound, why: str) -> Shape:
    first, last = wound.readings[0], wound.latest
    more = ""
    if first.on is not None and first.width_mm != last.width_mm:
        day = show.day(first.on, year=True)
        more = _("{size} wide on {day}").format(size=show.length(first.width_mm), day=day)
    return {
        "words": wound_words(last.width_mm, last.at_mm, last.clock),
        "more": more,
        "open": wound.is_open,
        "at_mm": _at(sheet, last.at_mm, last.clock),
        "clock": last.clock,
        "why": why,
    }


def _fault(sheet: Sheet, fault: Fault, branch_of: IntArray, why: str) -> Shape:
    where = _at(sheet, fault.height_mm, fault.clock)
    if fault.rows:
        where = _sent(sheet.measured.table.start_mm[fault.rows[0]])
    return {
        "kind": fault.kind,
        "words": fault_words(fault),
        "at_mm": where,
        "clock": fault.clock,
        "branches": sorted({int(branch_of[row]) for row in fault.rows} - {-1}),
        "why": why,
    }


def _proportion(standing: Standing, why: str) -> Shape:
    return {
        "key": standing.key,
        "label": proportion_name(standing.key),
        "told": told(standing.found_ratio, found_words(standing), why),
        "usual": usual_words(standing),
        "place": standing.place,
        "place_words": place_words(standing),
    }


def _at(sheet: Sheet, height_mm: float, clock: float | None) -> list[float]:
    """The trunk at a height; its bark on a side where one is known, else its middle."""
    table = sheet.measured.table
    row = trunk_row_at(sheet, height_mm)
    low, high = table.start_mm[row], table.end_mm[row]
    rise_mm = float(high[2] - low[2])
    share = min(1.0, max(0.0, (height_mm - float(low[2])) / rise_mm)) if rise_mm > 0.0 else 0.0
    place = low + share * (high - low)
    if clock is not None:
        place = place + clock_direction(clock) * float(table.diameter_mm[row]) / 2.0
    return _sent(place)


def _sent(place: FloatArray) -> list[float]:
    return [round(float(each), 2) for each in place]
