"""What was found at the roots, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ringwise.kit.words import _
from ringwise.structure.roots import FINDS, RootMap


def find_name(find: str) -> str:
    """A find in the reader's language.

    Parameters
    ----------
    find : str
        One of `FINDS`.

    Returns
    -------
    str
        Such as "thick".

    Source
    ------
    own.

    Examples
    --------
    >>> find_name("none")
    'none'
    """
    return {
        "thick": _("thick"),
        "fine": _("fine"),
        "none": _("none"),
        "cut": _("cut"),
        "dead": _("dead"),
        "missing": _("missing"),
        "hollow": _("hollow"),
    }[find]


def find_words(finds: Mapping[str, int]) -> str:
    """The finds of one sector.

    Parameters
    ----------
    finds : mapping of str to int
        Counts.

    Returns
    -------
    str
        Blank where nobody looked; fine roots and states are not counted.

    Source
    ------
    own.

    Examples
    --------
    >>> find_words({"cut": 2, "thick": 1, "fine": 1})
    '1 thick, fine, 2 cut'
    """
    named = [(find, finds[find]) for find in FINDS if finds.get(find)]
    return ", ".join(
        f"{count} {find_name(find)}" if find in ("thick", "cut", "dead") else find_name(find)
        for find, count in named
    )


def map_words(found: RootMap) -> str:
    """A whole map in one line: each find with its hours.

    Parameters
    ----------
    found : RootMap
        What was found.

    Returns
    -------
    str
        Such as "thick at 1 and 3; none at 9"; blank where nobody looked.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.roots import typed_map
    >>> map_words(typed_map(["1=thick", "3=thick,2cut", "7-9=none"]))
    'thick at 1, 3; none at 7 to 9; cut at 3'
    """
    parts = []
    for find in FINDS:
        hours = [each.hour for each in found.sectors if each.finds.get(find)]
        if hours:
            parts.append(_("{what} at {hours}").format(what=find_name(find), hours=_hours(hours)))
    return "; ".join(parts)


def _hours(hours: Iterable[int]) -> str:
    """Hours with runs of three and more drawn together."""
    runs: list[list[int]] = []
    for hour in hours:
        if runs and hour == runs[-1][-1] + 1:
            runs[-1].append(hour)
        else:
            runs.append([hour])
    told = []
    for run in runs:
        if len(run) > 2:
            told.append(_("{first} to {last}").format(first=run[0], last=run[-1]))
        else:
            told += [str(each) for each in run]
    return ", ".join(told)
