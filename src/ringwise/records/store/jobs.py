"""Long work that can be watched, cancelled and, by its finished blocks, taken up again after a kill."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, func, insert, select, update

from ringwise.kit.errors import ConflictError, NotFoundError, out_of_range, unknown_name
from ringwise.kit.words import _
from ringwise.records.store.connecting import Database
from ringwise.records.store.tables import JOB_BLOCKS, JOBS

STATES = ("queued", "running", "done", "failed", "cancelled")
ENDED = ("done", "failed", "cancelled")


@dataclass(frozen=True)
class Job:
    """One piece of long work; `resume` is whatever its worker needs to take it up again, as JSON text."""

    id: str
    kind: str
    state: str
    progress_frac: float
    cancel_requested: bool
    resume: str
    error: str
    created_at: datetime
    changed_at: datetime
    finished_at: datetime | None

    @property
    def ended(self) -> bool:
        """Whether nothing more will come of it unless it is started again."""
        return self.state in ENDED


def _job(row: Any) -> Job:
    return Job(
        id=row["id"],
        kind=row["kind"],
        state=row["state"],
        progress_frac=float(row["progress_frac"]),
        cancel_requested=bool(row["cancel_requested"]),
        resume=row["resume"],
        error=row["error"],
        created_at=datetime.fromisoformat(row["created_at"]),
        changed_at=datetime.fromisoformat(row["changed_at"]),
        finished_at=None if row["finished_at"] is None else datetime.fromisoformat(row["finished_at"]),
    )


class JobBook:
    """The jobs of one collection. Unlike the records they change in place: they are no history.

    Parameters
    ----------
    database : Database
        The collection's.

    Examples
    --------
    >>> from tempfile import mkdtemp
    >>> from pathlib import Path
    >>> from datetime import timezone
    >>> from ringwise.records.store import open_store
    >>> book = open_store(Path(mkdtemp()) / "yard").jobs
    >>> job = book.start("futures-T01", "futures", datetime(2027, 3, 7, tzinfo=timezone.utc))
    >>> job.state, job.progress_frac
    ('running', 0.0)
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def start(self, job_id: str, kind: str, at: datetime, *, resume: str = "", queued: bool = False) -> Job:
        """A new job, or an unfinished one taken up with its blocks; a finished one is a conflict."""
        state = "queued" if queued else "running"
        with self._database.writing() as connection:
            found = self._row(connection, job_id)
            if found is None:
                connection.execute(
                    insert(JOBS),
                    {
                        "id": job_id,
                        "kind": kind,
                        "state": state,
                        "progress_frac": 0.0,
                        "cancel_requested": 0,
                        "resume": resume,
                        "error": "",
                        "created_at": at.isoformat(),
                        "changed_at": at.isoformat(),
                        "finished_at": None,
                    },
                )
            elif found["state"] == "done":
                raise ConflictError(_("job {id} is done already.").format(id=job_id))
            else:
                again = {"state": state, "cancel_requested": 0, "error": "", "finished_at": None}
                self._change(connection, job_id, at, again | ({"resume": resume} if resume else {}))
            return _job(self._row(connection, job_id))

    def progress(
        self,
        job_id: str,
        at: datetime,
        progress_frac: float,
        *,
        block: int | None = None,
        payload: bytes = b"",
    ) -> bool:
        """Note how far a job is and keep a finished block with it; True if it has been asked to stop."""
        if not 0.0 <= progress_frac <= 1.0:
            raise out_of_range(_("progress"), f"{progress_frac:g}", "0 to 1")
        with self._database.writing() as connection:
            found = self._known(connection, job_id)
            if block is not None:
                row = {"job_id": job_id, "block": block, "payload": payload}
                connection.execute(insert(JOB_BLOCKS).prefix_with("OR REPLACE", dialect="sqlite"), row)
            self._change(connection, job_id, at, {"progress_frac": progress_frac})
            return bool(found["cancel_requested"])

    def blocks(self, job_id: str) -> dict[int, bytes]:
        """The finished blocks of a job, by number: what need not be computed again."""
        query = select(JOB_BLOCKS.c.block, JOB_BLOCKS.c.payload).where(JOB_BLOCKS.c.job_id == job_id)
        with self._database.reading() as connection:
            self._known(connection, job_id)
            found = connection.execute(query.order_by(JOB_BLOCKS.c.block))
            return {int(block): bytes(payload) for block, payload in found}

    def finish(self, job_id: str, at: datetime, *, state: str = "done", error: str = "") -> Job:
        """End a job as done, failed or cancelled; the blocks of a done one are let go."""
        if state not in ENDED:
            raise unknown_name(_("state of a job"), state, ENDED)
        with self._database.writing() as connection:
            self._known(connection, job_id)
            change: dict[str, Any] = {"state": state, "error": error, "finished_at": at.isoformat()}
            if state == "done":
                change["progress_frac"] = 1.0
                connection.execute(JOB_BLOCKS.delete().where(JOB_BLOCKS.c.job_id == job_id))
            self._change(connection, job_id, at, change)
            return _job(self._row(connection, job_id))

    def cancel(self, job_id: str, at: datetime) -> Job:
        """Ask a running job to stop; one that is still queued is cancelled at once."""
        with self._database.writing() as connection:
            found = self._known(connection, job_id)
            change: dict[str, Any] = {"cancel_requested": 1}
            if found["state"] == "queued":
                change |= {"state": "cancelled", "finished_at": at.isoformat()}
            self._change(connection, job_id, at, change)
            return _job(self._row(connection, job_id))

    def get(self, job_id: str) -> Job:
        """One job by its id."""
        with self._database.reading() as connection:
            return _job(self._known(connection, job_id))

    def all(self, state: str | None = None) -> list[Job]:
        """The jobs, newest first, of one state or of all."""
        moment = func.julianday(JOBS.c.created_at)  # texts with other offsets do not sort by time
        query = select(JOBS).order_by(moment.desc(), JOBS.c.id)
        if state is not None:
            if state not in STATES:
                raise unknown_name(_("state of a job"), state, STATES)
            query = query.where(JOBS.c.state == state)
        with self._database.reading() as connection:
            return [_job(row) for row in connection.execute(query).mappings()]

    @staticmethod
    def _row(connection: Connection, job_id: str) -> Any:
        return connection.execute(select(JOBS).where(JOBS.c.id == job_id)).mappings().first()

    def _known(self, connection: Connection, job_id: str) -> Any:
        found = self._row(connection, job_id)
        if found is None:
            raise NotFoundError(_("there is no job {id}.").format(id=job_id))
        return found

    @staticmethod
    def _change(connection: Connection, job_id: str, at: datetime, change: dict[str, Any]) -> None:
        row = change | {"changed_at": at.isoformat()}
        connection.execute(update(JOBS).where(JOBS.c.id == job_id), row)
