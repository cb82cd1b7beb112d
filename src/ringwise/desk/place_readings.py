"""Wishes about thermometers in the yard: write down what one showed, take in the file of a logger."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from ringwise.desk.deeds import action
from ringwise.desk.texts import checked_name, one_line
from ringwise.desk.yard_plan import set_benches
from ringwise.kit import show
from ringwise.kit.days import parse_date
from ringwise.kit.errors import (
    MissingFieldError,
    NotFoundError,
    RangeError,
    at_field,
    near_names,
    out_of_range,
    unknown_name,
)
from ringwise.kit.reading import current_reading
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.kit.types import FloatArray
    from ringwise.records.store import WeatherRows
    from ringwise.weather.place_readings import PlaceReadings

MICROSITE_SETTING = "microsite:"  # a setting of the record for each place whose kind the grower stated
ROLE = "place"
TIMES = ("morning", "evening")
SOURCE = "thermometer"
MEASURES_READ = ("tmin_degC", "tmax_degC")
_DAY = timedelta(days=1)
_SAME_DEGC = 0.05  # readings are shown to a tenth


@dataclass(frozen=True)
class ReadingGiven:
    """A reading as typed; a morning's maximum is that of the day before. A blank date is today."""

    place: str
    low: str = ""
    high: str = ""
    date: str = ""
    when: str = "evening"
    by: str | None = None


def place_names(workspace: Workspace) -> tuple[str, ...]:
    """Every place of the record: where trees stand or stood, benches set, places read or named.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    tuple of str
        By name, each once.
    """
    settings = workspace.store.settings()
    named = {
        key.removeprefix(MICROSITE_SETTING)
        for key, value in settings.items()
        if key.startswith(MICROSITE_SETTING) and value
    }
    standing = {each.place for each in workspace.places}
    read = set(workspace.store.weather_stations(role=ROLE))
    return tuple(sorted(named | standing | read | set(set_benches(settings)), key=str.casefold))


def known_place(workspace: Workspace, typed: str) -> str:
    """A place of the record by its name, whatever the case.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    typed : str
        As typed.

    Returns
    -------
    str
        As it is written in the record.

    Raises
    ------
    NotFoundError
        If there is none; near names are offered.
    """
    wanted = checked_name(typed)
    known = place_names(workspace)
    for name in (wanted, *known):
        if name in known and name.casefold() == wanted.casefold():
            return name
    near = near_names(wanted, known)
    hint = (
        _("Did you mean: {names}?").format(names=", ".join(near))
        if near
        else _("Name a new one with: ringwise place kind PLACE KIND")
    )
    raise NotFoundError(_('there is no place "{name}". {hint}').format(name=one_line(typed), hint=hint))


def readings_of(workspace: Workspace, place: str) -> PlaceReadings:
    """What was read at a place up to today.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    place : str
        As it is written in the record.

    Returns
    -------
    PlaceReadings
        Empty where nobody has read a thermometer there.
    """
    from ringwise.weather.place_readings import NO_READINGS, PlaceReadings

    try:
        rows = workspace.store.weather_get(place, role=ROLE)
    except NotFoundError:
        return NO_READINGS
    until = max((workspace.today - rows.first).days + 1, 0)
    low, high = (rows.columns[name][:until] for name in MEASURES_READ)
    return PlaceReadings(rows.first, low, high)


def record_reading(workspace: Workspace, given: ReadingGiven) -> Shape:
    """Write down what a min/max thermometer showed; a minimum now and a maximum later make one day.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    given : ReadingGiven
        As typed.

    Returns
    -------
    dict
        Keys action (None where all of it was known already), line, id (the place) and days: each with
        day, tmin_degC and tmax_degC as they are held now.

    Raises
    ------
    InputError
        If a value does not read, cannot be, or lies ahead; nothing is stored then.
    """
    place = known_place(workspace, given.place)
    when = _read_on(workspace, given)
    values = _typed_values(given)
    days: dict[date, dict[str, float]] = {}
    for name, value in values.items():
        before = given.when == "morning" and name == "tmax_degC"
        days.setdefault(when - _DAY if before else when, {})[name] = value
    replaced = _replaced(workspace, place, days)
    rows = _merged(workspace, place, days)
    saved = _put(workspace, rows, given.by, f"reading {place}")
    held = [
        {
            "day": (rows.first + k * _DAY).isoformat(),
            **{name: _none(float(rows.columns[name][k])) for name in MEASURES_READ},
        }
        for k in range(rows.n_days)
    ]
    told = "; ".join(_told_day(each) for each in held)
    known = "" if saved is not None else _(" (written down before)")
    return {"action": saved, "line": f"{place}: {told}{known}{replaced}", "id": place, "days": held}


