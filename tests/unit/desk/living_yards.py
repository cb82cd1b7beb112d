"""A small invented yard with weather, made quickly, for the tests of what stays open."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from ringwise.desk.demo.weather import demo_weather
from ringwise.desk.settings import write_settings
from ringwise.desk.weather import rows_of
from ringwise.records.dates import exact_day
from ringwise.records.model import Action, Change, Entry, JsonValue, Place, Pot, Tree
from ringwise.records.store import Store, open_store

TODAY = date(2027, 3, 7)
NOW = Action("grower", "log", datetime(2027, 3, 7, 12, tzinfo=UTC))


def entry(tree: str, kind: str, days_ago: int, data: dict[str, JsonValue], note: str = "") -> Entry:
    """An entry of some days ago."""
    return Entry("", tree, kind, exact_day(TODAY - timedelta(days=days_ago)), data, note=note)


def stage(tree: str, code: str, days_ago: int) -> Entry:
    """A stage seen some days ago."""
    return entry(tree, "stage", days_ago, {"code": code, "extent": "first"})


def small_yard(folder: Path, *, weather: bool = True) -> Path:
    """Six trees of five kinds on two benches, one of a kind in no list, with plans and past springs."""
    write_settings(folder, {"name": "Small yard", "latitude_deg": 52.4, "today": TODAY, "invented": True})
    kinds = ("acer_palmatum", "larix_decidua", "ulmus_parvifolia", "pinus_sylvestris", "acer_palmatum")
    trees = [Tree(f"T{n}", f"Mill {n}", kind, note="by the gate") for n, kind in enumerate(kinds, 1)]
    trees.append(Tree("T10", "Unlisted", "a seedling of no list"))
    values: list[Change] = [*trees]
    values += [Pot(f"P{t.id}", "oval", 400.0, 300.0, 70.0, tree=t.id) for t in trees[:4]]
    values += [
        Place("", t.id, "left bench" if n < 3 else "right bench", "bench", exact_day(TODAY))
        for n, t in enumerate(trees)
    ]
    for back in range(1, 4):
        values += [stage("T1", "07", 365 * back - 10), stage("T3", "07", 365 * back - 20)]
    values += [
        entry("T1", "planned", 30, {"operation": "repot"}),
        entry("T2", "planned", 20, {"operation": "wire"}),
        entry("T4", "vigour", 5, {"score": 1}),
        entry("T4", "planned", 4, {"operation": "repot"}),
        entry("T1", "trunk", 400, {"diameter_mm": 41.0}),
        entry("T1", "height", 400, {"height_mm": 440.0}),
        entry("T2", "trunk", 50, {"diameter_mm": 60.0}),
    ]
    with open_store(folder) as store:
        store.save(NOW, values)
        if weather:
            store.weather_put(NOW, rows_of(demo_weather(TODAY, first=date(2015, 11, 1))))
    return folder


def save(store: Store, *values: Change) -> int:
    """Store values as one step."""
    return store.save(NOW, list(values))
