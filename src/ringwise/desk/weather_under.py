"""The weather that windows stand on: the stored series of the yard, else years from a description."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from ringwise.desk.climate import described_series, stated_climate
from ringwise.desk.stations import own_stations as own_stations
from ringwise.desk.stations import station_of as station_of
from ringwise.desk.stations import stored_series as stored_series
from ringwise.desk.stations import yard_weather as yard_weather
from ringwise.kit.errors import MissingFieldError, NotFoundError
from ringwise.kit.reading import current_reading
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.weather_borrowed import Loan
    from ringwise.desk.workspace import Workspace
    from ringwise.records.store import Store
    from ringwise.weather.series import WeatherSeries

WEATHER_YEARS = 20  # past years under an outlook


@dataclass(frozen=True)
class _LentOnce:
    """A loan with what it was made from; series are the same only while the same imports count."""

    own: WeatherSeries | None
    other: WeatherSeries
    now: tuple[object, ...]
    made: Loan


_lent_once: WeakKeyDictionary[Store, _LentOnce] = WeakKeyDictionary()


def yard_series(workspace: Workspace) -> WeatherSeries:
    """The weather that windows stand on: as stored, else years made from the description of the climate.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    WeatherSeries
        Stored weather as soon as it holds one past growing year, with the days of the borrowed station where
        it holds few (`lent`); a described one says so in `source`.

    Raises
    ------
    MissingFieldError
        If there is neither, or several stations and none is set.
    """
    words = stated_climate(workspace)
    made = yard_loan(workspace)
    if made is not None and made.series is not None and _has_past_year(workspace, made.series):
        return made.series
    if words is None:
        if made is not None and made.refusal is not None and made.own_years == 0:
            raise made.refusal
        return yard_weather(workspace)
    if own_stations(workspace):
        stored = yard_weather(workspace)
        if _has_past_year(workspace, stored):
            return stored
    return described_series(workspace, words)


def yard_loan(workspace: Workspace) -> Loan | None:
    """What the borrowed station gives to the yard; None where none is set.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    Loan or None
        Made once while the same imports and settings count.

    Raises
    ------
    NotFoundError
        If the station that is set is not stored.
    """
    from ringwise.desk.weather_borrowed import loan

    settings = workspace.settings
    if not settings.borrowed_station:
        return None
    own = yard_weather(workspace) if own_stations(workspace) else None
    other = stored_series(workspace, station_of(workspace, settings.borrowed_station))
    now: tuple[object, ...] = (
        workspace.today,
        settings.yard_above_borrowed_m,
        settings.station,
        settings.south,
        current_reading(),
    )
    kept = _lent_once.get(workspace.store)
    if kept is None or kept.own is not own or kept.other is not other or kept.now != now:
        kept = _LentOnce(own, other, now, loan(workspace, own, other))
        _lent_once[workspace.store] = kept
    return kept.made


def _has_past_year(workspace: Workspace, series: WeatherSeries) -> bool:
    from ringwise.desk.weather_borrowed import past_years

    return past_years(workspace, series) > 0


def teaching_series(series: WeatherSeries) -> WeatherSeries:
    """The days of a series that past stages may be held against: described weather teaches nothing.

    Lent days teach only where the shift is known well: its error is the same in every lent year, so that more
    years would not average it out but make a tree's own offset of it.

    Parameters
    ----------
    series : WeatherSeries
        The yard's.

    Returns
    -------
    WeatherSeries
        The same where it was measured; without a single mean where it was described, or lent on a shift
        that is not known well enough.
    """
    import numpy as np

    from ringwise.weather.borrowed import TEMPERATURES
    from ringwise.weather.described import is_described

    if is_described(series.source):
        return replace(series, tmean_degC=np.full(series.n, np.nan))
    if series.lent is None or series.lent.teaches:
        return series
    low, high, mean = (np.where(series.lent.days, np.nan, series.column(name)) for name in TEMPERATURES)
    return replace(series, tmin_degC=low, tmax_degC=high, tmean_degC=mean)


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
    from ringwise.desk.days_to_come import forecast_notes
    from ringwise.weather.described import is_described

    if is_described(series.source):
        return [*described_notes(workspace), *forecast_notes(workspace, series)]
    age_days = (workspace.today - series.last).days
    notes = _loan_notes(workspace, series)
    if age_days > 1:
        notes.append(_("The weather is {n} days old.").format(n=age_days))
    notes += forecast_notes(workspace, series)
    if series.invented:
        notes.append(_("Weather and records of this yard are invented."))
    return notes


def _loan_notes(workspace: Workspace, series: WeatherSeries) -> list[str]:
    from ringwise.desk.weather_borrowed import loan_notes

    made = yard_loan(workspace)
    return [] if made is None else loan_notes(workspace, made, year_labels(workspace, series))


def loan_told(workspace: Workspace) -> tuple[Shape | None, list[str]]:
    """What the borrowed station gives, for JSON and for people.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    (dict or None, list of str)
        None and no line where no station is set to borrow from.
    """
    from ringwise.desk.weather_borrowed import loan_lines, loan_shape

    made = yard_loan(workspace)
    if made is None:
        return None, []
    labels = () if made.series is None else year_labels(workspace, made.series)
    return loan_shape(workspace, made, labels), loan_lines(workspace, made, labels)


def year_labels(workspace: Workspace, series: WeatherSeries) -> tuple[int, ...]:
    """The growing years that stand for the rest of this one.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    series : WeatherSeries
        From `yard_series`.

    Returns
    -------
    tuple of int
        Oldest first; none where the series holds no past year.
    """
    from ringwise.weather.years import members

    try:
        return members(series, issue=workspace.today, year=workspace.year, most=WEATHER_YEARS).labels
    except MissingFieldError:
        return ()


def described_notes(workspace: Workspace) -> list[str]:
    stored = bool(own_stations(workspace))
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
