"""Wishes about a weather file from the app: take it into the yard's own series, tell what is stored."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.desk.weather import import_weather, show_weather
from ringwise.desk.weather_told import brief
from ringwise.desk.weather_under import own_stations, weather_notes, yard_series
from ringwise.kit.errors import MissingFieldError, NotFoundError

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace


def bring_weather(workspace: Workspace, file: Path, called: str, columns: str = "") -> Shape:
    """Take the days of a file into the yard's own series; nothing is stored unless all of it reads.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    file : Path
        The file.
    called : str
        Its name where it came from: names the first series, and stands in lines.
    columns : str
        What the columns are, see `reading.parse_columns`; blank to tell by the content.

    Returns
    -------
    dict
        Keys action (None where every day was known already), line and id.

    Raises
    ------
    InputError
        If the file does not read; row and column are named.
    """
    before = workspace.store.latest_step()
    station = station_for(workspace, called)
    name = called or f"{station}.csv"
    answer = import_weather(workspace, file, columns=columns or None, station=station, called=name)
    after = workspace.store.latest_step()
    return {
        "action": after if after > before else None,
        "line": "; ".join(brief(answer)),
        "id": answer["station"],
    }


def station_for(workspace: Workspace, called: str) -> str:
    """The series that a file belongs to: the yard's own, so that the files of many years add up in one.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    called : str
        The file's name.

    Returns
    -------
    str
        The station that is set, else the only one there is, else one named by the file.
    """
    if workspace.settings.station:
        return workspace.settings.station
    known = own_stations(workspace)
    return known[0] if len(known) == 1 else (Path(called).stem.strip() or "yard")


def weather_lines(workspace: Workspace) -> list[str]:
    """What weather is stored and what that means for the windows.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    list of str
        Sentences; none where nothing is stored.
    """
    if not workspace.store.weather_stations():
        return []
    try:
        lines = list(show_weather(workspace)["lines"])
        return [
            *lines,
            *(note for note in weather_notes(workspace, yard_series(workspace)) if note not in lines),
        ]
    except (MissingFieldError, NotFoundError) as wrong:
        return [wrong.message]
