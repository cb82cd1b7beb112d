"""Ranges of measures that are aimed at, as they are typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.kit.units import parse_quantity

if TYPE_CHECKING:
    from ringwise.futures.aims import Wish


def measure_number(text: str, measure: str, option: str) -> float | None:
    """An end of a measure's range, as typed.

    Parameters
    ----------
    text : str
        With or without its unit; blank for an open end.
    measure : str
        Of which it is an end.
    option : str
        Named where it does not read.

    Returns
    -------
    float or None
        In the unit used inside.

    Raises
    ------
    InputError
        If it does not read.
    """
    from ringwise.futures.measure_words import measure_text

    if not text.strip():
        return None
    unit = measure_text(measure).unit
    if unit == "mm":
        return parse_quantity(text, "length", field=option, default_unit="cm")
    return parse_quantity(text, "fraction", field=option)


def ranged_wish(measure: str, weight: float, low: float | None, high: float | None) -> Wish:
    """A wish of which only the range was typed that counts fully: beyond it, it fades out.

    Parameters
    ----------
    measure : str
        What is aimed at.
    weight : float
        How much it counts.
    low, high : float or None
        Its range; None for an open end.

    Returns
    -------
    Wish
        With both ends at which it counts nothing.

    Raises
    ------
    InputError
        If there is no range, or it does not rise.
    """
    from ringwise.futures.aims import Wish, weighing

    none_below = None if low is None else weighing("typed", "none_below") * low
    none_above = None if high is None else weighing("typed", "none_above") * high
    return Wish(measure, weight, none_below, low, high, none_above)
