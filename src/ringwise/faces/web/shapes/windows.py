"""A window of work: its days, its chance by day, and what the weather may do after the work."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from ringwise.faces.web.shapes.base import Band, Said, Told


class DaysLeft(Said):
    """Days until a window closes: one in ten, the median, nine in ten; 0 where that day is past."""

    low: int
    median: int
    high: int
    shown: str
    why: str


class ChanceByDay(Said):
    """How likely a window is open on each day."""

    first: str = Field(description="The day of the first chance.")
    open_prob: list[float] = Field(description="One a day from the first on; on all other days it is closed.")
    why: str


class Risk(Said):
    """What the weather may do in the days after a work."""

    kind: Literal[
        "core_frost",
        "core_alarm",
        "bench_frost",
        "tender_frost",
        "core_settled",
        "core_heat",
        "heat",
        "wind",
        "core_until_leaf",
        "core_rest",
        "leaf_frost",
    ]
    name: str
    sentence: str
    prob: float = Field(description="Share of the weather years in which it happens.")
    years: int
    of_years: int
    first: str
    last: str
    days: int
    limit: float = Field(description="What is passed: degrees C, of wind m/s.")
    worst: float = Field(description="The worst of all years, in the same unit.")
    lost_frac: float | None = Field(description="Mean share of flower buds killed, where a table tells.")
    why: str


class Window(Said):
    """The span in which one kind of work is right for a tree."""

    operation: str
    operation_words: str
    state: Literal["ahead", "open", "closed", "blocked"]
    sentence: str
    opens: Band | None
    closes: Band | None
    chance: Told
    sign: str
    closes_by: str
    note: str
    blocked: str
    override_reason: str
    basis: str
    own_seasons: int
    wanted: bool
    frost_shown: str
    days_left: DaysLeft | None
    chance_by_day: ChanceByDay | None
    work_on: str | None = Field(description="The day of work that the risks follow.")
    risks: list[Risk]
    carry_in: Literal["none", "carry", "alarm"] | None = Field(
        description="Whether a tree with cut roots is carried in on the nights after; null where none are."
    )
    carry_in_words: str
    why: str
