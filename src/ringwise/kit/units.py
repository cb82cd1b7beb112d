"""Units at the edges: what people type ("12 cm", "3/4 in", "12x9x2.5 in") to the units used inside.

Inside Ringwise a number is a plain float whose name carries its unit; only this module converts.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from ringwise.kit.errors import UnitError, out_of_range, unknown_name
from ringwise.kit.words import _


@dataclass(frozen=True)
class Kind:
    """A kind of quantity: its unit inside and how each accepted unit converts to it (factor, offset)."""

    name: str
    inside: str
    units: dict[str, tuple[float, float]]


def _scaled(name: str, inside: str, **factors: float) -> Kind:
    return Kind(name, inside, {unit: (factor, 0.0) for unit, factor in factors.items()})


# Exact by definition (international yard and pound agreement, 1959); what is shown converts back by the same.
MM_PER_IN = 25.4
G_PER_LB = 453.59237
OZ_PER_LB = 16
CM3_PER_GALLON = 3785.411784  # the US gallon of 231 cubic inches
QT_PER_GALLON = 4
_MM_PER_FT = 12 * MM_PER_IN
_MILE_M = 1609.344  # exact

KINDS: dict[str, Kind] = {
    "length": Kind(
        "length",
        "mm",
        {
            "mm": (1.0, 0),
            "cm": (10.0, 0),
            "m": (1000.0, 0),
            "in": (MM_PER_IN, 0),
            "inch": (MM_PER_IN, 0),
            "inches": (MM_PER_IN, 0),
            '"': (MM_PER_IN, 0),
            "ft": (_MM_PER_FT, 0),
            "'": (_MM_PER_FT, 0),
        },
    ),
    "volume": Kind(
        "volume",
        "cm3",
        {
            "cm3": (1.0, 0),
            "ml": (1.0, 0),
            "mL": (1.0, 0),
            "l": (1000.0, 0),
            "L": (1000.0, 0),
            "litre": (1000.0, 0),
            "litres": (1000.0, 0),
            "gal": (CM3_PER_GALLON, 0),
        },
    ),
    "area": _scaled("area", "m2", m2=1.0, cm2=1e-4, in2=MM_PER_IN**2 / 1e6, ft2=_MM_PER_FT**2 / 1e6),
    "mass": Kind(
        "mass",
        "g",
        {"g": (1.0, 0), "kg": (1000.0, 0), "lb": (G_PER_LB, 0), "oz": (G_PER_LB / OZ_PER_LB, 0)},
    ),
    "temperature": Kind(
        "temperature",
        "degC",
        {
            "degC": (1.0, 0),
            "C": (1.0, 0),
            "°C": (1.0, 0),
            "degF": (5 / 9, -160 / 9),
            "F": (5 / 9, -160 / 9),
            "°F": (5 / 9, -160 / 9),
            "K": (1.0, -273.15),
        },
    ),
    "fraction": Kind("fraction", "frac", {"": (1.0, 0), "%": (0.01, 0), "pct": (0.01, 0)}),
    "percent": _scaled("percent", "pct", **{"%": 1.0, "pct": 1.0}),
    "speed": Kind(
        "speed",
        "m/s",
        {"m/s": (1.0, 0), "km/h": (1 / 3.6, 0), "mph": (_MILE_M / 3600, 0), "kn": (1852 / 3600, 0)},
    ),
    "water_speed": Kind(
        "water_speed",
        "cm/s",
        {
            "cm/s": (1.0, 0),
            "mm/s": (0.1, 0),
            "m/s": (100.0, 0),
            "cm/min": (1 / 60, 0),
            "cm/h": (1 / 3600, 0),
            "mm/h": (1 / 36000, 0),
            "cm/d": (1 / 86400, 0),
            "m/d": (1 / 864, 0),
        },
    ),
    "elevation": _scaled("elevation", "m", m=1.0, ft=0.3048),
    "rain": Kind("rain", "mm", {"mm": (1.0, 0), "cm": (10.0, 0), "in": (MM_PER_IN, 0)}),
    "radiation": Kind("radiation", "MJ/m2/day", {"MJ/m2/day": (1.0, 0), "W/m2": (0.0864, 0)}),
    "angle": _scaled("angle", "deg", deg=1.0, **{"°": 1.0}),
    "concentration": Kind("concentration", "g/L", {"g/L": (1.0, 0), "g/l": (1.0, 0), "mg/L": (0.001, 0)}),
    "conductivity": Kind(
        "conductivity",
        "mS/cm",
        {"mS/cm": (1.0, 0), "dS/m": (1.0, 0), "uS/cm": (0.001, 0), "µS/cm": (0.001, 0)},
    ),
    "alkalinity": Kind(  # as calcium carbonate; a German degree is 10 mg of lime (CaO) in a litre
        "alkalinity",
        "ppm",
        {"ppm": (1.0, 0), "mg/L": (1.0, 0), "meq/L": (50.0, 0), "mmol/L": (50.0, 0), "°dH": (17.85, 0)},
    ),
    "time": _scaled("time", "s", s=1.0, sec=1.0, min=60.0, h=3600.0),
    "duration": _scaled("duration", "min", min=1.0, h=60.0),
    "latitude": Kind(
        "latitude",
        "deg",
        {"": (1.0, 0), "deg": (1.0, 0), "N": (1.0, 0), "S": (-1.0, 0), "°N": (1.0, 0), "°S": (-1.0, 0)},
    ),
}

_NUMBER = r"[-+]?(?:\d+\s+\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?(?:[eE][-+]?\d+)?|[.,]\d+)"
_QUANTITY = re.compile(rf"^\s*({_NUMBER})\s*([^\d\s].*?)?\s*$")


def _number(text: str) -> float:
    """A number as typed, "1 1/2" or "-3,5"; not finite where it is beyond numbers."""
    text = text.strip().replace(",", ".")
    sign = -1.0 if text.startswith("-") else 1.0
    return sign * sum(_part(part) for part in text.lstrip("+-").split())


def _part(text: str) -> float:
    top, _slash, bottom = text.partition("/")
    divisor = float(bottom or "1")
    return float(top) / divisor if divisor else math.nan


def _kind_words(name: str) -> str:
    words = {
        "length": _("length"),
        "volume": _("volume"),
        "area": _("area"),
        "mass": _("mass"),
        "temperature": _("temperature"),
        "fraction": _("fraction"),
        "percent": _("percent"),
        "speed": _("speed"),
        "water_speed": _("speed of water"),
        "elevation": _("elevation"),
        "rain": _("rain"),
        "radiation": _("radiation"),
        "concentration": _("concentration"),
        "conductivity": _("conductivity"),
        "alkalinity": _("alkalinity"),
        "angle": _("angle"),
        "time": _("time"),
        "duration": _("duration"),
        "latitude": _("latitude"),
    }
    return words.get(name, name)


def _kind_named(name: str) -> str:
    """A kind with its article, as a unit fits it or does not."""
    words = {
        "length": _("a length"),
        "volume": _("a volume"),
        "area": _("an area"),
        "mass": _("a mass"),
        "temperature": _("a temperature"),
        "fraction": _("a fraction"),
        "percent": _("a percentage"),
        "speed": _("a speed"),
        "water_speed": _("a speed of water"),
        "elevation": _("an elevation"),
        "rain": _("an amount of rain"),
        "radiation": _("radiation"),
        "concentration": _("a concentration"),
        "conductivity": _("a conductivity"),
        "alkalinity": _("an alkalinity"),
        "angle": _("an angle"),
        "time": _("a time"),
        "duration": _("a duration"),
        "latitude": _("a latitude"),
    }
    return words.get(name, name)


def parse_quantity(text: str, kind: str, *, field: str, default_unit: str | None = None) -> float:
    """A typed quantity in the unit used inside for its kind.

    Parameters
    ----------
    text : str
        What was typed: "12 cm", "3/4 in", "1 1/2 in", "-3,5 degC", or a bare number.
    kind : str
        A key of `KINDS`.
    field : str
        The field's name, for the error line.
    default_unit : str, optional
        The unit of a bare number; by default the unit used inside for the kind.

    Returns
    -------
    float
        The value in `KINDS[kind].inside`.

    Raises
    ------
    UnitError
        If the text is no quantity or the unit does not fit the kind.

    Examples
    --------
    >>> round(parse_quantity("3/4 in", "length", field="trunk"), 6)
    19.05
    >>> parse_quantity("12", "length", field="trunk", default_unit="cm")
    120.0
    """
    known = KINDS[kind]
    match = _QUANTITY.match(text)
    if match is None:
        raise UnitError(
            _(
                '{field} is "{text}", which is no {kind}. Write a number with a unit, such as "12 {unit}".'
            ).format(
                field=field,
                text=text,
                kind=_kind_words(known.name),
                unit=default_unit or next(u for u in known.units if u),
            )
        )
    unit = (match.group(2) or default_unit or known.inside).strip()
    if unit == known.inside and unit not in known.units:
        factor, offset = 1.0, 0.0
    elif unit in known.units:
        factor, offset = known.units[unit]
    else:
        accepted = ", ".join(u for u in known.units if u)
        raise UnitError(
            _('{field} is "{text}": unit "{unit}" does not fit {kind}. Accepted units: {accepted}.').format(
                field=field, text=text, unit=unit, kind=_kind_named(known.name), accepted=accepted
            )
        )
    value = _number(match.group(1)) * factor + offset
    if not math.isfinite(value):
        raise UnitError(_('{field} is "{text}", which is not finite.').format(field=field, text=text))
    return value


def parse_dimensions_mm(text: str, *, field: str, default_unit: str = "cm") -> tuple[float, ...]:
    """Lengths typed as "12x9x2.5 in" or "30 cm x 28" in mm; the last unit given counts for all without one.

    Parameters
    ----------
    text : str
        One to four lengths joined by "x", "*" or "by".
    field : str
        The field's name, for the error line.
    default_unit : str
        The unit where none is typed.

    Returns
    -------
    tuple of float
        Lengths, in mm.

    Raises
    ------
    UnitError
        If a part is no length.

    Examples
    --------
    >>> [round(x, 1) for x in parse_dimensions_mm("12x9x2.5 in", field="pot")]
    [304.8, 228.6, 63.5]
    """
    parts = re.split(r"\s*(?:[x×*]|\bby\b)\s*", text.strip())
    if len(parts) > 4 or not all(parts):
        raise UnitError(
            _('{field} is "{text}"; write one to four lengths, such as "42x31x7.5 cm".').format(
                field=field, text=text
            )
        )
    last = re.search(r"[^\d.,/\s+-].*$", parts[-1])
    unit = last.group(0).strip() if last else default_unit
    return tuple(parse_quantity(part, "length", field=field, default_unit=unit) for part in parts)


def in_range(value: float, low: float, high: float, *, field: str, shown: str, accepted: str) -> float:
    """The value itself if it lies in its range.

    Parameters
    ----------
    value, low, high : float
        The value and its closed range, all in one unit.
    field, shown, accepted : str
        Field name, the value and the range as the user would write them.

    Returns
    -------
    float
        `value`.

    Raises
    ------
    RangeError
        If the value lies outside, or is not a number.

    Examples
    --------
    >>> in_range(5.0, 0.0, 10.0, field="vigour", shown="5", accepted="0 to 10")
    5.0
    """
    if not (low <= value <= high):
        raise out_of_range(field, shown, accepted)
    return value


def kind_of(name: str) -> Kind:
    """The kind of quantity with a name.

    Parameters
    ----------
    name : str
        A key of `KINDS`.

    Returns
    -------
    Kind
        Its units and conversions.

    Raises
    ------
    UnknownNameError
        If there is no such kind.

    Examples
    --------
    >>> kind_of("length").inside
    'mm'
    """
    if name not in KINDS:
        raise unknown_name("kind of quantity", name, KINDS)
    return KINDS[name]
