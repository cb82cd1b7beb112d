"""Days and growing years, dormancy to dormancy, in either hemisphere; no clock here."""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date, timedelta

from ringwise.kit.errors import DateError
from ringwise.kit.words import _

_DORMANCY_MONTH_NORTH = 11  # chill is counted from the first day of this month (Menzel 1997)
_DORMANCY_MONTH_SOUTH = 5  # six months away


def parse_date(text: str, *, field: str) -> date:
    """A date typed as 2027-03-14.

    Parameters
    ----------
    text : str
        ISO 8601 calendar date.
    field : str
        The field's name, for the error line.

    Returns
    -------
    date
        The day.

    Raises
    ------
    DateError
        If there is no such day.

    Examples
    --------
    >>> parse_date("2027-03-14", field="--on")
    datetime.date(2027, 3, 14)
    """
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise DateError(
            _(
                '{field} is "{text}", which is no day of the calendar. Write YYYY-MM-DD, such as 2027-03-14.'
            ).format(field=field, text=text)
        ) from None


@dataclass(frozen=True)
class GrowingYear:
    """One growing year: `label` is the calendar year in which its spring falls."""

    label: int
    south: bool = False

    @property
    def start(self) -> date:
        """First day: 1 November before the spring in the north, 1 May before it in the south."""
        if self.south:
            return date(self.label, _DORMANCY_MONTH_SOUTH, 1)
        return date(self.label - 1, _DORMANCY_MONTH_NORTH, 1)

    @property
    def end(self) -> date:
        """Last day, the eve of the next growing year."""
        return GrowingYear(self.label + 1, self.south).start - timedelta(days=1)

    @property
    def heat_start(self) -> date:
        """The day from which chill-and-heat models sum heat: 1 February, 1 August in the south."""
        return date(self.label, 8, 1) if self.south else date(self.label, 2, 1)

    @property
    def year_start(self) -> date:
        """Day 1 of the count used by models that count days: 1 January, 1 July in the south."""
        return date(self.label, 7, 1) if self.south else date(self.label, 1, 1)

    def day_index(self, when: date) -> int:
        """Days since `year_start` plus one: day 1 is `year_start`; earlier days are 0 or less."""
        return (when - self.year_start).days + 1

    def day_at(self, index: float) -> date:
        """The date of a day index, rounded to a whole day."""
        return self.year_start + timedelta(days=round(index) - 1)

    @property
    def length_days(self) -> int:
        """Days from `start` to `end`, both included."""
        return (self.end - self.start).days + 1


def growing_year(when: date, *, south: bool = False) -> GrowingYear:
    """The growing year in which a day lies.

    Parameters
    ----------
    when : date
        The day.
    south : bool
        Whether the place lies south of the equator.

    Returns
    -------
    GrowingYear
        The one with start <= when <= end.

    Examples
    --------
    >>> growing_year(date(2026, 12, 24)).label, growing_year(date(2026, 12, 24), south=True).label
    (2027, 2026)
    """
    if south:
        return GrowingYear(when.year if when.month >= _DORMANCY_MONTH_SOUTH else when.year - 1, south)
    return GrowingYear(when.year + 1 if when.month >= _DORMANCY_MONTH_NORTH else when.year)


def days_in_month(year: int, month: int) -> int:
    """Days of a calendar month.

    Parameters
    ----------
    year, month : int
        The month.

    Returns
    -------
    int
        28 to 31.

    Examples
    --------
    >>> days_in_month(2028, 2)
    29
    """
    return calendar.monthrange(year, month)[1]
