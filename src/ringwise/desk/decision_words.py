"""Own courses and decisions of a turning in words."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from ringwise.kit import show
from ringwise.kit.words import _, from_data


def decision_words(data: Mapping[str, Any]) -> str:
    """A decision as a line of the record.

    Parameters
    ----------
    data : mapping
        Of the entry.

    Returns
    -------
    str
        With the day on which it is to be looked at again, where one was given.

    Examples
    --------
    >>> decision_words({"title": "Ground layer"})
    'decided: Ground layer'
    """
    title = from_data(data["title"])
    review = data.get("review_on")
    if not review:
        return _("decided: {title}").format(title=title)
    day = show.day(date.fromisoformat(str(review)), year=True)
    return _("decided: {title}; to be looked at again on {day}").format(title=title, day=day)


def course_words(data: Mapping[str, Any]) -> str:
    """An own course as a line of the record.

    Parameters
    ----------
    data : mapping
        Of the entry.

    Returns
    -------
    str
        With its title as the grower wrote it.

    Examples
    --------
    >>> course_words({"title": "Chop late"})
    'own course: Chop late'
    """
    return _("own course: {title}").format(title=data["title"])
