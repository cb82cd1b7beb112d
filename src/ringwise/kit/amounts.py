"""Volumes, masses, temperatures and rain as people read them, metric or with inches.

With inches come pounds, Fahrenheit, and US gallons or quarts beside the litres: mixes are measured by the
scoop in litres everywhere, and sacks are sold in either. All is kept and computed in metric units; only texts
change. Exact by definition: degF = 9/5 degC + 32.
"""

from __future__ import annotations

import math

from ringwise.kit.numbers import fixed, number, spanned
from ringwise.kit.reading import current_reading
from ringwise.kit.units import CM3_PER_GALLON, G_PER_LB, MM_PER_IN, OZ_PER_LB, QT_PER_GALLON
from ringwise.kit.words import _

_LEAST_LITRES_CM3 = 500.0  # less is told in cm3
_LEAST_QUARTS = 0.25  # a cup; less is measured by the cm3 that stand on every measuring cup


def litres(value_cm3: float, places: int = 1, *, beside_cm3: float = 0.0) -> str:
    """A volume in litres, or cm3 below half a litre; with US gallons or quarts beside it for inch readers.

    Parameters
    ----------
    value_cm3 : float
        Volume, in cm3.
    places : int
        Decimals of the litres.
    beside_cm3 : float
        What it stands beside, such as the other end of a span: from half a litre both are in litres.

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> litres(9357.0), litres(392.0)
    ('9.4 L', '390 cm³')
    >>> litres(392.0, beside_cm3=800.0)
    '0.4 L'
    """
    if abs(beside_cm3) >= _LEAST_LITRES_CM3 or abs(value_cm3) >= _LEAST_LITRES_CM3:
        text = f"{fixed(value_cm3 / 1000, places)} L"
    elif abs(value_cm3) < 50:
        text = f"{number(value_cm3, 2)} cm³"
    else:
        text = f"{round(value_cm3, -1):.0f} cm³"
    if not current_reading().inches:
        return text
    gallons = value_cm3 / CM3_PER_GALLON
    if abs(gallons) * QT_PER_GALLON < _LEAST_QUARTS:
        return text
    if abs(gallons) < 1:
        return f"{text} ({number(gallons * QT_PER_GALLON, 2)} qt)"
    return f"{text} ({fixed(gallons, 1)} gal)"


def mass(value_g: float, digits: int = 3) -> str:
    """A mass in grams below a kilogram, kilograms beyond; or in ounces below a pound, pounds beyond.

    Parameters
    ----------
    value_g : float
        Mass, in g.
    digits : int
        Significant digits of kilograms or pounds.

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> mass(420.0), mass(12_340.0)
    ('420 g', '12.3 kg')
    """
    if current_reading().inches:
        pounds = value_g / G_PER_LB
        return f"{number(pounds * OZ_PER_LB, 2)} oz" if abs(pounds) < 1 else f"{number(pounds, digits)} lb"
    return f"{number(value_g, 2)} g" if abs(value_g) < 1000 else f"{number(value_g / 1000, digits)} kg"


def mass_span(low_g: float, high_g: float) -> str:
    """A range of masses to two digits, the unit once where both ends have the same.

    Parameters
    ----------
    low_g, high_g : float
        Ends, in g.

    Returns
    -------
    str
        Such as "12 to 15 kg".

    Examples
    --------
    >>> mass_span(12_000.0, 15_000.0)
    '12 to 15 kg'
    """
    return spanned(mass(low_g, 2), mass(high_g, 2))


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
    if current_reading().inches:
        return f"{round(value_degC * 9 / 5 + 32):d} °F"
    return f"{round(value_degC):d} °C"


def fine_temperature(value_degC: float) -> str:
    """A temperature to the tenth of a degree, as a thermometer shows it.

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
    >>> fine_temperature(-1.54)
    '-1.5 °C'
    """
    inches = current_reading().inches
    tenths = round(value_degC * 9 / 5 + 32 if inches else value_degC, 1) + 0.0  # never "-0.0"
    return f"{fixed(tenths, 1)} {'°F' if inches else '°C'}"


def temperature_step(value_degC: float) -> str:
    """A difference of two temperatures to the tenth of a degree, without its sign.

    Parameters
    ----------
    value_degC : float
        Difference, in degrees Celsius.

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> temperature_step(-1.84)
    '1.8 °C'
    """
    if current_reading().inches:
        return f"{fixed(abs(value_degC) * 9 / 5, 1)} °F"
    return f"{fixed(abs(value_degC), 1)} °C"


def rain(value_mm: float) -> str:
    """Depth of rain or water: whole millimetres, tenths below one, or hundredths of an inch.

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
    >>> rain(12.4), rain(0.5), rain(0.0)
    ('12 mm', '0.5 mm', '0 mm')
    """
    if math.isnan(value_mm):
        return _("unknown")
    if current_reading().inches:
        return f"{fixed(value_mm / MM_PER_IN, 2)} in"
    return f"{fixed(value_mm, 1)} mm" if 0.05 <= value_mm < 0.95 else f"{round(value_mm):d} mm"
