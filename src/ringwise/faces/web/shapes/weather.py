"""The weather room: what stands under the windows, a file before it is stored, how past forecasts did."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from ringwise.faces.web.shapes.base import Asked, Choice, Said, Told


class Line(Said):
    """A sentence, and the name of its why where it tells a number."""

    words: str
    why: str | None


class Station(Said):
    """A stored series."""

    name: str
    chosen: bool = Field(description="Whether the yard's windows go by it.")
    span: str
    length: str = Field(description="Years, or days where it is shorter than one.")
    invented: bool
    why: str


class Measure(Said):
    """A measure that a column of a table can be."""

    key: str
    words: str
    unit: str = Field(description="The unit that it is kept in.")
    units: list[Choice] = Field(description="Units that a file may have it in.")


class WeatherRoom(Said):
    """What stands under the windows, and what a table can be mapped to."""

    state: Literal["measured", "described", "none"]
    shown: str
    lines: list[Line]
    stations: list[Station]
    measures: list[Measure]
    date_forms: list[str]


class ReadColumn(Said):
    """A column as it was understood."""

    column: str = Field(description="Its name in the file.")
    ours: str
    words: str
    unit: str
    how: str = Field(description="How it is converted.")
    values: int = Field(description="Days with a value.")


class RejectedValue(Said):
    """A value that is not taken."""

    day: str
    day_shown: str
    column: str
    text: str = Field(description="As it stands in the file.")
    reason: str


class GuessedColumn(Said):
    """A column of a table with what it may be; blank where nothing is known."""

    column: str = Field(description="Its whole name, for the mapping.")
    shown: str
    cells: list[str] = Field(description="The first cells, cut.")
    ours: str
    unit: str
    date_form: str
    missing: str = Field(description='Marks for "not measured", joined by |.')
    twice: bool = Field(description="Whether another column has the same name, so that neither can be taken.")


class Table(Said):
    """A table that can be mapped."""

    columns: list[GuessedColumn]
    rows: int


class WeatherPreview(Said):
    """A weather file before anything is stored."""

    state: Literal["read", "columns"] = Field(description="columns: a mapping is needed; `line` says why.")
    file: str
    station: str = Field(description="The series that its days would go into.")
    line: str
    format: str
    columns: list[ReadColumn]
    first: str | None = Field(description="The first measured day.")
    last: str | None
    span: str = Field(description="All days that would be stored.")
    days: int = Field(description="Measured days, open ones between them included.")
    new_days: int = Field(description="Days that are not stored yet, or otherwise.")
    filled_days: int
    missing_days: int = Field(description="Days without a daily mean.")
    forecast_days: int = Field(description="Days to come that would be kept as a forecast.")
    forecast_new_days: int
    forecast_span: str
    beyond_days: int = Field(description="Days to come further off than any forecast can tell.")
    rejected: list[RejectedValue] = Field(description="The first of them.")
    rejected_values: int = Field(description="How many there are in all.")
    rejected_lines: list[str] = Field(description="Counts by column and reason.")
    notes: list[str]
    table: Table | None


class CalibrationRow(Said):
    """A stage at one time before it was seen."""

    code: str = Field(description="all: every stage taken together.")
    stage: str
    lead_days: int
    lead: str
    seen: int = Field(description="Sightings scored.")
    springs: int
    bias_days: Told = Field(description="How late the forecasts lay; early is negative.")
    off_days: Told = Field(description="Mean distance from what was seen.")
    band_frac: Told = Field(description="How often the band from one in ten to nine in ten held it.")
    compared: int = Field(description="Sightings of trees that had an own mean by then.")
    compared_off_days: Told = Field(description="The forecast's distance over those.")
    mean_off_days: Told = Field(description="The own mean's distance over those.")
    verdict: str


class DrawnForecast(Said):
    """A forecast and what came; days are counted from the beginning of the growing year."""

    tree: str
    name: str
    year: int
    low_at: float
    median_at: float
    high_at: float
    seen_at: float
    mean_at: float | None = Field(description="Mean of the tree's own earlier springs.")
    band_shown: str
    median_shown: str
    seen_shown: str
    inside: bool


class Tick(Said):
    """The first day of a month on the drawing's axis."""

    at: float
    words: str


class CalibrationDrawing(Said):
    """Forecasts of one stage at one lead, the latest spring first."""

    code: str
    stage: str
    lead_days: int
    lead: str
    lines: list[DrawnForecast]
    left_out: int
    ticks: list[Tick]


class Calibration(Said):
    """How past forecasts did; it is reckoned in the background."""

    state: Literal["none", "wanted", "making", "stopped", "ready"]
    words: str = Field(description="The answer in a sentence, or what is needed.")
    job: str | None = Field(description="Id of the work while it is under way.")
    progress_frac: float
    rows: list[CalibrationRow]
    stages: list[Choice]
    leads: list[Choice]
    drawing: CalibrationDrawing | None
    notes: list[str]


class PlaceLine(Said):
    """What the nights or days of a place are against the station's."""

    words: str
    offset_degC: float
    offset_sd_degC: float = Field(description="One standard deviation.")
    readings: int
    why: str


class PlaceWeather(Said):
    """A place of the yard and its weather."""

    name: str
    kind: str
    kind_words: str
    stated: bool = Field(description="Whether the grower stated the kind.")
    trees: int = Field(description="How many stand there today.")
    readings: int = Field(description="Days with a reading.")
    nights: PlaceLine
    days: PlaceLine
    frost: str
    left_out: list[str] = Field(description="Readings that teach nothing, and why.")


class Microsites(Said):
    """The weather of all places."""

    station: str | None = Field(description="What readings are held against; null where nothing is measured.")
    kinds: list[Choice]
    places: list[PlaceWeather]


class ReadingAsked(Asked):
    """What a min/max thermometer showed, as typed."""

    low: str = Field(default="", max_length=40, description='Such as "-1.5"; a bare number is in your unit.')
    high: str = Field(default="", max_length=40)
    date: str = Field(default="", max_length=40, description="YYYY-MM-DD; blank is today.")
    when: str = Field(
        default="evening",
        max_length=20,
        description="morning (a maximum is then of the day before) or evening.",
    )


class PlaceKindAsked(Asked):
    """What kind of place it is."""

    kind: str = Field(max_length=40)
