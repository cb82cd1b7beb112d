"""How long a course with a layer can wait: the last sensible day to set its ring, from the yard's weather."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.kit import show
from ringwise.kit.errors import RingwiseError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.futures.course import Course
    from ringwise.futures.setting_dates import LastSetting


def last_setting_of(workspace: Workspace) -> LastSetting | None:
    """The last sensible setting day of this growing year at the yard.

    Parameters
    ----------
    workspace : Workspace
        The collection, for its weather.

    Returns
    -------
    LastSetting or None
        None where no weather year is known.
    """
    from ringwise.desk.weather_under import yard_series
    from ringwise.futures.setting_dates import last_setting
    from ringwise.kit.tables import load_table
    from ringwise.weather.frost import first_autumn_frost
    from ringwise.weather.years import members

    try:
        weather = members(yard_series(workspace), issue=workspace.today, year=workspace.year)
    except RingwiseError:
        return None
    below_degC = load_table("ringwise.season", "cues").get("frost", "at_degC").number
    return last_setting(first_autumn_frost(weather, below_degC=below_degC))


def waits_of(workspace: Workspace, course: Course, last: LastSetting | None) -> str:
    """How long a course can wait, in words.

    Parameters
    ----------
    workspace : Workspace
        For today's growing year.
    course : Course
        Any.
    last : LastSetting or None
        From `last_setting_of`.

    Returns
    -------
    str
        Empty where the course sets no ring this year, or nothing is known of the frost.
    """
    from ringwise.futures.feasible import LAYERS

    sets_now = any(step.operation in LAYERS and step.after_years == 0 for step in course.steps)
    if not sets_now or last is None:
        return ""
    if last.band is None:
        return _("no frost in the weather years known here: the ring is not bound to a last day")
    year = workspace.year
    low, middle, high = (year.day_at(day) for day in (last.band.low, last.band.median, last.band.high))
    text = _("set the ring by {day} ({span}), else overwinter it on the tree with the ring protected")
    return text.format(day=show.day(middle), span=show.span(low, high))
