"""Keeping a measured turn: its photos and its tree come into the record as one step, or not at all."""

from __future__ import annotations

import uuid
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringwise.desk.photos import PhotoGiven, photo_entry
from ringwise.desk.structures import ShapeGiven, keep_structure
from ringwise.structure.cameras import cameras_to_json

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.turntable_result import TurnResult
    from ringwise.desk.turntable_wish import Turn
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry
    from ringwise.structure.cameras import Camera

_SIDES = {270.0: "front", 0.0: "right", 90.0: "back", 180.0: "left"}  # where a camera stands, from +x
_SIDE_SLACK_DEG = 16.0
_LOW_DEG = 20.0  # a camera above looks down on the tree: no side


def kept_already(workspace: Workspace, tree: str, result: TurnResult) -> Entry | None:
    """The entry of the same measured tree, where it was kept before.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id of the tree.
    result : TurnResult
        The turn.

    Returns
    -------
    Entry or None
        The shape.
    """
    import hashlib

    from ringwise.desk.structures import tree_bytes

    digest = hashlib.sha256(tree_bytes(result.measured)).hexdigest()
    for entry in workspace.store.entries(tree=tree, kind="shape"):
        if entry.data.get("sha256") == digest:
            return entry
    return None


def keep_turn(
    workspace: Workspace, facts: TreeFacts, turn: Turn, result: TurnResult, *, by: str | None = None
) -> Shape:
    """Keep a turn: photos that were used become entries, the tree a shape that names them.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    turn : Turn
        Its photos.
    result : TurnResult
        As measured.
    by : str, optional
        Who measured.

    Returns
    -------
    dict
        As `keep_structure`; with action None where it was kept before.

    Raises
    ------
    ConflictError
        If the tree was retired by that day; nothing is stored then.
    """
    held = kept_already(workspace, facts.tree.id, result)
    if held is not None:
        return {
            "action": None,
            "id": held.id,
            **{k: held.data[k] for k in ("sha256", "segments", "height_mm")},
        }
    entries, ids = _photo_entries(workspace, facts, turn, result, by)
    views = cameras_to_json(result.cameras)["views"]
    told = [
        {"photo": ids[camera.name], **{key: view[key] for key in ("K", "R", "t", "k1")}}
        for camera, view in zip(result.cameras, views, strict=True)
    ]
    given = ShapeGiven(
        source="turntable",
        quality=_short(result.quality),
        photos=[ids[camera.name] for camera in result.cameras],
        views=told,
        by=by,
        with_entries=entries,
    )
    return keep_structure(workspace, facts, result.measured, given)


def _short(quality: dict[str, Any]) -> dict[str, Any]:
    """The figures of quality that stay with the entry; those of single photos are in the run's report."""
    return {key: value for key, value in quality.items() if key not in ("views", "refused")}


def _photo_entries(
    workspace: Workspace, facts: TreeFacts, turn: Turn, result: TurnResult, by: str | None
) -> tuple[list[Entry], dict[str, str]]:
    """Entries of the photos that are not in the record yet, and the id of each photo by its name."""
    tree = workspace.tree(facts.tree.id)
    known = {str(e.data["sha256"]): e.id for e in workspace.store.entries(tree=tree.id, kind="photo")}
    paths = {source.name: source for source in turn.sources}
    sides = _sides(result.cameras)
    entries: list[Entry] = []
    ids: dict[str, str] = {}
    for camera in result.cameras:
        source = paths[camera.name]
        if source.sha256 in known:
            ids[camera.name] = known[source.sha256]
            continue
        given = PhotoGiven(
            view=sides.get(camera.name, "detail"),
            original_name=Path(source.name).name,
            called=source.name,
            by=by,
        )
        entry = photo_entry(workspace, tree, source.path, given)
        entry = replace(entry, id=uuid.uuid4().hex)
        entries.append(entry)
        ids[camera.name] = entry.id
    return entries, ids


def _sides(cameras: tuple[Camera, ...]) -> dict[str, str]:
    """The low camera nearest to each side shows that side."""
    from ringwise.structure.photo.calibrate import round_of

    about = round_of(cameras)
    found: dict[str, str] = {}
    for at_deg, side in _SIDES.items():
        off = abs((about.azimuths_deg - at_deg + 180.0) % 360.0 - 180.0)
        off = off + 1000.0 * (about.elevations_deg > _LOW_DEG)
        nearest = int(off.argmin())
        if off[nearest] <= _SIDE_SLACK_DEG:
            found[cameras[nearest].name] = side
    return found
