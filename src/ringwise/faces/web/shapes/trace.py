"""Tracing a tree on its photos: what was clicked, the edges that are found, the tree that the clicks make."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from ringwise.faces.web.shapes.base import Asked, Said

Place = Annotated[list[float], Field(min_length=2, max_length=2, description="x and y on the photo, px.")]
Places = Annotated[list[Place], Field(max_length=400)]
TraceView = Literal["front", "side"]
How = Literal["traced", "filled", "overlapped", "estimated"]


class TraceScale(Asked):
    """A known length on a photo."""

    kind: Literal["rim", "rule"] = Field(description="The pot's rim at its widest, or a rule.")
    points: Places
    length_mm: float
    in_front_mm: float = Field(default=0, description="How far it lies in front of the trunk.")


class TracePhoto(Asked):
    """One photo on the table, in pixels of the upright photo at its full size."""

    clock: float = Field(description="From where it was taken; 6 is the front, 3 the right.")
    width_px: int
    height_px: int
    scale: TraceScale
    focal_35mm_mm: float | None = Field(default=None, description="35 mm equivalent, as cameras write it.")
    rim: Places | None = Field(default=None, description="Left, right, nearest, farthest place of the rim.")
    soil: Places | None = Field(default=None, description="Two places that lie level.")


class TraceBranch(Asked):
    """Clicks of one branch from base to tip, by photo; the trunk has no parent."""

    id: str = Field(max_length=40)
    parent: str | None = Field(max_length=40)
    front: Places = Field(default_factory=list)
    side: Places = Field(default_factory=list)
    edges: dict[TraceView, list[Places]] = Field(
        default_factory=dict, description="Pairs of places across the branch that a person drew."
    )


class TraceClicks(Asked):
    """All that was clicked, and on which photos of the tree."""

    photos: dict[TraceView, TracePhoto]
    entries: dict[TraceView, str] = Field(description="Ids of the photos' entries.")
    branches: list[TraceBranch] = Field(max_length=600)

    def given(self) -> dict[str, str]:
        """Entries by view."""
        return {str(name): entry for name, entry in self.entries.items()}

    def points(self) -> dict[str, Any]:
        """As a points file."""
        photos = {name: each.model_dump(exclude_none=True) for name, each in self.photos.items()}
        branches = [each.model_dump() for each in self.branches]
        return {"layout": "ringwise-trace", "version": 1, "photos": photos, "branches": branches}


class TraceEdgesAsked(TraceClicks):
    """Clicks so far, and the photo whose edges are wanted."""

    view: TraceView


class TraceEdge(Said):
    """Both edges of a branch on a photo; null where none is clear."""

    id: str
    left: list[list[float] | None]
    right: list[list[float] | None]
    clean: list[bool] = Field(description="Whether nothing lies over it there.")


class TraceEdges(Said):
    """Edges on one photo."""

    branches: list[TraceEdge]


class TraceSegment(Said):
    """One piece of wood of the tree that the clicks make."""

    start_mm: list[float]
    end_mm: list[float]
    diameter_mm: float
    end_diameter_mm: float
    how: How


class TraceLimb(Said):
    """A traced branch as it was measured."""

    id: str
    parent: str | None
    order: int
    height_mm: float
    clock: float
    angle_deg: float
    base_diameter_mm: float
    base_diameter_sd_mm: float
    base_how: How
    length_mm: float
    clear_frac: float = Field(description="Share of it that is seen clear of other wood.")
    runs_level: bool = Field(description="It runs nearly level, so that its depth is less sure.")


class TraceScaleKept(Said):
    """The known length of a photo."""

    kind: Literal["rim", "rule"]
    points: list[list[float]]
    length_mm: float
    in_front_mm: float


class TracePhotoKept(Said):
    """A photo of a kept trace with its scale."""

    entry: str
    sha256: str
    clock: float
    width_px: int
    height_px: int
    scale: TraceScaleKept
    focal_35mm_mm: float | None = None
    rim: list[list[float]] | None = None
    soil: list[list[float]] | None = None


class TraceBranchKept(Said):
    """The clicks of a branch as they were kept."""

    id: str
    parent: str | None
    front: list[list[float]] = Field(default_factory=list)
    side: list[list[float]] = Field(default_factory=list)
    edges: dict[TraceView, list[list[list[float]]]] = Field(default_factory=dict)


class TraceKept(Said):
    """A kept trace."""

    day_shown: str
    photos: dict[TraceView, TracePhotoKept]
    branches: list[TraceBranchKept] = Field(description="The trunk first, parents before their branches.")


class TracePage(Said):
    """What the tracing table begins with."""

    tree: str
    last: TraceKept | None


class TraceDraft(Said):
    """The tree that the clicks make; nothing is kept."""

    segments: list[TraceSegment]
    branches: list[TraceLimb]
    lines: list[str]
