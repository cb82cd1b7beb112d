"""Numbers and amounts as people read them, in the units and with the decimal mark of the reader.

With inches come pounds, Fahrenheit and US gallons beside the litres: mixes are measured by the scoop in
litres everywhere, and sacks are sold in either. All is kept and computed in metric units; only texts change.

Conversions are exact by definition: 1 in = 25.4 mm and 1 lb = 0.45359237 kg (international yard and pound
agreement, 1959), 1 US gallon = 231 in3, degF = 9/5 degC + 32.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from ringwise.kit.reading import current_reading
from ringwise.kit.words import _

MM_PER_IN = 25.4
G_PER_LB = 453.59237
CM3_PER_GALLON = 231 * 2.54**3
_OUNCES, _QUARTS = 16, 4  # in a pound, in a gallon
# What is read on a tape: upper end of a range in inches, and parts of an inch.
_TAPE = ((6.0, 8), (36.0, 4), (math.inf, 1))
_SMALLEST_IN = 0.25  # below it a tape is too coarse; decimals


def inches() -> bool:
    """Whether the reader wants inches, pounds and Fahrenheit.

    Returns
    -------
    bool
        From `kit.reading`.

    Examples
    --------
    >>> from ringwise.kit.reading import Reading, reading
    >>> with reading(Reading(units="inch")):
    ...     inches()
    True
    """
    return current_reading().units == "inch"


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


def _in(value_mm: float) -> str:
    """A length in inches without the unit, as read on a tape."""
    size = abs(value_mm) / MM_PER_IN
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
        With its unit. Inches to the eighth below 6 in, to the quarter below 36 in, whole beyond; decimals
        below a quarter inch.

    Examples
    --------
    >>> length(41.0), length(520.0), length(3400.0)
    ('41 mm', '52 cm', '3.4 m')
    """
    if math.isnan(value_mm):
        return _("unknown")
    if inches():
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
    if inches():
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
    low, high = length(low_mm), length(high_mm)
    if low == high:
        return high
    if low.split()[-1] == high.split()[-1]:
        low = low.rsplit(" ", 1)[0]
    return _("{low} to {high}").format(low=low, high=high)


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
    if inches():
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
    if inches():
        return f"{number(value_mm2 / MM_PER_IN**2, 3)} in²"
    return f"{number(value_mm2 / 100, 3)} cm²"


def litres(value_cm3: float) -> str:
    """A volume in litres, or cm3 below half a litre; with US gallons or quarts beside it for inch readers.

    Parameters
    ----------
    value_cm3 : float
        Volume, in cm3.

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> litres(9357.0), litres(392.0)
    ('9.4 L', '390 cm³')
    """
    if abs(value_cm3) < 500:
        text = f"{round(value_cm3, -1):.0f} cm³"
    else:
        text = f"{fixed(value_cm3 / 1000, 1)} L"
    if not inches():
        return text
    gallons = value_cm3 / CM3_PER_GALLON
    if abs(gallons) < 1:
        return f"{text} ({number(gallons * _QUARTS, 2)} qt)"
    return f"{text} ({fixed(gallons, 1)} gal)"


def mass(value_g: float) -> str:
    """A mass in grams below a kilogram, kilograms beyond; or in ounces below a pound, pounds beyond.

    Parameters
    ----------
    value_g : float
        Mass, in g.

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> mass(420.0), mass(12_340.0)
    ('420 g', '12.3 kg')
    """
    if inches():
        pounds = value_g / G_PER_LB
        return f"{number(pounds * _OUNCES, 2)} oz" if abs(pounds) < 1 else f"{number(pounds, 3)} lb"
    return f"{number(value_g, 2)} g" if abs(value_g) < 1000 else f"{number(value_g / 1000, 3)} kg"


def temperature(value_degC: float) -> str:
    """A temperature to the degree, Celsius or Fahrenheit.

    Parameters
    ----------
    value_degC : float
        Temperature, in degrees Celsius.

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> temperature(-2.0)
    '-2 °C'
    """
    if math.isnan(value_degC):
        return _("unknown")
    return f"{round(value_degC * 9 / 5 + 32):d} °F" if inches() else f"{round(value_degC):d} °C"


def rain(value_mm: float) -> str:
    """Depth of rain or water: whole millimetres, or hundredths of an inch.

    Parameters
    ----------
    value_mm : float
        Depth, in mm.

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> rain(12.4)
    '12 mm'
    """
    if math.isnan(value_mm):
        return _("unknown")
    return f"{fixed(value_mm / MM_PER_IN, 2)} in" if inches() else f"{round(value_mm):d} mm"
