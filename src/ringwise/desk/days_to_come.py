"""Days of a stored forecast: which of a file are kept, which are used, and what is said of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.desk.stations import station_of
from ringwise.kit import show
from ringwise.kit.errors import FileFormatError, MissingFieldError, NotFoundError
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.store import WeatherRows
    from ringwise.weather.forecast_days import DaysToCome
    from ringwise.weather.formats.found import WeatherRead
    from ringwise.weather.series import WeatherSeries

ROLE = "forecast"


@dataclass(frozen=True)
class Parts:
    """What a file holds: measured days, and days to come that are near enough to be told; one may be None."""

    measured: WeatherSeries | None
    to_come: WeatherSeries | None


def parts_of(read: WeatherRead, today: date) -> Parts:
    """The measured days of a file, and its days to come as far as a forecast can tell.

    Parameters
    ----------
    read : WeatherRead
        As read.
    today : date
        The day that counts as today.

    Returns
    -------
    Parts
        Not both None.

    Raises
    ------
    FileFormatError
        If no day is measured and none to come is of any use.
    """
    from ringwise.weather.formats.sniff import measured_part

    if read.forecast_from is None:
        return Parts(read.series, None)
    to_come = _near(read.series, read.forecast_from, today)
    if read.forecast_from > read.series.first:
        return Parts(measured_part(read).series, to_come)
    if to_come is None:
        raise FileFormatError(
            _(
                "holds only days to come, and none within {n} days that has a daily mean or both extremes. "
                "Download the forecast again."
            ).format(n=_longest_days()),
            where=read.series.source,
        )
    return Parts(None, to_come)


def _longest_days() -> int:
    from ringwise.weather.forecast_days import longest_lead_days

    return longest_lead_days()


def _near(series: WeatherSeries, first: date, today: date) -> WeatherSeries | None:
    """Days to come up to the last that a forecast can tell, without open days at either end."""
    import numpy as np

    last = min(series.last, today + timedelta(days=_longest_days()))
    if last < first:
        return None
    near = series.cut(first, last)
    known = np.flatnonzero(~np.isnan(near.tmean_degC))
    if known.size == 0:
        return None
    begin, end = (near.first + timedelta(days=int(known[k])) for k in (0, -1))
    return near.cut(begin, end)


def days_to_come(workspace: Workspace, station: str | None = None) -> DaysToCome | None:
    """The forecast that counts today, day by day the newest one; None where there is none or it is too old.

    Parameters
    ----------
    workspace : Workspace
        The collection. What was stored after its today is not looked at.
    station : str, optional
        By default the series that stands for the yard.

    Returns
    -------
    DaysToCome or None
        Only days that were stored within the last `oldest_days`.
    """
    name = forecast_station(workspace, station)
    rows = None if name is None else _stored(workspace, name)
    return None if rows is None else _usable(rows, workspace.today)


def forecast_station(workspace: Workspace, station: str | None = None) -> str | None:
    """The series whose forecast stands for the yard.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    station : str, optional
        The one asked for.

    Returns
    -------
    str or None
        The yard's own series; where nothing was measured yet, the only one with a forecast. None where no
        forecast is stored of it, or only of the station that lends days: its days would have to be shifted.
    """
    known = workspace.store.weather_stations(workspace.today, ROLE)
    wanted = station
    if wanted is None:
        try:
            wanted = station_of(workspace)
        except (MissingFieldError, NotFoundError):
            own = [name for name in known if name != workspace.settings.borrowed_station]
            wanted = workspace.settings.station or (own[0] if len(own) == 1 else None)
    return wanted if wanted in known else None


def _stored(workspace: Workspace, station: str) -> WeatherRows | None:
    try:
        return workspace.store.weather_get(station, workspace.today, ROLE)
    except NotFoundError:
        return None


def _usable(rows: WeatherRows, today: date) -> DaysToCome | None:
    import numpy as np

    from ringwise.weather.forecast_days import DaysToCome, oldest_days

    assert rows.recorded is not None  # they come from the store
    age_days = today.toordinal() - rows.recorded
    used = (rows.recorded > 0) & (age_days <= oldest_days()) & ~np.isnan(rows.columns["tmean_degC"])
    known = np.flatnonzero(used)
    if known.size == 0:
        return None
    span = slice(int(known[0]), int(known[-1]) + 1)
    days = np.arange(rows.n_days) + rows.first.toordinal()
    columns = {
        name: np.where(used, rows.columns[name], np.nan)[span]
        for name in ("tmin_degC", "tmax_degC", "tmean_degC", "wind_2m_m_s", "rain_mm")
    }
    return DaysToCome(
        issue=date.fromordinal(int(rows.recorded[used].max())),
        first=rows.first + timedelta(days=span.start),
        lead_days=np.where(used, days - rows.recorded, 0)[span],
        source=rows.source,
        **columns,
    )


def forecast_notes(workspace: Workspace, series: WeatherSeries) -> list[str]:
    """What a reader of windows must know of the forecast under them.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    series : WeatherSeries
        From `yard_series`.

    Returns
    -------
    list of str
        One sentence; none where no forecast is used.
    """
    to_come = days_to_come(workspace)
    if to_come is None or to_come.last <= min(series.last, workspace.today):
        return []
    return [
        _("Up to {last} the weather leans on the forecast of {issue}, less and less day by day.").format(
            issue=show.day(to_come.issue), last=show.day(to_come.last)
        )
    ]


def forecast_told(
    workspace: Workspace, station: str, series: WeatherSeries | None
) -> tuple[Shape | None, list[str]]:
    """What is stored of a station's forecast, for JSON and for people.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    station : str
        Its name.
    series : WeatherSeries or None
        What was measured there.

    Returns
    -------
    (dict or None, list of str)
        None and no line where no forecast was ever stored. Days that have passed without a measurement are
        named: they are not taken as measured.
    """
    rows = _stored(workspace, station)
    if rows is None:
        return None, []
    to_come = _usable(rows, workspace.today)
    if to_come is None:
        return _too_old(rows)
    passed_days = _passed_days(to_come, series, workspace.today)
    told = {
        "issue": to_come.issue.isoformat(),
        "first": to_come.first.isoformat(),
        "last": to_come.last.isoformat(),
        "used": to_come.last > workspace.today or passed_days > 0,
        "passed_days": passed_days,
    }
    lines = [
        _("forecast of {issue}, to {last}").format(
            issue=show.day(to_come.issue, year=True), last=show.day(to_come.last, year=True)
        )
    ]
    if passed_days:
        lines.append(
            counted(
                "{n} day of the forecast has passed without a measurement; it is not taken as measured",
                "{n} days of the forecast have passed without a measurement; they are not taken as measured",
                passed_days,
            )
        )
    return told, lines


def _passed_days(to_come: DaysToCome, series: WeatherSeries | None, today: date) -> int:
    import numpy as np

    count = 0
    for k in np.flatnonzero(to_come.weights > 0.0):
        day = to_come.first + timedelta(days=int(k))
        measured = series is not None and series.first <= day <= series.last
        if day < today and not (
            measured and series is not None and series.day(day)["tmean_degC"] is not None
        ):
            count += 1
    return count


def _too_old(rows: WeatherRows) -> tuple[Shape | None, list[str]]:
    from ringwise.weather.forecast_days import oldest_days

    assert rows.recorded is not None  # they come from the store
    if not (rows.recorded > 0).any():
        return None, []
    issue = date.fromordinal(int(rows.recorded.max()))
    last = rows.first + timedelta(days=rows.n_days - 1)
    told = {
        "issue": issue.isoformat(),
        "first": rows.first.isoformat(),
        "last": last.isoformat(),
        "used": False,
        "passed_days": 0,
    }
    line = _("the forecast of {issue} is more than {n} days old and is not used").format(
        issue=show.day(issue, year=True), n=oldest_days()
    )
    return told, [line]
