"""The small pictures of a photo: made once, kept under the hash of the photo, made again where missing."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from ringwise.kit.errors import InputError, NotFoundError, WorkspaceError, out_of_range
from ringwise.kit.words import _
from ringwise.records.durable import sync_folder, write_whole
from ringwise.records.photo_decoding import THUMB_SIZES_PX, THUMBS
from ringwise.records.photo_process import decode_photo

FOLDER = "photos"
SUFFIXES = ("jpg", "png", "webp", "heic")

_THUMBS = "thumbs"
_SHA256 = re.compile(r"[0-9a-f]{64}")


def checked_sha256(text: str) -> str:
    """The hash of a photo, if it is one.

    Parameters
    ----------
    text : str
        What was asked for.

    Returns
    -------
    str
        The same text: 64 hexadecimal digits, small letters.

    Raises
    ------
    InputError
        If it is anything else, such as a path.

    Examples
    --------
    >>> len(checked_sha256("0a" * 32))
    64
    """
    if not _SHA256.fullmatch(text):
        raise InputError(_("a photo is named by the 64 hexadecimal digits of its hash."))
    return text


def incoming_folder(collection: Path) -> Path:
    """Where files of photos lie until they are whole.

    Parameters
    ----------
    collection : Path
        The folder of the collection.

    Returns
    -------
    Path
        The folder, whether or not it is there.

    Examples
    --------
    >>> incoming_folder(Path("yard")).parts
    ('yard', 'photos', 'incoming')
    """
    return collection / FOLDER / "incoming"


def thumbs_folder(collection: Path) -> Path:
    """Where the small pictures of photos lie; they are made again from the photos.

    Parameters
    ----------
    collection : Path
        The folder of the collection.

    Returns
    -------
    Path
        The folder, whether or not it is there.

    Examples
    --------
    >>> thumbs_folder(Path("yard")).parts
    ('yard', 'photos', 'thumbs')
    """
    return collection / FOLDER / _THUMBS


def thumb_path(collection: Path, sha256: str, size_px: int) -> Path:
    """Where a small picture lies, whether or not it is there.

    Parameters
    ----------
    collection : Path
        The folder of the collection.
    sha256 : str
        Hash of the photo.
    size_px : int
        One of `THUMB_SIZES_PX`.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    InputError
        If `sha256` is no hash.
    RangeError
        If there is no such size.

    Examples
    --------
    >>> thumb_path(Path("yard"), "0a" * 32, 256).name[-11:]
    '0a_256.webp'
    """
    if size_px not in THUMB_SIZES_PX:
        raise out_of_range(
            _("size of the picture"), f"{size_px} px", ", ".join(f"{each} px" for each in THUMB_SIZES_PX)
        )
    return thumbs_folder(collection) / f"{checked_sha256(sha256)}_{size_px}.webp"


def original_path(collection: Path, sha256: str) -> Path | None:
    """Where the untouched photo lies.

    Parameters
    ----------
    collection : Path
        The folder of the collection.
    sha256 : str
        Hash of the photo.

    Returns
    -------
    Path or None
        None where it is not there.

    Examples
    --------
    >>> original_path(Path("yard"), "0a" * 32) is None
    True
    """
    folder = collection / FOLDER / checked_sha256(sha256)[:2]
    found = (folder / f"{sha256}.{suffix}" for suffix in SUFFIXES)
    return next((path for path in found if path.is_file()), None)


def write_thumbs(collection: Path, sha256: str, pictures: Sequence[bytes]) -> None:
    """Put small pictures beside the photos, each whole or not there; those that are there stay.

    Parameters
    ----------
    collection : Path
        The folder of the collection.
    sha256 : str
        Hash of the photo.
    pictures : sequence of bytes
        In the order of `THUMB_SIZES_PX`.

    Raises
    ------
    WorkspaceError
        If they cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> folder = Path(tempfile.mkdtemp())
    >>> write_thumbs(folder, "0a" * 32, [b"s", b"m", b"l"])
    >>> thumb_path(folder, "0a" * 32, 800).read_bytes()
    b'm'
    """
    targets = [thumb_path(collection, sha256, size_px) for size_px in THUMB_SIZES_PX]
    incoming = incoming_folder(collection)
    try:
        for folder in (incoming, targets[0].parent):
            folder.mkdir(parents=True, exist_ok=True)
        for target, content in zip(targets, pictures, strict=True):
            if not _is_there(target):
                write_whole(incoming, target, content)
        sync_folder(targets[0].parent)
    except OSError as error:
        raise WorkspaceError(
            _("the small pictures of photo {sha} could not be kept ({why}).").format(
                sha=sha256[:8], why=error.strerror or error
            )
        ) from error


def _is_there(path: Path) -> bool:
    return path.is_file() and path.stat().st_size > 0


def ensure_thumbs(collection: Path, sha256: str) -> tuple[Path, ...]:
    """The small pictures of a photo, made again from it where one is missing.

    Parameters
    ----------
    collection : Path
        The folder of the collection.
    sha256 : str
        Hash of the photo.

    Returns
    -------
    tuple of Path
        In the order of `THUMB_SIZES_PX`.

    Raises
    ------
    InputError
        If `sha256` is no hash, or the photo does not decode.
    NotFoundError
        If neither they nor the photo are there.

    Examples
    --------
    >>> import tempfile
    >>> folder = Path(tempfile.mkdtemp())
    >>> write_thumbs(folder, "0a" * 32, [b"s", b"m", b"l"])
    >>> len(ensure_thumbs(folder, "0a" * 32))
    3
    """
    paths = tuple(thumb_path(collection, sha256, size_px) for size_px in THUMB_SIZES_PX)
    if not all(_is_there(path) for path in paths):
        original = original_path(collection, sha256)
        if original is None:
            raise NotFoundError(_("there is no photo {sha} in the collection.").format(sha=sha256[:8]))
        suffix = original.suffix.removeprefix(".")
        write_thumbs(collection, sha256, decode_photo(original, suffix, original, THUMBS).thumbs)
    return paths
