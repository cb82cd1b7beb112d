"""How a route asks the desk: the living yard, and each wish answered in the language of who asks."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Annotated, Any, Concatenate, ParamSpec, Protocol, TypeVar

from fastapi import Depends, Request

from ringwise.kit.reading import Reading, languages, process_reading, reading

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import HTTPConnection

    from ringwise.desk.almanac import AlmanacView
    from ringwise.desk.worker import Worker
    from ringwise.desk.workspace import Workspace

P = ParamSpec("P")
T = TypeVar("T")

_MOST_JOBS_TOLD = 20
_MOST_LANGUAGES = 20  # of a header that anyone may send


class Yard(Protocol):
    """What the server needs of the living yard."""

    folder: Path

    def workspace(self) -> Workspace:
        """The collection as it is now, for one wish."""

    def stamp(self) -> int:
        """The number of the latest step."""

    def file_name(self) -> str:
        """What tells the file of this collection from any other."""

    def almanac(self, reading: Reading) -> AlmanacView:
        """The newest almanac for a reading, and whether it is that of now."""

    @property
    def worker(self) -> Worker:
        """Who does heavy work in processes of its own."""


def preferred_language(header: str) -> str | None:
    """The best language that a browser asks for and that there are texts in.

    Parameters
    ----------
    header : str
        `Accept-Language`.

    Returns
    -------
    str or None
        One of `languages()`; None where none is asked for.

    Examples
    --------
    >>> preferred_language("fr;q=0.9, de-AT, en;q=0.3")
    'de'
    >>> preferred_language("fr") is None
    True
    """
    wanted: list[tuple[float, int, str]] = []
    for place, part in enumerate(header.split(",")[:_MOST_LANGUAGES]):
        found = re.fullmatch(
            r"\s*([A-Za-z]{2,3})(?:-[A-Za-z0-9-]+)?\s*(?:;\s*q=([01](?:\.\d{1,3})?))?\s*", part
        )
        weight = float(found[2] or 1) if found else 0.0
        if found and weight > 0 and found[1].lower() in languages():
            wanted.append((-weight, place, found[1].lower()))
    return min(wanted)[2] if wanted else None


class Asking:
    """One request's way to the desk.

    Parameters
    ----------
    yard : Yard
        The living yard.
    accept_language : str
        What the browser asks for; the yard's own setting comes first.
    """

    def __init__(self, yard: Yard, accept_language: str) -> None:
        self.yard = yard
        self._accept_language = accept_language

    def reading_of(self, workspace: Workspace) -> Reading:
        """How whoever asks reads."""
        language = workspace.settings.language or preferred_language(self._accept_language)
        return Reading(language or process_reading().language, workspace.settings.units)

    def __call__(self, wish: Callable[Concatenate[Workspace, P], T], *args: P.args, **more: P.kwargs) -> T:
        """Answer a wish in the reader's language and units; called in the thread of the route."""
        workspace = self.yard.workspace()
        with reading(self.reading_of(workspace)):
            return wish(workspace, *args, **more)

    def work(self, wish: Callable[Concatenate[Worker, Reading, P], T], *args: P.args, **more: P.kwargs) -> T:
        """Answer a wish of the worker, told how whoever asks reads."""
        how = self.reading_of(self.yard.workspace())
        with reading(how):
            return wish(self.yard.worker, how, *args, **more)

    def signs(self) -> list[tuple[str, str, dict[str, Any]]]:
        """What open tabs are told when it changes: a key, the name of the event, its data."""
        workspace = self.yard.workspace()
        how = self.reading_of(workspace)
        with reading(how):
            stamp = self.yard.stamp()
            view = self.yard.almanac(how)
            jobs = self.yard.worker.jobs()[:_MOST_JOBS_TOLD]
        signs = [("change", "change", {"stamp": stamp})]
        if view.almanac is not None and view.state == "ready":
            # by its key: that of another day, or in other units, may be of the same step
            signs.append((f"almanac {view.almanac.key}", "almanac", {"stamp": view.almanac.step}))
        return [*signs, *((f"job {job['id']}", "job", job) for job in reversed(jobs))]


def done(answer: Mapping[str, Any]) -> dict[str, Any]:
    """What a change says of itself to the app, out of all that it says to the command line.

    Parameters
    ----------
    answer : mapping
        Of a wish that changes something.

    Returns
    -------
    dict
        The keys of `Done`.

    Examples
    --------
    >>> done({"line": "taken back", "action": 7, "by": "owner"})
    {'action': 7, 'line': 'taken back', 'id': None}
    """
    return {"action": answer.get("action"), "line": answer["line"], "id": answer.get("id")}


def asking(request: Request) -> Asking:
    """The way to the desk of this request.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    Asking
        To be called with a wish.
    """
    return Asking(request.app.state.yard, request.headers.get("accept-language", ""))


def plain_reading(connection: HTTPConnection) -> Reading:
    """How whoever asks reads, where the yard itself is not asked: in refusals and failures.

    Parameters
    ----------
    connection : HTTPConnection
        The request.

    Returns
    -------
    Reading
        The browser's language, else the process's.
    """
    language = preferred_language(connection.headers.get("accept-language", ""))
    return Reading(language or process_reading().language, process_reading().units)


Desk = Annotated[Asking, Depends(asking)]
