"""The one formatter: dates, spans, numbers and units as people read them."""

from __future__ import annotations

import math
from datetime import date

from ringwise.kit.words import _

_MONTHS = (
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
    text = f"{when.day} {_MONTHS[when.month - 1]}"
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
        return _("{a} to {b}").format(a=first.day, b=day(last))
    return _("{a} to {b}").format(a=day(first), b=day(last))


def number(value: float, digits: int = 2) -> str:
    """A number with at most so many significant digits and no trailing zeros.

    Parameters
    ----------
    value : float
        The number.
    digits : int
        Significant digits.

    Returns
    -------
    str
        The text; "unknown" for NaN.

    Examples
    --------
    >>> number(9.357, 3), number(1250.0, 2), number(0.5)
    ('9.36', '1250', '0.5')
    """
    if math.isnan(value):
        return _("unknown")
    if value == 0:
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    if places <= 0:
        return f"{round(value):d}"
    return f"{value:.{places}f}".rstrip("0").rstrip(".")


def length(value_mm: float) -> str:
    """A length in the unit a grower would use: mm below 100 mm, cm to 3 m, m beyond.

    Parameters
    ----------
    value_mm : float
        Length, in mm.

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> length(41.0), length(520.0), length(3400.0)
    ('41 mm', '52 cm', '3.4 m')
    """
    if abs(value_mm) < 100:
        return f"{number(value_mm, 2)} mm"
    if abs(value_mm) < 3000:
        return f"{number(value_mm / 10, 3)} cm"
    return f"{number(value_mm / 1000, 2)} m"


def litres(value_cm3: float) -> str:
    """A volume in litres, or cm3 below half a litre.

    Parameters
    ----------
    value_cm3 : float
        Volume, in cm3.

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> litres(9357.0), litres(392.0)
    ('9.4 L', '390 cm³')
    """
    if abs(value_cm3) < 500:
        return f"{round(value_cm3, -1):.0f} cm³"
    return f"{value_cm3 / 1000:.1f} L"


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
    words = (
        (0.2, _("unlikely")),
        (0.4, _("rather unlikely")),
        (0.6, _("even odds")),
        (0.8, _("likely")),
        (1.0, _("very likely")),
    )
    word = next(text for top, text in words if prob <= top + 1e-9)
    return _("{word}, about {n} in 10").format(word=word, n=max(1, min(9, round(prob * 10))))


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
