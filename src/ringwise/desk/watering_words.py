"""When water is due, in words: parts of the next days, weekdays, dates; every forecast says check first."""

from __future__ import annotations

import math
from datetime import date, timedelta

from ringwise.kit import show
from ringwise.kit.words import _

_WEEK_DAYS = 7


def weekday(when: date) -> str:
    """The name of a day of the week.

    Parameters
    ----------
    when : date
        Any day.

    Returns
    -------
    str
        In the reader's language.

    Examples
    --------
    >>> weekday(date(2027, 3, 7))
    'Sunday'
    """
    names = (
        _("Monday"),
        _("Tuesday"),
        _("Wednesday"),
        _("Thursday"),
        _("Friday"),
        _("Saturday"),
        _("Sunday"),
    )
    return names[when.weekday()]


def moment_words(after_days: float, today: date, evening_frac: float) -> str:
    """A moment to come, as one would say it on a bench.

    Parameters
    ----------
    after_days : float
        Days after the beginning of today; the fraction is how much of that day's loss is past.
    today : date
        The day of asking.
    evening_frac : float
        From which fraction on it is evening.

    Returns
    -------
    str
        "now" where it is past, "this evening", "tomorrow", "Thursday"; a date from a week on.

    Examples
    --------
    >>> [moment_words(each, date(2027, 3, 7), 0.5) for each in (-0.2, 0.3, 0.7, 1.8, 4.2, 9.0)]
    ['now', 'today', 'this evening', 'tomorrow evening', 'Thursday', '16 Mar']
    """
    if after_days <= 0:
        return _("now")
    ahead = math.floor(after_days)
    evening = after_days - ahead >= evening_frac
    if ahead == 0:
        return _("this evening") if evening else _("today")
    if ahead == 1:
        return _("tomorrow evening") if evening else _("tomorrow")
    day = today + timedelta(days=ahead)
    return weekday(day) if ahead < _WEEK_DAYS else show.day(day)


def band_words(
    low_days: float, high_days: float, today: date, *, evening_frac: float, horizon_days: int
) -> str:
    """From when to when water is due.

    Parameters
    ----------
    low_days, high_days : float
        Ends of the band, in days after the beginning of today; infinite where it stays wet enough for as far
        as the balance looks.
    today : date
        The day of asking.
    evening_frac : float
        From which fraction of a day's loss on it is evening.
    horizon_days : int
        How far the balance looks.

    Returns
    -------
    str
        A clause that asks to check, then to water.

    Examples
    --------
    >>> band_words(1.7, 4.1, date(2027, 3, 7), evening_frac=0.5, horizon_days=21)
    'check, then water between tomorrow evening and Thursday'
    >>> band_words(-1.0, -0.1, date(2027, 3, 7), evening_frac=0.5, horizon_days=21)
    'check, then water now'
    >>> band_words(-1.0, 1.6, date(2027, 3, 7), evening_frac=0.5, horizon_days=21)
    'check, then water by tomorrow evening'
    """
    if math.isinf(low_days):
        return ""
    low = moment_words(low_days, today, evening_frac)
    if math.isinf(high_days):
        return _("check from {day} on; in some weathers it needs no water for {n} days").format(
            day=low, n=horizon_days
        )
    high = moment_words(high_days, today, evening_frac)
    if low == high or (low_days <= 0 and high_days < evening_frac):
        return _("check, then water {when}").format(when=high)
    if low_days <= 0:
        return _("check, then water by {when}").format(when=high)
    return _("check, then water between {low} and {high}").format(low=low, high=high)


def days_words(low_days: float, median_days: float, high_days: float, *, horizon_days: int) -> str:
    """How long a pot lasts from full, as a band.

    Parameters
    ----------
    low_days, median_days, high_days : float
        Days.
    horizon_days : int
        How far the balance looks.

    Returns
    -------
    str
        Such as "about 2 days (1.5 to 3)".

    Examples
    --------
    >>> days_words(1.4, 2.1, 3.0, horizon_days=21)
    'about 2.1 days (1.4 to 3)'
    """
    if math.isinf(median_days):
        return _("more than {n} days").format(n=horizon_days)
    if math.isinf(high_days):
        return _("about {days} days ({low} to more than {n})").format(
            days=show.number(median_days), low=show.number(low_days), n=horizon_days
        )
    return _("about {days} days ({low} to {high})").format(
        days=show.number(median_days), low=show.number(low_days), high=show.number(high_days)
    )


def span_words(low_days: float, high_days: float, today: date, *, evening_frac: float) -> str:
    """From when to when water is due, as a table has room for.

    Parameters
    ----------
    low_days, high_days : float
        As for `band_words`.
    today : date
        The day of asking.
    evening_frac : float
        From which fraction of a day's loss on it is evening.

    Returns
    -------
    str
        Without a verb: the head of the column has it.

    Examples
    --------
    >>> span_words(1.7, 4.1, date(2027, 3, 7), evening_frac=0.5)
    'tomorrow evening to Thursday'
    >>> span_words(-1.0, 1.6, date(2027, 3, 7), evening_frac=0.5)
    'by tomorrow evening'
    """
    if math.isinf(low_days):
        return ""
    low = moment_words(low_days, today, evening_frac)
    if math.isinf(high_days):
        return _("from {day} on").format(day=low)
    high = moment_words(high_days, today, evening_frac)
    if low == high or (low_days <= 0 and high_days < evening_frac):
        return high
    if low_days <= 0:
        return _("by {when}").format(when=high)
    return _("{low} to {high}").format(low=low, high=high)


def lasts_words(low_days: float, median_days: float, high_days: float, *, horizon_days: int) -> str:
    """How long a pot lasts from full, as a table has room for.

    Parameters
    ----------
    low_days, median_days, high_days : float
        Days.
    horizon_days : int
        How far the balance looks.

    Returns
    -------
    str
        The middle and the band.

    Examples
    --------
    >>> lasts_words(1.4, 2.1, 3.0, horizon_days=21)
    '2.1 days (1.4 to 3)'
    >>> lasts_words(5.3, 14.0, math.inf, horizon_days=21)
    '14 days (from 5.3)'
    """
    if math.isinf(median_days):
        return _("over {n} days").format(n=horizon_days)
    days, low = show.number(median_days), show.number(low_days)
    if math.isinf(high_days):
        return _("{days} days (from {low})").format(days=days, low=low)
    return _("{days} days ({low} to {high})").format(days=days, low=low, high=show.number(high_days))
