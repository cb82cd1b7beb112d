"""Wishes about weather: read a file in, show what is there, hand a series to the rooms."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk.climate import described_series, stated_climate
from ringwise.desk.days_to_come import ROLE, Parts, forecast_station, forecast_told, parts_of
from ringwise.desk.deeds import action
from ringwise.desk.shapes import Shape
from ringwise.desk.weather_reading import read_weather
from ringwise.desk.weather_reading import read_weather_file as read_weather_file  # named by callers from here
from ringwise.desk.weather_told import told_lines, told_shape
from ringwise.desk.weather_under import (
    described_notes,
    loan_told,
    own_stations,
    station_of,
    stored_series,
    yard_series,
)
from ringwise.kit import show
from ringwise.kit.errors import RangeError, out_of_range
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ringwise.desk.workspace import Workspace
    from ringwise.records.store import WeatherRows
    from ringwise.weather.series import WeatherSeries

_DAY = timedelta(days=1)


def import_weather(
    workspace: Workspace,
    file: Path,
    *,
    columns: str | None,
    station: str,
    called: str = "",
    preview: bool = False,
) -> Shape:
    """Read a file into the collection; its days replace those already there. A preview stores nothing.

    Days to come are kept as the station's forecast, in the same step of undo.
    """
    if not station.strip():
        raise out_of_range("--station", '""', _("a name, such as yard"))
    read = read_weather(file, columns, station=station.strip(), called=called, today=workspace.today)
    parts = parts_of(read, workspace.today)
    new_days, new_forecast_days = (None, None) if preview else _put(workspace, parts)
    answer = {
        "station": read.series.station,
        "source": read.series.source,
        "invented": read.series.invented,
        **(_no_days() if parts.measured is None else _series_shape(parts.measured)),
        "new_days": new_days,
        "new_forecast_days": new_forecast_days,
        "file": called or file.name,
        **told_shape(read, kept=parts.to_come),
    }
    lines = [
        *_import_lines(answer, workspace.store.weather_stations()),
        *told_lines(read, preview=preview, kept=parts.to_come),
    ]
    return answer | {"stored": not preview, "lines": lines}


def _put(workspace: Workspace, parts: Parts) -> tuple[int, int]:
    """Store both parts as one step; how many days of each are new or changed."""
    rows = [] if parts.measured is None else [beside_stored(workspace, rows_of(parts.measured))]
    for each in rows:
        refuse_seam(workspace, each)
    ahead = [] if parts.to_come is None else [replace(rows_of(parts.to_come, with_bridged=True), role=ROLE)]
    new = workspace.store.weather_put_all(action(workspace, None, "weather import"), [*rows, *ahead])
    return sum(new[: len(rows)]), sum(new[len(rows) :])


def beside_stored(workspace: Workspace, rows: WeatherRows) -> WeatherRows:
    """Rows with what is stored of their days where they are silent: no file erases what another measured.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    rows : WeatherRows
        Of a station, NaN where the file has no value.

    Returns
    -------
    WeatherRows
        The same days.
    """
    import numpy as np

    if rows.station not in workspace.store.weather_stations():
        return rows
    stored = workspace.store.weather_get(rows.station)
    at = np.arange(rows.n_days) + (rows.first - stored.first).days
    inside = (at >= 0) & (at < stored.n_days)
    place = np.clip(at, 0, stored.n_days - 1)
    columns, filled = dict(rows.columns), rows.filled.copy()
    for name, cells in rows.columns.items():
        kept = np.isnan(cells) & inside & ~np.isnan(stored.columns[name][place])
        columns[name] = np.where(kept, stored.columns[name][place], cells)
        filled |= kept & stored.filled[place]
    return replace(rows, columns=columns, filled=filled)


def refuse_seam(workspace: Workspace, rows: WeatherRows) -> None:
    """Refuse days that contradict the stored ones beside them: together they would be no series any more.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    rows : WeatherRows
        That are to be stored, from `beside_stored`.

    Raises
    ------
    RangeError
        If a check fails where they meet what is stored; the day is named.
    """
    import numpy as np

    from ringwise.weather.series import MEASURES, first_fault

    if rows.station not in workspace.store.weather_stations():
        return
    stored = workspace.store.weather_get(rows.station)
    before = (rows.first - _DAY - stored.first).days
    after = before + rows.n_days + 1
    first = rows.first - _DAY if 0 <= before < stored.n_days else rows.first
    joined = {
        name: np.concatenate(
            [
                stored.columns[name][max(before, 0) : max(before + 1, 0)],
                rows.columns[name],
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
            where=rows.source,
        )


def _import_lines(answer: Shape, stations: Sequence[str]) -> list[str]:
    """Two lines, whatever the file holds; `stations` have measured days."""
    if answer["first"] is None:
        return [
            _("{station}: no measured day, only days to come").format(station=answer["station"]),
            _("measured days are stored of {stations}").format(stations=", ".join(stations))
            if stations
            else _("windows also need measured weather of past years, or a described climate"),
        ]
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


def _no_days() -> Shape:
    return {"first": None, "last": None, "days": 0, "filled_days": 0, "missing_days": 0}


def rows_of(series: WeatherSeries, *, with_bridged: bool = False) -> WeatherRows:
    """A series as the store keeps it: what was measured; what was bridged is bridged again when it is read.

    Parameters
    ----------
    series : WeatherSeries
        Checked.
    with_bridged : bool
        Whether bridged values are kept too, as of a forecast, which is not read as a series.

    Returns
    -------
    WeatherRows
        One row a day.
    """
    import numpy as np

    from ringwise.records.store import WeatherRows
    from ringwise.weather.series import MEASURES

    if with_bridged or not series.bridged:
        columns, filled = {name: series.column(name) for name in MEASURES}, series.filled
    else:
        columns = {name: np.where(series.was_bridged(name), np.nan, series.column(name)) for name in MEASURES}
        filled = np.zeros(series.n, dtype=np.bool_)

    return WeatherRows(
        station=series.station,
        first=series.first,
        columns=columns,
        filled=filled,
        source=series.source,
        invented=series.invented,
    )


def show_weather(workspace: Workspace, *, station: str | None = None) -> Shape:
    """What weather is there, from when to when, what is missing or filled; else what was described."""
    lent, loan_lines = loan_told(workspace) if station is None else (None, [])
    name = forecast_station(workspace, station)
    own = own_stations(workspace) if station is None else workspace.store.weather_stations()
    if station is None and not own:
        words = stated_climate(workspace)
        if words is not None and (lent is None or lent["kind"] is None):
            return _show_described(workspace, described_series(workspace, words), name)
    all_lent = lent is not None and lent["kind"] is not None and not own
    if name is not None and name not in own and not all_lent:
        return _show_forecast(workspace, name)
    series = yard_series(workspace) if all_lent else stored_series(workspace, station_of(workspace, station))
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
    told, forecast_lines = (None, []) if name is None else forecast_told(workspace, name, series)
    lines += [*loan_lines, *forecast_lines]
    return answer | {"age_days": age_days, "borrowed": lent, "forecast": told, "lines": lines}


def _show_forecast(workspace: Workspace, station: str) -> Shape:
    """A station of which nothing but a forecast is stored."""
    told, forecast_lines = forecast_told(workspace, station, None)
    named = {"station": station, "source": "", "invented": False, "age_days": None, "borrowed": None}
    lines = [*_import_lines(named | _no_days(), workspace.store.weather_stations()), *forecast_lines]
    return named | _no_days() | {"forecast": told, "lines": lines}


def _show_described(workspace: Workspace, series: WeatherSeries, station: str | None) -> Shape:
    told, forecast_lines = (None, []) if station is None else forecast_told(workspace, station, None)
    lines = [
        *described_notes(workspace),
        _("{station}: {n} days made from words, {first} to {last}").format(
            station=series.station,
            n=series.n,
            first=show.day(series.first, year=True),
            last=show.day(series.last, year=True),
        ),
        *forecast_lines,
    ]
    return _series_shape(series) | {"age_days": None, "borrowed": None, "forecast": told, "lines": lines}
