"""Weather years to come: this year as observed so far, then each past growing year's same calendar days."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.types import BoolArray, DayArray, FloatArray, IntArray
from ringwise.kit.words import _
from ringwise.weather.described import is_described
from ringwise.weather.forecast_days import DaysToCome, drawn_to, rain_of
from ringwise.weather.series import WeatherSeries

LEAD_DAYS = 70  # models of deep dormancy count chill from two months before the growing year
TAIL_DAYS = 61  # leaf fall and the first frosts run past the growing year's last day
FEW_YEARS = 3  # below this an ensemble says little about spread; `WeatherMembers.few` tells


@dataclass(frozen=True)
class WeatherMembers:
    """Possible weathers of one growing year: (members, days) from `first` on; `observed` days are alike.

    `labels` are the past growing years that the members borrow from; `few` says: fewer than three. On
    `forecast` days past years are drawn towards a forecast made by `forecast_of`. The first `lead_days` lie
    before the growing year; there a day that no year knows is NaN, as wind and rain are where unknown.
    Another station, `lender`, lent `lent_years` of the past years for the greater part, and `lent_days` of
    the observed days of this one. `stands_on` is the place in the station's series of each day of each
    member, -1 where it has none: by it measures are found that the members do not carry themselves.
    """

    first: date
    tmin_degC: FloatArray
    tmax_degC: FloatArray
    tmean_degC: FloatArray
    wind_2m_m_s: FloatArray
    rain_mm: FloatArray
    labels: tuple[int, ...]
    observed: BoolArray
    forecast: BoolArray
    year: GrowingYear
    station: str = ""
    invented: bool = False
    source: str = ""
    forecast_of: date | None = None
    lender: str = ""
    lent_years: int = 0
    lent_days: int = 0
    stands_on: IntArray | None = None

    @property
    def n(self) -> int:
        """How many members."""
        return len(self.labels)

    @property
    def last(self) -> date:
        """The last day."""
        return self.first + timedelta(days=self.tmean_degC.shape[1] - 1)

    @property
    def few(self) -> bool:
        """Whether there are too few members to speak of a spread."""
        return self.n < FEW_YEARS

    @property
    def first_index(self) -> int:
        """Day index of the first column (day 1 is the growing year's `year_start`)."""
        return self.year.day_index(self.first)

    @property
    def lead_days(self) -> int:
        """How many days before the growing year."""
        return (self.year.start - self.first).days

    @property
    def known_from(self) -> int:
        """Day index from which on every member has a mean on every day; at the latest the year's start."""
        open_days = np.flatnonzero(np.isnan(self.tmean_degC[:, : self.lead_days]).any(axis=0))
        return self.first_index + (int(open_days[-1]) + 1 if open_days.size else 0)

    @property
    def forecast_to(self) -> date | None:
        """The last day drawn towards a forecast; None where there is none."""
        told = np.flatnonzero(self.forecast)
        return self.first + timedelta(days=int(told[-1])) if told.size else None

    def column(self, when: date) -> int:
        """The column of a day; may lie outside the arrays."""
        return (when - self.first).days


def members(
    series: WeatherSeries,
    *,
    issue: date,
    year: GrowingYear,
    most: int = 30,
    tail_days: int = TAIL_DAYS,
    lead_days: int = LEAD_DAYS,
    to_come: DaysToCome | None = None,
) -> WeatherMembers:
    """The weathers that a growing year may still have, seen from the issue day.

    Parameters
    ----------
    series : WeatherSeries
        The station's days; those after `issue` are not looked at.
    issue : date
        The day on which the outlook is made; weather up to it counts as observed.
    year : GrowingYear
        The growing year to fill; either hemisphere.
    most : int
        How many past years at most, the nearest first.
    tail_days : int
        How many days beyond the growing year's end.
    lead_days : int
        How many days before its start.
    to_come : DaysToCome, optional
        A forecast. It stands beside the past years on days that were not observed, also on one that has
        passed without a measurement; it never counts as observed.

    Returns
    -------
    WeatherMembers
        One member a past growing year that has a daily mean on every day that this year lacks,
        oldest first. A past year without 29 February lends its 28th. Days after the growing year that a
        past year has not lived yet are lent by the year before it. Days before the growing year decide
        nothing: one that was not observed is lent like any other, and is NaN where that year lacks it.

    Raises
    ------
    MissingFieldError
        If no past year can lend its days.

    Source
    ------
    taylor2020 (past years as an ensemble); alignment by calendar day: own reasoning.

    Examples
    --------
    >>> from ringwise.weather.series import series_of
    >>> warm = series_of(date(2010, 11, 1), {"tmean_degC": np.full(4 * 366, 8.0)})
    >>> members(warm, issue=date(2014, 3, 1), year=GrowingYear(2014)).labels
    (2011, 2012, 2013)
    """
    days = _days(year, tail_days, lead_days)
    end = min(issue, series.last)
    own = _places(series, calendar := np.array(days, dtype="datetime64[D]"), end)
    observed = (own >= 0) & ~np.isnan(series.tmean_degC[own])
    observed &= not is_described(series.source)  # the days before the year would all be those of one draw
    labels: list[int] = []
    chosen: list[IntArray] = []
    label = year.label - 1
    while len(labels) < most and GrowingYear(label, year.south).end >= series.first:
        past, before = (_places(series, _moved(calendar, label - year.label - back), end) for back in (0, 1))
        lent = np.where(observed, own, _with_tail(past, before, tail_days))
        counted = lent[lead_days:]
        if bool(((counted >= 0) & ~np.isnan(series.tmean_degC[counted])).all()):
            labels.insert(0, label)
            chosen.insert(0, lent)
        label -= 1
    if not labels:
        raise _no_past_year(series, year, issue)
    at = np.stack(chosen)
    held = {name: np.where(at >= 0, series.column(name)[at], np.nan) for name in _HELD}
    forecast = np.zeros(len(days), dtype=np.bool_)
    if to_come is not None:
        held, forecast = _with_forecast(held, to_come, days[0], observed)
    lent_years, lent_days = _lent(series, at[:, lead_days:], observed[lead_days:])
    return WeatherMembers(
        first=days[0],
        lender=series.lent.station if series.lent is not None and lent_years + lent_days else "",
        lent_years=lent_years,
        lent_days=lent_days,
        labels=tuple(labels),
        observed=observed,
        forecast=forecast,
        year=year,
        station=series.station,
        invented=series.invented,
        source=series.source,
        stands_on=at,
        forecast_of=to_come.issue if to_come is not None and forecast.any() else None,
        **held,
    )


def _with_tail(past: IntArray, before: IntArray, tail_days: int) -> IntArray:
    """A past year's places; days after it that it has not lived yet are those of the year before it."""
    places = past.copy()
    after = past.size - tail_days
    places[after:] = np.where(past[after:] < 0, before[after:], past[after:])
    return places


def _lent(series: WeatherSeries, at: IntArray, observed: BoolArray) -> tuple[int, int]:
    """How many members another station lent for the greater part, and how many observed days."""
    lent = np.where(at >= 0, series.lent_days[at], False)
    to_come = ~observed
    years = int((lent[:, to_come].mean(axis=1) > MOSTLY_FRAC).sum()) if to_come.any() else 0
    return years, int(lent[0, observed].sum())


MOSTLY_FRAC = 0.5  # a year of which more was lent counts as lent
_HELD = ("tmin_degC", "tmax_degC", "tmean_degC", "wind_2m_m_s", "rain_mm")


def _with_forecast(
    held: dict[str, FloatArray], to_come: DaysToCome, first: date, observed: BoolArray
) -> tuple[dict[str, FloatArray], BoolArray]:
    """The members drawn towards a forecast on the days that were not observed, and which days those are."""
    places = np.arange(observed.size) - (to_come.first - first).days
    inside = (places >= 0) & (places < to_come.n) & ~observed
    inside[inside] = to_come.weights[places[inside]] > 0.0
    at = np.flatnonzero(inside)
    drawn = drawn_to({name: values[:, at] for name, values in held.items()}, to_come, places[at])
    drawn["rain_mm"] = rain_of(held["rain_mm"][:, at], to_come, places[at])
    changed = {name: values.copy() for name, values in held.items()}
    for name, values in drawn.items():
        changed[name][:, at] = values
    return changed, inside


def lived(
    series: WeatherSeries,
    year: GrowingYear,
    *,
    until: date | None = None,
    measure: str = "tmean_degC",
    lead_days: int = 0,
) -> FloatArray:
    """Daily means, or another measure, of one growing year as observed, NaN where the series has none.

    Parameters
    ----------
    series : WeatherSeries
        The station's days.
    year : GrowingYear
        The year.
    until : date, optional
        Nothing after this day is looked at.
    measure : str
        A column of the series.
    lead_days : int
        How many days before the growing year's start; `LEAD_DAYS` where it stands beside `members`.

    Returns
    -------
    (days,) float
        By default mean temperature, in degrees C, from the first of the lead days, or from `year.start`, to
        the year's end and its tail.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.weather.series import series_of
    >>> lived(series_of(date(2013, 11, 1), {"tmean_degC": np.array([8.0])}), GrowingYear(2014))[:2].tolist()
    [8.0, nan]
    """
    first = (year.start - series.first).days - lead_days
    places = first + np.arange(lead_days + year.length_days + TAIL_DAYS)
    last = (min(until or series.last, series.last) - series.first).days
    places = np.where(places <= last, np.maximum(places, -1), -1)
    return np.where(places >= 0, series.column(measure)[places], np.nan)


def _days(year: GrowingYear, tail_days: int, lead_days: int) -> list[date]:
    return [year.start + timedelta(days=k) for k in range(-lead_days, year.length_days + tail_days)]


def _moved(days: DayArray, years: int) -> DayArray:
    """The same calendar days in another year; 29 February becomes the 28th where there is none."""
    months = days.astype("datetime64[M]")
    moved_months = months + 12 * years
    moved = moved_months.astype("datetime64[D]") + (days - months.astype("datetime64[D]"))
    held: DayArray = np.where(moved.astype("datetime64[M]") == moved_months, moved, moved - 1)
    return held


def _places(series: WeatherSeries, days: DayArray, end: date) -> IntArray:
    """Position of each day in the series; -1 where it is not there or lies after `end`."""
    places = (days - np.datetime64(series.first)).astype(np.int64)
    last = (end - series.first).days
    return np.where((places >= 0) & (places <= last), places, -1)


def _no_past_year(series: WeatherSeries, year: GrowingYear, issue: date) -> MissingFieldError:
    return MissingFieldError(
        _(
            "the weather of {station} ({first} to {last}) holds no past year that could stand "
            "for the rest of {label} after {issue}. Import at least one full earlier year, better twenty."
        ).format(
            station=series.station or _("this place"),
            first=series.first,
            last=series.last,
            label=year.label,
            issue=issue,
        )
    )
