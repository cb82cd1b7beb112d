"""Photos that can lie behind the tree in space: their camera was found, or foot and apex are marked."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from ringwise.desk.entry_words import view_words
from ringwise.desk.shapes import Shape
from ringwise.kit.words import _
from ringwise.records.date_shown import date_shown
from ringwise.structure.views import in_widths

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.model import Entry

_CLOCKS = {"front": 6, "right": 3, "back": 12, "left": 9}


def photos_behind(workspace: Workspace, tree: str, shape: Entry | None, origin_mm: Any) -> list[Shape]:
    """The photos of a tree that can be laid behind the same view, newest first.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id of the tree.
    shape : Entry or None
        The kept structure that is shown, whose photos' cameras may be known.
    origin_mm : (3,) float
        Where its root lies in the world of those cameras.

    Returns
    -------
    list of dict
        With a camera, or with the marks of foot and apex in widths of the picture as it is shown.
    """
    entries = {entry.id: entry for entry in workspace.store.entries(tree=tree, kind="photo")}
    found = []
    for view in _views(shape):
        entry = entries.get(str(view["photo"]))
        if entry is not None:
            found.append(_row(entry, camera=_camera(view, origin_mm)))
    for entry in reversed(entries.values()):
        if entry.data["view"] in _CLOCKS and entry.data.get("align"):
            found.append(_row(entry, clock=_CLOCKS[str(entry.data["view"])]))
    return found


def _views(shape: Entry | None) -> list[Any]:
    views: Any = [] if shape is None else shape.data.get("views") or []
    return [each for each in views if isinstance(each, dict) and {"photo", "K", "R", "t"} <= each.keys()]


def _camera(view: Any, origin_mm: Any) -> Shape:
    turn = np.asarray(view["R"], dtype=np.float64)
    shift = np.asarray(view["t"], dtype=np.float64) + turn @ np.asarray(origin_mm, dtype=np.float64)
    return {"k": view["K"], "r": view["R"], "t_mm": shift.tolist(), "k1": float(view.get("k1") or 0.0)}


def _row(entry: Entry, *, camera: Shape | None = None, clock: int | None = None) -> Shape:
    data: Any = entry.data
    side = view_words(data["view"])
    marks = None
    if camera is None:
        pair = tuple((float(x), float(y)) for x, y in data["align"])
        marks = in_widths(
            (pair[0], pair[1]), data["width_px"], data["height_px"], mirrored=bool(data.get("mirrored"))
        )
    words = _("{view}, {day}").format(view=side, day=date_shown(entry.on))
    return {
        "entry": entry.id,
        "sha256": data["sha256"],
        "width_px": data["width_px"],
        "height_px": data["height_px"],
        "mirrored": bool(data.get("mirrored")),
        "words": words,
        "clock": clock,
        "marks": None if marks is None else [list(mark) for mark in marks],
        "camera": camera,
    }
