"""The app of the server: all routes behind the locks."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fastapi import FastAPI
from starlette.datastructures import MutableHeaders
from starlette.middleware.gzip import GZipMiddleware

from ringwise.faces.web.contract import CONTRACT_HEADER, TITLE, contract_of, openapi_of
from ringwise.faces.web.events import EventHub
from ringwise.faces.web.failures import Failures, add_handlers
from ringwise.faces.web.kept import Keeping, KeptAnswers
from ringwise.faces.web.locks import Locks
from ringwise.faces.web.routes import entries, events, jobs, pages, photos, pots, settings, trees, weather
from ringwise.faces.web.routes import shape as shape_room
from ringwise.faces.web.routes import shape_tape as tape_form
from ringwise.faces.web.routes import shape_trace as tracing_table
from ringwise.faces.web.routes import shape_turntable as turn_review
from ringwise.faces.web.routes import turning as turning_room
from ringwise.faces.web.routes import yard as yard_room

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

    from ringwise.faces.web.wishes import Yard

STATIC = Path(__file__).resolve().parent / "static"

# Pages last: they take any path.
PARTS = (
    yard_room,
    trees,
    pots,
    shape_room,
    tape_form,
    tracing_table,
    turn_review,
    turning_room,
    entries,
    photos,
    settings,
    weather,
    jobs,
    events,
    pages,
)

_PACK_FROM_BYTES = 1024
_PACK_LEVEL = 5


class Contract:
    """Names the contract on every answer of the API, so that an app built for another one notices.

    Parameters
    ----------
    app : ASGIApp
        The routes.
    name : str
        From `contract_of`.
    """

    def __init__(self, app: ASGIApp, name: str) -> None:
        self._app = app
        self._name = name

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on."""

        async def named(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message)[CONTRACT_HEADER] = self._name
            await send(message)

        of_api = scope["type"] == "http" and scope["path"].startswith("/api")
        await self._app(scope, receive, named if of_api else send)


def create_app(yard: Yard, *, static: Path = STATIC) -> FastAPI:
    """The server of one living yard.

    Parameters
    ----------
    yard : Yard
        Asked by every route.
    static : Path
        The folder of the built app; where it is missing, a page says how to build it.

    Returns
    -------
    FastAPI
        An ASGI application.
    """
    app = _with_routes()
    app.state.yard = yard
    app.state.static = static
    app.state.events = EventHub()
    app.state.answers = KeptAnswers()
    add_handlers(app)
    document = contract_document()
    app.openapi = lambda: document  # type: ignore[method-assign]
    app.add_middleware(Keeping, answers=app.state.answers)
    app.add_middleware(Failures)
    app.add_middleware(GZipMiddleware, minimum_size=_PACK_FROM_BYTES, compresslevel=_PACK_LEVEL)
    app.add_middleware(Contract, name=contract_of(document))
    app.add_middleware(Locks)
    return app


def _with_routes() -> FastAPI:
    app = FastAPI(title=TITLE, openapi_url="/api/openapi.json", docs_url=None, redoc_url=None)
    for part in PARTS:
        app.include_router(part.router)
    return app


@cache
def contract_document() -> dict[str, Any]:
    """The contract of the server, without a yard: written once a process, for it takes a second.

    Returns
    -------
    dict
        An OpenAPI document; to be read, never changed.

    Examples
    --------
    >>> "/api/head" in contract_document()["paths"]
    True
    """
    return openapi_of(_with_routes())
