"""Pictures of a turn of photos under review: each photo small, and the measured tree over it."""

from __future__ import annotations

import uuid
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringwise.desk.turntable_review import Run, result_of_run, run_of
from ringwise.kit.errors import NotFoundError, NotReadyError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace

SHOWN_PX = 1000


def run_picture(workspace: Workspace, tree: str, id_: str, number: int) -> Path:
    """A small upright JPEG of one photo of a run, made once.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree, id_ : str
        The run.
    number : int
        From 1.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    NotFoundError
        If there is no such photo.
    InputError
        If it does not decode.
    """
    run = run_of(workspace, tree, id_)
    source = _photo(run, number)
    made = run.folder / f"{number:02}.jpg"
    if not made.is_file():
        from ringwise.structure.photo.sight import small_jpeg

        picture, _share = small_jpeg(_values(source), SHOWN_PX)
        draft = run.folder / f"{number:02}.{uuid.uuid4().hex}.new"
        draft.write_bytes(picture)
        draft.replace(made)
    return made


def _photo(run: Run, number: int) -> Path:
    if not 1 <= number <= len(run.photos):
        raise NotFoundError(_("there is no such photo in this turn."))
    return run.photos[number - 1]


def _values(source: Path) -> Any:
    from ringwise.records.pictures import read_pixels
    from ringwise.structure.photo.board import threshold

    longest_px = int(threshold("picture", "longest_px"))
    return read_pixels(source, longest_px=longest_px, shown=Path(source.name)).values


def run_overlay(workspace: Workspace, tree: str, id_: str, number: int) -> Shape:
    """The measured tree as one photo's camera would see it, in shares of the photo's width.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree, id_ : str
        The run.
    number : int
        From 1.

    Returns
    -------
    dict
        width, height (against the width) and lines; no lines where the photo was left out.

    Raises
    ------
    NotReadyError
        If nothing was measured yet.
    """
    from ringwise.desk.turntable_report import overlay

    run = run_of(workspace, tree, id_)
    result = result_of_run(workspace, run)
    if result is None:
        raise NotReadyError(_("this turn is not measured yet."))
    name = _photo(run, number).name
    camera = next((each for each in result.cameras if each.name == name), None)
    if camera is None:
        return {"width_px": 0, "height_px": 0, "lines": []}
    lines = overlay(camera, result.measured)
    return {
        "width_px": camera.width_px,
        "height_px": camera.height_px,
        "lines": [[value for point in line for value in point] for line in lines],
    }
