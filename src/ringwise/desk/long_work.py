"""Long work asked for in the app: its place in the job book, its doing in the worker, its words."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringwise.desk import clock
from ringwise.kit.errors import NotFoundError, NotReadyError, RingwiseError, unknown_name
from ringwise.kit.words import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ringwise.desk.living_workspace import LivingWorkspace
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.records.store import Job

CALIBRATION = "calibration"  # of the whole yard, whatever tree is named
TURN = "turntable"  # a turn of photos, which has a run
OFFERS = "offers"  # which courses can be done on a tree
KINDS = ("futures", "ahead", CALIBRATION)  # what may be asked for by its kind alone
_PREFIX = "app"  # parts of the work have jobs of their own, which the app does not list


@dataclass(frozen=True)
class Wanted:
    """What a job is about; no tree where it is about the yard.

    `run` is the run of a turn of photos, or what is asked of a turning: courses, futures and years.
    """

    kind: str
    tree: str
    run: str = ""


def job_words(wanted: Wanted) -> str:
    """A job in words.

    Parameters
    ----------
    wanted : Wanted
        The job.

    Returns
    -------
    str
        For the list of work.

    Examples
    --------
    >>> job_words(Wanted("ahead", "T03"))
    'years ahead of T03'
    """
    if wanted.kind == "ahead":
        return _("years ahead of {tree}").format(tree=wanted.tree)
    if wanted.kind == CALIBRATION:
        return _("past forecasts against what was then seen")
    if wanted.kind == TURN:
        return _("photos of {tree}").format(tree=wanted.tree)
    if wanted.kind == OFFERS:
        return _("courses for {tree}").format(tree=wanted.tree)
    return _("futures of {tree}").format(tree=wanted.tree)


def wanted_of(job: Job) -> Wanted | None:
    """What a job of the book is about.

    Parameters
    ----------
    job : Job
        Any job.

    Returns
    -------
    Wanted or None
        None for a part of another job.
    """
    if not job.id.startswith(f"{_PREFIX}."):
        return None
    plain = json.loads(job.resume)
    return Wanted(plain["kind"], plain["tree"], plain.get("run", ""))


def job_shape(job: Job) -> Shape:
    """The documented keys of a job.

    Parameters
    ----------
    job : Job
        Of the app.

    Returns
    -------
    dict
        As `faces/web/shapes/base.Job`.
    """
    wanted = wanted_of(job)
    if wanted is None:
        raise NotFoundError(_("there is no job {id}.").format(id=job.id))
    stopping = job.cancel_requested and not job.ended
    return {
        "id": job.id,
        "kind": wanted.kind,
        "words": job_words(wanted) + (_(" (stopping)") if stopping else ""),
        "state": job.state,
        "progress_frac": job.progress_frac,
        "error": job.error,
    }


def job_id(workspace: Workspace, wanted: Wanted) -> str:
    """The id of a job: the same wish on the same record and day is the same job.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wanted : Wanted
        What is wanted.

    Returns
    -------
    str
        Such as "app.ahead.T03.1f0c6f2a9b3e".
    """
    if wanted.kind == CALIBRATION:
        from ringwise.desk.calibration_tasks import task_keys

        mark = hashlib.sha256(" ".join(task_keys(workspace)).encode()).hexdigest()[:12]
        return f"{_PREFIX}.{wanted.kind}.{mark}"
    if wanted.kind == TURN:
        from ringwise.desk.turntable_review import run_of

        run = run_of(workspace, wanted.tree, wanted.run)
        mark = hashlib.sha256(f"{run.id} {run.key}".encode()).hexdigest()[:12]
        return f"{_PREFIX}.{wanted.kind}.{wanted.tree}.{mark}"
    from ringwise.desk.ahead import ahead_key
    from ringwise.desk.aims import aims_mark
    from ringwise.desk.turning_offers import offers_key

    facts = workspace.facts_of(wanted.tree)
    key = offers_key if wanted.kind == OFFERS else ahead_key
    parts = [wanted.kind, key(workspace, facts)]
    if wanted.run:
        parts += [wanted.run, aims_mark(facts)]
    mark = hashlib.sha256(" ".join(parts).encode()).hexdigest()[:12]
    return f"{_PREFIX}.{wanted.kind}.{wanted.tree}.{mark}"


def is_short(id_: str) -> bool:
    """Whether a job takes seconds and a page waits for it, so that it does not stand behind long ones.

    Parameters
    ----------
    id_ : str
        From `job_id`.

    Returns
    -------
    bool
        For offers.

    Examples
    --------
    >>> is_short("app.offers.T03.1f0c6f2a9b3e"), is_short("app.futures.T03.1f0c6f2a9b3e")
    (True, False)
    """
    return id_.startswith(f"{_PREFIX}.{OFFERS}.")


def put_in_book(workspace: Workspace, kind: str, tree: str, run: str = "") -> Job:
    """Put a job into the book, unless it is there: asked twice, it is done once.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    kind : str
        One of `KINDS`.
    tree : str
        Id or name; blank where the work is about the yard.
    run : str
        Of a turn of photos; or what is asked of a turning.

    Returns
    -------
    Job
        Queued, running or done.

    Raises
    ------
    UnknownNameError
        If there is no such kind of work.
    NotFoundError
        If there is no such tree.
    MissingFieldError
        If the tree asks for no futures: no question with ready courses is open.
    NotReadyError
        If there is nothing that could be scored.
    """
    if kind not in (*KINDS, OFFERS, *([TURN] if run else [])):
        raise unknown_name(_("work"), kind, KINDS)
    wanted = _wanted(workspace, kind, tree, run)
    id_, book = job_id(workspace, wanted), workspace.store.jobs
    try:
        held = book.get(id_)
    except NotFoundError:
        held = None
    if held is not None and held.state in {"queued", "running", "done"}:
        return held
    resume = json.dumps({"kind": kind, "tree": wanted.tree} | ({"run": wanted.run} if wanted.run else {}))
    return book.start(id_, f"{_PREFIX}.{kind}", clock.now(), resume=resume, queued=True)


def _wanted(workspace: Workspace, kind: str, tree: str, run: str) -> Wanted:
    if kind == TURN:
        return Wanted(kind, workspace.tree(tree).id, run)
    if kind == CALIBRATION:
        from ringwise.desk.calibration_tasks import task_keys

        if not task_keys(workspace):
            raise NotReadyError(_("there is no spring yet that forecasts could be scored by"))
        return Wanted(kind, "")
    facts = workspace.facts_of(tree)
    if kind == "futures":
        from ringwise.desk.asked_courses import courses_of
        from ringwise.desk.turning_kept import checked_wish, wish_of

        if not run:
            courses_of(facts, ())  # says which courses there are, where no question names one
        return Wanted(kind, facts.tree.id, checked_wish(facts, wish_of(run)).text())
    return Wanted(kind, facts.tree.id)


def jobs_of_app(workspace: Workspace) -> Sequence[Job]:
    """The jobs that the app asked for.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    sequence of Job
        Newest first.
    """
    return [job for job in workspace.store.jobs.all() if wanted_of(job) is not None]


def do_job(workspace: LivingWorkspace, id_: str) -> Shape:
    """Do a job of the book to its end; called in the worker.

    Parameters
    ----------
    workspace : LivingWorkspace
        The collection.
    id_ : str
        Of the job.

    Returns
    -------
    dict
        The job as it ended: done, failed (with the reason in words) or cancelled.
    """
    book = workspace.store.jobs
    job = book.get(id_)
    wanted = wanted_of(job)
    if job.ended or wanted is None:
        return job_shape(job)
    if job.cancel_requested:
        return job_shape(book.finish(id_, clock.now(), state="cancelled"))
    book.start(id_, job.kind, clock.now())
    try:
        _do(workspace, wanted, _Teller(workspace, id_))
    except KeyboardInterrupt:  # as a run of futures is stopped: its finished blocks are kept
        return job_shape(book.finish(id_, clock.now(), state="cancelled"))
    except RingwiseError as wrong:
        return job_shape(book.finish(id_, clock.now(), state="failed", error=str(wrong)))
    except Exception as wrong:
        book.finish(id_, clock.now(), state="failed", error=type(wrong).__name__)
        raise
    return job_shape(book.finish(id_, clock.now()))


def _do(workspace: LivingWorkspace, wanted: Wanted, teller: _Teller) -> None:
    if wanted.kind == "ahead":
        from ringwise.desk.ahead import make_ahead

        make_ahead(workspace, wanted.tree, teller.told)
        return
    if wanted.kind == CALIBRATION:
        from ringwise.desk.calibration import calibration

        calibration(workspace, progress=teller.told)
        return
    if wanted.kind == TURN:
        from ringwise.desk.turntable_review import measure_run

        measure_run(workspace, wanted.tree, wanted.run, lambda share, _what: teller.told(share, TURN))
        return
    if wanted.kind == OFFERS:
        from ringwise.desk.turning_offers import make_offers

        make_offers(workspace, wanted.tree)
        return
    from ringwise.desk.turning_kept import checked_wish, make_turning, wish_of

    wish = checked_wish(workspace.facts_of(wanted.tree), wish_of(wanted.run))
    teller.parts = len(wish.courses) + 1
    make_turning(workspace, wanted.tree, wish, teller.told)


class _Teller:
    """Notes in the book how far a job is, and stops it where that was asked for."""

    def __init__(self, workspace: Workspace, id_: str) -> None:
        self._book = workspace.store.jobs
        self._id = id_
        self._done: dict[str, float] = {}
        self.parts = 1

    def told(self, share: float, title: str) -> None:
        """One part of the work is so far."""
        self._done[title] = share
        whole = min(1.0, sum(self._done.values()) / self.parts)
        if self._book.progress(self._id, clock.now(), whole):
            raise KeyboardInterrupt
