"""The Shape room: states of a tree, its measures, its branches, what a cut through the trunk would part."""

from __future__ import annotations

from pydantic import Field

from ringwise.faces.web.shapes.base import Said, Told


class ShapeState(Said):
    """A measured state of a tree."""

    on: str | None = Field(description="Day from which it holds; null where only trunk and height are known.")
    source: str = Field(description="tape, trace, turntable, cylinders, file or basics.")
    entry: str | None
    words: str


class ShapeBox(Said):
    """What the tree takes up; x to the right, y to the back, z up from the soil at the trunk's foot."""

    left_mm: float
    right_mm: float
    front_mm: float
    back_mm: float
    low_mm: float
    top_mm: float


class ShapeMeasure(Said):
    """A measure of the tree with its spread."""

    key: str
    label: str
    told: Told
    span: str = Field(description="One in ten to nine in ten; blank where nobody can say.")


class ShapeWound(Said):
    """A wound by its entries."""

    words: str = Field(description="As it was read last, with its place.")
    more: str = Field(description="How wide it was when it was read first; blank where nothing changed.")
    open: bool = Field(description="Whether wood showed when it was read last.")
    at_mm: list[float] = Field(description="Its place on the trunk: x, y, z.")
    clock: float | None = Field(description="The way it faces; null where nobody said.")
    why: str


class ShapeFault(Said):
    """What a judge would point at, by a rule; common practice."""

    kind: str
    words: str
    at_mm: list[float] = Field(description="Its place: x, y, z.")
    clock: float | None = Field(description="The side on which it is; null where it has none.")
    branches: list[int] = Field(description="Places in `branches` of those concerned.")
    why: str


class ShapeProportion(Said):
    """A proportion of the tree beside the trade's usual range; common practice."""

    key: str
    label: str
    told: Told
    usual: str
    place: str = Field(description="below, within or above.")
    place_words: str = Field(description="Blank where it lies within.")


class ShapeBranch(Said):
    """A branch of the trunk."""

    number: int = Field(description="From the lowest up, from 1.")
    row: int = Field(description="Its first segment.")
    along_mm: float = Field(description="Way along the trunk from the soil to where it leaves.")
    height: Told = Field(description="mm above the soil.")
    clock: Told = Field(description="From above; 6 is the front, 3 the right.")
    angle: Told = Field(description="Degrees from upright.")
    diameter: Told = Field(description="At its base, in mm.")
    diameter_span: str
    length: Told = Field(description="Along the wood to its farthest tip, in mm.")
    length_span: str
    tips: int
    part: Told = Field(description="Share of the tree's tips.")
    how: str = Field(description="What its thickness rests on.")


class ShapeProfile(Said):
    """The trunk at a height."""

    height: Told
    diameter: Told
    girth: Told
    span: str = Field(description="Of the girth.")
    how: str


class ShapeCut(Said):
    """The trunk by its nodes, from the soil up, and what leaves it at each; enough to tell any cut."""

    along_mm: list[float]
    x_mm: list[float]
    y_mm: list[float]
    z_mm: list[float]
    diameter_mm: list[float]
    girth_mm: list[float] = Field(description="As a tape reads it.")
    tips: list[int] = Field(description="Of what leaves at the node; the last is the trunk's own.")
    top_mm: list[float | None] = Field(description="Highest place of what leaves at the node.")
    left_mm: list[float | None]
    right_mm: list[float | None]
    trunk_rows: list[int] = Field(description="Segments of the trunk: the k-th from node k to node k + 1.")
    node: list[int] = Field(description="For each segment the node from which it comes.")
    branch: list[int] = Field(description="For each segment its place in `branches`; -1 for none.")
    base_girth_mm: float = Field(description="Above the flare.")


class ShapeCamera(Said):
    """A camera that was found: pixel centres at whole numbers, x right, y down, camera = R X + t."""

    k: list[list[float]]
    r: list[list[float]]
    t_mm: list[float]
    k1: float


class ShapePhoto(Said):
    """A photo that can lie behind the same view."""

    entry: str
    sha256: str
    width_px: int
    height_px: int
    mirrored: bool
    words: str
    clock: int | None = Field(description="The side it was taken from, where foot and apex are marked on it.")
    marks: list[list[float]] | None = Field(description="Foot and apex, in widths of the photo as shown.")
    camera: ShapeCamera | None


class ShapeOdds(Said):
    """The chance that a ring round the trunk roots, and what that rests on."""

    words: str
    basis: str


class ShapeShown(Said):
    """One state of a tree."""

    state: ShapeState
    light_mesh: str = Field(description="Name of the light mesh by all that it is made from.")
    full_mesh: str = Field(description="Name of the full mesh.")
    segments: int
    sentence: str = Field(description="The tree in a sentence.")
    box: ShapeBox
    apex_mm: list[float]
    measures: list[ShapeMeasure]
    wounds: list[ShapeWound] = Field(description="From the lowest up, closed ones too.")
    faults: list[ShapeFault] = Field(description="From the lowest up.")
    proportions: list[ShapeProportion]
    branches: list[ShapeBranch]
    profile: list[ShapeProfile]
    cut: ShapeCut
    photos: list[ShapePhoto]
    measured: list[str]
    assumed: list[str]


class ShapeRoom(Said):
    """A tree as it was measured."""

    tree: str
    name: str
    note: str = Field(description="Why there is no tree to be shown; blank where there is one.")
    states: list[ShapeState] = Field(description="Newest first.")
    shown: ShapeShown | None
    which: int = Field(description="Which of the equally likely trees.")
    likely: int = Field(description="How many of them can be looked at.")
    odds: ShapeOdds | None
