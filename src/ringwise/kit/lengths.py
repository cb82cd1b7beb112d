"""Lengths and areas as people read them: metric, or inches as they stand on a tape.

All is kept and computed in metric units; only texts change.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from ringwise.kit.numbers import number, spanned
from ringwise.kit.reading import current_reading
from ringwise.kit.units import MM_PER_IN
from ringwise.kit.words import _

# What is read on a tape: upper end of a range in inches, and parts of an inch.
_TAPE = ((1.0, 16), (6.0, 8), (36.0, 4), (math.inf, 1))
_SMALLEST_IN = 1 / 32  # below it no mark of a tape is near; decimals


def _in(value_mm: float) -> str:
    """A length in inches without the unit, as read on a tape."""
    size = abs(value_mm) / MM_PER_IN
    if size == 0:
        return "0"
    if size < _SMALLEST_IN:
        return number(value_mm / MM_PER_IN, 2)
    parts = next(parts for top, parts in _TAPE if size < top)
    whole, rest = divmod(round(size * parts), parts)
    sign = "-" if value_mm < 0 else ""
    if rest == 0:
        return f"{sign}{whole}"
    shared = math.gcd(rest, parts)
    fraction = f"{rest // shared}/{parts // shared}"
    return f"{sign}{whole} {fraction}" if whole else f"{sign}{fraction}"


def length(value_mm: float) -> str:
    """A length in the unit a grower would use: mm below 100 mm, cm to 3 m, m beyond; or inches.

    Parameters
    ----------
    value_mm : float
        Length, in mm.

    Returns
    -------
    str
        With its unit. Inches to the sixteenth below 1 in, to the eighth below 6 in, to the quarter below
        36 in, whole beyond; decimals below a thirty-second.

    Examples
    --------
    >>> length(41.0), length(520.0), length(3400.0)
    ('41 mm', '52 cm', '3.4 m')
    """
    if math.isnan(value_mm):
        return _("unknown")
    if current_reading().inches:
        return f"{_in(value_mm)} in"
    if abs(value_mm) < 100:
        return f"{number(value_mm, 2)} mm"
    if abs(value_mm) < 3000:
        return f"{number(value_mm / 10, 3)} cm"
    return f"{number(value_mm / 1000, 2)} m"


def fine(value_mm: float) -> str:
    """A small length that is measured with calipers: millimetres, or decimals of an inch.

    Parameters
    ----------
    value_mm : float
        Length, in mm.

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> fine(6.25), fine(123.4)
    ('6.25 mm', '123 mm')
    """
    if current_reading().inches:
        return f"{number(value_mm / MM_PER_IN, 3)} in"
    return f"{number(value_mm, 3)} mm"


def length_span(low_mm: float, high_mm: float) -> str:
    """A range of lengths, the unit once where both ends have the same.

    Parameters
    ----------
    low_mm, high_mm : float
        Ends, in mm.

    Returns
    -------
    str
        Such as "5 to 8 mm"; one length where both ends read alike.

    Examples
    --------
    >>> length_span(5.0, 8.0), length_span(90.0, 120.0), length_span(5.0, 5.0)
    ('5 to 8 mm', '90 mm to 12 cm', '5 mm')
    """
    return spanned(length(low_mm), length(high_mm))


def wire_span(low_mm: float, high_mm: float) -> str:
    """Gauges of training wire: in millimetres for every reader, as it is sold.

    Parameters
    ----------
    low_mm, high_mm : float
        Ends, in mm; the same for one gauge.

    Returns
    -------
    str
        Such as "2 to 2.5 mm".

    Source
    ------
    practice: aluminium and copper wire for trees in pots is sold by the millimetre.

    Examples
    --------
    >>> wire_span(2.0, 2.5), wire_span(2.0, 2.0)
    ('2 to 2.5 mm', '2 mm')
    """
    return spanned(f"{number(low_mm)} mm", f"{number(high_mm)} mm")


def scale_length(value_mm: float, most_mm: float) -> str:
    """A length beside others on one scale: all in the unit of the largest.

    Parameters
    ----------
    value_mm : float
        Length, in mm.
    most_mm : float
        The largest on the scale, in mm; millimetres below 400 mm, centimetres beyond, or inches.

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> scale_length(20.0, 60.0), scale_length(20.0, 600.0)
    ('20 mm', '2 cm')
    """
    if current_reading().inches:
        return f"{number(value_mm / MM_PER_IN, 2)} in"
    return f"{number(value_mm, 2)} mm" if most_mm < 400 else f"{number(value_mm / 10, 3)} cm"


def dimensions(sizes_mm: Sequence[float]) -> str:
    """Inside measures of a pot as they are spoken: in centimetres, or in inches.

    Parameters
    ----------
    sizes_mm : sequence of float
        Such as length, width and depth, in mm.

    Returns
    -------
    str
        With one unit at the end.

    Examples
    --------
    >>> dimensions((420.0, 310.0, 75.0))
    '42 × 31 × 7.5 cm'
    """
    if current_reading().inches:
        return " × ".join(_in(size) for size in sizes_mm) + " in"
    return " × ".join(number(size / 10, 3) for size in sizes_mm) + " cm"


def area(value_mm2: float) -> str:
    """An area in square centimetres or square inches.

    Parameters
    ----------
    value_mm2 : float
        Area, in mm2.

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> area(102_500.0)
    '1025 cm²'
    """
    if current_reading().inches:
        return f"{number(value_mm2 / MM_PER_IN**2, 3)} in²"
    return f"{number(value_mm2 / 100, 3)} cm²"
