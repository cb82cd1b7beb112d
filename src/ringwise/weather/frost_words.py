"""Stated frost days against a described climate: a check that tells when two answers contradict."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

import numpy as np

from ringwise.kit.days import GrowingYear
from ringwise.kit.types import FloatArray
from ringwise.weather.described import ClimateWords, described_years
from ringwise.weather.frost import MIDDLE_INDEX

CHECK_YEARS = 40  # described years looked at: a tenth of them is four
FREEZING_DEGC = 0.0
BAND_PCT = (10.0, 50.0, 90.0)
_LABEL = 2001  # any year without a leap day: only month and day are shown


@dataclass(frozen=True)
class FrostCheck:
    """A stated frost day beside the days of the described years; None where most years have none.

    `earliest`, `usual` and `latest` are the 10th, 50th and 90th percentile over years, as days of a year
    without a leap day.
    """

    which: Literal["last", "first"]
    stated: date
    earliest: date | None
    usual: date | None
    latest: date | None
    fits: bool


def frost_checks(words: ClimateWords, *, seed: int) -> tuple[FrostCheck, ...]:
    """Whether the stated last and first frost can be those of the stated monthly means.

    Parameters
    ----------
    words : ClimateWords
        With one, both or no frost days.
    seed : int
        Of the described years.

    Returns
    -------
    tuple of FrostCheck
        One for each stated day. It fits when it lies between the 10th and 90th percentile over years, the
        most that "usual" can mean where the monthly means themselves are uncertain.

    Raises
    ------
    RangeError
        If the words cannot be a climate.

    Source
    ------
    own reasoning. Frost days do not shape the years: at a given mean they depend on the night's own cooling,
    which two dates cannot tell apart from a wrong mean.

    Examples
    --------
    >>> words = ClimateWords(52.4, 1.0, 19.0, last_frost=date(2001, 7, 10))
    >>> [(check.which, check.fits) for check in frost_checks(words, seed=7)]
    [('last', False)]
    """
    stated = (("last", words.last_frost), ("first", words.first_frost))
    if all(day is None for _which, day in stated):
        return ()
    last_index, first_index = _frost_days(words, seed)
    checks = []
    for which, days_index, day in (
        ("last", last_index, words.last_frost),
        ("first", first_index, words.first_frost),
    ):
        if day is not None:
            checks.append(_check(which, days_index, day, south=words.south))  # type: ignore[arg-type]
    return tuple(checks)


def _frost_days(words: ClimateWords, seed: int) -> tuple[FloatArray, FloatArray]:
    """Day index of the last frost before and the first after midsummer; infinite where there is none."""
    labels = range(_LABEL, _LABEL + CHECK_YEARS)
    first = GrowingYear(_LABEL, words.south).year_start
    series = described_years(
        words, first=first, last=GrowingYear(_LABEL + CHECK_YEARS, words.south).year_start, seed=seed
    )
    last_frost, first_frost = np.full(len(labels), -np.inf), np.full(len(labels), np.inf)
    for row, label in enumerate(labels):
        begin = series.position(GrowingYear(label, words.south).year_start)
        end = series.position(GrowingYear(label + 1, words.south).year_start)
        frosty = np.flatnonzero(series.tmin_degC[begin:end] < FREEZING_DEGC) + 1.0
        spring, autumn = frosty[frosty < MIDDLE_INDEX], frosty[frosty >= MIDDLE_INDEX]
        last_frost[row] = spring.max(initial=-np.inf)
        first_frost[row] = autumn.min(initial=np.inf)
    return last_frost, first_frost


def _check(which: Literal["last", "first"], days_index: FloatArray, day: date, *, south: bool) -> FrostCheck:
    year = GrowingYear(_LABEL, south)
    stated_index = _index_of(day, year)
    low, median, high = np.percentile(days_index, BAND_PCT, method="nearest")
    earliest, usual, latest = (
        year.year_start + timedelta(days=int(each) - 1) if np.isfinite(each) else None
        for each in (low, median, high)
    )
    return FrostCheck(which, day, earliest, usual, latest, bool(low <= stated_index <= high))


def _index_of(day: date, year: GrowingYear) -> int:
    """The day index of a month and day within one turn of the count; 29 February counts as the 28th."""
    kept = min(day.day, 28) if day.month == 2 else day.day
    for calendar_year in (year.label, year.label + 1):
        index = year.day_index(date(calendar_year, day.month, kept))
        if index >= 1:
            return index
    raise AssertionError("every day lies within one turn of the count")
