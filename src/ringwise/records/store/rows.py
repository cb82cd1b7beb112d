"""How each value lies in its table, and back."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from sqlalchemy import Table

from ringwise.kit.errors import unknown_name
from ringwise.records.dates import FuzzyDate
from ringwise.records.model import Entry, Hole, Mix, Place, Pot, Setting, Tree, Value
from ringwise.records.store import tables

FIRST_COLUMNS = ("id", "revision", "action_id", "recorded_at", "recorded_on", "withdrawn")


@dataclass(frozen=True)
class Codec:
    """A kind of value: its table, the letter of its given ids, and both ways between value and row."""

    kind: str
    table: Table
    letter: str
    to_row: Callable[[Any], dict[str, Any]]
    to_value: Callable[[Sequence[Any]], Any]  # a whole row in the order of the table's columns

    @property
    def payload(self) -> tuple[str, ...]:
        """The names of the columns that hold the value."""
        return tuple(self.table.columns.keys()[len(FIRST_COLUMNS) :])


def _packed(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)


def _iso(when: date | None) -> str | None:
    return None if when is None else when.isoformat()


def _fuzzy_row(prefix: str, when: FuzzyDate | None) -> dict[str, Any]:
    if when is None:
        return dict.fromkeys(f"{prefix}_{part}" for part in ("typed", "earliest", "latest", "precision"))
    return {
        f"{prefix}_typed": when.typed,
        f"{prefix}_earliest": _iso(when.earliest),
        f"{prefix}_latest": _iso(when.latest),
        f"{prefix}_precision": when.precision,
    }


@lru_cache(maxsize=16_384)  # thousands of entries share a day: one value for all keeps a served yard small
def _fuzzy(typed: str, earliest: str | None, latest: str | None, precision: str) -> FuzzyDate:
    return FuzzyDate(typed, _day(earliest), _day(latest), precision)


def _fuzzy_or_none(cells: Sequence[Any]) -> FuzzyDate | None:
    return None if cells[0] is None else _fuzzy(cells[0], cells[1], cells[2], cells[3])


@lru_cache(maxsize=1024)  # one moment for all entries of a step
def _moment(text: str) -> datetime:
    return datetime.fromisoformat(text)


def _tree_row(tree: Tree) -> dict[str, Any]:
    return {
        "name": tree.name,
        "species": tree.species,
        "species_sure": int(tree.species_sure),
        "origin": tree.origin,
        **_fuzzy_row("started", tree.started),
        "stage": tree.stage,
        "parent": tree.parent,
        "front_mark": tree.front_mark,
        "goal": tree.goal,
        "size_class": tree.size_class,
        "quarantine_until": _iso(tree.quarantine_until),
        **_fuzzy_row("retired", tree.retired),
        "note": tree.note,
    }


def _tree(row: Sequence[Any]) -> Tree:
    name, species, sure, origin, *rest = row[6:]
    stage, parent, front_mark, goal, size_class, quarantine_until = rest[4:10]
    return Tree(
        id=row[0],
        name=name,
        species=species,
        species_sure=bool(sure),
        origin=origin,
        started=_fuzzy(rest[0], rest[1], rest[2], rest[3]),
        stage=stage,
        parent=parent,
        front_mark=front_mark,
        goal=goal,
        size_class=size_class,
        quarantine_until=_day(quarantine_until),
        retired=_fuzzy_or_none(rest[10:14]),
        note=rest[14],
    )


def _place_row(place: Place) -> dict[str, Any]:
    return {
        "tree": place.tree,
        "place": place.place,
        "kind": place.kind,
        **_fuzzy_row("since", place.since),
        **_fuzzy_row("until", place.until),
        "x_mm": place.x_mm,
        "y_mm": place.y_mm,
    }


def _place(row: Sequence[Any]) -> Place:
    tree, place, kind, *dates = row[6:]
    since = _fuzzy(dates[0], dates[1], dates[2], dates[3])
    return Place(row[0], tree, place, kind, since, _fuzzy_or_none(dates[4:8]), *dates[8:])


def _pot_row(pot: Pot) -> dict[str, Any]:
    return {
        "shape": pot.shape,
        "length_mm": pot.length_mm,
        "width_mm": pot.width_mm,
        "depth_mm": pot.depth_mm,
        "typed": pot.typed,
        "holes": _packed([[hole.diameter_mm, hole.x_mm, hole.y_mm] for hole in pot.holes]),
        "material": pot.material,
        "colour": pot.colour,
        "tree": pot.tree,
        "note": pot.note,
    }


def _pot(row: Sequence[Any]) -> Pot:
    shape, length_mm, width_mm, depth_mm, typed, holes, material, colour, tree, note = row[6:]
    drilled = tuple(Hole(*(float(x) for x in hole)) for hole in json.loads(holes))
    return Pot(row[0], shape, length_mm, width_mm, depth_mm, typed, drilled, material, colour, tree, note)


def _mix_row(mix: Mix) -> dict[str, Any]:
    return {"name": mix.name, "parts": _packed([list(part) for part in mix.parts]), "note": mix.note}


def _mix(row: Sequence[Any]) -> Mix:
    name, parts, note = row[6:]
    return Mix(row[0], name, tuple((str(part), float(share)) for part, share in json.loads(parts)), note)


def _entry_row(entry: Entry) -> dict[str, Any]:
    return {
        "tree": entry.tree,
        "kind": entry.kind,
        **_fuzzy_row("noted", entry.on),
        "data": _packed(entry.data),
        "note": entry.note,
        "by_whom": entry.by,
        "confirmed_by": entry.confirmed_by,
    }


def _entry(row: Sequence[Any]) -> Entry:
    id_, revision, _action, recorded_at, _on, _withdrawn, tree, kind = row[:8]
    typed, earliest, latest, precision, data, note, by, confirmed_by = row[8:]
    return Entry(
        id=id_,
        tree=tree,
        kind=kind,
        on=_fuzzy(typed, earliest, latest, precision),
        data=json.loads(data),
        note=note,
        by=by,
        confirmed_by=confirmed_by,
        recorded_at=_moment(recorded_at),
        revision=revision,
    )


CODECS: dict[str, Codec] = {
    codec.kind: codec
    for codec in (
        Codec("tree", tables.TREES, "T", _tree_row, _tree),
        Codec("place", tables.PLACES, "L", _place_row, _place),
        Codec("pot", tables.POTS, "P", _pot_row, _pot),
        Codec("mix", tables.MIXES, "M", _mix_row, _mix),
        Codec("entry", tables.ENTRIES, "E", _entry_row, _entry),
        Codec(
            "setting",
            tables.SETTINGS,
            "S",
            lambda setting: {"value": _packed(setting.value)},
            lambda row: Setting(row[0], json.loads(row[6])),
        ),
        Codec("weather", tables.WEATHER_BATCHES, "W", dict, tuple),
    )
}
_KINDS: dict[type, str] = {
    Tree: "tree",
    Place: "place",
    Pot: "pot",
    Mix: "mix",
    Entry: "entry",
    Setting: "setting",
}


def codec_named(kind: str) -> Codec:
    """How a kind of value is stored.

    Parameters
    ----------
    kind : str
        "tree", "place", "pot", "mix", "entry", "setting" or "weather".

    Returns
    -------
    Codec
        Its table and conversions.

    Raises
    ------
    UnknownNameError
        If there is no such kind.

    Examples
    --------
    >>> codec_named("pot").table.name
    'pot_revisions'
    """
    if kind not in CODECS:
        raise unknown_name("kind", kind, CODECS)
    return CODECS[kind]


def codec_of(value: Value) -> Codec:
    """How a value is stored.

    Parameters
    ----------
    value : Tree, Place, Pot, Mix, Entry or Setting
        The value.

    Returns
    -------
    Codec
        Its table and conversions.

    Examples
    --------
    >>> codec_of(Mix("D", "deciduous", (("pumice", 1.0),))).kind
    'mix'
    """
    return CODECS[_KINDS[type(value)]]
