"""A value held against the bounds that a row of a parameter table sets for it."""

from __future__ import annotations

import math

from ringwise.kit.errors import out_of_range
from ringwise.kit.numbers import number, spanned
from ringwise.kit.tables import Parameter


def within(
    row: Parameter, value: float, *, field: str, unit: str = "", shown: str = "", way_out: str = ""
) -> float:
    """The value itself, if it lies in its row's bounds.

    Parameters
    ----------
    row : Parameter
        A row with low and high; a missing low is 0, a missing high has no end.
    value : float
        In the row's unit.
    field : str
        What it is, in the user's words.
    unit : str
        Written behind the numbers, with its space where it has one: " m/s", "°".
    shown : str
        The value as typed; by default the number with its unit.
    way_out : str
        What to write instead.

    Returns
    -------
    float
        `value`.

    Raises
    ------
    RangeError
        If it lies outside, or is not a number.

    Examples
    --------
    >>> from ringwise.kit.tables import load_table
    >>> row = load_table("ringwise.rootzone", "wire").get("accepted", "gust_m_s")
    >>> within(row, 18.0, field="gust", unit=" m/s")
    18.0
    """
    low, high = row.low or 0.0, math.inf if row.high is None else row.high
    if low <= value <= high:
        return value
    raise out_of_range(
        field,
        shown or f"{number(value, 4)}{unit}",
        f"{spanned(number(low, 4), number(high, 4))}{unit}",
        way_out=way_out,
    )
