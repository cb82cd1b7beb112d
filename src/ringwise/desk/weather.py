"""Wishes about weather: read a file in, show what is there, hand a series to the rooms."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from ringwise.desk.climate import described_series, stated_climate
from ringwise.desk.deeds import action
from ringwise.desk.shapes import Shape
from ringwise.desk.weather_reading import read_weather
from ringwise.desk.weather_reading import read_weather_file as read_weather_file  # named by callers from here
from ringwise.desk.weather_told import told_lines, told_shape
from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError, NotFoundError, RangeError, out_of_range
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.store import Store, WeatherRows
    from ringwise.weather.series import WeatherSeries

_DAY = timedelta(days=1)
# Of each open store: the series by station, with the imports that it was read from.
_read_once: WeakKeyDictionary[Store, dict[str, tuple[tuple[str, ...], WeatherSeries]]] = WeakKeyDictionary()


def import_weather(
    workspace: Workspace,
    file: Path,
    *,
    columns: str | None,
    station: str,
    called: str = "",
    preview: bool = False,
) -> Shape:
    """Read a file into the collection; its days replace those already there. A preview stores nothing."""
    from ringwise.weather.formats.sniff import measured_part

    if not station.strip():
        raise out_of_range("--station", '""', _("a name, such as yard"))
    read = read_weather(file, columns, station=station.strip(), called=called, today=workspace.today)
    series = (read if preview else measured_part(read)).series
    new = None
    if not preview:
        _refuse_seam(workspace, series)
        new = workspace.store.weather_put(action(workspace, None, "weather import"), rows_of(series))
    answer = _series_shape(series) | {"new_days": new, "file": called or file.name} | told_shape(read)
    lines = [*_import_lines(answer), *told_lines(read, preview=preview)]
    return answer | {"stored": not preview, "lines": lines}


def _refuse_seam(workspace: Workspace, series: WeatherSeries) -> None:
    """Refuse days that contradict the stored ones beside them: together they would be no series any more."""
    import numpy as np

    from ringwise.weather.series import MEASURES, first_fault

    if series.station not in workspace.store.weather_stations():
        return
    stored = workspace.store.weather_get(series.station)
    before, after = ((day - stored.first).days for day in (series.first - _DAY, series.last + _DAY))
    first = series.first - _DAY if 0 <= before < stored.n_days else series.first
    joined = {
        name: np.concatenate(
            [
                stored.columns[name][max(before, 0) : max(before + 1, 0)],
                series.column(name),
                stored.columns[name][max(after, 0) : max(after + 1, 0)],
            ]
        )
        for name in MEASURES
    }
    fault = first_fault(joined)
    if fault is not None:
        day = first + fault.place * _DAY
        raise RangeError(
            _("on {day}, beside the days that are stored, {text}").format(day=day, text=fault.text),
            where=series.source,
        )


def _import_lines(answer: Shape) -> list[str]:
    first, last = (show.day(date.fromisoformat(answer[key]), year=True) for key in ("first", "last"))
    if answer["new_days"] is None:
        head = _("{station}: {n} days from {first} to {last}").format(
            station=answer["station"], n=answer["days"], first=first, last=last
        )
    else:
        head = _("{station}: {n} days from {first} to {last}, {new} of them new or changed").format(
            station=answer["station"], n=answer["days"], new=answer["new_days"], first=first, last=last
        )
    return [
        head,
        _("filled: {filled} days; without a daily mean: {missing} days").format(
            filled=answer["filled_days"], missing=answer["missing_days"]
        ),
    ]


def _series_shape(series: WeatherSeries) -> Shape:
    import numpy as np

    return {
        "station": series.station,
        "first": series.first.isoformat(),
        "last": series.last.isoformat(),
        "days": series.n,
        "filled_days": int(series.filled.sum()),
        "missing_days": int(np.isnan(series.tmean_degC).sum()),
        "source": series.source,
        "invented": series.invented,
    }


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
    return _stored(workspace, station_of(workspace))


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
        return _described_notes(workspace)
    age_days = (workspace.today - series.last).days
    notes = []
    if age_days > 1:
        notes.append(_("The weather is {n} days old.").format(n=age_days))
    if series.invented:
        notes.append(_("Weather and records of this yard are invented."))
    return notes


def _described_notes(workspace: Workspace) -> list[str]:
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


def _stored(workspace: Workspace, station: str) -> WeatherSeries:
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


def rows_of(series: WeatherSeries) -> WeatherRows:
    """A series as the store keeps it.

    Parameters
    ----------
    series : WeatherSeries
        Checked.

    Returns
    -------
    WeatherRows
        One row a day.
    """
    from ringwise.records.store import WeatherRows
    from ringwise.weather.series import MEASURES

    return WeatherRows(
        station=series.station,
        first=series.first,
        columns={name: getattr(series, name) for name in MEASURES},
        filled=series.filled,
        source=series.source,
        invented=series.invented,
    )


def show_weather(workspace: Workspace, *, station: str | None = None) -> Shape:
    """What weather is there, from when to when, what is missing or filled; else what was described."""
    if station is None and not workspace.store.weather_stations():
        words = stated_climate(workspace)
        if words is not None:
            return _show_described(workspace, described_series(workspace, words))
    series = _stored(workspace, station_of(workspace, station))
    answer = _series_shape(series)
    age_days = (workspace.today - series.last).days
    lines = [
        _("{station}: {n} days, {first} to {last}").format(
            station=series.station,
            n=series.n,
            first=show.day(series.first, year=True),
            last=show.day(series.last, year=True),
        ),
        _("source: {source}{invented}").format(
            source=series.source, invented=_(" (invented)") if series.invented else ""
        ),
        _("filled {filled} days, missing {missing} days").format(
            filled=answer["filled_days"], missing=answer["missing_days"]
        ),
    ]
    if age_days > 0:
        lines.append(counted("the latest day is {n} day old", "the latest day is {n} days old", age_days))
    return answer | {"age_days": age_days, "lines": lines}


def _show_described(workspace: Workspace, series: WeatherSeries) -> Shape:
    lines = [
        *_described_notes(workspace),
        _("{station}: {n} days made from words, {first} to {last}").format(
            station=series.station,
            n=series.n,
            first=show.day(series.first, year=True),
            last=show.day(series.last, year=True),
        ),
    ]
    return _series_shape(series) | {"age_days": None, "lines": lines}
