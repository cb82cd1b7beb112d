"""Files of the built app: found by name in a list made once, sent packed, kept for ever where hashed."""

from __future__ import annotations

import hashlib
import html
import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from fastapi.responses import FileResponse, HTMLResponse, Response
from starlette.exceptions import HTTPException

from ringwise.faces.web.wishes import plain_reading
from ringwise.kit.reading import reading
from ringwise.kit.words import _

if TYPE_CHECKING:
    from starlette.requests import Request

KEEP_FOR_EVER = "public, max-age=31536000, immutable"
ASK_AGAIN = "no-cache"
TYPES = {
    ".css": "text/css; charset=utf-8",
    ".html": "text/html; charset=utf-8",
    ".ico": "image/x-icon",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
    ".webmanifest": "application/manifest+json",
    ".webp": "image/webp",
    ".woff2": "font/woff2",
}
PACKINGS = (("br", ".br"), ("gzip", ".gz"))
INDEX = "index.html"


@dataclass(frozen=True)
class Kept:
    """A file to be sent: where it lies, how it is packed, how long it may be kept."""

    file: Path
    packing: str
    sort: str
    keep: str


@lru_cache(maxsize=4)
def _files(folder: Path, _mark: int) -> dict[str, Path]:
    """Every file below a folder by its name in addresses; what is not listed cannot be asked for."""
    return {file.relative_to(folder).as_posix(): file for file in folder.rglob("*") if file.is_file()}


def files_of(folder: Path) -> dict[str, Path]:
    """The files of the built app, looked up again when it was built again.

    Parameters
    ----------
    folder : Path
        Of the built app; it may be missing.

    Returns
    -------
    dict of str to Path
        By name, such as "assets/app-1a2b3c4d.js".

    Examples
    --------
    >>> files_of(Path("/nowhere"))
    {}
    """
    index = folder / INDEX
    return _files(folder, index.stat().st_mtime_ns) if index.is_file() else {}


def accepts(header: str, packing: str) -> bool:
    """Whether a browser takes a packing.

    Parameters
    ----------
    header : str
        `Accept-Encoding`.
    packing : str
        br or gzip.

    Returns
    -------
    bool
        False where it is named with a weight of nought.

    Examples
    --------
    >>> accepts("gzip, br;q=0", "gzip"), accepts("gzip, br;q=0", "br"), accepts("", "br")
    (True, False, False)
    """
    for part in header.lower().split(","):
        name, _semicolon, weight = part.strip().partition(";")
        if name.strip() == packing:
            return not re.fullmatch(r"\s*q\s*=\s*0(\.0*)?\s*", weight)
    return False


def find(folder: Path, name: str, accept_encoding: str) -> Kept | None:
    """The file with a name, packed as the browser takes it.

    Parameters
    ----------
    folder : Path
        Of the built app.
    name : str
        As in the address, without the leading slash.
    accept_encoding : str
        As sent.

    Returns
    -------
    Kept or None
        None where there is no such file.

    Examples
    --------
    >>> find(Path("/nowhere"), "../etc/passwd", "") is None
    True
    """
    files = files_of(folder)
    sort = TYPES.get(Path(name).suffix)
    if name not in files or sort is None:
        return None
    keep = KEEP_FOR_EVER if name.startswith("assets/") else ASK_AGAIN
    for packing, ending in PACKINGS:
        if name + ending in files and accepts(accept_encoding, packing):
            return Kept(files[name + ending], packing, sort, keep)
    return Kept(files[name], "", sort, keep)


def _sent(request: Request, kept: Kept) -> Response:
    headers = {"Cache-Control": kept.keep, "Vary": "Accept-Encoding"}
    if kept.packing:
        headers["Content-Encoding"] = kept.packing
    if kept.keep == KEEP_FOR_EVER:
        return FileResponse(kept.file, media_type=kept.sort, headers=headers)
    content = kept.file.read_bytes()
    mark = f'"{hashlib.sha256(content).hexdigest()[:20]}"'
    headers["ETag"] = mark
    if mark in request.headers.get("if-none-match", ""):
        return Response(status_code=304, headers=headers)
    return Response(content, headers=headers | {"Content-Type": kept.sort})


async def asset(request: Request, name: str) -> Response:
    """A file of the built app; 404 for anything else.

    Parameters
    ----------
    request : Request
        With what the browser takes.
    name : str
        Of the file.

    Returns
    -------
    Response
        The file, or 304.

    Raises
    ------
    HTTPException
        404.
    """
    kept = find(request.app.state.static, name, request.headers.get("accept-encoding", ""))
    if kept is None or name == INDEX:
        raise HTTPException(404)
    return _sent(request, kept)


async def page(request: Request) -> Response:
    """The page of the app, or one that says how to build it.

    Parameters
    ----------
    request : Request
        Of a room.

    Returns
    -------
    Response
        HTML.
    """
    kept = find(request.app.state.static, INDEX, request.headers.get("accept-encoding", ""))
    return _not_built(request) if kept is None else _sent(request, kept)


def _not_built(request: Request) -> HTMLResponse:
    with reading(plain_reading(request)):
        title = _("The app is not built yet")
        how = _("Build it once in the folder of the source:")
        more = _("Then load this page again. The API is up meanwhile:")
    text = (
        f"<!doctype html><meta charset=utf-8><title>{html.escape(title)}</title>"
        f"<h1>{html.escape(title)}</h1><p>{html.escape(how)}</p>"
        "<pre>cd frontend &amp;&amp; npm ci &amp;&amp; npm run build</pre>"
        f'<p>{html.escape(more)} <a href="/api/openapi.json">/api/openapi.json</a></p>'
    )
    return HTMLResponse(text, status_code=503, headers={"Cache-Control": "no-store"})
