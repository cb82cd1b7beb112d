"""Events for open tabs: each stream looks at the yard now and then and tells what is new."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from fastapi.concurrency import run_in_threadpool

if TYPE_CHECKING:
    from ringwise.faces.web.wishes import Asking

MOST_STREAMS = 16
LOOK_EVERY_S = 0.5
BEAT_EVERY_S = 15.0


class EventHub:
    """Counts the open streams and ends them all when the server stops.

    Parameters
    ----------
    most : int
        Streams at once.

    Examples
    --------
    >>> EventHub(most=0).is_full
    True
    """

    def __init__(self, most: int = MOST_STREAMS) -> None:
        self._most = most
        self._streams: set[asyncio.Event] = set()

    @property
    def is_full(self) -> bool:
        """Whether no further stream is taken."""
        return len(self._streams) >= self._most

    def close(self) -> None:
        """End every stream; called in the thread of the server's loop."""
        for ended in self._streams:
            ended.set()

    @contextmanager
    def stream(self) -> Iterator[asyncio.Event]:
        """Count a stream while it is open; what is handed out is set when it must end."""
        ended = asyncio.Event()
        self._streams.add(ended)
        try:
            yield ended
        finally:
            self._streams.discard(ended)


async def _goes_on_after(seconds: float, ended: asyncio.Event) -> bool:
    try:
        await asyncio.wait_for(ended.wait(), seconds)
    except TimeoutError:
        return True
    return False


def event_text(name: str, data: Any) -> str:
    """One event as it is sent.

    Parameters
    ----------
    name : str
        change, almanac or job.
    data : object
        Anything that has a JSON form.

    Returns
    -------
    str
        Lines of an event stream.

    Examples
    --------
    >>> event_text("change", {"stamp": 7})
    'event: change\\ndata: {"stamp": 7}\\n\\n'
    """
    return f"event: {name}\ndata: {json.dumps(data)}\n\n"


class EventStream:
    """The events of one open tab.

    Parameters
    ----------
    hub : EventHub
        Of the server.
    desk : Asking
        The way to the yard.
    """

    def __init__(self, hub: EventHub, desk: Asking) -> None:
        self._hub = hub
        self._desk = desk
        self._told: dict[str, str] = {}

    async def texts(self) -> AsyncIterator[str]:
        """Events as text, until the tab closes or the server stops."""
        if (
            self._hub.is_full
        ):  # others that were let in at the same moment began first: ask again, be told why
            yield "retry: 2000\n\n"
            return
        with self._hub.stream() as ended:
            yield "retry: 2000\n\n"
            quiet_s = 0.0
            while True:
                news = await run_in_threadpool(self._news)
                for text in news:
                    yield text
                quiet_s = 0.0 if news else quiet_s + LOOK_EVERY_S
                if quiet_s >= BEAT_EVERY_S:
                    quiet_s = 0.0
                    yield ": beat\n\n"
                if not await _goes_on_after(LOOK_EVERY_S, ended):
                    return

    def _news(self) -> list[str]:
        """What was not told yet; the first look tells where things stand."""
        now = {key: event_text(name, data) for key, name, data in self._desk.signs()}
        texts = [text for key, text in now.items() if self._told.get(key) != text]
        self._told = now  # what is gone is told again when it comes back
        return texts
