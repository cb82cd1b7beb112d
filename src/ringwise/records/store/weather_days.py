"""Daily weather of a station, in bulk: each import adds only the days that are new or differ."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, insert, select

from ringwise.kit.errors import FileFormatError, NotFoundError, unknown_name
from ringwise.kit.words import _
from ringwise.records.model import Action
from ringwise.records.store.revisions import Stamp, add_action, current
from ringwise.records.store.rows import codec_named
from ringwise.records.store.tables import WEATHER_BATCHES, WEATHER_COLUMNS, WEATHER_DAYS

if TYPE_CHECKING:
    from ringwise.kit.types import BoolArray, FloatArray

_CELLS = ", ".join(WEATHER_COLUMNS)


@dataclass(frozen=True)
class WeatherRows:
    """Consecutive days of one station; NaN where a value is missing. Columns as in `WEATHER_COLUMNS`."""

    station: str
    first: date
    columns: Mapping[str, FloatArray]
    filled: BoolArray
    source: str
    invented: bool

    @property
    def n_days(self) -> int:
        """How many days there are."""
        return len(self.filled)


def checked_rows(rows: WeatherRows) -> WeatherRows:
    """The rows themselves, if every column is known and as long as the days.

    Parameters
    ----------
    rows : WeatherRows
        What is to be stored.

    Returns
    -------
    WeatherRows
        `rows`.

    Raises
    ------
    UnknownNameError
        If a column has no place in the store.
    FileFormatError
        If a column is longer or shorter than the days.

    Examples
    --------
    >>> import numpy as np
    >>> one = WeatherRows("yard", date(2027, 3, 7), {"tmin_degC": np.zeros(1)}, np.zeros(1, bool), "", True)
    >>> checked_rows(one).n_days
    1
    """
    for name, cells in rows.columns.items():
        if name not in WEATHER_COLUMNS:
            raise unknown_name(_("weather column"), name, WEATHER_COLUMNS)
        if len(cells) != rows.n_days:
            raise FileFormatError(
                _("weather column {name} has {n} values for {days} days.").format(
                    name=name, n=len(cells), days=rows.n_days
                )
            )
    return rows


def put_weather(connection: Connection, action: Action, rows: WeatherRows) -> int:
    """Store the days that are new or differ from what is stored, as one batch that undo takes back.

    Parameters
    ----------
    connection : Connection
        In a writing transaction.
    action : Action
        Who imports, when.
    rows : WeatherRows
        Checked.

    Returns
    -------
    int
        How many days were added; 0 leaves no action behind.

    Examples
    --------
    >>> put_weather.__name__
    'put_weather'
    """
    cells = _day_cells(rows)
    held = _held_cells(connection, rows.station, None)
    fresh = {day: row for day, row in cells.items() if held.get(day) != row}
    if not fresh:
        return 0
    action_id = add_action(connection, action)
    batch = f"W{action_id}"
    connection.execute(
        insert(WEATHER_BATCHES),
        {
            "id": batch,
            "revision": 1,
            **Stamp(action_id, action.at).row(),
            "withdrawn": 0,
            "station": rows.station,
            "source": rows.source,
            "invented": int(rows.invented),
        },
    )
    names = ("batch", "day", *WEATHER_COLUMNS, "filled")
    connection.execute(
        insert(WEATHER_DAYS),
        [dict(zip(names, (batch, day, *row), strict=True)) for day, row in fresh.items()],
    )
    return len(fresh)


def _day_cells(rows: WeatherRows) -> dict[str, tuple[Any, ...]]:
    import numpy as np

    columns = []
    for name in WEATHER_COLUMNS:
        cells = rows.columns.get(name)
        if cells is None:
            columns.append([None] * rows.n_days)
        else:
            numbers = np.asarray(cells, dtype=np.float64)
            columns.append([None if x != x else x for x in numbers.tolist()])  # NaN differs from itself
    flags = [int(flag) for flag in rows.filled]
    start = rows.first.toordinal()
    days = (date.fromordinal(start + i).isoformat() for i in range(rows.n_days))
    return dict(zip(days, zip(*columns, flags, strict=True), strict=True))


def _batches(connection: Connection, station: str, as_of: date | None) -> list[tuple[str, str, int]]:
    query = current(codec_named("weather"), as_of).where(WEATHER_BATCHES.c.station == station)
    found = connection.execute(query.order_by(WEATHER_BATCHES.c.action_id)).mappings()
    return [(row["id"], row["source"], row["invented"]) for row in found]


def _held_cells(connection: Connection, station: str, as_of: date | None) -> dict[str, tuple[Any, ...]]:
    held: dict[str, tuple[Any, ...]] = {}
    for batch, _source, _invented in _batches(connection, station, as_of):
        cursor = connection.exec_driver_sql(
            f"SELECT day, {_CELLS}, filled FROM weather_days WHERE batch = ? ORDER BY day", (batch,)
        ).cursor
        assert cursor is not None
        held.update({row[0]: tuple(row[1:]) for row in cursor.fetchall()})
    return held


def get_weather(connection: Connection, station: str, as_of: date | None = None) -> WeatherRows:
    """The weather of a station from its first to its last stored day; a day in between without a row is NaN.

    Parameters
    ----------
    connection : Connection
        In a transaction.
    station : str
        Its name.
    as_of : date, optional
        Only what was recorded on or before it.

    Returns
    -------
    WeatherRows
        Later imports count over earlier ones, day by day.

    Raises
    ------
    NotFoundError
        If nothing is stored for the station.

    Examples
    --------
    >>> get_weather.__name__
    'get_weather'
    """
    import numpy as np

    held = _held_cells(connection, station, as_of)
    if not held:
        raise NotFoundError(_('there is no weather for the station "{name}".').format(name=station))
    batches = _batches(connection, station, as_of)
    sources = dict.fromkeys(source for _batch, source, _invented in batches if source)
    first, last = date.fromisoformat(min(held)), date.fromisoformat(max(held))
    table = np.full(((last - first).days + 1, len(WEATHER_COLUMNS) + 1), np.nan)
    start = first.toordinal()
    at = np.array([date.fromisoformat(day).toordinal() - start for day in held])
    table[at] = np.array(list(held.values()), dtype=np.float64)
    columns = {name: np.ascontiguousarray(table[:, i]) for i, name in enumerate(WEATHER_COLUMNS)}
    return WeatherRows(
        station=station,
        first=first,
        columns=columns,
        filled=table[:, -1] == 1.0,
        source="; ".join(sources),
        invented=any(invented for _batch, _source, invented in batches),
    )


def weather_stations(connection: Connection, as_of: date | None = None) -> list[str]:
    """The stations with stored weather.

    Parameters
    ----------
    connection : Connection
        In a transaction.
    as_of : date, optional
        Only what was recorded on or before it.

    Returns
    -------
    list of str
        By name.

    Examples
    --------
    >>> weather_stations.__name__
    'weather_stations'
    """
    found = current(codec_named("weather"), as_of).subquery()
    names = select(found.c.station).distinct().order_by(found.c.station)
    return [str(name) for name in connection.execute(names).scalars()]


def last_day(rows: WeatherRows) -> date:
    """The last day of the rows.

    Parameters
    ----------
    rows : WeatherRows
        At least one day.

    Returns
    -------
    date
        The day.

    Examples
    --------
    >>> import numpy as np
    >>> last_day(WeatherRows("yard", date(2027, 3, 7), {}, np.zeros(2, bool), "", True))
    datetime.date(2027, 3, 8)
    """
    return rows.first + timedelta(days=rows.n_days - 1)
