"""An answer is named by all that it was made from, so that a reload where nothing changed costs nothing."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Annotated

from fastapi import Depends, Request, Response

from ringwise import __version__
from ringwise.faces.web.kept import ToKeep
from ringwise.faces.web.wishes import Asking, asking

if TYPE_CHECKING:
    from starlette.datastructures import URL

ASK_AGAIN = "private, no-cache"


class MadeBeforeError(Exception):
    """The browser holds this very answer already, or the server does.

    Parameters
    ----------
    mark : str
        Of the answer.
    body : bytes, optional
        The answer; None where the browser has it.
    """

    def __init__(self, mark: str, body: bytes | None = None) -> None:
        super().__init__(mark)
        self.mark = mark
        self.body = body


def mark_of(desk: Asking, address: URL) -> str:
    """The name of the answer that an address has now.

    Parameters
    ----------
    desk : Asking
        The way to the yard.
    address : URL
        Path and query.

    Returns
    -------
    str
        For `ETag`: of the file, the latest step, the day, the settings, the almanac, the reading and the
        program.
    """
    workspace = desk.yard.workspace()
    how = desk.reading_of(workspace)
    view = desk.yard.almanac(how)
    parts = (
        __version__,
        address.path,
        address.query,
        desk.yard.file_name(),
        desk.yard.stamp(),
        workspace.today,
        workspace.seed,
        workspace.settings,
        how,
        view.state,
        view.failed,
        None if view.almanac is None else view.almanac.key,
    )
    return f'W/"{hashlib.sha256(repr(parts).encode("utf-8", "replace")).hexdigest()[:20]}"'


def fresh(request: Request, response: Response, desk: Annotated[Asking, Depends(asking)]) -> None:
    """Name the answer of a route, or say that it is there already.

    Parameters
    ----------
    request : Request
        With the name that the browser holds.
    response : Response
        To be named.
    desk : Asking
        The way to the yard.

    Raises
    ------
    MadeBeforeError
        If the browser has it, or it is kept here.
    """
    mark = mark_of(desk, request.url)
    held = {each.strip() for each in request.headers.get("if-none-match", "").split(",")}
    if mark in held:
        raise MadeBeforeError(mark)
    kept = request.app.state.answers.get(mark)
    if kept is not None:
        raise MadeBeforeError(mark, kept)
    request.state.to_keep = ToKeep(mark, lambda: mark_of(desk, request.url) == mark)
    response.headers["ETag"] = mark
    response.headers["Cache-Control"] = ASK_AGAIN


async def made_before(_request: Request, wrong: Exception) -> Response:
    """The answer of a route whose answer the browser or the server has.

    Parameters
    ----------
    _request : Request
        Of the route.
    wrong : Exception
        A `MadeBeforeError`.

    Returns
    -------
    Response
        304, or the answer itself.
    """
    assert isinstance(wrong, MadeBeforeError)
    headers = {"ETag": wrong.mark, "Cache-Control": ASK_AGAIN}
    if wrong.body is None:
        return Response(status_code=304, headers=headers)
    return Response(wrong.body, headers=headers, media_type="application/json")


NAMED = [Depends(fresh)]
