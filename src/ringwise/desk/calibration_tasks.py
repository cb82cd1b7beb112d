"""Which springs past forecasts can be scored by, or what is needed first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.calibration import season_tasks, yard_records
from ringwise.desk.weather_under import yard_series
from ringwise.kit.errors import MissingFieldError, NotFoundError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.calibration import SeasonTask
    from ringwise.desk.workspace import Workspace


def tasks_of(workspace: Workspace) -> tuple[list[SeasonTask], str]:
    """The growing years to be scored; else what is lacking, in words.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    (list of SeasonTask, str)
        One of the two is empty.
    """
    return workspace.once("calibration tasks", lambda: _tasks_of(workspace))


def _tasks_of(workspace: Workspace) -> tuple[list[SeasonTask], str]:
    from ringwise.weather.described import is_described

    try:
        series = yard_series(workspace)
    except (MissingFieldError, NotFoundError):
        return [], _("Forecasts are scored against measured weather. Bring in a file with past years first.")
    if is_described(series.source):
        return [], _(
            "Described weather foretells no single spring: import weather, then past forecasts are scored."
        )
    tasks = season_tasks(workspace, yard_records(workspace), series)
    if not tasks:
        return [], _(
            "No stage is dated to within a fortnight yet. Log what buds and leaves show, with the day; "
            "each spring seen is a test of the forecasts before it."
        )
    return tasks, ""


def task_keys(workspace: Workspace) -> list[str]:
    """The keys of all growing years that can be scored; they name the work of scoring.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    list of str
        In the order of years; empty where nothing can be scored.
    """
    return [task.key for task in tasks_of(workspace)[0]]
