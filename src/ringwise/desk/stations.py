"""The stored series: which is the yard's own, and each read once while the same imports count."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from ringwise.kit.errors import InputError, MissingFieldError, NotFoundError
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
    known = own_stations(workspace) if station is None else workspace.store.weather_stations()
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
    if not known and workspace.store.weather_stations():
        raise MissingFieldError(
            _(
                "there is no weather of the yard's own yet, only that of {station}, which lends its days; "
                "bring the yard's own in with: ringwise weather import FILE"
            ).format(station=workspace.settings.borrowed_station)
        )
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


def own_stations(workspace: Workspace) -> list[str]:
    """The stored series that may be the yard's own: all but the one that is borrowed from.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    list of str
        Their names.

    Raises
    ------
    InputError
        If the yard would borrow from itself.
    """
    settings = workspace.settings
    if settings.borrowed_station and settings.borrowed_station == settings.station:
        raise InputError(
            _(
                'borrowed_station and station are both "{name}"; name another series, or leave '
                "borrowed_station out of collection.toml"
            ).format(name=settings.station)
        )
    return [name for name in workspace.store.weather_stations() if name != settings.borrowed_station]


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
    marked = {name: marks | rows.filled for name, marks in series.bridged.items()}
    return replace(series, filled=series.filled | rows.filled, bridged=marked)
