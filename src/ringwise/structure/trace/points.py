"""What was clicked on one or two photos, as plain values that survive JSON; the layout is our own.

Places are in pixels of the upright photo, pixel centres at integers, x right and y down. The views are
called `front` and `side`; each says by its clock from where it was taken (front 6, right-hand side 3). A
branch holds its clicks from base to tip in each view; the trunk is the branch without a parent.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ringwise.kit.types import FloatArray

LAYOUT, VERSION = "ringwise-trace", 1
VIEWS = ("front", "side")
SCALES = ("rim", "rule")


@dataclass(frozen=True)
class Scale:
    """A known length on a photo: the pot's rim at its widest, or a rule; `in_front_mm` of the trunk."""

    kind: str
    points_px: FloatArray
    length_mm: float
    in_front_mm: float = 0.0

    @property
    def length_px(self) -> float:
        """Between the two clicks."""
        return float(np.linalg.norm(self.points_px[1] - self.points_px[0]))


@dataclass(frozen=True)
class TracedView:
    """One photo: from where, how large, its scale; focal length, rim and soil line where they are known.

    `focal_35mm_mm` is the equivalent as cameras write it; `rim_px` holds left, right, nearest and farthest
    place of the pot's rim; `soil_px` two places that lie level.
    """

    name: str
    clock: float
    width_px: int
    height_px: int
    scale: Scale
    focal_35mm_mm: float | None = None
    rim_px: FloatArray | None = None
    soil_px: FloatArray | None = None
    image: str = ""


@dataclass(frozen=True)
class TracedBranch:
    """Clicks of one branch by view, and the edges that a person drew in place of the found ones."""

    id: str
    parent: str | None
    clicks_px: Mapping[str, FloatArray]
    edges_px: Mapping[str, FloatArray]  # view: (k, 2, 2), one pair of places across the branch each


@dataclass(frozen=True)
class TracePoints:
    """All that was clicked; the trunk comes first and every parent before its children."""

    views: tuple[TracedView, ...]
    branches: tuple[TracedBranch, ...]

    def view(self, name: str) -> TracedView | None:
        """The view of a name, None where there is no such photo."""
        return next((each for each in self.views if each.name == name), None)


def points_to_json(points: TracePoints) -> dict[str, Any]:
    """The JSON of clicks, as `points_from_json` reads it.

    Parameters
    ----------
    points : TracePoints
        Any.

    Returns
    -------
    dict
        Plain values.

    Source
    ------
    own.

    Examples
    --------
    >>> view = TracedView("front", 6.0, 9, 9, Scale("rule", np.array([[0.0, 0], [8, 0]]), 50.0))
    >>> points_to_json(TracePoints((view,), ()))["photos"]["front"]["scale"]["length_mm"]
    50.0
    """
    photos = {view.name: _view_to_json(view) for view in points.views}
    branches = []
    for branch in points.branches:
        row: dict[str, Any] = {"id": branch.id, "parent": branch.parent}
        row |= {name: clicks.tolist() for name, clicks in branch.clicks_px.items()}
        if branch.edges_px:
            row["edges"] = {name: pairs.tolist() for name, pairs in branch.edges_px.items()}
        branches.append(row)
    return {"layout": LAYOUT, "version": VERSION, "photos": photos, "branches": branches}


def _view_to_json(view: TracedView) -> dict[str, Any]:
    scale = view.scale
    row: dict[str, Any] = {
        "clock": view.clock,
        "width_px": view.width_px,
        "height_px": view.height_px,
        "scale": {
            "kind": scale.kind,
            "points": scale.points_px.tolist(),
            "length_mm": scale.length_mm,
            "in_front_mm": scale.in_front_mm,
        },
    }
    more = {"focal_35mm_mm": view.focal_35mm_mm, "image": view.image or None}
    more |= {
        name: None if given is None else given.tolist()
        for name, given in (("rim", view.rim_px), ("soil", view.soil_px))
    }
    return row | {name: value for name, value in more.items() if value is not None}


def reduced(points: TracePoints, name: str, times: int) -> TracePoints:
    """The clicks of one view on its photo reduced by a whole number.

    Parameters
    ----------
    points : TracePoints
        At the photo's full size.
    name : str
        The view.
    times : int
        How many pixels become one, across and down; what is left over at the right and lower edge is lost.

    Returns
    -------
    TracePoints
        The other view stays.

    Source
    ------
    own: pixel centres at integers, so that pixel 0 covers -0.5 to 0.5.

    Examples
    --------
    >>> view = TracedView("front", 6.0, 9, 9, Scale("rule", np.array([[0.5, 0.5], [4.5, 0.5]]), 50.0))
    >>> reduced(TracePoints((view,), ()), "front", 2).views[0].scale.points_px.tolist()
    [[0.0, 0.0], [2.0, 0.0]]
    """

    def small(places: FloatArray) -> FloatArray:
        return (places + 0.5) / times - 0.5

    def view_of(view: TracedView) -> TracedView:
        if view.name != name:
            return view
        return replace(
            view,
            width_px=view.width_px // times,
            height_px=view.height_px // times,
            scale=replace(view.scale, points_px=small(view.scale.points_px)),
            rim_px=None if view.rim_px is None else small(view.rim_px),
            soil_px=None if view.soil_px is None else small(view.soil_px),
        )

    def branch_of(branch: TracedBranch) -> TracedBranch:
        clicks = {key: small(each) if key == name else each for key, each in branch.clicks_px.items()}
        edges = {key: small(each) if key == name else each for key, each in branch.edges_px.items()}
        return replace(branch, clicks_px=clicks, edges_px=edges)

    return TracePoints(
        tuple(view_of(view) for view in points.views), tuple(branch_of(each) for each in points.branches)
    )
