"""The files of a turn: which photos, which cameras, which lenses are stored."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringwise.kit.errors import DamagedError, FileFormatError, InputError, NotFoundError
from ringwise.kit.words import _
from ringwise.records.durable import sync_folder, write_whole

if TYPE_CHECKING:
    from ringwise.structure.cameras import Camera
    from ringwise.structure.photo.lens import Lens
    from ringwise.structure.photo.sight import Shot

SUFFIXES = (".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif")
LENSES = "lenses.json"  # in the collection's folder


def photo_files(given: Sequence[Path]) -> tuple[Path, ...]:
    """The photos that are meant: files as they are, of a folder all photos in the order of their names.

    Parameters
    ----------
    given : sequence of Path
        Files and folders.

    Returns
    -------
    tuple of Path
        Each once.

    Raises
    ------
    NotFoundError
        If a file or folder is not there.
    InputError
        If there is no photo at all.
    """
    found: list[Path] = []
    for path in given:
        if path.is_dir():
            inside = sorted(path.iterdir(), key=lambda each: each.name)
            found += [each for each in inside if each.suffix.lower() in SUFFIXES and each.is_file()]
        elif path.is_file():
            found.append(path)
        else:
            raise NotFoundError(_("there is no file {file}").format(file=path))
    if not found:
        raise InputError(
            _("there is no photo in {folder}; accepted: JPEG, PNG, WebP, HEIC.").format(
                folder=", ".join(str(path) for path in given) or _("what was given")
            )
        )
    return tuple(dict.fromkeys(found))


def known_cameras(file: Path, given: Sequence[Path]) -> tuple[tuple[Camera, ...], tuple[Path, ...]]:
    """Cameras from their file, each with its picture.

    Parameters
    ----------
    file : Path
        JSON as docs/reference/cameras.md tells.
    given : sequence of Path
        Folders and files in which the pictures are looked for; beside the cameras' file where not there.

    Returns
    -------
    (tuple of Camera, tuple of Path)
        In the order of the file.

    Raises
    ------
    NotFoundError
        If the file or a picture is not there.
    FileFormatError
        If the file is no JSON or no list of cameras.
    RangeError
        If lengths cannot be mm, or a camera looks away from the tree.
    """
    from ringwise.structure.cameras import cameras_from_json
    from ringwise.structure.photo.known import check_known

    if not file.is_file():
        raise NotFoundError(_("there is no file {file}").format(file=file))
    try:
        data = json.loads(file.read_text(encoding="utf-8"))
    except ValueError as wrong:
        raise FileFormatError(_("is no JSON ({why})").format(why=wrong), where=file.name) from None
    try:
        cameras = cameras_from_json(data)
        check_known(cameras)
    except InputError as wrong:
        wrong.where = f"{file.name}, {wrong.where}" if wrong.where else file.name
        raise
    found = {camera.name: _picture(camera.name, file, given) for camera in cameras}
    missing = [name for name, path in found.items() if path is None]
    if missing:
        raise NotFoundError(
            _("not there: {names}. Give the folder that holds them, or take their views out.").format(
                names=", ".join(missing)
            ),
            where=file.name,
        )
    return cameras, tuple(path for path in found.values() if path is not None)


def _picture(name: str, file: Path, given: Sequence[Path]) -> Path | None:
    """Where a picture lies; of files that were given the one whose path ends as the name does goes first."""
    for place in (*(path for path in given if path.is_dir()), file.parent):
        if (place / name).is_file():
            return place / name
    own = Path(name).parts
    alike = [path for path in given if path.is_file() and path.name == own[-1]]
    whole = [path for path in alike if path.parts[-len(own) :] == own]
    return next(iter((*whole, *alike)), None)


def stored_lenses(folder: Path) -> tuple[Lens, ...]:
    """The lenses that were calibrated for a collection.

    Parameters
    ----------
    folder : Path
        Of the collection; it need not exist.

    Returns
    -------
    tuple of Lens
        None where nothing was stored.

    Raises
    ------
    DamagedError
        If the file does not read.
    """
    from ringwise.structure.photo.lens import lens_from_json

    file = folder / LENSES
    if not file.is_file():
        return ()
    try:
        return tuple(lens_from_json(each) for each in json.loads(file.read_text(encoding="utf-8"))["lenses"])
    except (ValueError, KeyError, TypeError, FileFormatError) as wrong:
        raise DamagedError(
            _("{file} does not read ({why}); calibrate the lens again.").format(file=file, why=wrong)
        ) from None


def store_lens(folder: Path, lens: Lens) -> None:
    """Keep a lens in the collection's folder, in place of an earlier one of the same camera and focal length.

    Parameters
    ----------
    folder : Path
        Of the collection.
    lens : Lens
        As calibrated.
    """
    kept = [each for each in stored_lenses(folder) if _which(each) != _which(lens)]
    data = {"lenses": [each.to_json() for each in (*kept, lens)]}
    write_whole(folder, folder / LENSES, json.dumps(data, indent=1).encode())
    sync_folder(folder)


def _which(lens: Lens) -> tuple[Any, ...]:
    wide = lens.width_px >= lens.height_px
    return (lens.make, lens.model, lens.focal_mm, lens.focal_35_mm, wide)


def lens_of(lenses: Sequence[Lens], shots: Sequence[Shot]) -> Lens | None:
    """The stored lens of most photos; None where they were taken with another, or say nothing of it.

    Parameters
    ----------
    lenses : sequence of Lens
        Stored ones.
    shots : sequence of Shot
        Of the photos.

    Returns
    -------
    Lens or None
        One that fits more than half of them and names its camera.
    """
    for lens in lenses:
        fitting = sum(lens.fits(shot) for shot in shots)
        if lens.model and fitting > len(shots) / 2:
            return lens
    return None
