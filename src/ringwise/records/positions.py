"""Positions round the trunk: the clock seen from above with the recorded front at 6; never compass words."""

from __future__ import annotations

import re

from ringwise.kit.errors import InputError, out_of_range
from ringwise.kit.words import _

FRONT = 6.0
_HOURS = 12

_CLOCK = re.compile(r"(?P<hour>\d{1,2})(?::(?P<minute>00|30))?(?:\s*(?:h|o'?clock))?")
_COMPASS = re.compile(
    r"(?:(?:north|south)[\s-]*(?:east|west)?|east|west|[ns][ns]?[ew]|[ew][ns][ew]|[nsew])"
    r"(?:ern|erly)?(?:[\s-]*(?:side|facing|half|of\s+.*))?",
)


def parse_clock(text: str, *, field: str) -> float:
    """A position round the trunk as an hour of the clock, 1 to 12, half hours allowed.

    Parameters
    ----------
    text : str
        "6", "6 o'clock", "7:30".
    field : str
        The field's name, for the error line.

    Returns
    -------
    float
        The hour; 7:30 is 7.5, and 12:30 is 12.5.

    Raises
    ------
    InputError
        If it is a compass word: pots are turned, so only the grower can say which hour that was.
    RangeError
        If it is no hour of the clock.

    Examples
    --------
    >>> parse_clock("7:30", field="branch")
    7.5
    """
    folded = " ".join(text.casefold().replace("’", "'").split())
    if _COMPASS.fullmatch(folded):
        raise InputError(
            _(
                '{field} is "{text}", a compass word, and pots are turned: at which hour is it,'
                " seen from above with the front at 6 (1 to 12)?"
            ).format(field=field, text=text.strip())
        )
    match = _CLOCK.fullmatch(folded)
    if match is None or not 1 <= int(match["hour"]) <= _HOURS:
        raise out_of_range(field, f'"{text.strip()}"', _("1 to 12 on the clock, seen from above, front at 6"))
    return int(match["hour"]) + (0.5 if match["minute"] == "30" else 0.0)


def checked_clock(hour: float, *, field: str) -> float:
    """The hour itself if it lies on the clock.

    Parameters
    ----------
    hour : float
        From 1 up to, not including, 13.
    field : str
        The field's name, for the error line.

    Returns
    -------
    float
        `hour`.

    Raises
    ------
    RangeError
        If it lies outside.

    Examples
    --------
    >>> checked_clock(12.5, field="branch")
    12.5
    """
    if not 1 <= hour < _HOURS + 1:
        raise out_of_range(field, f"{hour:g}", _("1 to 12 on the clock, seen from above, front at 6"))
    return hour


def seen_from_new_front(hour: float, new_front: float) -> float:
    """Where a recorded position lies after another front was chosen.

    Parameters
    ----------
    hour : float
        Recorded with the old front at 6.
    new_front : float
        The hour, by the old record, that becomes the front.

    Returns
    -------
    float
        The hour with the new front at 6.

    Examples
    --------
    >>> seen_from_new_front(9.0, 9.0), seen_from_new_front(6.0, 9.0)
    (6.0, 3.0)
    """
    turned = (hour - new_front + FRONT) % _HOURS
    return turned if turned >= 1 else turned + _HOURS
