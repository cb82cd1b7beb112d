"""Wishes about tracing: a tree from clicks on one or two photos, looked at while clicking, then kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringwise.desk.deeds import exact_day
from ringwise.desk.given_file import given_text, json_of
from ringwise.desk.retired import refuse_on_retired
from ringwise.desk.tracing_photos import (
    TracedPhoto,
    fitted,
    photo_entries,
    picture_values,
    traced_photo,
)
from ringwise.desk.tracing_told import quality_of, seen_told, traced_told, tree_told
from ringwise.kit.errors import NotFoundError
from ringwise.kit.words import _
from ringwise.records.date_shown import date_shown

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.structure.measured import MeasuredTree
    from ringwise.structure.trace.points import TracePoints
    from ringwise.structure.trace.tracing import Traced

POINTS, ON = "points", "on"  # keys of a kept trace: its clicks, and the photo entry of each view
_MOST_BYTES = 4_000_000


@dataclass(frozen=True)
class TraceWish:
    """What was typed for `ringwise measure trace TREE FRONT [SIDE] --points FILE`."""

    tree: str
    front: str
    side: str | None
    points: Path
    by: str | None = None


@dataclass(frozen=True)
class TraceAnswer:
    """The documented keys with their lines, and the tree itself."""

    data: Shape
    measured: MeasuredTree


def measure_trace(workspace: Workspace, wish: TraceWish) -> TraceAnswer:
    """Measure a tree on traced photos and keep it.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : TraceWish
        As typed.

    Returns
    -------
    TraceAnswer
        Stored.

    Raises
    ------
    InputError
        If photos or points cannot be used; the line names photo and branch, and nothing is stored.
    """
    given = _given(wish.front, wish.side)
    return keep_trace(workspace, wish.tree, _file_points(wish.points), given, by=wish.by, files=True)


def _given(front: str, side: str | None) -> dict[str, str]:
    return {"front": front} | ({} if side is None else {"side": side})


def _file_points(file: Path) -> Any:
    too_large = _("is larger than any file of points")
    return json_of(given_text(file, most_bytes=_MOST_BYTES, too_large=too_large), file)


def keep_trace(
    workspace: Workspace,
    tree: str,
    clicks: Any,
    given: Mapping[str, str],
    *,
    by: str | None = None,
    files: bool = False,
) -> TraceAnswer:
    """Measure a tree on traced photos and keep tree and photos in one step.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    clicks : mapping
        JSON of a points file.
    given : mapping
        Photos by view: ids of photos of the tree, or files.
    by : str, optional
        Who measured.
    files : bool
        Whether files may be named.

    Returns
    -------
    TraceAnswer
        Stored.

    Raises
    ------
    InputError
        If photos or points cannot be used; nothing is stored then.
    """
    from ringwise.desk.structures import ShapeGiven, keep_structure
    from ringwise.structure.trace.points import points_to_json
    from ringwise.structure.trace.reading import points_from_json

    refuse_on_retired(workspace, workspace.tree(tree), "shape", exact_day(workspace))
    facts = workspace.facts_of(tree)
    points = points_from_json(clicks)
    photos, traced = _traced(workspace, facts, points, given, files)
    entries, ids = photo_entries(workspace, facts, points, photos, by)
    quality = quality_of(traced)
    kept = keep_structure(
        workspace,
        facts,
        traced.tree,
        ShapeGiven(
            source="trace",
            quality=quality,
            photos=[ids[name] for name in photos],
            views=[_camera_row(traced, photos[name], ids[name]) for name in traced.poses],
            more={POINTS: points_to_json(points), ON: ids},
            by=by,
            with_entries=entries,
        ),
    )
    return TraceAnswer(traced_told(facts, traced, kept, ids), traced.tree)


def _traced(
    workspace: Workspace, facts: TreeFacts, points: TracePoints, given: Mapping[str, str], files: bool
) -> tuple[dict[str, TracedPhoto], Traced]:
    from ringwise.desk.measuring import tree_seed
    from ringwise.records.taxa import lookup_keys
    from ringwise.structure.forms import form_for
    from ringwise.structure.trace.tracing import traced_tree

    photos = {name: traced_photo(workspace, facts, name, each, files=files) for name, each in given.items()}
    traced = traced_tree(
        fitted(points, photos),
        picture_values(photos),
        form=form_for(lookup_keys(facts.tree.species)),
        seed=tree_seed(workspace, facts.tree.id, 0),
        born_year=workspace.year.label,
    )
    return photos, traced


def _camera_row(traced: Traced, photo: TracedPhoto, entry: str) -> dict[str, Any]:
    """The camera at the photo's full size, as views of a shape are kept."""
    camera = traced.poses[photo.name].camera.scaled(photo.pixels.times)
    return {
        "photo": entry,
        "K": camera.k.tolist(),
        "R": camera.r.tolist(),
        "t": camera.t_mm.tolist(),
        "k1": 0.0,
    }


