"""Photos: taken in as they are under the hash of their content, after a limited process has decoded them.

Beside the untouched file lie small pictures of it; what is shown is one of those.
"""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from ringwise.kit.errors import FileFormatError, InputError, WorkspaceError, out_of_range, unknown_name
from ringwise.kit.words import _
from ringwise.records.durable import sync_folder
from ringwise.records.model import PHOTO_VIEWS, JsonValue
from ringwise.records.photo_decoding import is_sideways
from ringwise.records.photo_process import decode_photo
from ringwise.records.thumbs import FOLDER, incoming_folder, write_thumbs

MOST_BYTES = 60_000_000

_PIECE_BYTES = 1 << 20
_ENDS_BYTES = 1 << 16  # how much of each end is searched for what makes a photo also a page or a program
_PAGE_MARKS = (b"<script", b"<html", b"<!doctype", b"<svg ", b"<?php", b"%pdf-", b"pk\x05\x06")
_HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
_EXIF_TIME = re.compile(r"(\d{4}):(\d\d):(\d\d) (\d\d):(\d\d):(\d\d)")
_EXIF_OFFSET = re.compile(r"[+-](?:0\d|1[0-4]):[0-5]\d")


@dataclass(frozen=True)
class PhotoFacts:
    """A sound photo: shown size in pixels, the camera's own local time, and its file below the collection.

    `taken` is a local time without zone; `taken_offset` is there only if the camera wrote one.
    """

    sha256: str
    file: str
    width_px: int
    height_px: int
    orientation: int
    taken: str | None
    taken_offset: str | None

    def entry_data(self, view: str) -> dict[str, JsonValue]:
        """The data of a photo entry with its view tag."""
        if view not in PHOTO_VIEWS:
            raise unknown_name(_("view"), view, PHOTO_VIEWS)
        return {
            "sha256": self.sha256,
            "view": view,
            "file": self.file,
            "width_px": self.width_px,
            "height_px": self.height_px,
            "taken": self.taken,
            "taken_offset": self.taken_offset,
        }


def photo_suffix(head: bytes, tail: bytes = b"") -> str | None:
    """The format of a photo by its bytes: jpg, png, webp or heic; None if it is none or also something else.

    Parameters
    ----------
    head, tail : bytes
        The beginning and the end of the file.

    Returns
    -------
    str or None
        The suffix under which it is kept.

    Examples
    --------
    >>> photo_suffix(bytes([0xFF, 0xD8, 0xFF, 0xE0])), photo_suffix(b"<svg xmlns=''>")
    ('jpg', None)
    """
    if any(mark in part.lower() for part in (head, tail) for mark in _PAGE_MARKS):
        return None
    if head.startswith(b"\xff\xd8\xff"):
        return "jpg"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "png"
    if head.startswith(b"RIFF") and head[8:12] == b"WEBP":
        return "webp"
    if head[4:8] == b"ftyp" and head[8:12] in _HEIC_BRANDS:
        return "heic"
    return None


