"""The long work on a turn of photos under review, as the app is told of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.long_work import TURN, Wanted, job_id, job_shape
from ringwise.desk.turntable_review import run_of
from ringwise.kit.errors import NotFoundError

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace


def run_job(workspace: Workspace, tree: str, id_: str) -> Shape | None:
    """The work on a run.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree, id_ : str
        The run.

    Returns
    -------
    dict or None
        As `faces/web/shapes/base.Job`; None before it was asked for.
    """
    run = run_of(workspace, tree, id_)
    if run.key is None:
        return None
    try:
        return job_shape(workspace.store.jobs.get(job_id(workspace, Wanted(TURN, run.tree, run.id))))
    except NotFoundError:
        return None
