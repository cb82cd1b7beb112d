"""The worker: almanac and whys in one lane, what a page waits for in another, futures in a third."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from concurrent.futures import Future
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringwise.desk import clock
from ringwise.desk.lanes import IDLE_S, Lane
from ringwise.desk.long_work import Wanted, is_short, job_id, job_shape, jobs_of_app, put_in_book
from ringwise.kit.errors import NotFoundError, NotReadyError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.kit.reading import Reading

LANES = ("almanac", "offers", "futures")
_LONGEST_WHY_S = 60.0
_LOG = logging.getLogger("ringwise")


class Worker:
    """Heavy work of one collection, done by processes of its own.

    Parameters
    ----------
    folder : Path
        Of the collection.
    workspace : callable
        Gives the collection as it is now.
    on, seed : str, int, optional
        As given to the server.
    idle_s : float
        How long a process without work is kept.
    """

    def __init__(
        self,
        folder: Path,
        workspace: Callable[[], Workspace],
        *,
        on: str | None = None,
        seed: int | None = None,
        idle_s: float = IDLE_S,
    ) -> None:
        given = (*(("--on", on) if on else ()), *(("--seed", str(seed)) if seed is not None else ()))
        self._workspace = workspace
        self._lanes = {name: Lane(name, folder, given, idle_s=idle_s) for name in LANES}
        self._working: set[str] = set()
        self._lock = threading.Lock()

    def pid(self, lane: str) -> int | None:
        """The number of a lane's process; None while there is none."""
        return self._lanes[lane].pid

    def close(self) -> None:
        """End all processes."""
        for lane in self._lanes.values():
            lane.close()

    def almanac(self, reading: Reading) -> Future[Any]:
        """Have the almanac of now made for a reading; the future brings its key and step."""
        return self._lanes["almanac"].order({"task": "almanac", **_how(reading)})

    def why(self, of: str, reading: Reading) -> Shape:
        """Where a shown number comes from, as `desk.why.why_told` answers it.

        Raises
        ------
        RingwiseError
            As `why` does, or where it takes too long.
        """
        answer = self._lanes["almanac"].order({"task": "why", "of": of, **_how(reading)})
        try:
            told: Shape = answer.result(_LONGEST_WHY_S)
        except TimeoutError:
            raise NotReadyError(_("the answer takes too long; ask again in a minute.")) from None
        return told

    def loaded(self, lane: str, names: list[str], reading: Reading) -> list[str]:
        """Which modules a lane's process has loaded; for measuring."""
        order = {"task": "loaded", "names": names, **_how(reading)}
        found: list[str] = self._lanes[lane].order(order).result(_LONGEST_WHY_S)
        return found

    # --- jobs ---

    def start_job(self, kind: str, tree: str, reading: Reading, run: str = "") -> Shape:
        """Start long work on a tree, or on a turn of its photos; asked twice, it is done once.

        Raises
        ------
        RingwiseError
            As `put_in_book` does.
        """
        job = put_in_book(self._workspace(), kind, tree, run)
        if not job.ended:
            self._do(job.id, reading)
        return job_shape(job)

    def ahead_job(self, tree: str, reading: Reading) -> Shape:
        """The job of a tree's years ahead, begun where it never was; a failed or cancelled one stays so."""
        return self.begun_job("ahead", tree, reading)

    def begun_job(self, kind: str, tree: str, reading: Reading) -> Shape:
        """The job of a kind on a tree, begun where it never was; a failed or cancelled one stays so."""
        workspace = self._workspace()
        try:
            held = workspace.store.jobs.get(job_id(workspace, Wanted(kind, tree)))
        except NotFoundError:
            return self.start_job(kind, tree, reading)
        return job_shape(held) if held.ended else self.start_job(kind, tree, reading)

    def jobs(self) -> list[Shape]:
        """All long work that was asked for, newest first."""
        return [job_shape(job) for job in jobs_of_app(self._workspace())]

    def job(self, id_: str) -> Shape:
        """One long work."""
        return job_shape(self._workspace().store.jobs.get(id_))

    def cancel(self, id_: str) -> Shape:
        """Ask long work to stop; what it had finished is kept."""
        book = self._workspace().store.jobs
        job = book.get(id_)
        job_shape(job)  # parts of other work are not there for the app
        return job_shape(job if job.ended else book.cancel(id_, clock.now()))

    def take_up(self, reading: Reading) -> list[str]:
        """Go on with what an earlier server left unfinished; returns the ids."""
        left = [job.id for job in reversed(jobs_of_app(self._workspace())) if not job.ended]
        for id_ in left:
            self._do(id_, reading)
        return left

    def _do(self, id_: str, reading: Reading) -> None:
        with self._lock:
            if id_ in self._working:
                return
            self._working.add(id_)
        lane = "offers" if is_short(id_) else "futures"  # a page waits for it; a run may take minutes
        order = self._lanes[lane].order({"task": "job", "id": id_, **_how(reading)})
        order.add_done_callback(lambda answer: self._ended(id_, reading, answer))

    def _ended(self, id_: str, reading: Reading, answer: Future[Any]) -> None:
        with self._lock:
            self._working.discard(id_)
        wrong = answer.exception()
        if wrong is not None:
            _LOG.warning("job %s was left by %s", id_, type(wrong).__name__)
        elif not self._workspace().store.jobs.get(id_).ended:  # taken off and asked for again meanwhile
            self._do(id_, reading)


def _how(reading: Reading) -> dict[str, list[str]]:
    return {"reading": [reading.language, reading.units]}
