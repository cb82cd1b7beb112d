"""What stands in paths and queries, with the range of each."""

from __future__ import annotations

import re
from datetime import date
from typing import Annotated, Literal

from fastapi import Path, Query
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

TreeName = Annotated[
    str, Path(min_length=1, max_length=80, description="Id or name of the tree, whatever the case.")
]
EntryId = Annotated[str, Path(min_length=1, max_length=80, description="Id of the entry.")]
BenchName = Annotated[str, Path(min_length=1, max_length=80, description="Name of the bench or place.")]
JobId = Annotated[str, Path(min_length=1, max_length=200, description="Id of the work.")]
Typed = Annotated[str, Query(max_length=200, description="What was typed so far.")]


def _day(text: object) -> object:
    """Only a day as ISO 8601 writes it: left to itself, the reader takes bare numbers for seconds."""
    if isinstance(text, str) and not re.fullmatch(r"(1[89]|[2-9][0-9])[0-9]{2}-[0-9]{2}-[0-9]{2}", text):
        raise ValueError("a day as YYYY-MM-DD from 1800 on, such as 2027-03-14, is wanted")
    return text


Day = Annotated[date, BeforeValidator(_day)]


class _Asked(BaseModel):
    """A query; an unknown key is an error."""

    model_config = ConfigDict(extra="forbid")


class ListQuery(_Asked):
    """Which part of the list of trees."""

    q: str = Field(default="", max_length=200, description="Words to find in ids, names and species.")
    place: str = Field(default="", max_length=80, description="Only trees that stand there.")
    species: str = Field(default="", max_length=80, description="Only trees of this species, by its key.")
    state: Literal["", "open", "ahead", "closed", "blocked", "wanted"] = Field(
        default="", description="Only trees whose next work is in this state."
    )
    sort: str = Field(default="", max_length=40, description="The column to sort by; a leading - turns it.")
    offset: int = Field(default=0, ge=0, le=1_000_000, description="How many to leave out first.")
    limit: int = Field(default=100, ge=1, le=500, description="How many at most.")
    retired: bool = Field(default=False, description="Whether retired trees are listed as well.")


class EntriesQuery(_Asked):
    """Which part of a tree's entries."""

    before: str = Field(default="", max_length=80, description="Id of the entry before which to go on.")
    kind: str = Field(default="", max_length=40, description="Only entries of this kind.")
    limit: int = Field(default=50, ge=1, le=500, description="How many at most.")


class PhotoQuery(_Asked):
    """What is known of a photo that is sent."""

    view: str = Field(
        default="", max_length=40, description="front, right, back, left, top, underside, detail."
    )
    date: str = Field(
        default="", max_length=80, description="When it was taken; blank to read it from the file."
    )
    note: str = Field(default="", max_length=2000, description="Anything worth remembering.")
    modified: str = Field(default="", max_length=80, description="When the file was last changed, ISO 8601.")
    name: str = Field(default="", max_length=255, description="Name of the file.")
    key: str | None = Field(
        default=None,
        pattern=r"^[a-z0-9-]{8,64}$",
        description="Made by the app; sent twice, it is stored once.",
    )


class PotQuery(_Asked):
    """What is changed of a pot, and what is held beside it."""

    depth_mm: float | None = Field(
        default=None,
        ge=1,
        le=2000,
        allow_inf_nan=False,
        description="Inside depth; the pot's own without it.",
    )
    tilt_deg: float = Field(
        default=0, ge=0, le=45, allow_inf_nan=False, description="One end raised, along the length."
    )
    mix: str = Field(
        default="",
        max_length=200,
        description='Code of a mix, or parts such as "pumice=2,lava=1"; blank: the same.',
    )
    beside: str = Field(
        default="", max_length=120, description='"now", "mix:CODE", "pot:ID", or blank for nothing.'
    )


class ShapeQuery(_Asked):
    """Which state of a tree's shape."""

    on: Day | None = Field(default=None, description="The day, from 1800 on; today without one.")
    which: int = Field(default=0, ge=0, le=2, description="Which of the equally likely trees.")