def trace_edges(workspace: Workspace, tree: str, clicks: Any, given: Mapping[str, str], view: str) -> Shape:
    """The edges that are found on one photo while somebody clicks.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    clicks : mapping
        JSON of a points file, branches may still be short.
    given : mapping
        Ids of photos by view.
    view : str
        Which photo.

    Returns
    -------
    dict
        Key branches: id, places of both edges, and where they lie over other wood.

    Raises
    ------
    InputError
        If photo or points cannot be used.
    """
    from ringwise.structure.trace.reading import points_from_json
    from ringwise.structure.trace.tracing import seen_lines

    facts = workspace.facts_of(tree)
    points = points_from_json(clicks, partly=True)
    if points.view(view) is None or view not in given:
        raise NotFoundError(_("there is no such photo on the table"), where=view)
    if not points.branches or view not in points.branches[0].clicks_px:
        return {"branches": []}
    photos = {name: traced_photo(workspace, facts, name, each) for name, each in given.items()}
    times = photos[view].pixels.times
    seen = seen_lines(fitted(points, photos), view, photos[view].pixels.values)
    return {"branches": [seen_told(id, line, times) for id, line in seen.items()]}


def trace_draft(workspace: Workspace, tree: str, clicks: Any, given: Mapping[str, str]) -> Shape:
    """The tree that the clicks make so far, without keeping anything.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    clicks : mapping
        JSON of a points file.
    given : mapping
        Ids of photos by view.

    Returns
    -------
    dict
        Segments to draw, the rows of the branches, and lines to show.

    Raises
    ------
    InputError
        If photos or points cannot be used; the line says where.
    """
    from ringwise.structure.trace.reading import points_from_json

    facts = workspace.facts_of(tree)
    _photos, traced = _traced(workspace, facts, points_from_json(clicks), given, files=False)
    return tree_told(facts, traced)


def kept_trace(workspace: Workspace, tree: str) -> Shape:
    """The last kept trace of a tree with its photos and clicks, to be corrected on the table.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.

    Returns
    -------
    dict
        Keys tree and last; null where none was kept with its clicks, or one of its photos is gone.
    """
    facts = workspace.facts_of(tree)
    kept = [each for each in facts.entries if each.kind == "shape" and POINTS in each.data]
    if not kept:
        return {"tree": facts.tree.id, "last": None}
    data: dict[str, Any] = dict(kept[-1].data)
    there = {each.id: each for each in workspace.store.entries(tree=facts.tree.id, kind="photo")}
    photos = {}
    for name, view in data[POINTS]["photos"].items():
        entry = there.get(data[ON][name])
        if entry is None:
            return {"tree": facts.tree.id, "last": None}
        photos[name] = view | {"entry": entry.id, "sha256": str(entry.data["sha256"])}
    last = {
        "day_shown": date_shown(kept[-1].on),
        "photos": photos,
        "branches": data[POINTS]["branches"],
    }
    return {"tree": facts.tree.id, "last": last}
