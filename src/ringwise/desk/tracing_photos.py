"""The photos that a tree is traced on: files or photos of the record, their pixels, their entries."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringwise.kit.errors import InputError, MissingFieldError, NotFoundError, out_of_range
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry
    from ringwise.records.pictures import Pixels
    from ringwise.structure.trace.points import TracePoints

LONGEST_PX = 6000  # a larger photo is reduced: its pixels show no more of the wood, only more of the lens
_SIDES = {6: "front", 3: "right", 0: "back", 12: "back", 9: "left"}


@dataclass(frozen=True)
class TracedPhoto:
    """One photo: its file, what the user calls it, and its entry where it is in the record already."""

    name: str
    path: Path
    shown: str
    entry: Entry | None
    pixels: Pixels


def traced_photo(
    workspace: Workspace, facts: TreeFacts, name: str, given: str, *, files: bool = False
) -> TracedPhoto:
    """A photo by its file or by the id of its entry.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree; an entry must be its own.
    name : str
        The view: front or side.
    given : str
        As typed.
    files : bool
        Whether it may be the path of a file; only the one who sits at the machine may name those.

    Returns
    -------
    TracedPhoto
        With its pixels.

    Raises
    ------
    NotFoundError
        If there is neither such a file nor such a photo.
    InputError
        If it is no photo or does not decode.
    """
    entry = next(
        (e for e in workspace.store.entries(tree=facts.tree.id, kind="photo") if e.id == given), None
    )
    path = Path(given) if entry is None else workspace.folder / str(entry.data["file"])
    if entry is None and not files:
        raise NotFoundError(
            _("there is no photo {id} of this tree").format(id=given), where=photo_words(name)
        )
    if entry is None and not path.is_file():
        raise NotFoundError(
            _(
                "there is no file and no photo of {tree} called {given}; give a file or the id of a photo"
            ).format(tree=facts.tree.id, given=given),
            where=photo_words(name),
        )
    shown = given if entry is None else str(entry.data.get("original_name") or entry.id)
    return TracedPhoto(name, path, shown, entry, _pixels(path, path.stat().st_mtime_ns, shown))


@lru_cache(maxsize=2)
def _pixels(path: Path, changed_ns: int, shown: str) -> Pixels:
    """Kept for the two photos on the table: each click looks at them again."""
    from ringwise.records.pictures import read_pixels

    return read_pixels(path, longest_px=LONGEST_PX, shown=Path(shown))


def photo_words(name: str) -> str:
    """What a view is called in a line.

    Parameters
    ----------
    name : str
        front or side.

    Returns
    -------
    str
        In the reader's language.

    Examples
    --------
    >>> photo_words("side")
    'side photo'
    """
    return {"front": _("front photo"), "side": _("side photo")}[name]


def fitted(points: TracePoints, photos: Mapping[str, TracedPhoto]) -> TracePoints:
    """The clicks as they lie on the pixels that were read, with the focal length the cameras wrote.

    Parameters
    ----------
    points : TracePoints
        As given.
    photos : mapping
        By view.

    Returns
    -------
    TracePoints
        Of the pixels' size.

    Raises
    ------
    MissingFieldError, RangeError
        If a view has no photo, a photo no clicks, or one has another size than was clicked on.
    """
    from ringwise.structure.trace.points import reduced

    for view in points.views:
        photo = photos.get(view.name)
        if photo is None:
            raise MissingFieldError(
                _("the points have clicks on it, but no such photo was given"), where=photo_words(view.name)
            )
        height, width = photo.pixels.values.shape[:2]
        times = photo.pixels.times
        if (view.width_px // times, view.height_px // times) != (width, height):
            wrong = out_of_range(
                _("size of {photo}").format(photo=photo.shown),
                f"{width * times} x {height * times} px",
                _("{width} x {height} px, as the points say").format(
                    width=view.width_px, height=view.height_px
                ),
                way_out=_("Give the photo that was clicked on, or click again."),
            )
            wrong.where = photo_words(view.name)
            raise wrong
        if times > 1:
            points = reduced(points, view.name, times)
    for name in photos:
        if points.view(name) is None:
            raise InputError(
                _("the points hold nothing of it; leave it out or trace it too"), where=photo_words(name)
            )
    return _with_focal(points, photos)


def _with_focal(points: TracePoints, photos: Mapping[str, TracedPhoto]) -> TracePoints:
    """Where nobody typed a focal length, that of the camera, unless the photo was cropped."""
    views = []
    for view in points.views:
        pixels = photos[view.name].pixels
        if view.focal_35mm_mm is None and not pixels.cut and pixels.focal_35_mm:
            view = replace(view, focal_35mm_mm=float(pixels.focal_35_mm))
        views.append(view)
    return replace(points, views=tuple(views))


def photo_entries(
    workspace: Workspace,
    facts: TreeFacts,
    points: TracePoints,
    photos: Mapping[str, TracedPhoto],
    by: str | None,
) -> tuple[list[Entry], dict[str, str]]:
    """Entries of the photos that the record does not have yet, and the id of each photo by view.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    points : TracePoints
        From where each was taken.
    photos : mapping
        By view.
    by : str or None
        Who measured.

    Returns
    -------
    entries : list of Entry
        Still to be stored; their files are kept.
    ids : dict
        By view.
    """
    from ringwise.desk.photos import PhotoGiven, photo_entry
    from ringwise.records.pictures import file_sha256

    tree = workspace.tree(facts.tree.id)
    known = {str(e.data["sha256"]): e.id for e in workspace.store.entries(tree=tree.id, kind="photo")}
    entries: list[Entry] = []
    ids: dict[str, str] = {}
    for name, photo in photos.items():
        there = photo.entry.id if photo.entry is not None else known.get(file_sha256(photo.path))
        if there is None:
            view = points.view(name)
            side = "detail" if view is None else _SIDES.get(round(view.clock), "detail")
            given = PhotoGiven(view=side, original_name=photo.path.name, called=photo.shown, by=by)
            entry = replace(photo_entry(workspace, tree, photo.path, given), id=uuid.uuid4().hex)
            entries.append(entry)
            there = entry.id
        ids[name] = there
    return entries, ids


def picture_values(photos: Mapping[str, TracedPhoto]) -> dict[str, Any]:
    """The pixels by view.

    Parameters
    ----------
    photos : mapping
        By view.

    Returns
    -------
    dict
        Arrays (h, w, 3).
    """
    return {name: photo.pixels.values for name, photo in photos.items()}
