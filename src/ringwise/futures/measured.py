"""A value of a measure as a grower reads it: one wording for the app, the page and the terminal."""

from __future__ import annotations

import math

from ringwise.futures.view import MeasureText
from ringwise.kit import show
from ringwise.kit.words import _

CLOSED_BELOW_MM = 0.5  # a narrower wound or branch is none to the eye
READ_FROM_MM = 1.0  # below it a tape or a rule reads nothing off a wound or a branch
SEEN_MM = frozenset({"graft_mm", "wound_mm"})  # widths that are judged by eye; nothing of them means none


def measured(measure: MeasureText, value: float, most_mm: float | None = None) -> str:
    """A value of a measure with its unit.

    Parameters
    ----------
    measure : MeasureText
        With its key and unit.
    value : float
        In that unit.
    most_mm : float, optional
        The largest length on the scale beside which one stands: all of a scale have one unit.

    Returns
    -------
    str
        As people read it; a wound too narrow to be seen is closed.

    Source
    ------
    own.

    Examples
    --------
    >>> wound = MeasureText("wound_mm", "Widest open wound", "mm", "", "")
    >>> measured(wound, 0.1), measured(wound, 0.7), measured(wound, 12.2)
    ('all closed', 'under 1 mm', '12 mm')
    >>> measured(MeasureText("tips_n", "Tips", "count", "", ""), 12.4)
    '12'
    """
    if math.isnan(value):
        return _("unknown")
    if measure.unit == "mm":
        return _length(measure.key, value, most_mm)
    if measure.unit == "count":
        return f"{round(value):d}"
    if measure.unit == "cm2":
        return show.area(100 * value)
    if measure.unit == "frac":
        return show.percent(value)
    return show.fixed(value, 2) if measure.unit == "ratio" else show.number(value, 2)


def _length(key: str, value_mm: float, most_mm: float | None) -> str:
    if key in SEEN_MM and value_mm < CLOSED_BELOW_MM:
        return _("all closed") if key == "wound_mm" else _("none")
    if key in SEEN_MM and value_mm < READ_FROM_MM:
        return _("under {length}").format(length=_plain(READ_FROM_MM, most_mm))
    return _plain(value_mm, most_mm)


def _plain(value_mm: float, most_mm: float | None) -> str:
    return show.length(value_mm) if most_mm is None else show.scale_length(value_mm, most_mm)


def measured_span(measure: MeasureText, low: float, high: float) -> str:
    """Where most futures of a measure lie, its unit once.

    Parameters
    ----------
    measure : MeasureText
        With its key and unit.
    low, high : float
        Ends, in that unit.

    Returns
    -------
    str
        One value where both ends read alike.

    Source
    ------
    own.

    Examples
    --------
    >>> wound = MeasureText("wound_mm", "Widest open wound", "mm", "", "")
    >>> measured_span(wound, 12.0, 15.0), measured_span(wound, 0.0, 3.0), measured_span(wound, 87.0, 102.0)
    ('12 to 15 mm', 'all closed to 3 mm', '87 to 102 mm')
    """
    ends = measured(measure, low), measured(measure, high)
    if measure.unit == "mm" and ends[0].split()[-1] != ends[1].split()[-1]:  # "87 to 102 mm", not with cm
        ends = measured(measure, low, high), measured(measure, high, high)
    return show.spanned(*ends)
