"""The ring dial of one tree: the wood of the past, the bark of this year, the air of the years ahead."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from ringwise.faces.web.shapes.base import Day, Said, Told


class DialYear(Said):
    """One growing year of the past, or this one; girths at its first and its last day (or today)."""

    label: int = Field(description="The growing year's number, as people say it.")
    first: str
    days: int
    start_girth_mm: float
    end_girth_mm: float
    basis: Literal["measured", "between", "assumed"] = Field(
        description="measured: a girth was taken within it; between: filled in evenly between two measures; "
        "assumed: before the first measure or after the last."
    )
    told: Told = Field(description="Girth at its end.")


class DialMark(Said):
    """An entry on the dial."""

    entry: str
    kind: Literal["seen", "measured", "worked", "noted", "photo", "planned", "asked"]
    year: int
    frac: float = Field(description="Time in the growing year, 0 to 1, of the middle of its date.")
    spread_frac: float = Field(description="Half the width of a date that is not exact; 0 for a day.")
    words: str
    text: str = Field(description="The alternative text: date and words in one sentence.")
    on: Day


class DialWindow(Said):
    """A window as an arc; times in growing years from the start of this one (1.1 is early next year)."""

    operation: str
    operation_words: str
    state: Literal["ahead", "open", "closed", "blocked"]
    wanted: bool
    opens_low: float
    opens: float
    opens_high: float
    closes_low: float
    closes: float
    closes_high: float
    sentence: str
    chance: Told = Field(description="Chance that it is open today; blank where it is not told or blocked.")
    why: str


class DialStage(Said):
    """A stage of this growing year."""

    code: str
    words: str
    seen_frac: float | None
    low_frac: float | None
    median_frac: float | None
    high_frac: float | None
    text: str
    why: str


class DialAhead(Said):
    """One year ahead, from the futures of the tree left as it is, or of the course that was decided for."""

    label: int
    low_mm: float
    median_mm: float
    high_mm: float
    alive_frac: float
    told: Told


class Dial(Said):
    """Everything the dial draws."""

    tree: str
    name: str
    today: str
    today_frac: float
    south: bool
    year: int
    seed: Day
    seed_known: bool
    scaled: bool = Field(description="False where no girth was ever measured: rings are equal, not to scale.")
    line: list[list[float]] = Field(
        description="The girth from the first known day to today: pairs of time (growing year and fraction, "
        "2027.35) and girth in mm; times before the first pair are unknown wood."
    )
    years: list[DialYear]
    growth: list[list[float]] = Field(
        description="How a year's growth is spread over it: pairs of time in the year and share grown."
    )
    marks: list[DialMark]
    windows: list[DialWindow]
    stages: list[DialStage]
    ahead: list[DialAhead]
    ahead_state: Literal["ready", "making", "none"]
    ahead_words: str
    ahead_why: str | None
    sentence: str = Field(description="The dial in a few sentences.")
    notes: list[str]
