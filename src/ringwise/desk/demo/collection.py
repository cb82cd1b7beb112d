"""The demo yard as values of a collection: invented trees, pots, places, mixes and entries, read from `data`.

All of it is made up; people are roles ("grower", "helper"). Ids are stable, so that a demo built twice is
the same demo.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from importlib import resources

from ringwise.kit.errors import ParameterError
from ringwise.kit.tables import load_rows
from ringwise.records.dates import FuzzyDate, exact_day, parse_fuzzy_date
from ringwise.records.model import Entry, Hole, JsonValue, Mix, Place, Pot, Tree

PACKAGE = "ringwise.desk.demo"
GROWER, HELPER = "grower", "helper"
_EVENING = time(18, 0, tzinfo=UTC)  # when the day's notes are written down

Row = Mapping[str, str]


@dataclass(frozen=True)
class Lot:
    """Seedlings, seeds, whips or cuttings that are counted, not named."""

    id: str
    species: str
    kind: str
    count: int
    started: FuzzyDate
    note: str = ""


@dataclass(frozen=True)
class DemoWindow:
    """An invented window of the season to come, for comparison: opening and closing day at even odds."""

    tree: str
    operation: str
    opens: date
    closes: date
    minutes_min: int
    two_people: bool
    mix: str


@dataclass(frozen=True)
class DemoEvent:
    """Weather or trouble of the invented year; blank figures are None."""

    first: date
    last: date
    kind: str
    tmin_degC: float | None
    tmax_degC: float | None
    rain_mm: float | None
    text: str


@dataclass(frozen=True)
class DemoCollection:
    """Everything of the demo yard but its weather; `values` can be saved as they stand, in order."""

    settings: Mapping[str, str]
    trees: tuple[Tree, ...]
    pots: tuple[Pot, ...]
    places: tuple[Place, ...]
    mixes: tuple[Mix, ...]
    entries: tuple[Entry, ...]
    lots: tuple[Lot, ...]
    windows: tuple[DemoWindow, ...]
    events: tuple[DemoEvent, ...]
    yard: Mapping[str, str]
    notebook: str

    @property
    def today(self) -> date:
        """The day that the demo takes for today."""
        return date.fromisoformat(self.settings["today"])

    @property
    def values(self) -> tuple[Tree | Pot | Place | Mix | Entry, ...]:
        """Trees, pots, places and mixes, then the entries from the first to the last."""
        return (*self.trees, *self.pots, *self.places, *self.mixes, *self.entries)


def demo_values() -> DemoCollection:
    """The demo yard, read anew from its data files."""
    settings = {row["key"]: row["value"] for row in _rows("settings")}
    yard = {row["key"]: row["value"] for row in _rows("yard")}
    return DemoCollection(
        settings=settings,
        trees=tuple(_tree(row) for row in _rows("trees")),
        pots=tuple(_pot(row) for row in _rows("pots")),
        places=tuple(_places()),
        mixes=tuple(Mix(row["id"], row["name"], _parts(row["parts"]), row["note"]) for row in _rows("mixes")),
        entries=_numbered(_entries(date.fromisoformat(yard["planning_day"])), settings["today"]),
        lots=tuple(_lot(row) for row in _rows("lots")),
        windows=tuple(_window(row) for row in _rows("windows_2027")),
        events=tuple(_event(row) for row in _rows("events")),
        yard=yard,
        notebook=_text("notebook.txt"),
    )


def _rows(name: str) -> Sequence[Row]:
    return load_rows(PACKAGE, name)


def _text(file: str) -> str:
    return (resources.files(PACKAGE) / "data" / file).read_text(encoding="utf-8")


def _day(row: Row, column: str) -> FuzzyDate:
    return parse_fuzzy_date(row[column], field=column)


def _number(text: str) -> float | None:
    return float(text) if text else None


def _tree(row: Row) -> Tree:
    return Tree(
        id=row["id"],
        name=row["name"],
        species=row["species"],
        species_sure=row["species_sure"] == "yes",
        origin=row["origin"],
        started=_day(row, "started"),
        stage=row["stage"],
        parent=row["parent"] or None,
        front_mark=row["front_mark"],
        goal=row["goal"],
        size_class=row["size_class"],
        quarantine_until=date.fromisoformat(row["quarantine_until"]) if row["quarantine_until"] else None,
        note=row["note"],
    )


def _hole(text: str) -> Hole:
    """A hole written as width@x:y in mm."""
    width, _, centre = text.partition("@")
    x, _, y = centre.partition(":")
    return Hole(float(width), float(x), float(y))


def _pot(row: Row) -> Pot:
    return Pot(
        id=row["id"],
        shape=row["shape"],
        length_mm=_number(row["length_mm"]),
        width_mm=_number(row["width_mm"]),
        depth_mm=_number(row["depth_mm"]),
        typed=row["typed"],
        holes=tuple(_hole(each) for each in row["holes"].split("|")),
        material=row["material"],
        colour=row["colour"],
        tree=row["tree"] or None,
        note=row["note"],
    )


def _places() -> Iterator[Place]:
    stays: Counter[str] = Counter()
    for row in _rows("places"):
        stays[row["tree"]] += 1
        until = _day(row, "until") if row["until"] else None
        place_id = f"{row['tree']}-place-{stays[row['tree']]}"
        yield Place(place_id, row["tree"], row["place"], row["kind"], _day(row, "since"), until)


def _parts(text: str) -> tuple[tuple[str, float], ...]:
    pairs = (part.split("=") for part in text.split("|"))
    return tuple((component, float(share)) for component, share in pairs)


def _lot(row: Row) -> Lot:
    return Lot(row["id"], row["species"], row["kind"], int(row["count"]), _day(row, "started"), row["note"])


def _window(row: Row) -> DemoWindow:
    opens, closes = date.fromisoformat(row["opens"]), date.fromisoformat(row["closes"])
    two_people = row["two_people"] == "yes"
    return DemoWindow(
        row["tree"], row["operation"], opens, closes, int(row["minutes_min"]), two_people, row["mix"]
    )


def _event(row: Row) -> DemoEvent:
    first, last = date.fromisoformat(row["first"]), date.fromisoformat(row["last"])
    return DemoEvent(
        first=first,
        last=last,
        kind=row["kind"],
        tmin_degC=_number(row["tmin_degC"]),
        tmax_degC=_number(row["tmax_degC"]),
        rain_mm=_number(row["rain_mm"]),
        text=row["text"],
    )


def _entries(planning_day: date) -> Iterator[Entry]:
    """All entries without ids; plans and questions were written down on the planning day."""
    for name, kind, read in _SEEN:
        for row in _rows(name):
            yield _entry(row, kind or row["kind"], read(row))
    for each in json.loads(_text("tapes.json")):
        yield Entry(
            "", each["tree"], "tape", exact_day(date.fromisoformat(each["on"])), each["tape"], by=GROWER
        )
    written = datetime.combine(planning_day, _EVENING)
    for row in _rows("planned"):
        yield replace(_entry(row, "planned", _planned(row)), recorded_at=written)
    for row in _rows("questions"):
        yield replace(_entry(row, "question", _question(row)), recorded_at=written)


def _entry(row: Row, kind: str, data: Mapping[str, JsonValue]) -> Entry:
    day = _day(row, "on")
    recorded = row.get("recorded", "")
    by = HELPER if kind in {"drain", "days_dry"} else GROWER
    return Entry(
        id="",
        tree=row["tree"],
        kind=kind,
        on=day,
        data=data,
        note=row.get("note", ""),
        by=by,
        confirmed_by=GROWER if by == HELPER else "",
        recorded_at=datetime.combine(date.fromisoformat(recorded), _EVENING) if recorded else None,
    )


def _stage(row: Row) -> Mapping[str, JsonValue]:
    before: Mapping[str, JsonValue] = (
        {"last_seen_before": row["last_seen_before"]} if row["last_seen_before"] else {}
    )
    return {"code": row["code"], "extent": row["extent"], **before}


def _measurement(row: Row) -> Mapping[str, JsonValue]:
    value = float(row["value"])
    if row["kind"] == "vigour":
        return {"score": int(value)}
    if row["kind"] == "height":
        return {"height_mm": value}
    return {"diameter_mm": value, "at_mm": float(row["at_mm"])}


def _drain(row: Row) -> Mapping[str, JsonValue]:
    return {"seconds": float(row["seconds"]), "water_cm3": float(row["water_cm3"])}


def _graft_check(row: Row) -> Mapping[str, JsonValue]:
    return {
        "site": row["site"],
        "before_mm": float(row["before_mm"]),
        "after_mm": float(row["after_mm"]),
    }


def _filled(row: Row, *columns: str) -> dict[str, JsonValue]:
    return {name: row[name] for name in columns if row[name]}


def _planned(row: Row) -> Mapping[str, JsonValue]:
    data = _filled(row, "operation", "pot", "mix", "site", "amount", "reason")
    for share in ("root_removed_frac", "worked_frac"):
        if row[share]:
            data[share] = float(row[share])
    return data


def _question(row: Row) -> Mapping[str, JsonValue]:
    return {"title": row["title"], "courses": row["courses"].split("|")}


_SEEN: tuple[tuple[str, str, Callable[[Row], Mapping[str, JsonValue]]], ...] = (
    ("stages", "stage", _stage),
    ("measurements", "", _measurement),
    ("drains", "drain", _drain),
    ("days_dry", "days_dry", lambda row: {"days": float(row["days"])}),
    ("graft_checks", "graft_check", _graft_check),
    ("works", "work", lambda row: _filled(row, "operation", "pot", "site")),
    ("notes", "note", lambda row: {}),
)


def _numbered(entries: Iterator[Entry], today: str) -> tuple[Entry, ...]:
    """The entries in the order in which they were written down, each with an id of tree, kind and count."""
    last = datetime.combine(date.fromisoformat(today), _EVENING)
    dated = [replace(entry, recorded_at=entry.recorded_at or min(_written(entry), last)) for entry in entries]
    dated.sort(key=lambda entry: (entry.recorded_at or last, entry.tree, entry.kind))
    seen: Counter[str] = Counter()
    numbered = []
    for entry in dated:
        stem = f"{entry.tree}-{entry.kind}"
        seen[stem] += 1
        numbered.append(replace(entry, id=f"{stem}-{seen[stem]}"))
    return tuple(numbered)


def _written(entry: Entry) -> datetime:
    """The evening of the last day that an entry's date may mean."""
    if entry.on.by is None:
        raise ParameterError(
            f"demo entry {entry.tree} {entry.kind} of unknown date lacks the day it was written"
        )
    return datetime.combine(entry.on.by, _EVENING)
