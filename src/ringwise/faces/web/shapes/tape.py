"""The tape's form: what is typed of it, the last tape, and what is drawn of it while it is typed."""

from __future__ import annotations

from pydantic import Field

from ringwise.faces.web.shapes.base import Asked, Said


class TapeGirthAsked(Asked):
    """A girth of the trunk, as typed; a bare number is cm."""

    girth: str
    at: str = Field(description="Height above the soil.")


class TapeBranchAsked(Asked):
    """A branch, as typed; all but its height may be blank, which leaves it to luck."""

    height: str
    clock: str = Field(default="", description="0 to 12 from above; 6 is the front, 3 the right.")
    diameter: str = Field(default="", description="At its base; a bare number is mm.")
    length: str = ""
    tips: str = ""
    angle: str = Field(default="", description="To the upright, in degrees.")


class TapeAsked(Asked):
    """A tape, as typed."""

    height: str
    girths: list[TapeGirthAsked] = Field(default_factory=list, max_length=60)
    branches: list[TapeBranchAsked] = Field(default_factory=list, max_length=200)
    apex_tips: str = ""
    lean: str = ""
    lean_clock: str = ""
    roots: list[int] = Field(
        default_factory=list, max_length=12, description="Hours, 1 to 12, at which a surface root is seen."
    )


class TapeTry(TapeAsked):
    """A tape to be drawn, not stored."""

    clock: float = Field(default=6, ge=0, le=12, description="From where it is seen; 6 is the front.")
    which: int = Field(default=0, ge=0, le=99, description="Which of the equally likely trees.")


class TapeSent(TapeAsked):
    """A tape to be stored."""

    date: str = Field(default="", description="Any date the record understands; blank for today.")
    note: str = ""
    by: str | None = None
    key: str | None = Field(
        default=None,
        pattern=r"^[a-z0-9-]{8,64}$",
        description="Made by the app; sent twice, it is stored once.",
    )


class TapeGirthKept(Said):
    """A girth of a kept tape."""

    at_mm: float
    girth_mm: float


class TapeBranchKept(Said):
    """A branch of a kept tape; null is unknown."""

    height_mm: float
    clock: float | None
    diameter_mm: float | None
    length_mm: float | None
    tips: int | None
    angle_deg: float | None


class TapeKept(Said):
    """A kept tape."""

    day_shown: str
    height_mm: float
    girths: list[TapeGirthKept]
    branches: list[TapeBranchKept]
    apex_tips: int | None
    lean_mm: float
    lean_clock: float
    roots: list[int]


class TapePage(Said):
    """What the tape's form begins with."""

    tree: str
    name: str
    last: TapeKept | None


class TapeTried(Said):
    """What is typed so far, drawn."""

    svg: str = Field(description="A line drawing.")
    sentence: str
    segments: int
    tips: int
