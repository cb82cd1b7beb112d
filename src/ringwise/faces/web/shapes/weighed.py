"""Aims of a tree, and what they say of the courses of a run."""

from __future__ import annotations

from pydantic import Field

from ringwise.faces.web.shapes.base import Asked, Choice, Said


class AimWish(Said):
    """One measure that is aimed at."""

    measure: str
    label: str
    weight: str = Field(description="How much it counts, as typed.")
    share_shown: str = Field(description="That as a share of all.")
    range_shown: str = Field(description="Where it counts fully.")
    low: str = Field(description="Lower end of that, as typed; blank where it is open.")
    high: str


class TimeCounts(Said):
    """How much early, middle and late years count, as typed."""

    early: str
    middle: str
    late: str


class AimSet(Said):
    """A ready-made set to begin from."""

    key: str
    title: str
    wishes: list[AimWish]


class TreeAims(Said):
    """What is aimed at with a tree."""

    set: str = Field(description="Which ready-made set they began from.")
    title: str
    own: bool = Field(description="Whether the grower set them.")
    revision: int = Field(description="Of their entry; 0 where there is none.")
    wishes: list[AimWish]
    time: TimeCounts
    sets: list[AimSet]
    measures: list[Choice] = Field(description="All that can be aimed at; more: the unit of a bare number.")


class AimAsked(Asked):
    """One measure as typed."""

    measure: str = Field(max_length=60)
    weight: str = Field(max_length=20, description="0 leaves it out.")
    low: str = Field(default="", max_length=40)
    high: str = Field(default="", max_length=40)


class AimsAsked(Asked):
    """Aims as typed."""

    set: str = Field(max_length=60)
    wishes: list[AimAsked] = Field(max_length=40)
    early: str = Field(max_length=20)
    middle: str = Field(max_length=20)
    late: str = Field(max_length=20)
    revision: int = Field(ge=0, le=1_000_000, description="Of the aims that were seen.")


class CourseShare(Said):
    """How far a course meets a wish."""

    course: str
    met_frac: float
    shown: str


class WishTold(Said):
    """One measure aimed at: how far it is met today, and over the years under each course."""

    label: str
    range_shown: str
    weight_shown: str
    today_frac: float
    today_shown: str
    courses: list[CourseShare]


class MetYear(Said):
    """How far the aims are met after so many years, in the middle one of all futures."""

    after_years: int
    when: str
    shown: str


class CourseWeighed(Said):
    """How far a course meets the aims over the years that count."""

    course: str
    low_frac: float
    median_frac: float
    high_frac: float
    shown: str
    spread_shown: str
    dots: list[float]
    by_year: list[MetYear]
    until_words: str = Field(description="When the aims are met.")
    first_words: str = Field(description="How often it comes first under other weights.")
    regret_words: str = Field(description="What it gives up where another one would be better.")


class TurningWeighed(Said):
    """A run weighed by the grower's aims; nothing in it is a winner."""

    title: str
    verdict: str
    time_words: str
    today_frac: float
    today_shown: str
    wishes: list[WishTold]
    courses: list[CourseWeighed]
    pairs: list[str]
    turns: list[str] = Field(description="What would change the order, and at which value.")
    waits: list[str] = Field(description="What waiting for a sign is worth.")
    knowing: str = Field(description="What knowing more would be worth.")
    sunk: str
