"""The wish for what stands at the head of every page: whose yard, which day, which weather, what is new."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise import __version__
from ringwise.desk.almanac_access import almanac_of
from ringwise.desk.deeds import undo_step
from ringwise.desk.shapes import Shape
from ringwise.desk.steps import next_undo
from ringwise.desk.weather_under import yard_series
from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError, NotFoundError
from ringwise.kit.reading import current_reading, languages
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.desk.almanac import AlmanacView
    from ringwise.desk.workspace import Workspace


def weather_told(workspace: Workspace) -> tuple[str, str]:
    """Where the weather comes from and how old it is.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    (str, str)
        "measured", "described" or "none", and one line in the reader's language.
    """
    from ringwise.weather.described import is_described

    try:
        series = yard_series(workspace)
    except (MissingFieldError, NotFoundError):
        return "none", _("no weather yet")
    if is_described(series.source):
        return "described", _("weather made from the climate that you described")
    age_days = (workspace.today - series.last).days
    if age_days > 1:
        age = counted("{n} day old", "{n} days old", age_days)
        return "measured", _("measured, {station}, {age}").format(station=series.station, age=age)
    return "measured", _("measured, {station}").format(station=series.station)


def head(workspace: Workspace, *, almanac: AlmanacView | None = None) -> Shape:
    """What the title block shows, and whether anything changed.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    almanac : AlmanacView, optional
        By default the workspace's own.

    Returns
    -------
    dict
        As the contract of the app has it.
    """
    settings = workspace.settings
    weather, weather_shown = weather_told(workspace)
    wanted = (
        ("place", settings.latitude_deg is not None),
        ("weather", weather != "none"),
        ("tree", bool(workspace.trees)),
    )
    latest = undo_step(workspace)
    everyone = workspace.store.trees() if not hasattr(workspace, "every_tree") else workspace.every_tree
    return {
        "name": settings.name,
        "owner": settings.owner,
        "invented": settings.invented,
        "today": workspace.today.isoformat(),
        "today_shown": show.day(workspace.today, year=True),
        "south": settings.south,
        "trees": len(workspace.trees),
        "retired": len(everyone) - len(workspace.trees),
        "language": current_reading().language,
        "languages": list(languages()),
        "units": settings.units,
        "weather": weather,
        "weather_shown": weather_shown,
        "stamp": workspace.store.latest_step(),
        "almanac": (almanac or almanac_of(workspace)).state,
        "undo": next_undo(workspace),
        "undo_step": None if latest is None else latest[0],
        "version": __version__,
        "next": next((name for name, there in wanted if not there), "done"),
    }
