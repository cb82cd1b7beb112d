"""The locks of the door: only the app that this server handed out may ask, and only of this machine.

Any page in the grower's browser can send requests to this address. What it cannot do is name another host
(a name that someone else's server made point here), send our own header without asking first (which is never
granted), or hide where it comes from.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.datastructures import Headers, MutableHeaders

from ringwise.faces.web.contract import KEY_HEADER
from ringwise.faces.web.trouble import trouble
from ringwise.faces.web.uploads import accepted_body
from ringwise.faces.web.wishes import plain_reading
from ringwise.kit.reading import reading
from ringwise.kit.words import _

if TYPE_CHECKING:
    from fastapi.responses import JSONResponse
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

OWN_HOSTS = frozenset({"localhost", "127.0.0.1", "[::1]"})
READING = frozenset({"GET", "HEAD", "OPTIONS"})
HEADERS = {
    "Content-Security-Policy": "default-src 'self'; img-src 'self' blob: data:; style-src 'self'; "
    "font-src 'self'; connect-src 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; "
    "form-action 'self'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), geolocation=(), microphone=(), payment=(), usb=()",
}


def is_own_host(host: str, port: int | None) -> bool:
    """Whether a `Host` header names this server.

    Parameters
    ----------
    host : str
        As sent.
    port : int or None
        On which the server listens; None where it is not known.

    Returns
    -------
    bool
        True for the names of this machine, with no port or the right one.

    Examples
    --------
    >>> is_own_host("localhost:8451", 8451), is_own_host("[::1]", 8451), is_own_host("evil.test:8451", 8451)
    (True, True, False)
    """
    name, colon, typed = host.lower().rpartition(":")
    if not colon or typed.endswith("]"):
        name, typed = host.lower(), ""
    if name not in OWN_HOSTS:
        return False
    if not typed:
        return not colon or name.startswith("[")
    return typed.isascii() and typed.isdigit() and (port is None or int(typed) == port)


def is_own_origin(origin: str, host: str) -> bool:
    """Whether an `Origin` is this server under one of its own names.

    Parameters
    ----------
    origin, host : str
        As sent; the host is known to be the server's own.

    Returns
    -------
    bool
        False for "null" too.

    Examples
    --------
    >>> is_own_origin("http://localhost:8451", "127.0.0.1:8451"), is_own_origin("null", "localhost")
    (True, False)
    """
    port = ":" + host.rpartition(":")[2] if ":" in host and not host.endswith("]") else ""
    return origin.lower() in {f"http://{name}{port}" for name in OWN_HOSTS}


class Locks:
    """Turns away what does not come from the app itself, and puts the protective headers on every answer.

    Parameters
    ----------
    app : ASGIApp
        What lies behind the door.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request in, or answer it here."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return
        guarded = _with_headers(send)
        headers = Headers(scope=scope)
        refused = _refusal(scope, headers)
        if refused is not None:
            await refused(scope, receive, guarded)
            return
        if scope["method"] in READING or accepted_body(scope["method"], scope["path"])[0] != _JSON:
            await self._app(scope, receive, guarded)
            return
        body = await _whole_body(receive, accepted_body(scope["method"], scope["path"])[1])
        if body is None:
            await _too_large(scope, accepted_body(scope["method"], scope["path"])[1])(scope, receive, guarded)
            return
        await self._app(scope, _again(body, receive), guarded)


_JSON = accepted_body("POST", "/api/undo")[0]


def _with_headers(send: Send) -> Send:
    async def guarded(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return guarded


def _refusal(scope: Scope, headers: Headers) -> JSONResponse | None:
    from starlette.requests import HTTPConnection

    with reading(plain_reading(HTTPConnection(scope))):
        refused = _wrong_host(scope, headers)
        if refused is None and scope["method"] not in READING:
            refused = _wrong_sender(headers) or _wrong_body(scope, headers)
        elif refused is None and scope["path"].startswith(("/api", "/photos")):
            refused = _wrong_site(headers)  # reading may set heavy work going
        return refused


def _wrong_host(scope: Scope, headers: Headers) -> JSONResponse | None:
    server = scope.get("server")
    hosts = headers.getlist("host")
    if len(hosts) == 1 and is_own_host(hosts[0], server[1] if server else None):
        return None
    return trouble(
        400, "refused", _("this server answers only on this machine: localhost or 127.0.0.1"), "Host"
    )


def _wrong_sender(headers: Headers) -> JSONResponse | None:
    if headers.getlist(KEY_HEADER) != ["1"]:
        return trouble(403, "refused", _("a change needs the header X-Ringwise: 1"), KEY_HEADER)
    origin = headers.get("origin")
    if origin is not None and not is_own_origin(origin, headers["host"]):
        return trouble(403, "refused", _("a change must come from the app itself"), "Origin")
    return _wrong_site(headers)


def _wrong_site(headers: Headers) -> JSONResponse | None:
    if headers.get("sec-fetch-site", "none") in {"same-origin", "none"}:
        return None
    return trouble(403, "refused", _("this is answered to the app itself alone"), "Sec-Fetch-Site")


def _wrong_body(scope: Scope, headers: Headers) -> JSONResponse | None:
    types, most_bytes = accepted_body(scope["method"], scope["path"])
    sort = headers.get("content-type", "").lower().replace(" ", "")
    if sort.removesuffix(";charset=utf-8") not in types:
        line = _("the content type is {given}; accepted: {accepted}.").format(
            given=sort or _("missing"), accepted=", ".join(types)
        )
        return trouble(415, "refused", line, "Content-Type")
    length = headers.get("content-length", "0")
    if not (length.isascii() and length.isdigit()):
        return trouble(400, "input", _("the content length is no number"), "Content-Length")
    return _too_large(scope, most_bytes) if int(length[:20]) > most_bytes else None


def _too_large(scope: Scope, most_bytes: int) -> JSONResponse:
    from starlette.requests import HTTPConnection

    with reading(plain_reading(HTTPConnection(scope))):
        return too_large(most_bytes)


def too_large(most_bytes: int) -> JSONResponse:
    """What is said where a body is larger than the route takes.

    Parameters
    ----------
    most_bytes : int
        The most that is taken.

    Returns
    -------
    JSONResponse
        A `Trouble` of status 413.

    Examples
    --------
    >>> too_large(1_000_000).status_code
    413
    """
    line = _("this is too large; at most {n} MB are taken").format(n=most_bytes // 1_000_000)
    return trouble(413, "too-large", line, "body")


async def _whole_body(receive: Receive, most_bytes: int) -> bytes | None:
    """The body, None where it is too large; a body without a length is counted as it comes."""
    pieces: list[bytes] = []
    size = 0
    while True:
        message = await receive()
        if message["type"] != "http.request":
            return b"".join(pieces)
        piece = message.get("body", b"")
        size += len(piece)
        if size > most_bytes:
            return None
        pieces.append(piece)
        if not message.get("more_body", False):
            return b"".join(pieces)


def _again(body: bytes, receive: Receive) -> Receive:
    """Hands out a body that was read already, then whatever comes."""
    given = False

    async def replay() -> Message:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return replay
