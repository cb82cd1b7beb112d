"""What a collection holds, as values: trees, places, pots, mixes, entries and who did what."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import TypeAlias

from ringwise.records.dates import UNKNOWN, FuzzyDate

JsonValue: TypeAlias = "str | int | float | bool | Sequence[JsonValue] | Mapping[str, JsonValue] | None"

POT_SHAPES = ("oval", "rectangle", "round", "hexagon", "octagon", "ground")
PLACE_KINDS = ("bench", "shade", "shed", "tunnel", "ground", "show", "lent", "quarantine")
SIZE_CLASSES = ("XS", "S", "M", "L", "XL", "F")  # by substrate volume; F stands in the ground
STAGES = ("S1", "S2", "S3", "S4", "S5", "S6", "S7", "S8", "S9", "X", "R")  # stages of training, regress, rest
PHOTO_VIEWS = ("front", "right", "back", "left", "top", "underside", "detail")
ENTRY_KINDS = (
    "stage",
    "girth",
    "trunk",
    "height",
    "vigour",
    "drain",
    "days_dry",
    "weight",
    "watered",
    "graft_check",
    "note",
    "photo",
    "tape",
    "shape",
    "wound",
    "roots",
    "work",
    "planned",
    "question",
    "result",
    "course",
    "decision",
    "aim",
)


@dataclass(frozen=True)
class Typed:
    """A value kept as typed and in the unit used inside; None where it is unknown."""

    typed: str
    value: float | None


@dataclass(frozen=True)
class Tree:
    """A tree; `front_mark` is the physical mark (pot foot, trunk pin) that fixes clock position 6."""

    id: str
    name: str
    species: str
    species_sure: bool = True
    origin: str = ""
    started: FuzzyDate = UNKNOWN
    stage: str | None = None
    parent: str | None = None
    front_mark: str = ""
    goal: str = ""
    size_class: str | None = None
    quarantine_until: date | None = None
    retired: FuzzyDate | None = None
    note: str = ""


@dataclass(frozen=True)
class Place:
    """Where a tree stands, from and to; an open `until` is None. A blank id is given by the store.

    `x_mm` and `y_mm` are its spot: the trunk from the left end and from the front edge of the bench.
    """

    id: str
    tree: str
    place: str
    kind: str
    since: FuzzyDate
    until: FuzzyDate | None = None
    x_mm: float | None = None
    y_mm: float | None = None


@dataclass(frozen=True)
class Hole:
    """A drain hole: its width and its centre from the middle of the pot (x to the right, y to the back)."""

    diameter_mm: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True)
class Pot:
    """A pot by its inside measures, as typed and in mm; `tree` is the tree that stands in it."""

    id: str
    shape: str
    length_mm: float | None
    width_mm: float | None
    depth_mm: float | None
    typed: str = ""
    holes: tuple[Hole, ...] = ()
    material: str = ""
    colour: str = ""
    tree: str | None = None
    note: str = ""


@dataclass(frozen=True)
class Mix:
    """A recipe: components with their parts by volume."""

    id: str
    name: str
    parts: tuple[tuple[str, float], ...]
    note: str = ""


@dataclass(frozen=True)
class Entry:
    """One thing seen, done or planned. A blank id is given by the store; revision 0 is not yet stored."""

    id: str
    tree: str
    kind: str
    on: FuzzyDate
    data: Mapping[str, JsonValue] = field(default_factory=dict)
    note: str = ""
    by: str = ""
    confirmed_by: str = ""
    recorded_at: datetime | None = None
    revision: int = 0


@dataclass(frozen=True)
class Setting:
    """A setting of the collection that is part of its history."""

    id: str
    value: JsonValue


@dataclass(frozen=True)
class Withdrawn:
    """Takes a stored value ("tree", "entry" and so on) out of the current view; its history stays."""

    kind: str
    id: str


@dataclass(frozen=True)
class Action:
    """One step of work: who, by which command, at which local time with its offset."""

    by: str
    command: str
    at: datetime


Value: TypeAlias = Tree | Place | Pot | Mix | Entry | Setting
Change: TypeAlias = Value | Withdrawn
