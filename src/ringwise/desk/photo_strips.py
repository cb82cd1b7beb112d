"""The photos of a tree side by side through the years, with what lays them on each other."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ringwise.desk.entry_words import view_words
from ringwise.desk.shapes import Shape
from ringwise.desk.told import day_shape, told
from ringwise.desk.workspace import Workspace
from ringwise.kit import show
from ringwise.kit.errors import unknown_name
from ringwise.kit.words import _
from ringwise.records.model import PHOTO_VIEWS, Entry
from ringwise.structure.views import Pair, alignment, in_widths, mm_per_px

_SIDES = tuple(view for view in PHOTO_VIEWS if view != "detail")
_SCALE_DIGITS = 3  # two taps of a finger say no more


def photo_strip(workspace: Workspace, tree: str, view: str | None = None) -> Shape:
    """The photos of a tree by side, oldest first, and the sides that have none this growing year.

    The newest photo with both places of `align` marked is the reference of its side. `matrix` lays another on
    it: both pictures as they are shown (upright, and mirrored where so marked), in widths of the reference.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name of the tree.
    view : str or None
        Only this side.

    Returns
    -------
    dict
        Keys tree, strips (view, view_words, reference, photos) and missing (key, words, more).

    Raises
    ------
    NotFoundError
        If there is no such tree.
    UnknownNameError
        If there is no such side.
    """
    if view is not None and view not in PHOTO_VIEWS:
        raise unknown_name(_("view"), view, PHOTO_VIEWS)
    found = workspace.tree(tree)
    entries = workspace.store.entries(tree=found.id, kind="photo")
    wanted = PHOTO_VIEWS if view is None else (view,)
    strips = [_strip(each, own) for each in wanted if (own := [e for e in entries if e.data["view"] == each])]
    return {"tree": found.id, "strips": strips, "missing": _missing(workspace, entries)}


def _missing(workspace: Workspace, entries: Sequence[Entry]) -> list[Shape]:
    year = workspace.year
    there = {e.data["view"] for e in entries if e.on.by is not None and year.start <= e.on.by <= year.end}
    more = {"underside": _("when the roots are out")}
    return [
        {"key": view, "words": view_words(view), "more": more.get(view, "")}
        for view in _SIDES
        if view not in there
    ]


def _strip(view: str, entries: Sequence[Entry]) -> Shape:
    marked = [entry for entry in entries if entry.data.get("align")]
    reference = marked[-1] if marked else None
    return {
        "view": view,
        "view_words": view_words(view),
        "reference": None if reference is None else reference.id,
        "photos": [_row(entry, reference) for entry in entries],
    }


def _row(entry: Entry, reference: Entry | None) -> Shape:
    data: Any = entry.data
    scale = scale_of(data)
    matrix = None
    if reference is not None and data.get("align"):
        matrix = list(alignment(_marks(entry), _marks(reference)).matrix)
    return {
        "entry": entry.id,
        "revision": entry.revision,
        "sha256": data["sha256"],
        "view": data["view"],
        "on": day_shape(entry.on),
        "date_from": data.get("date_from") or "typed",
        "note": entry.note,
        "width_px": data["width_px"],
        "height_px": data["height_px"],
        "mirrored": bool(data.get("mirrored")),
        "align": data.get("align"),
        "rim": data.get("rim"),
        "rim_mm": data.get("rim_mm"),
        "mm_per_px": None if scale is None else _scale_told(entry, scale),
        "matrix": matrix,
    }


def _scale_told(entry: Entry, scale: float) -> Shape:
    return told(scale, scale_shown(scale), f"photo:{entry.id}:scale")


def scale_shown(scale: float) -> str:
    """The scale of a photo for people, from mm a pixel."""
    return _("{n} mm a pixel").format(n=show.number(scale, _SCALE_DIGITS))


def _marks(entry: Entry) -> Pair:
    data: Any = entry.data
    return in_widths(
        _pair(data["align"]), data["width_px"], data["height_px"], mirrored=bool(data.get("mirrored"))
    )


def _pair(points: Any) -> Pair:
    (x, y), (other_x, other_y) = points
    return (x, y), (other_x, other_y)


def scale_of(data: Any) -> float | None:
    """The mm a pixel of a photo with a marked rim; None where no rim is marked or its width is not known."""
    if not data.get("rim") or data.get("rim_mm") is None:
        return None
    return mm_per_px(_pair(data["rim"]), data["rim_mm"], data["width_px"], data["height_px"])
