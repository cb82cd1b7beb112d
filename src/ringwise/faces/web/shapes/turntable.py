"""A turn of photos under review: its photos with their verdicts, its work, and lines over a photo."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from ringwise.faces.web.shapes.base import Asked, Job, Said


class TurnPhoto(Said):
    """One photo of a turn."""

    number: int = Field(description="From 1; names its picture.")
    name: str = Field(description="As the user called it.")
    verdict: Literal["waiting", "read", "used", "left_out"]
    words: str = Field(description="What was found, or why it is left out; blank where that says all.")
    way_out: str = Field(description="What to do about it; blank where nothing is to do.")


class TurnOptions(Asked):
    """What is known of board, pot and rod; sizes with their unit."""

    square: str = Field(default="", max_length=40, description="Side of a square as printed, such as 24mm.")
    columns: str = Field(default="", max_length=40, description="Squares from left to right; 4 or more.")
    rows: str = Field(default="", max_length=40, description="Squares from back to front; 4 or more.")
    row: str = Field(default="", max_length=40, description="Length of 10 squares by a ruler.")
    soil: str = Field(default="", max_length=40, description="Height of the soil above the board; needed.")
    pot: str = Field(default="", max_length=40, description="Outside width, or length x width.")
    rod: str = Field(default="", max_length=40, description="Diameter of an upright rod in the pot.")


class TurnRun(Said):
    """A turn of photos as it stands; nothing of it is in the record."""

    run: str
    tree: str
    begun: bool = Field(description="Measuring was asked for; no more photos are taken.")
    measured: bool
    options: dict[str, str] = Field(description="What was typed for it last, by its key in the wish.")
    job: Job | None = Field(description="The measuring; null before it was asked for.")
    photos: list[TurnPhoto]
    lines: list[str] = Field(description="What was measured, in words; empty before.")


class TurnPage(Said):
    """What the review of a turn begins with."""

    run: TurnRun | None = Field(description="The turn that is neither kept nor thrown away.")


class TurnOverlay(Said):
    """The measured tree as the camera of one photo would see it."""

    width_px: int = Field(description="Of the photo; 0 where it was left out.")
    height_px: int
    lines: list[list[float]] = Field(description="Each x and y in turn, in pixels of the photo.")