def _replaced(workspace: Workspace, place: str, days: Mapping[date, Mapping[str, float]]) -> str:
    """What a reading takes the place of, in words; blank where nothing was written down before."""
    read = readings_of(workspace, place)
    old = []
    for day, values in days.items():
        k = (day - read.first).days
        for name, value in values.items():
            before = float(read.column(name)[k]) if 0 <= k < read.tmin_degC.size else math.nan
            if not math.isnan(before) and abs(before - value) > _SAME_DEGC:
                old.append(show.fine_temperature(before))
    return _(" (in place of {values})").format(values=", ".join(old)) if old else ""


def _read_on(workspace: Workspace, given: ReadingGiven) -> date:
    with at_field("when"):
        if given.when not in TIMES:
            raise unknown_name(_("time of day"), given.when, TIMES)
    with at_field("date"):
        when = parse_date(given.date, field=_("date")) if given.date.strip() else workspace.today
        if when > workspace.today:
            up_to = _("up to today, {day}").format(day=show.day(workspace.today, year=True))
            raise out_of_range(_("date"), given.date, up_to)
    return when


def _typed_values(given: ReadingGiven) -> dict[str, float]:
    """What was typed, in degrees C; a bare number has the unit that the yard reads in."""
    from ringwise.weather.series import PLAUSIBLE

    bare = "F" if current_reading().inches else "C"
    values = {}
    for key, name, text, field in (
        ("low", "tmin_degC", given.low, _("minimum")),
        ("high", "tmax_degC", given.high, _("maximum")),
    ):
        if not text.strip():
            continue
        with at_field(key):
            value = parse_quantity(text, "temperature", field=field, default_unit=bare)
            low, high, _unit = PLAUSIBLE[name]
            if not low <= value <= high:
                accepted = _("{low} to {high}").format(low=show.temperature(low), high=show.temperature(high))
                raise out_of_range(field, one_line(text), accepted)
        values[name] = round(value, 2)
    if not values:
        raise MissingFieldError(_("give the minimum, the maximum or both, such as 3.5 C or 38 F"))
    return values


def _merged(workspace: Workspace, place: str, days: Mapping[date, Mapping[str, float]]) -> WeatherRows:
    """The days given and those between them, as they are held with the new values put in."""
    import numpy as np

    from ringwise.records.store import WeatherRows

    first, last = min(days), max(days)
    n_days = (last - first).days + 1
    columns = {name: np.full(n_days, math.nan) for name in MEASURES_READ}
    for day, values in days.items():
        for name, value in values.items():
            columns[name][(day - first).days] = value
    rows = WeatherRows(place, first, columns, np.zeros(n_days, dtype=np.bool_), SOURCE, False, role=ROLE)
    return with_held(workspace, rows)


def with_held(workspace: Workspace, rows: WeatherRows) -> WeatherRows:
    """The rows with what is held of their days where they are silent.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    rows : WeatherRows
        Readings of a place.

    Returns
    -------
    WeatherRows
        The same days.

    Raises
    ------
    RangeError
        If a low would lie above its high.
    """
    from dataclasses import replace

    import numpy as np

    columns = dict(rows.columns)
    if rows.station in workspace.store.weather_stations(role=ROLE):
        held = workspace.store.weather_get(rows.station, role=ROLE)
        at = np.arange(rows.n_days) + (rows.first - held.first).days
        inside = (at >= 0) & (at < held.n_days)
        safe = np.where(inside, at, 0)
        for name in MEASURES_READ:
            old = np.where(inside, held.columns[name][safe], np.nan)
            columns[name] = np.where(np.isnan(columns[name]), old, columns[name])
    _refuse_crossed(rows.first, columns["tmin_degC"], columns["tmax_degC"])
    return replace(rows, columns=columns)


def _refuse_crossed(first: date, low: FloatArray, high: FloatArray) -> None:
    import numpy as np

    wrong = np.flatnonzero(low > high)
    if wrong.size:
        k = int(wrong[0])
        raise RangeError(
            _(
                "on {day} the minimum, {low}, would lie above the maximum, {high}. Check the sign and the "
                "day: a maximum read in the morning is that of the day before."
            ).format(
                day=show.day(first + k * _DAY, year=True),
                low=show.fine_temperature(float(low[k])),
                high=show.fine_temperature(float(high[k])),
            )
        )


def _put(workspace: Workspace, rows: WeatherRows, by: str | None, command: str) -> int | None:
    """Store the rows; the number of the step, None where nothing was new."""
    new = workspace.store.weather_put(action(workspace, by, command), rows)
    return workspace.store.latest_step() if new else None


def _none(value: float) -> float | None:
    return None if math.isnan(value) else value


def _told_day(held: Mapping[str, object]) -> str:
    """One day as it is held: "7 Mar 2027, minimum 1.5 °C, maximum 9 °C"."""
    parts = [show.day(date.fromisoformat(str(held["day"])), year=True)]
    for name, text in (("tmin_degC", _("minimum {value}")), ("tmax_degC", _("maximum {value}"))):
        if (value := held[name]) is not None:
            parts.append(text.format(value=show.fine_temperature(float(str(value)))))
    return ", ".join(parts)
