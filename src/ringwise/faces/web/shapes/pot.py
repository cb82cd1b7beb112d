"""The pot room: the cut through pot and root ball, what was tried of it, and the pots of a season."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from ringwise.faces.web.shapes.base import Choice, Said, Told
from ringwise.faces.web.shapes.weather import Line


class Layer(Said):
    """Share of water at a height above the lowest point of the fill, when no more drips out."""

    height_mm: float
    low_v: float = Field(description="One in ten.")
    median_v: float
    high_v: float = Field(description="Nine in ten.")
    shown: str = Field(description="The median, with its unit.")
    span: str


class CutHole(Said):
    """A drain hole and the mesh over it, by its place along the length, from the middle."""

    x_mm: float
    diameter_mm: float
    mesh_mm: float


class CutTie(Said):
    """A tie wire between two holes, by their places along the length."""

    first_mm: float
    second_mm: float


class CutBall(Said):
    """The kept root ball under the surface."""

    length_mm: float
    depth_mm: float
    measured: bool


class CutHollow(Said):
    """The hollow under the trunk that the dome fills."""

    radius_mm: float
    depth_mm: float
    measured: bool


class Reach(Said):
    """A height with its spread."""

    low_mm: float
    median_mm: float
    high_mm: float
    shown: str
    span: str


class PotFigure(Said):
    """A number of the pot, its spread, and its why where the pot stands as it was recorded."""

    key: str
    label: str
    told: Told
    span: str = Field(description="One in ten to nine in ten; blank where there is no spread.")


class PotSection(Said):
    """A pot cut along its length. Lengths are inside measures; heights of water are from the lowest point."""

    words: str = Field(description="Pot and mix in a line.")
    length_mm: float
    bottom_length_mm: float | None = Field(description="At the floor; null where the slope was not measured.")
    depth_mm: float
    length_shown: str
    depth_shown: str
    wall_mm: float = Field(description="Assumed from the material.")
    fill_floor_mm: float = Field(description="Where the fill begins, above the floor.")
    fill_height_mm: float
    dressing_mm: float
    tilt_deg: float
    trunk_mm: float | None
    ball: CutBall | None
    hollow: CutHollow | None
    holes: list[CutHole]
    ties: list[CutTie]
    bar: bool
    surface_shown: str
    mesh_shown: str
    ties_shown: str
    dome_shown: str = Field(description="Blank where there is no dome.")
    layers: list[Layer] = Field(description="From the lowest point up.")
    saturated: Reach
    figures: list[PotFigure]
    sentence: str = Field(description="The drawing in a few sentences.")
    assumed: list[str]
    measured: list[str]


class PotWeighing(Said):
    """A weighing so far."""

    entry: str
    words: str
    day_shown: str


class PotRange(Said):
    """How far a slider goes, in millimetres of inside depth and degrees of tilt."""

    depth_low_mm: float
    depth_high_mm: float
    depth_step_mm: float
    depth_mm: float
    tilt_high_deg: float


class PotRoom(Said):
    """The pot of one tree."""

    tree: str
    name: str
    pot: str | None
    note: str = Field(description="Why nothing is drawn; blank where it is.")
    section: PotSection | None
    range: PotRange | None
    mix: str
    mixes: list[Choice]
    pots: list[Choice] = Field(description="Other measured pots; `more` says who stands in it.")
    water: list[Line] = Field(description="How long the water lasts.")
    weighings: list[PotWeighing]
    learned: list[Line] = Field(description="What the weighings changed.")


class PotTried(Said):
    """The pot as it would be, and what is held beside it."""

    section: PotSection
    beside: PotSection | None


class SeasonPot(Said):
    """A tree that is to be repotted."""

    tree: str
    name: str
    sentence: str
    why: str
    into: str = Field(description="The pot it goes into.")
    frees: str = Field(description="What becomes free, or whom it waits for.")
    mix: str
    litres: str
    note: str


class MixPart(Said):
    """A component of a batch or of the shopping list."""

    words: str
    shown: str
    scoops: int


class MixBatch(Said):
    """One mix for several pots."""

    mix: str
    words: str
    made: str
    left: str
    parts: list[MixPart]


class SeasonPots(Said):
    """The pots of this season in the order of work, the mixes for them, and what to buy."""

    state: Literal["ready", "making", "none"] = Field(description="Of the almanac that it was told by.")
    scoop: str
    pots: list[SeasonPot]
    batches: list[MixBatch]
    shopping: list[MixPart]
    notes: list[str]
