"""The weather that windows stand on: the stored series of the yard, else years from a description."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from ringwise.desk.climate import described_series, stated_climate
from ringwise.kit.errors import MissingFieldError, NotFoundError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.store import Store
    from ringwise.weather.series import WeatherSeries


# Of each open store: the series by station, with the imports that it was read from.
_read_once: WeakKeyDictionary[Store, dict[str, tuple[tuple[str, ...], WeatherSeries]]] = WeakKeyDictionary()


def station_of(workspace: Workspace, station: str | None = None) -> str:
    """The series that stands for the yard: the one asked for, the setting, or the only one.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    station : str or None
        The one asked for.

    Returns
    -------
    str
        Its name.

    Raises
    ------
    MissingFieldError
        If there is none, or several and none is set.
    """
    known = workspace.store.weather_stations()
    wanted = station or workspace.settings.station
    if wanted:
        if wanted not in known:
            raise NotFoundError(
                _('there is no weather series "{name}"; there are: {known}').format(
                    name=wanted, known=", ".join(known) or _("none")
                )
            )
        return wanted
    if len(known) == 1:
        return known[0]
    if not known:
        raise MissingFieldError(
            _(
                "there is no weather yet; bring it in with: ringwise weather import FILE, "
                "or say what the place is like with: ringwise weather describe"
            )
        )
    raise MissingFieldError(
        _("there are several weather series ({known}); set station in collection.toml").format(
            known=", ".join(known)
        )
    )


def yard_weather(workspace: Workspace) -> WeatherSeries:
    """The yard's weather series.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    WeatherSeries
        As stored.
    """
    return stored_series(workspace, station_of(workspace))


def yard_series(workspace: Workspace) -> WeatherSeries:
    """The weather that windows stand on: as stored, else years made from the description of the climate.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    WeatherSeries
        Stored weather as soon as it holds one past growing year; a described one says so in `source`.

    Raises
    ------
    MissingFieldError
        If there is neither, or several stations and none is set.
    """
    words = stated_climate(workspace)
    if words is None:
        return yard_weather(workspace)
    if workspace.store.weather_stations():
        stored = yard_weather(workspace)
        if _has_past_year(workspace, stored):
            return stored
    return described_series(workspace, words)


def _has_past_year(workspace: Workspace, series: WeatherSeries) -> bool:
    from ringwise.weather.years import members

    try:
        members(series, issue=workspace.today, year=workspace.year, most=1)
    except MissingFieldError:
        return False
    return True


def teaching_series(series: WeatherSeries) -> WeatherSeries:
    """The days of a series that past stages may be held against: described weather teaches nothing.

    Parameters
    ----------
    series : WeatherSeries
        The yard's.

    Returns
    -------
    WeatherSeries
        The same where it was measured; without a single mean where it was described.
    """
    import numpy as np

    from ringwise.weather.described import is_described

    if not is_described(series.source):
        return series
    return replace(series, tmean_degC=np.full(series.n, np.nan))


def weather_state(workspace: Workspace) -> str:
    """What the yard's windows stand on: "measured", "described" or "none".

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    str
        One of the three.
    """
    from ringwise.weather.described import is_described

    try:
        series = yard_series(workspace)
    except (MissingFieldError, NotFoundError):
        return "none"
    return "described" if is_described(series.source) else "measured"


def weather_notes(workspace: Workspace, series: WeatherSeries) -> list[str]:
    """What a reader of windows must know of the weather under them.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    series : WeatherSeries
        From `yard_series`.

    Returns
    -------
    list of str
        Sentences; none where the weather is measured and fresh.
    """
    from ringwise.weather.described import is_described

    if is_described(series.source):
        return described_notes(workspace)
    age_days = (workspace.today - series.last).days
    notes = []
    if age_days > 1:
        notes.append(_("The weather is {n} days old.").format(n=age_days))
    if series.invented:
        notes.append(_("Weather and records of this yard are invented."))
    return notes


def described_notes(workspace: Workspace) -> list[str]:
    stored = bool(workspace.store.weather_stations())
    notes = [
        _(
            "The stored weather holds no full past year yet: windows stand on your description of the "
            "climate, and are wide. Import earlier years to sharpen them."
        )
        if stored
        else _(
            "No weather is stored yet: windows stand on your description of the climate, and are wide. "
            "Import weather to sharpen them."
        )
    ]
    if any(entry.kind == "stage" for entry in workspace.entries):
        notes.append(_("Stages seen in past springs teach the forecast once weather is imported."))
    return notes


def stored_series(workspace: Workspace, station: str) -> WeatherSeries:
    """A station's series, read once while the same imports count: twenty years take a tenth of a second."""
    batches = tuple(sorted(workspace.store.weather_batches()))
    kept = _read_once.setdefault(workspace.store, {})
    if station not in kept or kept[station][0] != batches:
        kept[station] = (batches, _read_stored(workspace, station))
    return kept[station][1]


def _read_stored(workspace: Workspace, station: str) -> WeatherSeries:
    from ringwise.weather.series import series_of

    rows = workspace.store.weather_get(station)
    series = series_of(
        rows.first, rows.columns, station=rows.station, source=rows.source, invented=rows.invented
    )
    return replace(series, filled=series.filled | rows.filled)
