"""Long work: what is asked for, how far it is, and taking it off."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body

from ringwise.faces.web.contract import CHANGES, READS
from ringwise.faces.web.routes.named import JobId
from ringwise.faces.web.shapes.base import Job, JobAsked, Jobs
from ringwise.faces.web.wishes import Desk

router = APIRouter(prefix="/api/jobs", tags=["work"])


@router.get("", response_model=Jobs, responses=READS, operation_id="jobs", summary="Long work")
def get_jobs(desk: Desk) -> Any:
    """All long work, newest first."""
    return {"jobs": desk.work(lambda worker, _how: worker.jobs())}


@router.post("", response_model=Job, responses=CHANGES, operation_id="askJob", summary="Ask for long work")
def post_job(desk: Desk, asked: Annotated[JobAsked, Body()]) -> Any:
    """Ask for long work on a tree or the yard; asked twice, it is done once."""
    return desk.work(lambda worker, how: worker.start_job(asked.kind, asked.tree, how))


@router.get("/{job}", response_model=Job, responses=READS, operation_id="job", summary="One long work")
def get_job(desk: Desk, job: JobId) -> Any:
    """How far long work is."""
    return desk.work(lambda worker, _how: worker.job(job))


@router.post(
    "/{job}/cancel", response_model=Job, responses=CHANGES, operation_id="cancelJob", summary="Stop long work"
)
def post_cancel(desk: Desk, job: JobId) -> Any:
    """Take long work off; what it had finished is kept."""
    return desk.work(lambda worker, _how: worker.cancel(job))
