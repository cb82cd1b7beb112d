"""What a screen shows of one value: the number, its text, the name of its why; a day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape, day_text
from ringwise.records.date_shown import date_shown

if TYPE_CHECKING:
    from ringwise.records.dates import FuzzyDate


def told(value: float | None, shown: str, why: str | None) -> Shape:
    """A number as it is shown.

    Parameters
    ----------
    value : float or None
        In the unit used inside; None where it is unknown.
    shown : str
        With its unit, in the reader's language and units.
    why : str or None
        Name of its why, such as "T03:fact:trunk_mm".

    Returns
    -------
    dict
        Keys value, shown and why; an unknown value has a blank text and no why.

    Examples
    --------
    >>> told(41.0, "41 mm", "T03:fact:trunk_mm")["shown"], told(None, "", "T03:fact:trunk_mm")["why"]
    ('41 mm', None)
    """
    if value is None:
        return {"value": None, "shown": "", "why": None}
    return {"value": value, "shown": shown, "why": why}


def day_shape(when: FuzzyDate) -> Shape:
    """A date as typed, as the interval that it means, and as it is shown.

    Parameters
    ----------
    when : FuzzyDate
        The date.

    Returns
    -------
    dict
        Keys typed, earliest, latest, precision and shown.

    Examples
    --------
    >>> from ringwise.records.dates import parse_fuzzy_date
    >>> day_shape(parse_fuzzy_date("2027-03-07", field="date"))["shown"]
    '7 Mar 2027'
    """
    return {
        "typed": when.typed,
        "earliest": day_text(when.earliest),
        "latest": day_text(when.latest),
        "precision": when.precision,
        "shown": date_shown(when),
    }


def maybe_day(when: FuzzyDate | None) -> Shape | None:
    """Like `day_shape`, and None for no date.

    Parameters
    ----------
    when : FuzzyDate or None
        The date.

    Returns
    -------
    dict or None
        As `day_shape`.

    Examples
    --------
    >>> maybe_day(None) is None
    True
    """
    return None if when is None else day_shape(when)
