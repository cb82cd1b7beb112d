"""The one formatter: what people read. Dates and chances here; numbers, lengths and amounts beside it."""

from __future__ import annotations

import math
from datetime import date

from ringwise.kit.amounts import (
    fine_temperature,
    litres,
    mass,
    mass_span,
    rain,
    temperature,
    temperature_step,
)
from ringwise.kit.lengths import area, dimensions, fine, length, length_span, scale_length, wire_span
from ringwise.kit.numbers import fixed, number, percent, spanned
from ringwise.kit.words import _

__all__ = [
    "area",
    "chance",
    "day",
    "dimensions",
    "fine",
    "fine_temperature",
    "fixed",
    "hours",
    "length",
    "length_span",
    "litres",
    "mass",
    "mass_span",
    "month",
    "number",
    "odds",
    "percent",
    "rain",
    "scale_length",
    "span",
    "spanned",
    "temperature",
    "temperature_step",
    "wire_span",
]


def month(number_of_month: int) -> str:
    """The short name of a month.

    Parameters
    ----------
    number_of_month : int
        1 to 12.

    Returns
    -------
    str
        In the reader's language.

    Source
    ------
    German short forms: Unicode CLDR, months, format abbreviated, without the point (it doubles at an end).

    Examples
    --------
    >>> month(3)
    'Mar'
    """
    names = (
        _("Jan"),
        _("Feb"),
        _("Mar"),
        _("Apr"),
        _("May"),
        _("Jun"),
        _("Jul"),
        _("Aug"),
        _("Sep"),
        _("Oct"),
        _("Nov"),
        _("Dec"),
    )
    return names[number_of_month - 1]


def day(when: date | None, *, year: bool = False) -> str:
    """A date as read aloud: "14 Mar", with the year on demand.

    Parameters
    ----------
    when : date or None
        The day.
    year : bool
        Whether to show the year.

    Returns
    -------
    str
        The text; "unknown" for None.

    Examples
    --------
    >>> day(date(2027, 3, 14)), day(None)
    ('14 Mar', 'unknown')
    """
    if when is None:
        return _("unknown")
    text = _("{day} {month}").format(day=when.day, month=month(when.month))
    return f"{text} {when.year}" if year else text


def span(first: date, last: date) -> str:
    """A span of days without repeating the month.

    Parameters
    ----------
    first, last : date
        Its ends.

    Returns
    -------
    str
        Such as "14 to 26 Mar".

    Examples
    --------
    >>> span(date(2027, 3, 14), date(2027, 3, 26))
    '14 to 26 Mar'
    """
    if first == last:
        return day(first)
    if (first.year, first.month) == (last.year, last.month):
        return _("{first} to {last} {month}").format(first=first.day, last=last.day, month=month(last.month))
    return _("{a} to {b}").format(a=day(first), b=day(last))


def chance(prob: float) -> str:
    """A probability in words first and then "about n in 10"; never a percent with decimals.

    Parameters
    ----------
    prob : float
        Probability, 0 to 1.

    Returns
    -------
    str
        Such as "likely, about 7 in 10".

    Examples
    --------
    >>> chance(0.7), chance(0.02)
    ('likely, about 7 in 10', 'very unlikely, under 1 in 20')
    """
    if math.isnan(prob):
        return _("unknown")
    if prob < 0.05:
        return _("very unlikely, under 1 in 20")
    if prob > 0.95:
        return _("very likely, over 19 in 20")
    return _("{word}, about {n} in 10").format(word=chance_word(prob), n=max(1, min(9, round(prob * 10))))


def chance_word(prob: float) -> str:
    """A probability as a word alone, for a text that tells its range beside it.

    Parameters
    ----------
    prob : float
        Probability, 0 to 1.

    Returns
    -------
    str
        Such as "likely".

    Examples
    --------
    >>> chance_word(0.7), chance_word(0.5), chance_word(0.02)
    ('likely', 'even odds', 'very unlikely')
    """
    if math.isnan(prob):
        return _("unknown")
    words = (
        (0.05, _("very unlikely")),
        (0.2, _("unlikely")),
        (0.4, _("rather unlikely")),
        (0.6, _("even odds")),
        (0.8, _("likely")),
        (1.0, _("very likely")),
    )
    return next(text for top, text in words if prob <= top + 1e-9)


def hours(minutes_min: float) -> str:
    """Working time as people plan it.

    Parameters
    ----------
    minutes_min : float
        Time, in minutes.

    Returns
    -------
    str
        Minutes below two hours, then hours.

    Examples
    --------
    >>> hours(90), hours(300)
    ('90 min', '5 h')
    """
    if minutes_min < 120:
        return f"{round(minutes_min):d} min"
    return f"{number(minutes_min / 60, 2)} h"


def odds(prob: float) -> str:
    """A probability for a narrow column: "7 in 10", never a percent.

    Parameters
    ----------
    prob : float
        Probability, 0 to 1.

    Returns
    -------
    str
        "unknown" for NaN.

    Examples
    --------
    >>> odds(0.7), odds(0.02), odds(0.99)
    ('7 in 10', 'under 1 in 20', 'over 19 in 20')
    """
    if math.isnan(prob):
        return _("unknown")
    if prob < 0.05:
        return _("under 1 in 20")
    if prob > 0.95:
        return _("over 19 in 20")
    return _("{n} in 10").format(n=max(1, min(9, round(prob * 10))))
