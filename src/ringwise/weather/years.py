"""Weather years to come: this year as observed so far, then each past growing year's same calendar days."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.kit.words import _
from ringwise.weather.series import WeatherSeries

TAIL_DAYS = 61  # leaf fall and the first frosts run past the growing year's last day
FEW_YEARS = 3  # below this an ensemble says little about spread; `WeatherMembers.few` tells


@dataclass(frozen=True)
class WeatherMembers:
    """Possible weathers of one growing year: (members, days) from `first` on; `observed` days are alike.

    `labels` are the past growing years that the members borrow from; `few` says: fewer than three.
    """

    first: date
    tmin_degC: FloatArray
    tmax_degC: FloatArray
    tmean_degC: FloatArray
    labels: tuple[int, ...]
    observed: BoolArray
    year: GrowingYear
    station: str = ""
    invented: bool = False
    source: str = ""

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

    def column(self, when: date) -> int:
        """The column of a day; may lie outside the arrays."""
        return (when - self.first).days


def members(
    series: WeatherSeries, *, issue: date, year: GrowingYear, most: int = 30, tail_days: int = TAIL_DAYS
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

    Returns
    -------
    WeatherMembers
        One member a past growing year that has a daily mean on every day that this year lacks,
        oldest first. A past year without 29 February lends its 28th.

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
    days = _days(year, tail_days)
    end = min(issue, series.last)
    own = _places(series, days, end)
    observed = (own >= 0) & ~np.isnan(series.tmean_degC[own])
    labels: list[int] = []
    chosen: list[IntArray] = []
    label = year.label - 1
    while len(labels) < most and GrowingYear(label, year.south).end >= series.first:
        lent = np.where(observed, own, _places(series, _moved(days, label - year.label), end))
        if bool(((lent >= 0) & ~np.isnan(series.tmean_degC[lent])).all()):
            labels.insert(0, label)
            chosen.insert(0, lent)
        label -= 1
    if not labels:
        raise _no_past_year(series, year, issue)
    at = np.stack(chosen)
    return WeatherMembers(
        first=days[0],
        tmin_degC=series.tmin_degC[at],
        tmax_degC=series.tmax_degC[at],
        tmean_degC=series.tmean_degC[at],
        labels=tuple(labels),
        observed=observed,
        year=year,
        station=series.station,
        invented=series.invented,
        source=series.source,
    )


def lived(
    series: WeatherSeries, year: GrowingYear, *, until: date | None = None, measure: str = "tmean_degC"
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

    Returns
    -------
    (days,) float
        By default mean temperature, in degrees C, from `year.start` to the year's end and its tail.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.weather.series import series_of
    >>> lived(series_of(date(2013, 11, 1), {"tmean_degC": np.array([8.0])}), GrowingYear(2014))[:2].tolist()
    [8.0, nan]
    """
    places = _places(series, _days(year, TAIL_DAYS), min(until or series.last, series.last))
    return np.where(places >= 0, series.column(measure)[places], np.nan)


def _days(year: GrowingYear, tail_days: int) -> list[date]:
    return [year.start + timedelta(days=k) for k in range(year.length_days + tail_days)]


def _moved(days: list[date], years: int) -> list[date]:
    """The same calendar days in another year; 29 February becomes the 28th where there is none."""
    moved = []
    for day in days:
        try:
            moved.append(day.replace(year=day.year + years))
        except ValueError:
            moved.append(day.replace(year=day.year + years, day=day.day - 1))
    return moved


def _places(series: WeatherSeries, days: list[date], end: date) -> IntArray:
    """Position of each day in the series; -1 where it is not there or lies after `end`."""
    places = np.array([(day - series.first).days for day in days], dtype=np.int64)
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
