"""Where almanacs stand ready: one a reading, replaced when a newer one is made, served meanwhile."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from concurrent.futures import Future
from typing import TYPE_CHECKING, Any

from ringwise.desk.almanac import Almanac, AlmanacView
from ringwise.desk.almanac_making import almanac_key, almanac_mark, kept_almanac, stored_almanac
from ringwise.kit.errors import RingwiseError
from ringwise.kit.reading import Reading, reading

if TYPE_CHECKING:
    from ringwise.desk.living_workspace import LivingWorkspace
    from ringwise.desk.workspace import Workspace

_LONGEST_S = 600.0  # a yard of ten thousand trees on a slow machine
_LOG = logging.getLogger("ringwise")


def almanac_now(workspace: Workspace) -> Almanac | None:
    """The almanac of now in the current reading, however long it takes.

    Parameters
    ----------
    workspace : Workspace
        A living one has it made by its worker; for any other one it is taken from the store or made here.

    Returns
    -------
    Almanac or None
        None where the making failed.
    """
    from ringwise.desk.living_workspace import LivingWorkspace

    if isinstance(workspace, LivingWorkspace):
        return workspace.almanac(wait=True).almanac
    return kept_almanac(workspace)


class AlmanacShelf:
    """The newest almanac of each reading.

    Parameters
    ----------
    order : callable
        Has an almanac made for a reading.
    workspace : callable
        Gives the collection as it is now.
    """

    def __init__(
        self, order: Callable[[Reading], Future[Any]], workspace: Callable[[], LivingWorkspace]
    ) -> None:
        self._order = order
        self._workspace = workspace
        self._held: dict[Reading, Almanac] = {}
        self._making: dict[Reading, Future[Any]] = {}
        self._failed: dict[Reading, tuple[str, str]] = {}  # the key, and why: asked once, not at every page
        self._lock = threading.Lock()

    def view(self, workspace: LivingWorkspace, how: Reading, *, wait: bool = False) -> AlmanacView:
        """The newest almanac and its state; where it is stale a making is begun.

        Parameters
        ----------
        workspace : LivingWorkspace
            The collection as it is now.
        how : Reading
            Of whom it is for.
        wait : bool
            Whether to wait for the one of now.
        """
        key = _key(workspace, how)
        view, making = self._look(workspace, how, key)
        if making is None or not wait:
            return view
        making.exception(_LONGEST_S)  # what went wrong is told by the next look
        self._arrived(how, key, making)
        view, making = self._look(self._workspace(), how, _key(self._workspace(), how))
        if making is not None:  # something changed meanwhile; one more look is enough for whoever waits
            making.exception(_LONGEST_S)
            self._arrived(how, key, making)
            view, _making = self._look(self._workspace(), how, _key(self._workspace(), how))
        return view

    def _look(
        self, workspace: LivingWorkspace, how: Reading, key: str
    ) -> tuple[AlmanacView, Future[Any] | None]:
        with self._lock:
            held, making = self._held.get(how), self._making.get(how)
            if held is not None and held.key == key:
                return AlmanacView("ready", held), None
            if making is not None:
                return AlmanacView("making", held), making
            stored = stored_almanac(workspace, key)
            if stored is not None:
                self._held[how] = stored
                return AlmanacView("ready", stored), None
            failed = self._failed.get(how)
            if failed is not None and failed[0] == key:
                return AlmanacView("none", held, failed[1]), None
            making = self._making[how] = self._order(how)
        making.add_done_callback(lambda answer: self._arrived(how, key, answer))
        return AlmanacView("making", held), making

    def _arrived(self, how: Reading, asked: str, answer: Future[Any]) -> None:
        wrong = answer.exception()
        found, is_readable = None, True
        if wrong is None:
            try:
                found = stored_almanac(self._workspace(), answer.result()["key"])
            except RingwiseError:  # nothing reads just now: the next look has it made again
                is_readable = False
        with self._lock:
            if self._making.get(how) is not answer:
                return
            del self._making[how]
            if found is not None:
                self._held[how] = found
                self._failed.pop(how, None)
                return
            if not is_readable:
                return
            why = str(wrong) if isinstance(wrong, RingwiseError) else type(wrong).__name__
            self._failed[how] = (asked, why)
        _LOG.error("the almanac could not be made: %s", why)


def _key(workspace: LivingWorkspace, how: Reading) -> str:
    """The key of the almanac of now; trees that did not change keep their mark."""
    shared = workspace.shared
    known = (workspace.settings, workspace.seed, how)
    key = shared.keys.get(known)
    if key is None:
        marks = workspace.made_of("almanac mark", almanac_mark)
        with reading(how):
            key = almanac_key(workspace, marks)
        shared.keys[known] = key
    return key
