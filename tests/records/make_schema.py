"""Fills a collection at the newest version of the schema and writes it as SQL text beside this script.

Run it once when a migration is added, before that migration is released:

    python tests/records/make_schema.py

It writes tests/records/schemas/<version>.sql. Files of earlier versions are never written again: they are
what older collections look like, and every one of them must migrate to the newest version. After writing a
new one, add what it holds to `EXPECTED` in test_migrations.py by hand.
"""

from __future__ import annotations

import sqlite3
import sys
import tempfile
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np

from ringwise.records.dates import exact_day, parse_fuzzy_date
from ringwise.records.model import Action, Entry, Hole, JsonValue, Mix, Place, Pot, Setting, Tree, Withdrawn
from ringwise.records.store import WeatherRows, open_store
from ringwise.records.store.migrating import known_versions

SCHEMAS = Path(__file__).parent / "schemas"
START = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)


def _action(command: str, day: int) -> Action:
    return Action("Ida", command, START + timedelta(days=day))


def _entry(tree: str, kind: str, typed: str, data: dict[str, JsonValue], note: str = "") -> Entry:
    return Entry(
        "", tree, kind, parse_fuzzy_date(typed, field="on"), data, note, by="Ida", confirmed_by="Jon"
    )


def _values() -> list[Tree | Pot | Mix | Place | Setting]:
    old = parse_fuzzy_date("about 1984", field="started")
    return [
        Tree(
            "T01", "Gatepost", "Carpinus betulus", started=old, stage="S7", front_mark="pin", size_class="L"
        ),
        Tree("T02", "Spindle", "Malus", species_sure=False, parent="T01", quarantine_until=date(2026, 9, 1)),
        Tree("T03", "Long Gone", "Ulmus procera", retired=parse_fuzzy_date("2025", field="retired")),
        Pot(
            "P1", "oval", 304.8, 228.6, 63.5, "12x9x2.5 in", (Hole(18.0, -60.0, 0.0),), "clay", "grey", "T01"
        ),
        Pot("P2", "ground", None, None, None),
        Mix("D", "deciduous", (("pumice", 2.0), ("bark", 1.0))),
        Place(
            "L1", "T01", "B3", "bench", parse_fuzzy_date("spring 21", field="since"), x_mm=450.0, y_mm=250.0
        ),
        Place("L2", "T02", "Shed", "shed", exact_day(date(2026, 1, 1)), exact_day(date(2026, 3, 1))),
        Setting("south", False),
    ]


def _entries() -> list[Entry]:
    return [
        _entry(
            "T01", "stage", "2026-03-20", {"code": "07", "extent": "first", "last_seen_before": "2026-03-15"}
        ),
        _entry("T01", "girth", "2026-03-20", {"girth_mm": 520.0, "typed": {"girth_mm": "52 cm"}}),
        _entry("T01", "work", "spring 21", {"operation": "repot", "root_removed_frac": 0.5}, "mice"),
        _entry("T02", "vigour", "no idea", {"score": 2}),
        _entry("T02", "note", "2026-03-21", {}, "smells sour below; “cold” Ø"),
        _entry("T02", "planned", "spring 2027", {"operation": "root_rescue", "reason": "V2"}),
    ]


def fill(folder: Path) -> Path:
    """A collection with something in every table; returns its file."""
    with open_store(folder, engine="standard") as store:
        store.save(_action("first evening", 0), _values())
        store.save(_action("log", 1), _entries())
        store.save(_action("correct", 2), [replace(store.entry("E2"), data={"girth_mm": 525.0})])
        store.save(_action("delete", 3), [Withdrawn("entry", "E5")])
        store.save(_action("slip", 4), [Tree("T01", "Slip", "Fagus sylvatica")])
        store.undo("Ida", START + timedelta(days=5))
        days = WeatherRows(
            "yard",
            date(2026, 3, 1),
            {"tmin_degC": np.array([1.5, np.nan, 3.0]), "rain_mm": np.array([0.0, 2.5, 0.0])},
            np.array([False, True, False]),
            "invented",
            invented=True,
        )
        store.weather_put(_action("weather import", 6), days)
        flags = np.array([False, False])
        ahead = WeatherRows(
            "yard", date(2026, 3, 9), {"tmin_degC": np.array([2.0, 4.0])}, flags, "", True, "forecast"
        )
        shed = WeatherRows(
            "Shed", date(2026, 3, 8), {"tmin_degC": np.array([5.0])}, flags[:1], "", True, "place"
        )
        store.weather_put_all(_action("weather import", 7), [ahead, shed])
        store.result_put("abc", "outlook", '{"day": 87}', made=START, engine_version="1", seed=7)
        store.jobs.start("job-1", "futures", START, resume='{"from": 3}')
        store.jobs.progress("job-1", START, 0.25, block=0, payload=b"\x00\x01")
        return store.path


def as_sql(path: Path) -> str:
    """The file as SQL text, with the mark that makes it a collection."""
    connection = sqlite3.connect(path)
    mark = connection.execute("PRAGMA application_id").fetchone()[0]
    text = "\n".join(connection.iterdump())
    connection.close()
    return f"PRAGMA application_id = {mark};\n{text}\n"


def main() -> None:
    """Write the file of the newest version, unless it is there already."""
    target = SCHEMAS / f"{known_versions()[-1]}.sql"
    if target.exists():
        sys.exit(f"{target.name} exists; what older collections look like is never written again")
    with tempfile.TemporaryDirectory() as folder:
        target.write_text(as_sql(fill(Path(folder) / "yard")), encoding="utf-8")


if __name__ == "__main__":
    main()
