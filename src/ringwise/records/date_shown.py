"""A date of the record as people read it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.kit import show
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.records.dates import FuzzyDate


def date_shown(when: FuzzyDate) -> str:
    """A date for people: a day in the reader's language with its year, all else in the words it was typed in.

    Parameters
    ----------
    when : FuzzyDate
        The date.

    Returns
    -------
    str
        One line.

    Examples
    --------
    >>> from ringwise.records.dates import parse_fuzzy_date
    >>> date_shown(parse_fuzzy_date("2027-03-07", field="date"))
    '7 Mar 2027'
    >>> date_shown(parse_fuzzy_date("2021-03", field="date"))
    'Mar 2021'
    >>> date_shown(parse_fuzzy_date("spring 21", field="date"))
    'spring 21'
    """
    if when.precision == "day":
        return show.day(when.earliest, year=True)
    if when.precision == "month" and when.earliest is not None and when.typed == f"{when.earliest:%Y-%m}":
        return f"{show.month(when.earliest.month)} {when.earliest.year}"
    return _("unknown") if when.precision == "unknown" else when.typed
