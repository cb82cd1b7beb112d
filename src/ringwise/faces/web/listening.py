"""The server on its port of this machine: found, listened on, let go when the grower stops it."""

from __future__ import annotations

import errno
import socket
from collections.abc import Callable
from contextlib import closing
from typing import TYPE_CHECKING

import uvicorn

from ringwise.faces.web.app import create_app
from ringwise.faces.web.uploads import sweep
from ringwise.kit.errors import InputError, out_of_range
from ringwise.kit.words import _

if TYPE_CHECKING:
    import asyncio
    from types import FrameType

    from fastapi import FastAPI

    from ringwise.faces.web.wishes import Yard

LOOPBACK = "127.0.0.1"
USUAL_PORT = 8451
PORTS_TRIED = 21
LAST_PORT = 65535

_LET_GO_WITHIN_S = 1  # seconds that answers under way get when the server is stopped
_WAITING = 64


def bound_socket(port: int | None) -> socket.socket:
    """A socket of this machine that listens.

    Parameters
    ----------
    port : int or None
        The one that is wanted, 0 for any; None for the usual one or the next that is free.

    Returns
    -------
    socket.socket
        Listening on the loopback address.

    Raises
    ------
    InputError
        If the port is taken, or may not be used.
    RangeError
        If it is no port.

    Examples
    --------
    >>> with bound_socket(0) as found:
    ...     found.getsockname()[0]
    '127.0.0.1'
    """
    if port is not None and not 0 <= port <= LAST_PORT:
        raise out_of_range("--port", str(port), _("{low} to {high}").format(low=0, high=LAST_PORT))
    wanted = [port] if port is not None else range(USUAL_PORT, USUAL_PORT + PORTS_TRIED)
    for number in wanted:
        # By its protocol asyncio knows that small packets must not wait: else every answer takes 40 ms more.
        found = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        try:
            found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            found.bind((LOOPBACK, number))
            found.listen(_WAITING)
        except OSError as wrong:
            found.close()
            if wrong.errno not in {errno.EADDRINUSE, errno.EACCES}:
                raise
        else:
            return found
    if port is not None:
        raise InputError(_("port {port} is taken; name another, or leave --port out").format(port=port))
    raise InputError(
        _("the ports {first} to {last} are all taken; name a free one with --port").format(
            first=USUAL_PORT, last=USUAL_PORT + PORTS_TRIED - 1
        )
    )


class _Server(uvicorn.Server):
    """Says when it listens, and ends the streams of events as soon as it is stopped."""

    def __init__(self, app: FastAPI, ready: Callable[[], None]) -> None:
        super().__init__(
            uvicorn.Config(
                app,
                lifespan="off",
                loop="asyncio",
                http="h11",
                ws="none",
                log_config=None,
                log_level="critical",
                access_log=False,
                server_header=False,
                proxy_headers=False,
                timeout_graceful_shutdown=_LET_GO_WITHIN_S,
            )
        )
        self._streams = app.state.events
        self._ready = ready
        self._own_loop: asyncio.AbstractEventLoop | None = None

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        import asyncio

        await super().startup(sockets)
        self._own_loop = asyncio.get_running_loop()
        if self.started:
            self._ready()

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Stop in good order; a second signal stops at once."""
        self.force_exit = self.should_exit
        self.should_exit = True
        if self._own_loop is not None:
            self._own_loop.call_soon_threadsafe(self._streams.close)


def serve(yard: Yard, port: int | None, ready: Callable[[str], None]) -> None:
    """Serve a yard on this machine until the grower stops it.

    Parameters
    ----------
    yard : Yard
        The living yard.
    port : int or None
        As for `bound_socket`.
    ready : callable
        Told the address when the server listens.

    Raises
    ------
    InputError
        If there is no such port free.
    """
    sweep(yard.folder)
    with closing(bound_socket(port)) as found:
        address = f"http://{LOOPBACK}:{found.getsockname()[1]}/"
        _Server(create_app(yard), lambda: ready(address)).run(sockets=[found])
