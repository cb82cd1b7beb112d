"""The yard in plan, the weather strip, today's page, the settings, the first steps."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from ringwise.faces.web.shapes.base import Asked, Choice, Said, Told


class Spot(Said):
    """A tree on its spot."""

    tree: str
    name: str
    botanical_name: str
    x_mm: float = Field(description="From the bench's left end to the trunk.")
    y_mm: float = Field(description="From the bench's front edge to the trunk.")
    given: bool = Field(description="Whether the grower set the spot; else it was laid out in a row.")
    figure: str = Field(description="Key of the silhouette for GET /api/figures.")
    basis: Literal["structure", "plain"]
    width_mm: float
    height_mm: float
    pot_length_mm: float | None = Field(description="Of the pot it stands in, from the front.")
    pot_depth_mm: float | None
    girth_mm: Told
    tall: Told
    state: Literal["open", "soon", "blocked", "quiet"]
    state_words: str


class Bench(Said):
    """A bench or another place, seen from above."""

    name: str
    kind: str
    kind_words: str
    x_mm: float
    y_mm: float
    length_mm: float
    depth_mm: float
    given: bool = Field(description="Whether the grower placed it; else it was laid out.")
    spots: list[Spot]


class Plan(Said):
    """The yard in plan; x to the right, y away from the viewer."""

    width_mm: float
    depth_mm: float
    benches: list[Bench]
    kinds: list[Choice]


class Stroke(Said):
    """A polygon to fill (width_mm 0) or a line to draw; points are x, y pairs in mm, y up from the soil."""

    points: list[float]
    width_mm: float
    tone: Literal["wood", "crown"] = Field(description="crown: an outline that claims no branch.")


class Figure(Said):
    """The silhouette of a tree."""

    key: str
    basis: Literal["structure", "plain"]
    basis_words: str
    left_mm: float
    right_mm: float
    top_mm: float
    base_mm: float
    strokes: list[Stroke]


class Figures(Said):
    """Silhouettes by their keys."""

    figures: list[Figure]
    more: list[str] = Field(description="Not ready within a moment: to be asked for again.")


class Move(Asked):
    """Trees carried to a place; all of it is one step."""

    trees: list[str] = Field(min_length=1, max_length=10_000)
    place: str = Field(min_length=1, max_length=80)
    spots: dict[str, list[float]] = Field(default_factory=dict, description="Tree: [x_mm, y_mm].")
    date: str = ""


class BenchGiven(Asked):
    """Where a bench stands in the plan and how large it is."""

    name: str = Field(min_length=1, max_length=80)
    kind: str = "bench"
    x_mm: float = Field(ge=-1e6, le=1e6)
    y_mm: float = Field(ge=-1e6, le=1e6)
    length_mm: float = Field(default=2400.0, ge=200, le=200_000)
    depth_mm: float = Field(default=600.0, ge=100, le=100_000)


class WeatherDay(Said):
    """A day of the strip."""

    day: str
    day_shown: str
    state: Literal["measured", "bridged", "lent", "described", "missing", "forecast", "ahead"]
    tmin_degC: Told
    tmax_degC: Told
    rain_mm: Told
    tmin_low_degC: float | None = Field(description="One in ten, for days ahead.")
    tmax_high_degC: float | None
    frost: bool
    bench_frost_prob: float | None = Field(
        description="0 or 1 on days behind, a share of the weather years on days ahead; so all chances here."
    )
    bench_heat_prob: float | None
    core_frost_prob: float | None = Field(description="In the core of the yard's usual pot.")
    core_heat_prob: float | None
    core_low_degC: Told
    core_high_degC: Told


class Strip(Said):
    """The weather behind and ahead; what lies ahead is the spread of past years and no forecast."""

    station: str
    days: list[WeatherDay]
    sentence: str
    lines: list[str] = Field(description="Frost and heat of the next nights, at the bench and in the pot.")
    state: Literal["measured", "described", "none"]


class DueRow(Said):
    """Something that needs the grower."""

    tree: str
    name: str
    botanical_name: str
    operation: str
    operation_words: str
    state: str | None
    when: str
    closes: str | None
    urgency: int | float | str
    urgency_words: str
    cue: str
    reasons: list[str]
    entry: str | None
    now: bool = Field(description="Whether it is to be done in these days: copper.")
    why: str | None


class LeftAlone(Said):
    """Work that is not proposed, and why."""

    tree: str
    name: str
    operation: str
    operation_words: str
    because: str
    reasons: list[str]
    line: str


class Conflict(Said):
    """Planned works that collide."""

    tree: str
    name: str
    rule: str
    earlier: str
    later: str
    hard: bool
    grade: str
    explanation: str
    way_out: str
    override_reason: str
    line: str


class Group(Said):
    """Due work of one time."""

    key: Literal["now", "soon", "later", "decide"]
    title: str
    rows: list[DueRow]


class WaterTree(Said):
    """A tree of a line about water."""

    tree: str
    name: str


class WaterRow(Said):
    """A tree, or all trees of a place, that want water within two days."""

    title: str
    words: str = Field(description="When; it always asks to check first.")
    now: bool = Field(description="Due today.")
    why: str
    trees: list[WaterTree]


class WaterDue(Said):
    """Water on the page of the day, in order of need; no line where nothing is due."""

    rows: list[WaterRow]
    roof: list[str] = Field(description="Wet pots that go under a roof before root work.")


class Today(Said):
    """Today's page."""

    today: str
    heading: str
    sentence: str = Field(description="The day in one sentence; said also when nothing is due.")
    water: WaterDue
    groups: list[Group]
    left_alone: list[LeftAlone]
    conflicts: list[Conflict]
    overridden: list[Conflict]
    notes: list[str]
    strip: Strip
    almanac: Literal["ready", "making", "none"]


