"""Days left until a window closes, and its chance of being open on each day of a growing year."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np

from ringwise.kit.ranged import DateBand
from ringwise.kit.types import FloatArray

if TYPE_CHECKING:
    from ringwise.kit.days import GrowingYear

LEAST_PROB = 0.005  # below it a day is left out at both ends: it would be shown as 0 %


@dataclass(frozen=True)
class DaysLeft:
    """Days until a window closes, by one, five and nine samples of ten; 0 where that day is past."""

    low: int
    median: int
    high: int


@dataclass(frozen=True)
class ChanceByDay:
    """The chance that a window is open, one a day from `first` on; on all other days it is closed."""

    first: date
    open_prob: tuple[float, ...]

    def on(self, when: date) -> float:
        """The chance on a day."""
        place = (when - self.first).days
        return self.open_prob[place] if 0 <= place < len(self.open_prob) else 0.0


def days_left(closes: DateBand, seen_on: date) -> DaysLeft:
    """How many days are left of a window.

    Parameters
    ----------
    closes : DateBand
        When it closes.
    seen_on : date
        To count from.

    Returns
    -------
    DaysLeft
        Never below 0.

    Source
    ------
    own.

    Examples
    --------
    >>> band = DateBand(date(2027, 3, 24), date(2027, 3, 27), date(2027, 3, 31))
    >>> days_left(band, date(2027, 3, 25))
    DaysLeft(low=0, median=2, high=6)
    """
    low, median, high = (max((day - seen_on).days, 0) for day in (closes.low, closes.median, closes.high))
    return DaysLeft(low, median, high)


def chance_by_day(year: GrowingYear, opens_days: FloatArray, closes_days: FloatArray) -> ChanceByDay | None:
    """The share of samples in which a window is open, day by day.

    Parameters
    ----------
    year : GrowingYear
        That the days are counted in.
    opens_days, closes_days : (n,) float
        Whole day indices; a window is open from the first up to, not on, the second.

    Returns
    -------
    ChanceByDay or None
        None where it is open on no day.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> told = chance_by_day(GrowingYear(2027), np.array([70.0, 71.0]), np.array([72.0, 73.0]))
    >>> told.first, told.open_prob
    (datetime.date(2027, 3, 11), (0.5, 1.0, 0.5))
    """
    first = int(opens_days.min())
    length = max(int(closes_days.max()) - first, 0) + 1
    steps = np.bincount((opens_days - first).astype(np.int64), minlength=length)[:length]
    steps = steps - np.bincount((closes_days - first).astype(np.int64), minlength=length)[:length]
    share = np.cumsum(steps) / opens_days.size
    told = np.flatnonzero(share >= LEAST_PROB)
    if told.size == 0:
        return None
    kept = share[told[0] : told[-1] + 1]
    day = year.day_at(float(first)) + timedelta(days=int(told[0]))
    return ChanceByDay(day, tuple(round(float(each), 4) for each in kept))
