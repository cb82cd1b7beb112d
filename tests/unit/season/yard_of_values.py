"""Small trees and forecasts for the season's tests: days in the year 2027, a few samples each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

import numpy as np

from ringwise.kit.days import GrowingYear
from ringwise.kit.trace import Trace
from ringwise.phenology.forecast import StageForecast
from ringwise.phenology.stages import codes_of
from ringwise.records.dates import parse_fuzzy_date
from ringwise.records.facts import TreeFacts, tree_facts
from ringwise.records.model import Entry, JsonValue, Pot, Tree
from ringwise.records.taxa import taxon

TODAY = date(2027, 3, 7)
# First-bud days of the middle sample, counted from 1 January; leaf fall ends on the last days of October.
MIDDLE = {
    "00": -60,
    "01": 72,
    "03": 78,
    "07": 84,
    "09": 90,
    "10": 94,
    "11": 98,
    "15": 108,
    "19": 120,
    "H1": 145,
    "91": 210,
    "92": 270,
    "93": 285,
    "95": 292,
    "97": 300,
}


def forecast(
    key: str, *, spread_days: Sequence[float] = (-4, -2, 0, 2, 4), shift_days: float = 0, south: bool = False
) -> StageForecast:
    """A forecast whose samples are the middle days moved by each of the spread."""
    kind = taxon(key)
    year = GrowingYear(2027, south)
    codes = codes_of(kind.group, kind.leaf_habit)
    first = float(year.day_index(year.start))
    rows = [
        [first if code == "00" else MIDDLE[code] + shift_days + each for code in codes]
        for each in spread_days
    ]
    return StageForecast(
        year=year,
        codes=codes,
        days=np.array(rows, dtype=np.float64),
        model="given",
        own_seasons=0,
        basis="assumed",
        trace=Trace("stage forecast", "given"),
        horizon_index=400,
        weather_years=len(rows),
    )


def entry(
    kind: str, on: str, data: Mapping[str, JsonValue], *, tree: str = "T01", note: str = "", id: str = ""
) -> Entry:
    """An entry of a tree, on a date as typed; its id tells kind, operation and date."""
    name = id or "-".join((tree, kind, str(data.get("operation", "")), on))
    return Entry(name, tree, kind, parse_fuzzy_date(on, field="on"), data, note)


def planned(operation: str, on: str = "2027-03-20", *, tree: str = "T01", **data: JsonValue) -> Entry:
    """A planned work."""
    return entry("planned", on, {"operation": operation, **data}, tree=tree)


def work(operation: str, on: str, *, tree: str = "T01", **data: JsonValue) -> Entry:
    """A work done."""
    return entry("work", on, {"operation": operation, **data}, tree=tree)


def vigour(score: int, *, tree: str = "T01") -> Entry:
    """The vigour seen in late winter."""
    return entry("vigour", "2027-02-21", {"score": score}, tree=tree)


def facts(
    species: str,
    *entries: Entry,
    id: str = "T01",
    pots: Sequence[Pot] = (),
    today: date = TODAY,
    **tree: object,
) -> TreeFacts:
    """What is known of one tree on a day."""
    made = Tree(id, f"Name of {id}", species, **tree)  # type: ignore[arg-type]
    return tree_facts(made, entries=entries, pots=pots, places=(), on=today)
