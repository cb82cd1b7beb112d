"""Whatever goes wrong behind the door becomes one `Trouble`; nothing of the inside is told."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, HTTPConnection, Request

from ringwise.faces.web.fresh import MadeBeforeError, made_before
from ringwise.faces.web.locks import too_large
from ringwise.faces.web.trouble import of_error, of_input, trouble
from ringwise.faces.web.uploads import TooLargeError
from ringwise.faces.web.wishes import plain_reading
from ringwise.kit.errors import RingwiseError
from ringwise.kit.reading import reading
from ringwise.kit.words import _

if TYPE_CHECKING:
    from fastapi import FastAPI
    from fastapi.responses import JSONResponse
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

_LOG = logging.getLogger("ringwise")


class Failures:
    """Answers what no handler knows with 500; the whole story goes into the log of the collection.

    Parameters
    ----------
    app : ASGIApp
        The routes.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on and catch what comes back."""
        begun = False

        async def watched(message: Message) -> None:
            nonlocal begun
            begun = begun or message["type"] == "http.response.start"
            await send(message)

        try:
            await self._app(scope, receive, watched)
        except Exception as wrong:
            if scope["type"] != "http":
                raise
            _LOG.error("unexpected failure in %s %s", scope["method"], scope["path"], exc_info=wrong)
            if begun:  # too late for another answer: the connection is cut, and the app sees a broken one
                raise
            await _failure(scope)(scope, receive, send)


def _failure(scope: Scope) -> JSONResponse:
    with reading(plain_reading(HTTPConnection(scope))):
        return trouble(
            500, "failure", _("an unexpected failure; nothing half was stored; the log has the details")
        )


def add_handlers(app: FastAPI) -> None:
    """Teach an app how each sort of error is answered.

    Parameters
    ----------
    app : FastAPI
        To be taught.
    """
    app.add_exception_handler(RingwiseError, _of_desk)
    app.add_exception_handler(RequestValidationError, _of_request)
    app.add_exception_handler(HTTPException, _of_routing)
    app.add_exception_handler(TooLargeError, _of_size)
    app.add_exception_handler(MadeBeforeError, made_before)
    app.add_exception_handler(ClientDisconnect, _of_torn)


async def _of_desk(_request: Request, wrong: Exception) -> JSONResponse:
    assert isinstance(wrong, RingwiseError)
    answer = of_error(wrong)
    if answer.status_code >= 500:
        _LOG.error("a wish failed", exc_info=wrong)
    return answer


async def _of_request(request: Request, wrong: Exception) -> JSONResponse:
    assert isinstance(wrong, RequestValidationError)
    with reading(plain_reading(request)):
        return of_input(wrong.errors())


async def _of_routing(request: Request, wrong: Exception) -> JSONResponse:
    assert isinstance(wrong, HTTPException)
    with reading(plain_reading(request)):
        if wrong.status_code == 404:
            return trouble(404, "not-found", _("there is nothing at this address"), request.url.path)
        if wrong.status_code == 405:
            line = _("{method} is not known at this address").format(method=request.method)
            answer = trouble(405, "refused", line, request.url.path)
            answer.headers.update(wrong.headers or {})
            return answer
        return trouble(400, "input", _("the body does not read as JSON"), "body")


async def _of_size(request: Request, wrong: Exception) -> JSONResponse:
    assert isinstance(wrong, TooLargeError)
    with reading(plain_reading(request)):
        return too_large(wrong.most_bytes)


async def _of_torn(request: Request, _wrong: Exception) -> JSONResponse:
    """The sender went away in the middle, as phones do: no failure, and nobody reads this."""
    with reading(plain_reading(request)):
        return trouble(400, "input", _("the body ended too soon; send it again"), "body")
