"""Ties as typed with a work: how many, which wire, which route; so that the next sheet can count them out."""

from __future__ import annotations

from typing import Any

from ringwise.kit.errors import InputError
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _

_MOST = 100


def read_ties(text: str) -> dict[str, Any]:
    """Data of a work from ties as typed.

    Parameters
    ----------
    text : str
        Such as "4, 2.5mm, crossing over the ball"; wire and route may be left out.

    Returns
    -------
    dict
        Keys tie_count, and where given tie_wire_mm and tie_route.

    Raises
    ------
    InputError
        If the number does not read; wire in another unit than a length.

    Examples
    --------
    >>> read_ties("4, 2.5mm, crossing over the ball")
    {'tie_count': 4, 'tie_wire_mm': 2.5, 'tie_route': 'crossing over the ball'}
    >>> read_ties("2")
    {'tie_count': 2}
    """
    count, _mark, rest = (part.strip() for part in text.partition(","))
    if not count.isdecimal() or not 0 <= int(count) <= _MOST:
        raise InputError(
            _('--ties is "{text}"; write number, wire, route such as "4, 2.5mm, crossing"').format(text=text)
        )
    data: dict[str, Any] = {"tie_count": int(count)}
    wire, _mark, route = (part.strip() for part in rest.partition(","))
    if wire and wire[0].isdecimal():
        data["tie_wire_mm"] = parse_quantity(wire, "length", field="--ties", default_unit="mm")
    elif wire:
        route = rest
    return data | ({"tie_route": route} if route else {})