class Described(Said):
    """The climate in the grower's words, as typed; blank where nothing was said."""

    coldest: str
    warmest: str
    last_frost: str
    first_frost: str


class YearCurve(Said):
    """What a year from two monthly means is drawn with, as described weather is made."""

    lag_days: float = Field(description="From the winter solstice to the coldest day.")
    range_winter_degC: float = Field(description="From the usual night to the usual day in winter.")
    range_summer_degC: float


class NormalMonth(Said):
    """A calendar month's normals."""

    month: int = Field(description="1 is January, in both hemispheres.")
    words: str
    mean_degC: float
    low_degC: float | None = Field(description="Mean of the daily lows, where it is known.")
    high_degC: float | None
    shown: str


class Settings(Said):
    """What holds for the yard."""

    name: str
    owner: str
    latitude_deg: float | None
    longitude_deg: float | None
    elevation_m: float
    language: str
    languages: list[Choice]
    units: Literal["metric", "inch"]
    today: str | None
    coldest_month_degC: float | None
    warmest_month_degC: float | None
    coldest_shown: str
    warmest_shown: str
    months: list[NormalMonth] = Field(description="Twelve monthly normals where they were given; else empty.")
    guess_coldest_shown: str
    guess_warmest_shown: str
    guess_line: str = Field(description="Both means by the sea and inland, as a guess to correct.")
    described: Described
    contradictions: list[str] = Field(description="Where frost days and means do not go together.")
    curve: YearCurve
    weather: Literal["measured", "described", "none"]
    weather_shown: str
    weather_lines: list[str] = Field(description="What is stored, from when to when; empty without weather.")
    folder: str


class SettingsChange(Asked):
    """Settings to change, as typed; what is left out stays."""

    name: str | None = None
    owner: str | None = None
    latitude: str | None = Field(default=None, description='Such as "52.4 N", "-33.9" or "52 24 N".')
    longitude: str | None = None
    elevation: str | None = None
    language: str | None = None
    units: Literal["metric", "inch"] | None = None
    coldest: str | None = Field(default=None, description='Mean of the coldest month, such as "1 C".')
    warmest: str | None = None
    last_frost: str | None = None
    first_frost: str | None = None


class SpeciesRow(Said):
    """A species to choose."""

    key: str
    botanical_name: str
    common_name: str
    group: str


class SpeciesList(Said):
    """Species that match, nearest first."""

    species: list[SpeciesRow]


class Hit(Said):
    """Something to go to."""

    kind: Literal["tree", "bench", "room"]
    words: str
    more: str
    path: str


class Hits(Said):
    """What a search line finds."""

    hits: list[Hit]


class Step(Said):
    """A step of the record."""

    action: int
    by: str
    words: str
    at: str
    at_shown: str
    undone: bool
    undoes: int | None


class Steps(Said):
    """The latest steps, newest first."""

    steps: list[Step]
