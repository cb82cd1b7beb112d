"""What every answer is made of: a number with its words and its why, a day, an error, a done deed."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field


class Said(BaseModel):
    """Base of all answers; extra keys would be a drift between desk and contract, so they are refused."""

    model_config = ConfigDict(extra="forbid", json_schema_serialization_defaults_required=True)


class Asked(BaseModel):
    """Base of all bodies that are taken in; an unknown key is an error, not ignored."""

    model_config = ConfigDict(extra="forbid", str_max_length=20_000, allow_inf_nan=False)


class Told(Said):
    """A number as it is shown: its value in the unit used inside, the text, and the name of its why."""

    value: float | None = Field(
        description="In the unit named by the key's suffix or the field's description."
    )
    shown: str = Field(description="With its unit, in the reader's language and units; blank when unknown.")
    why: str | None = Field(description="For GET /api/why; null only where nothing is known.")


class Day(Said):
    """A day as typed and as the interval that it means."""

    typed: str
    earliest: str | None
    latest: str | None
    precision: str = Field(description="day, month, season, year, circa, before, after or unknown")
    shown: str = Field(description="In the reader's language, with the year.")


class Band(Said):
    """A forecast day: one in ten, the median, nine in ten."""

    low: str
    median: str
    high: str
    shown: str
    why: str


TroubleKind = Literal[
    "input",
    "range",
    "date",
    "unit",
    "unknown-name",
    "missing",
    "file",
    "not-found",
    "conflict",
    "not-ready",
    "locked",
    "damaged",
    "refused",
    "too-large",
    "failure",
]


class Trouble(Said):
    """The one shape of every error."""

    error: TroubleKind
    message: str = Field(description="One line: field, value, accepted range, way out.")
    where: str = ""


class Done(Said):
    """Something was stored as one step that can be taken back."""

    action: int | None = Field(description="Number of the step; null where nothing is stored in the record.")
    line: str = Field(description="What was done, in one line, for the notice that offers to take it back.")
    id: str | None = Field(default=None, description="Of the tree, entry or bench that was made or changed.")


class Head(Said):
    """What the title block shows, and whether anything changed."""

    name: str
    owner: str
    invented: bool = Field(description="Whether the yard and its weather are invented.")
    today: str
    today_shown: str
    south: bool
    trees: int
    retired: int
    language: str
    languages: list[str]
    units: Literal["metric", "inch"]
    weather: Literal["measured", "described", "none"]
    weather_shown: str = Field(description="Where the weather comes from and how old it is.")
    stamp: int = Field(description="Number of the latest step; rises with every change.")
    almanac: Literal["ready", "making", "none"]
    undo: str | None = Field(description="What would be taken back next, in words.")
    undo_step: int | None = Field(description="The number of that step, for POST /api/undo.")
    version: str
    next: Literal["place", "weather", "tree", "done"] = Field(description="Next thing a newcomer needs.")


class Link(Said):
    """One link of a why: a value, how it was made, from what."""

    depth: int
    label: str
    value: str
    room: str
    formula: str
    basis: str
    source: str


class Source(Said):
    """A source that a why names."""

    key: str
    text: str
    read: bool = Field(description="Whether it was read in print.")


class Why(Said):
    """The chain from a shown number to its inputs, formula and sources."""

    of: str
    title: str
    value: str
    chain: list[Link]
    sources: list[Source]


class Job(Said):
    """Long work."""

    id: str
    kind: str
    words: str
    state: Literal["queued", "running", "done", "failed", "cancelled"]
    progress_frac: float
    error: str


class JobAsked(Asked):
    """Long work that is wanted."""

    kind: Literal["futures", "ahead", "calibration"]
    tree: str = Field(default="", description="Blank for work on the whole yard.")


class Jobs(Said):
    """All jobs, newest first."""

    jobs: list[Job]


class Choice(Said):
    """One of a list to choose from."""

    key: str
    words: str
    more: str = ""


JsonData = dict[str, Any]
