"""Numbers as people read them: significant digits, the reader's decimal mark, shares and ranges."""

from __future__ import annotations

import math

from ringwise.kit.reading import current_reading
from ringwise.kit.words import _


def marked(text: str) -> str:
    """A number written with a point, with the reader's decimal mark.

    Parameters
    ----------
    text : str
        Such as "0.5".

    Returns
    -------
    str
        "0,5" in German.

    Examples
    --------
    >>> from ringwise.kit.reading import Reading, reading
    >>> with reading(Reading("de")):
    ...     marked("0.5")
    '0,5'
    """
    return text.replace(".", ",") if current_reading().language == "de" else text


def number(value: float, digits: int = 2) -> str:
    """A number with at most so many significant digits and no trailing zeros.

    Parameters
    ----------
    value : float
        The number.
    digits : int
        Significant digits.

    Returns
    -------
    str
        The text; "unknown" for NaN.

    Examples
    --------
    >>> number(9.357, 3), number(1250.0, 2), number(0.5)
    ('9.36', '1250', '0.5')
    """
    if math.isnan(value):
        return _("unknown")
    if value == 0:
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    if places <= 0:
        return f"{round(value):d}"
    return marked(f"{value:.{places}f}".rstrip("0").rstrip("."))


def fixed(value: float, places: int) -> str:
    """A number with so many decimals, trailing zeros kept.

    Parameters
    ----------
    value : float
        The number.
    places : int
        Decimals.

    Returns
    -------
    str
        The text; "unknown" for NaN.

    Examples
    --------
    >>> fixed(2.0, 1)
    '2.0'
    """
    return _("unknown") if math.isnan(value) else marked(f"{value:.{places}f}")


def percent(frac: float) -> str:
    """A share of a whole, in whole percent.

    Parameters
    ----------
    frac : float
        Share, 0 to 1.

    Returns
    -------
    str
        "30%"; "30 %" in German.

    Examples
    --------
    >>> percent(0.3)
    '30%'
    """
    if math.isnan(frac):
        return _("unknown")
    return _("{n}%").format(n=round(100 * frac))


def spanned(low: str, high: str) -> str:
    """Two amounts as a range, the unit once where both have the same.

    Parameters
    ----------
    low, high : str
        Amounts with their units.

    Returns
    -------
    str
        One amount where both read alike.

    Examples
    --------
    >>> spanned("5 mm", "8 mm"), spanned("5 mm", "5 mm")
    ('5 to 8 mm', '5 mm')
    >>> spanned("5.5 L (1.5 gal)", "7.0 L (1.8 gal)"), spanned("30%", "45%")
    ('5.5 to 7.0 L (1.5 to 1.8 gal)', '30 to 45%')
    """
    if low == high:
        return high
    if low.endswith(")") and high.endswith(")"):  # both kinds of units, one in brackets
        ends = [each.removesuffix(")").partition(" (") for each in (low, high)]
        return f"{spanned(ends[0][0], ends[1][0])} ({spanned(ends[0][2], ends[1][2])})"
    if low.endswith("%") and high.endswith("%"):  # with or without a space before it
        low = low.removesuffix("%").rstrip()
    elif low.split()[-1] == high.split()[-1]:
        low = low.rsplit(" ", 1)[0]
    return _("{low} to {high}").format(low=low, high=high)
