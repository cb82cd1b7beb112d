"""Files that come in: written to disk as they arrive, never held in memory, gone when the wish is done."""

from __future__ import annotations

import re
import tempfile
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk import clock
from ringwise.kit.errors import InputError, WorkspaceError
from ringwise.kit.words import _
from ringwise.records.thumbs import incoming_folder
from ringwise.records.tree_files import incoming_shapes

if TYPE_CHECKING:
    from starlette.requests import Request

JSON_TYPES = ("application/json",)
PHOTO_TYPES = ("image/jpeg", "image/png", "image/webp", "image/heic", "image/heif")
WEATHER_TYPES = ("text/csv",)
JSON_MOST_BYTES = 1_000_000
PHOTOS_MOST_BYTES = 60_000_000
WEATHER_MOST_BYTES = 20_000_000

_PREFIX = ".incoming-"
_LEFT_AFTER_S = 86_400.0
_PHOTO_PATH = re.compile(r"/api/trees/[^/]+/(shape/turntable/[^/]+/)?photos/?")
_WEATHER_PATH = re.compile(r"/api/(weather(/preview)?|places/.+/logger)/?", re.DOTALL)  # any name at all


class TooLargeError(Exception):
    """More came in than a route takes."""

    def __init__(self, most_bytes: int) -> None:
        super().__init__(most_bytes)
        self.most_bytes = most_bytes


def accepted_body(method: str, path: str) -> tuple[tuple[str, ...], int]:
    """Which content types a route takes, and how much of it.

    Parameters
    ----------
    method, path : str
        Of the request.

    Returns
    -------
    tuple
        Content types and the most bytes.

    Examples
    --------
    >>> accepted_body("POST", "/api/weather")
    (('text/csv',), 20000000)
    >>> accepted_body("PATCH", "/api/settings")
    (('application/json',), 1000000)
    """
    if method == "POST" and _PHOTO_PATH.fullmatch(path):
        return PHOTO_TYPES, PHOTOS_MOST_BYTES
    if method == "POST" and _WEATHER_PATH.fullmatch(path):
        return WEATHER_TYPES, WEATHER_MOST_BYTES
    return JSON_TYPES, JSON_MOST_BYTES


@asynccontextmanager
async def received(request: Request, folder: Path, most_bytes: int) -> AsyncIterator[Path]:
    """The body of a request as a file in the collection's folder, for as long as the wish takes.

    Parameters
    ----------
    request : Request
        Its body is read.
    folder : Path
        The collection's folder: the same disk on which the file will be kept.
    most_bytes : int
        The most that is taken.

    Yields
    ------
    Path
        The file.

    Raises
    ------
    TooLargeError
        As soon as more comes in.
    InputError
        If nothing came.
    WorkspaceError
        If it cannot be written.
    """
    try:
        with tempfile.NamedTemporaryFile(dir=folder, prefix=_PREFIX) as file:
            size = 0
            async for piece in request.stream():
                size += len(piece)
                if size > most_bytes:
                    raise TooLargeError(most_bytes)
                file.write(piece)
            if size == 0:
                raise InputError(_("the file is empty; send the file itself as the body"))
            file.flush()
            yield Path(file.name)
    except OSError as wrong:  # the disk is full, or nobody may write there
        raise WorkspaceError(
            _("the file could not be taken in ({why}); nothing was stored.").format(
                why=wrong.strerror or type(wrong).__name__
            )
        ) from wrong


def sweep(folder: Path) -> None:
    """Remove files that were coming in when an earlier server was killed; what is a day old comes in no more.

    Parameters
    ----------
    folder : Path
        The collection's folder.
    """
    last = clock.now().timestamp() - _LEFT_AFTER_S
    passing = (incoming_folder(folder), incoming_shapes(folder))
    for file in (*folder.glob(f"{_PREFIX}*"), *(file for each in passing for file in each.glob("tmp*"))):
        with suppress(OSError):  # another server may be sweeping as well
            if file.stat().st_mtime < last:
                file.unlink()
