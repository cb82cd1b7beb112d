"""Yards of any size from a seed, all invented, to measure the server with."""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from ringwise.desk.demo.weather import demo_weather
from ringwise.desk.settings import write_settings
from ringwise.desk.weather import rows_of
from ringwise.records.dates import exact_day
from ringwise.records.model import Action, Entry, JsonValue, Place, Pot, Tree
from ringwise.records.store import open_store
from ringwise.records.taxa import all_taxa

TODAY = date(2027, 3, 7)
TREES_A_BENCH = 40
_NAMES = ("Hollow", "Lane", "Mill", "Ridge", "Fen", "Copse", "Weir", "Barrow", "Stile", "Ford")
_STAGES = ("01", "03", "07", "09", "11", "19", "91", "93", "97")


def build_yard(folder: Path, *, trees: int, entries: int, years: int, seed: int) -> Path:
    """Make an invented yard: trees in pots on benches, with entries spread over so many years.

    Parameters
    ----------
    folder : Path
        New.
    trees, entries, years : int
        How many trees; how many entries in all; over how many years.
    seed : int
        Of everything that is made up.

    Returns
    -------
    Path
        The folder.
    """
    luck = random.Random(seed)
    write_settings(
        folder,
        {
            "name": "Measured yard",
            "owner": "grower",
            "latitude_deg": 52.4,
            "longitude_deg": -1.8,
            "today": TODAY,
            "invented": True,
        },
    )
    kinds = [taxon.key for taxon in all_taxa().values() if not taxon.is_genus]
    action = Action("grower", "build", datetime(2027, 3, 7, 12, tzinfo=UTC))
    values: list[Tree | Pot | Place | Entry] = []
    for number in range(1, trees + 1):
        id_ = f"T{number:05}"
        since = exact_day(TODAY - timedelta(days=luck.randrange(30, 365 * years)))
        name = f"{luck.choice(_NAMES)} {luck.choice(_NAMES)} {number}"
        values.append(
            Tree(id_, name, luck.choice(kinds), started=since, stage="S5", note="invented for measuring")
        )
        values.append(Pot(f"P{number:05}", "oval", 300.0 + number % 200, 220.0, 70.0, tree=id_))
        values.append(Place("", id_, f"bench {1 + number // TREES_A_BENCH}", "bench", since))
    for number in range(entries):
        tree = f"T{1 + number % trees:05}"
        day = TODAY - timedelta(days=luck.randrange(0, 365 * years))
        kind, data = _said(luck, (TODAY - day).days)
        values.append(Entry("", tree, kind, exact_day(day), data, note=luck.choice(_NAMES), by="grower"))
    with open_store(folder) as store:
        store.save(action, values)
        store.weather_put(action, rows_of(demo_weather(TODAY)))
    return folder


def _said(luck: random.Random, age_days: int) -> tuple[str, dict[str, JsonValue]]:
    """What an entry says; older girths are smaller."""
    roll = luck.random()
    if roll < 0.3:
        return "stage", {"code": luck.choice(_STAGES), "extent": "first"}
    if roll < 0.5:
        return "girth", {"girth_mm": round(300.0 - age_days / 50 + luck.random(), 1), "at_mm": 30.0}
    if roll < 0.6:
        return "trunk", {"diameter_mm": round(95.0 - age_days / 160, 1), "at_mm": 30.0}
    if roll < 0.7:
        return "height", {"height_mm": round(600.0 - age_days / 40, 1)}
    if roll < 0.8:
        return "vigour", {"score": luck.randrange(2, 6)}
    if roll < 0.9:
        return "work", {"operation": luck.choice(("repot", "cut_back", "wire"))}
    if roll < 0.93:
        return "planned", {"operation": "repot"}
    return "note", {}
