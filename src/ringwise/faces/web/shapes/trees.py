"""A tree: its row in the list, its room, its entries and what may be logged."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from ringwise.faces.web.shapes.base import Asked, Choice, Day, JsonData, Said, Told
from ringwise.faces.web.shapes.windows import Window


class Next(Said):
    """The work that comes next on a tree."""

    operation: str
    operation_words: str
    state: Literal["ahead", "open", "closed", "blocked"]
    shown: str
    wanted: bool = Field(description="Whether it is planned or due, so that copper may mark it.")


class TreeRow(Said):
    """A tree in the list."""

    id: str
    name: str
    species: str
    botanical_name: str
    common_name: str
    place: str
    stage: str
    vigour: int | None
    trunk_mm: Told
    girth_mm: Told
    height_mm: Told
    pot_shown: str
    photo: str | None = Field(description="SHA-256 of the latest photo from the front.")
    next: Next | None
    retired: bool


class TreeList(Said):
    """Part of the list."""

    total: int
    offset: int
    trees: list[TreeRow]
    places: list[Choice] = Field(description="To filter by, with the count in `more`.")
    species: list[Choice]


class Fact(Said):
    """Something known of a tree: a label, a number with its why, and the day it was seen."""

    key: str
    label: str
    told: Told
    on: Day | None
    entry: str | None


class PhotoFact(Said):
    """The photo of an entry."""

    sha256: str
    view: str
    width_px: int
    height_px: int
    date_from: str
    mirrored: bool


class EntryGiven(Asked):
    """What is typed of an entry; all of it text, read as the command line reads it."""

    what: Literal[
        "stage",
        "girth",
        "trunk",
        "height",
        "vigour",
        "drain",
        "dry",
        "weight",
        "watered",
        "graft",
        "note",
        "work",
        "plan",
        "photo",
        "tape",
        "shape",
        "wound",
        "roots",
        "aim",
        "question",
        "result",
        "course",
        "decision",
    ]
    value: str = ""
    date: str = Field(default="", description="Any date the record understands; blank for today.")
    extent: str = ""
    not_before: str = ""
    at: str = ""
    root_removed: str = ""
    pot: str = ""
    mix: str = ""
    minutes: str = ""
    reason: str = ""
    view: str = ""
    when: str = ""
    review: str = Field(default="", description="When a decision is to be looked at again.")
    note: str = ""
    by: str | None = None
    confirmed_by: str | None = None
    key: str | None = Field(
        default=None,
        pattern=r"^[a-z0-9-]{8,64}$",
        description="Made by the app; sent twice, it is stored once.",
    )


class Entry(Said):
    """An entry."""

    id: str
    tree: str
    kind: str
    on: Day
    words: str
    note: str
    by: str
    confirmed_by: str
    recorded_at: str | None
    revision: int
    photo: PhotoFact | None
    data: JsonData
    given: EntryGiven | None = Field(description="As it would be typed again; null where a form cannot.")


class EntryChange(EntryGiven):
    """A correction: everything as it should read now."""

    revision: int = Field(
        ge=1, le=1_000_000, description="The revision that was seen; a later one is a conflict."
    )


class Revision(Said):
    """One stored state of an entry or a sheet."""

    revision: int
    recorded_at: str
    recorded_shown: str
    by: str
    command: str
    words: str
    note: str
    on: Day | None
    withdrawn: bool


class History(Said):
    """Every stored state, newest first."""

    kind: str
    id: str
    tree: str
    revisions: list[Revision]


class Entries(Said):
    """Part of a tree's entries, newest first."""

    total: int
    entries: list[Entry]


class Task(Said):
    """An open task of a tree: planned work, an open question, aftercare."""

    entry: str | None
    kind: Literal["planned", "question", "due"]
    words: str
    when: str
    state: str
    reasons: list[str]
    conflicts: list[str]
    why: str | None


class PotFact(Said):
    """The pot a tree stands in."""

    id: str
    words: str
    shape: str
    length_mm: float | None
    width_mm: float | None
    depth_mm: float | None
    volume_cm3: Told
    material: str
    colour: str
    mix: str
    mix_words: str
    last_repot: Day | None


class TreePage(Said):
    """The room of one tree, but for its dial and photos."""

    id: str
    name: str
    species: str
    botanical_name: str
    common_name: str
    species_sure: bool
    group: str
    origin: str
    started: Day
    age_shown: str
    stage: str
    stage_words: str
    parent: str | None
    front_mark: str
    goal: str
    note: str
    quarantine_until: str | None
    retired: Day | None
    place: str | None
    place_kind: str | None
    since: Day | None
    facts: list[Fact]
    pot: PotFact | None
    windows: list[Window]
    tasks: list[Task]
    entries: list[Entry]
    entry_count: int
    revision: int


class TreeGiven(Asked):
    """A new tree, as typed; only name and species need be known."""

    name: str
    species: str
    id: str | None = None
    origin: str = ""
    started: str = "unknown"
    stage: str = ""
    parent: str | None = None
    front_mark: str = ""
    goal: str = ""
    place: str = ""
    height: str = ""
    trunk: str = ""
    girth: str = ""


class TreeChange(Asked):
    """Fields of a tree's sheet to correct; what is left out stays."""

    revision: int = Field(ge=1, le=1_000_000)
    name: str | None = None
    species: str | None = None
    origin: str | None = None
    started: str | None = None
    stage: str | None = None
    front_mark: str | None = None
    goal: str | None = None
    note: str | None = None


class Retired(Asked):
    """Why a tree leaves the collection."""

    reason: str = ""


class StageChoice(Said):
    """A stage to choose: our own drawing, plain words, and when it is expected."""

    code: str
    words: str
    look: str = Field(description="What to look for, in a sentence.")
    drawing: str = Field(description="Name of the line drawing, by tree group.")
    expected: str
    seen: str | None = Field(description="Day on which it was seen this growing year.")
    likely: bool = Field(description="Whether it is among the likely ones today.")


class LogChoices(Said):
    """What can be logged on a tree, with what the app needs for each."""

    stages: list[StageChoice]
    operations: list[Choice]
    pots: list[Choice]
    mixes: list[Choice]
    views: list[Choice]
    vigours: list[Choice]
    moments: list[Choice]
    training: list[Choice]


class PhotoRow(Said):
    """A photo of the strip."""

    entry: str
    revision: int
    sha256: str
    view: str
    on: Day
    date_from: str
    note: str
    width_px: int
    height_px: int
    mirrored: bool
    align: list[list[float]] | None
    rim: list[list[float]] | None
    rim_mm: float | None
    mm_per_px: Told | None
    matrix: list[float] | None = Field(
        description="a b c d e f: lays it on the reference photo, in widths of the reference."
    )


class ViewStrip(Said):
    """The photos of one side through the years, oldest first."""

    view: str
    view_words: str
    reference: str | None
    photos: list[PhotoRow]


class Strips(Said):
    """All photos of a tree by side, and the sides that are missing this growing year."""

    tree: str
    strips: list[ViewStrip]
    missing: list[Choice]


class PhotoChange(Asked):
    """New tags or marks of a photo; what is left out stays, an empty list clears."""

    revision: int = Field(ge=1, le=1_000_000)
    view: str | None = None
    date: str | None = None
    note: str | None = None
    align: list[list[float]] | None = None
    rim: list[list[float]] | None = None
    rim_width: str | None = Field(default=None, description="With its unit; blank for the pot's own length.")
    mirrored: bool | None = None
