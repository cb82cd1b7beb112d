"""Daily weather of a station, in bulk: each import adds only the days that are new or differ."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, insert, select

from ringwise.kit.errors import FileFormatError, NotFoundError, unknown_name
from ringwise.kit.words import _
from ringwise.records.model import Action
from ringwise.records.store.revisions import Stamp, add_action, current
from ringwise.records.store.rows import codec_named
from ringwise.records.store.tables import WEATHER_BATCHES, WEATHER_COLUMNS, WEATHER_DAYS, WEATHER_ROLES

if TYPE_CHECKING:
    from ringwise.kit.types import BoolArray, FloatArray, IntArray

_CELLS = ", ".join(WEATHER_COLUMNS)


@dataclass(frozen=True)
class WeatherRows:
    """Consecutive days of one station; NaN where a value is missing. Columns as in `WEATHER_COLUMNS`.

    `role` says what they are: what a station measured, the days to come of a forecast for that station, or
    what the grower read at a place of the yard (then `station` is the name of the place). `recorded` is
    filled when they are read from the store: the ordinal of the day on which each was stored, 0 for none.
    """

    station: str
    first: date
    columns: Mapping[str, FloatArray]
    filled: BoolArray
    source: str
    invented: bool
    role: str = "station"
    recorded: IntArray | None = None

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
        If a column has no place in the store, or there is no such role.
    FileFormatError
        If a column is longer or shorter than the days.

    Examples
    --------
    >>> import numpy as np
    >>> one = WeatherRows("yard", date(2027, 3, 7), {"tmin_degC": np.zeros(1)}, np.zeros(1, bool), "", True)
    >>> checked_rows(one).n_days
    1
    """
    if rows.role not in WEATHER_ROLES:
        raise unknown_name("role", rows.role, WEATHER_ROLES)
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


def put_weather(connection: Connection, action: Action, parts: Sequence[WeatherRows]) -> list[int]:
    """Store the days that are new or differ from what is stored, as one action that undo takes back.

    Parameters
    ----------
    connection : Connection
        In a writing transaction.
    action : Action
        Who imports, when.
    parts : sequence of WeatherRows
        Checked; no two of the same station and role.

    Returns
    -------
    list of int
        How many days were added of each part; nothing but 0 leaves no action behind.

    Examples
    --------
    >>> put_weather(None, None, [])
    []
    """
    fresh = []
    for rows in parts:
        held = _held(connection, rows.station, rows.role, None)
        fresh.append({day: row for day, row in _day_cells(rows).items() if held.get(day, (None,))[0] != row})
    if any(fresh):
        action_id = add_action(connection, action)
        for number, (rows, days) in enumerate(zip(parts, fresh, strict=True)):
            if days:
                batch = f"W{action_id}" if number == 0 else f"W{action_id}-{number + 1}"
                _put_batch(connection, batch, Stamp(action_id, action.at), rows, days)
    return [len(days) for days in fresh]


def _put_batch(
    connection: Connection,
    batch: str,
    stamp: Stamp,
    rows: WeatherRows,
    days: Mapping[str, tuple[Any, ...]],
) -> None:
    connection.execute(
        insert(WEATHER_BATCHES),
        {
            "id": batch,
            "revision": 1,
            **stamp.row(),
            "withdrawn": 0,
            "station": rows.station,
            "source": rows.source,
            "invented": int(rows.invented),
            "role": rows.role,
        },
    )
    names = ("batch", "day", *WEATHER_COLUMNS, "filled")
    connection.execute(
        insert(WEATHER_DAYS),
        [dict(zip(names, (batch, day, *row), strict=True)) for day, row in days.items()],
    )


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


def _batches(
    connection: Connection, station: str, role: str, as_of: date | None
) -> list[tuple[str, str, int, str]]:
    table = WEATHER_BATCHES.c
    query = current(codec_named("weather"), as_of).where(table.station == station, table.role == role)
    found = connection.execute(query.order_by(table.action_id)).mappings()
    return [(row["id"], row["source"], row["invented"], row["recorded_on"]) for row in found]


def _held(
    connection: Connection, station: str, role: str, as_of: date | None
) -> dict[str, tuple[tuple[Any, ...], str]]:
    """By day: its cells, and the day on which they were stored."""
    held: dict[str, tuple[tuple[Any, ...], str]] = {}
    for batch, _source, _invented, recorded_on in _batches(connection, station, role, as_of):
        cursor = connection.exec_driver_sql(
            f"SELECT day, {_CELLS}, filled FROM weather_days WHERE batch = ? ORDER BY day", (batch,)
        ).cursor
        assert cursor is not None
        held.update({row[0]: (tuple(row[1:]), recorded_on) for row in cursor.fetchall()})
    return held


def get_weather(
    connection: Connection, station: str, as_of: date | None = None, role: str = "station"
) -> WeatherRows:
    """The weather of a station from its first to its last stored day; a day in between without a row is NaN.

    Parameters
    ----------
    connection : Connection
        In a transaction.
    station : str
        Its name.
    as_of : date, optional
        Only what was recorded on or before it.
    role : str
        One of `WEATHER_ROLES`.

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

    held = _held(connection, station, role, as_of)
    if not held:
        raise NotFoundError(_('there is no weather for the station "{name}".').format(name=station))
    batches = _batches(connection, station, role, as_of)
    sources = dict.fromkeys(source for _batch, source, _invented, _on in batches if source)
    first, last = date.fromisoformat(min(held)), date.fromisoformat(max(held))
    table = np.full(((last - first).days + 1, len(WEATHER_COLUMNS) + 1), np.nan)
    start = first.toordinal()
    at = np.array([date.fromisoformat(day).toordinal() - start for day in held])
    table[at] = np.array([cells for cells, _on in held.values()], dtype=np.float64)
    recorded = np.zeros(len(table), dtype=np.int64)
    recorded[at] = [date.fromisoformat(on).toordinal() for _cells, on in held.values()]
    columns = {name: np.ascontiguousarray(table[:, i]) for i, name in enumerate(WEATHER_COLUMNS)}
    return WeatherRows(
        station=station,
        first=first,
        columns=columns,
        filled=table[:, -1] == 1.0,
        source="; ".join(sources),
        invented=any(invented for _batch, _source, invented, _on in batches),
        role=role,
        recorded=recorded,
    )


def weather_stations(connection: Connection, as_of: date | None = None, role: str = "station") -> list[str]:
    """The stations with stored weather of a role; of the role "place", the names of the places.

    Parameters
    ----------
    connection : Connection
        In a transaction.
    as_of : date, optional
        Only what was recorded on or before it.
    role : str
        One of `WEATHER_ROLES`.

    Returns
    -------
    list of str
        By name.

    Examples
    --------
    >>> weather_stations.__name__
    'weather_stations'
    """
    found = current(codec_named("weather"), as_of).where(WEATHER_BATCHES.c.role == role).subquery()
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
