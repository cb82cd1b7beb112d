"""Parts of a window's sentence: what closes it, how it ended, and its end where no day tells."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.kit import show
from ringwise.kit.words import _, from_data

if TYPE_CHECKING:
    from ringwise.kit.ranged import DateBand
    from ringwise.season.spans import SpanDays


def closing_words(days: SpanDays) -> str:
    """What closes a span, in the words of its row.

    Parameters
    ----------
    days : SpanDays
        Of the span.

    Returns
    -------
    str
        With the first frost where that bounds it, and whether a frost is known here or comes at all.

    Source
    ------
    practice: timing table.

    Examples
    --------
    >>> from ringwise.operations.timing import timing_rows
    >>> from ringwise.season.spans import SpanDays
    >>> late = timing_rows()[("repot", "G1")][1]
    >>> told = closing_words(SpanDays(late, None, None, None, frost_free=True))
    >>> told.endswith("(no autumn frost comes here)")
    True
    """
    words = from_data(days.span.closes_by)
    if days.span.before_frost_weeks is None:
        return words
    if days.frost_free:
        return _("{words} (no autumn frost comes here)").format(words=words)
    frost = _("{weeks} weeks before the first frost").format(weeks=round(days.span.before_frost_weeks))
    if days.frost_unknown:
        frost = _("{frost} (first frost not known here)").format(frost=frost)
    return _("{words}, at the latest {frost}").format(words=words, frost=frost)


def closed_words(closes: str, last: DateBand | None) -> str:
    """How a window ended.

    Parameters
    ----------
    closes : str
        Its closing days in words.
    last : DateBand or None
        After which the work is over for good.

    Returns
    -------
    str
        The end of its sentence.

    Source
    ------
    own.

    Examples
    --------
    >>> closed_words("1 to 3 Apr", None)
    'past its best since around 1 to 3 Apr'
    """
    past = _("past its best since around {closes}").format(closes=closes)
    if last is None:
        return past
    return _("{past}; not to be done any more from {last}").format(
        past=past, last=show.span(last.low, last.high)
    )


def median_words(band: DateBand) -> str:
    """The median of a band that stands before it.

    Parameters
    ----------
    band : DateBand
        As told.

    Returns
    -------
    str
        Its day alone where the band does not leave the month.

    Source
    ------
    own.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.kit.ranged import DateBand
    >>> median_words(DateBand(date(2027, 3, 10), date(2027, 3, 13), date(2027, 3, 16)))
    '13'
    """
    one_month = (band.low.year, band.low.month) == (band.high.year, band.high.month)
    return str(band.median.day) if one_month else show.day(band.median)


def open_end_words(opens: DateBand, sign: str, open_prob: float | None, sure_prob: float) -> str:
    """A window whose end no day tells, because its closing stage mostly does not come.

    Parameters
    ----------
    opens : DateBand
        When it opens.
    sign : str
        What closes it.
    open_prob : float or None
        The chance that it is open now; None where it is ahead.
    sure_prob : float
        From which chance on it is called open.

    Returns
    -------
    str
        Its sentence.

    Source
    ------
    own.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.kit.ranged import DateBand
    >>> day = date(2027, 3, 13)
    >>> open_end_words(DateBand(day, day, day), "the leaves turn", 1.0, 0.8)
    'open now, closes by sign: the leaves turn'
    """
    if open_prob is None:
        return _("opens around {opens} (median {median}), closes by sign: {sign}").format(
            opens=show.span(opens.low, opens.high), median=median_words(opens), sign=sign
        )
    if open_prob < sure_prob:
        return _("may be open ({odds}): look for the sign; closes by sign: {sign}").format(
            odds=show.odds(open_prob), sign=sign
        )
    return _("open now, closes by sign: {sign}").format(sign=sign)
