"""Answers that were made once are handed out again until what they were made from changes."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass, field
from threading import Lock
from typing import TYPE_CHECKING

from fastapi.concurrency import run_in_threadpool

if TYPE_CHECKING:
    from collections.abc import Callable

    from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BYTES = 8_000_000
STATE = "to_keep"
JSON = b"application/json"


@dataclass
class KeptAnswers:
    """The bodies of the latest answers by their marks, which name all that they were made from.

    Parameters
    ----------
    most_bytes : int
        Kept at once; what was asked for longest ago goes first.

    Examples
    --------
    >>> kept = KeptAnswers(most_bytes=5)
    >>> kept.put("a", b"one")
    >>> kept.put("b", b"two")
    >>> kept.get("a"), kept.get("b")
    (None, b'two')
    """

    most_bytes: int = MOST_BYTES
    _bodies: OrderedDict[str, bytes] = field(default_factory=OrderedDict)
    _lock: Lock = field(default_factory=Lock)

    def get(self, mark: str) -> bytes | None:
        """The answer of a mark, if it is kept."""
        with self._lock:
            body = self._bodies.get(mark)
            if body is not None:
                self._bodies.move_to_end(mark)
            return body

    def put(self, mark: str, body: bytes) -> None:
        """Keep an answer; one that is larger than all that may be kept is not."""
        if len(body) > self.most_bytes:
            return
        with self._lock:
            self._bodies[mark] = body
            self._bodies.move_to_end(mark)
            while sum(map(len, self._bodies.values())) > self.most_bytes:
                self._bodies.popitem(last=False)


@dataclass(frozen=True)
class ToKeep:
    """What a route leaves for the answer to be kept: its mark, and whether that still holds."""

    mark: str
    holds: Callable[[], bool]


class Keeping:
    """Keeps whole answers of routes that name theirs.

    Parameters
    ----------
    app : ASGIApp
        The routes.
    answers : KeptAnswers
        Where they are kept.
    """

    def __init__(self, app: ASGIApp, answers: KeptAnswers) -> None:
        self._app = app
        self._answers = answers

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on and read along."""
        if scope["type"] != "http" or scope["method"] != "GET":
            await self._app(scope, receive, send)
            return
        body = bytearray()
        is_whole = False

        async def read_along(message: Message) -> None:
            nonlocal is_whole
            if message["type"] == "http.response.start":
                is_whole = message["status"] == 200 and (b"content-type", JSON) in message["headers"]
            elif STATE in scope.get("state", {}) and is_whole:
                body.extend(message.get("body", b""))
                if not message.get("more_body", False):
                    await self._keep(scope["state"][STATE], bytes(body))
            await send(message)

        await self._app(scope, receive, read_along)

    async def _keep(self, given: ToKeep, body: bytes) -> None:
        # Something may have changed while the answer was made: it would then stand under the wrong mark.
        if await run_in_threadpool(given.holds):
            self._answers.put(given.mark, body)