def keep_photo(
    source: Path,
    collection: Path,
    *,
    shown: Path | None = None,
    accept: Callable[[PhotoFacts], object] | None = None,
) -> PhotoFacts:
    """Take a photo into a collection: copied untouched, decoded under limits, safe on disk when this returns.

    Its small pictures are kept at the same time. The entry that names it is stored afterwards, so that a
    kill can leave a photo without its entry but never an entry without its photo. The same photo taken in
    twice is kept once.

    Parameters
    ----------
    source : Path
        The file to take in; it is only read.
    collection : Path
        The folder of the collection.
    shown : Path or None
        What the user calls it; None for its path.
    accept : callable or None
        Told what the photo is before it is kept; what it raises refuses the photo, and nothing is kept.

    Returns
    -------
    PhotoFacts
        What the photo is and where it lies.

    Raises
    ------
    FileFormatError
        If it is no photo of an accepted format, is also something else, or does not decode.
    RangeError
        If it is larger than 60 MB or 80 megapixels.
    WorkspaceError
        If it cannot be copied.

    Examples
    --------
    >>> folder = Path(tempfile.mkdtemp())
    >>> written = (folder / "page.jpg").write_text("<html>")
    >>> try:
    ...     keep_photo(folder / "page.jpg", folder)
    ... except FileFormatError as error:
    ...     print("refused")
    refused
    """
    called = source if shown is None else shown
    if not source.is_file():
        raise InputError(_("photo {path} is not there.").format(path=called))
    incoming = incoming_folder(collection)
    try:
        incoming.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=incoming)
        copy = Path(name)
        try:
            digest = _copy(source, handle, called)
            return _settle(copy, collection, digest, called, accept)
        finally:
            copy.unlink(missing_ok=True)
    except OSError as error:
        raise WorkspaceError(
            _("photo {path} could not be kept ({why}); nothing was stored.").format(
                path=called, why=error.strerror or error
            )
        ) from error


def _copy(source: Path, handle: int, shown: Path) -> str:
    """Copy to an open file, counting as it goes, and sync; returns the hash of the content."""
    digest, total = hashlib.sha256(), 0
    with os.fdopen(handle, "wb") as target, source.open("rb") as stream:
        while piece := stream.read(_PIECE_BYTES):
            total += len(piece)
            if total > MOST_BYTES:
                raise out_of_range(
                    _("size of photo {path}").format(path=shown),
                    _("over {n} MB").format(n=MOST_BYTES // 1_000_000),
                    _("up to {n} MB").format(n=MOST_BYTES // 1_000_000),
                )
            digest.update(piece)
            target.write(piece)
        target.flush()
        os.fsync(target.fileno())
    return digest.hexdigest()


def _settle(
    copy: Path, collection: Path, digest: str, shown: Path, accept: Callable[[PhotoFacts], object] | None
) -> PhotoFacts:
    suffix = photo_suffix(*_ends(copy))
    if suffix is None:
        raise FileFormatError(
            _("photo {path} is no JPEG, PNG, WebP or HEIC picture, or not only one.").format(path=shown)
        )
    decoded = decode_photo(copy, suffix, shown)
    found = _facts(decoded.found, digest, f"{FOLDER}/{digest[:2]}/{digest}.{suffix}")
    if accept is not None:
        accept(found)
    target = collection / found.file
    target.parent.mkdir(exist_ok=True)
    copy.chmod(0o644)
    os.replace(copy, target)
    for folder in (target.parent, target.parent.parent):
        sync_folder(folder)
    write_thumbs(collection, digest, decoded.thumbs)
    return found


def _facts(read: Mapping[str, Any], digest: str, file: str) -> PhotoFacts:
    turned = is_sideways(read["orientation"])
    across, up = read["width_px"], read["height_px"]
    taken = _local_time(read["taken"])
    return PhotoFacts(
        sha256=digest,
        file=file,
        width_px=up if turned else across,
        height_px=across if turned else up,
        orientation=read["orientation"],
        taken=taken,
        taken_offset=_offset(read["taken_offset"]) if taken else None,
    )


def _ends(path: Path) -> tuple[bytes, bytes]:
    with path.open("rb") as stream:
        head = stream.read(_ENDS_BYTES)
        stream.seek(max(0, path.stat().st_size - _ENDS_BYTES))
        return head, stream.read()


def _local_time(text: object) -> str | None:
    match = _EXIF_TIME.fullmatch(text) if isinstance(text, str) else None
    if match is None:
        return None
    year, month, day, *clock = match.groups()
    local = f"{year}-{month}-{day}T{':'.join(clock)}"
    try:
        datetime.fromisoformat(local)
    except ValueError:
        return None
    return local


def _offset(text: object) -> str | None:
    return text if isinstance(text, str) and _EXIF_OFFSET.fullmatch(text) else None
