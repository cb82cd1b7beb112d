"""The season line of one tree: its growing year with stages, and the works with their chances."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from ringwise.faces.web.shapes.base import Band, Day, Said
from ringwise.faces.web.shapes.windows import Window


class SeasonStage(Said):
    """A stage of this growing year, seen or expected."""

    code: str
    words: str
    short: str = Field(description="In two or three words, for a label.")
    seen: str | None = Field(description="The day on which it was first seen.")
    seen_shown: str
    expected: Band | None
    why: str


class SeasonWork(Window):
    """A planned, due or usual work; how likely its window is open on each day is in `chance_by_day`."""

    planned: list[Day] = Field(description="Days for which it is planned, where they are known.")
    beyond: bool = Field(description="Whether it opens in the next growing year.")


class SeasonLine(Said):
    """One growing year of a tree, from dormancy to dormancy."""

    tree: str
    name: str
    year: int
    first: str
    days: int
    south: bool
    today: str
    today_shown: str
    growth: list[list[float]] = Field(
        description="How a year's growth is spread over it: pairs of time in the year and share grown."
    )
    stages: list[SeasonStage]
    works: list[SeasonWork]
    sentence: str = Field(description="The line in a few sentences.")
    state: Literal["ready", "making", "none"] = Field(description="Of the almanac that it was told by.")
