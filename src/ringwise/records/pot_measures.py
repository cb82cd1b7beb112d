"""Inside measures of a pot: kept as typed and in mm."""

from __future__ import annotations

from dataclasses import dataclass

from ringwise.kit.errors import UnitError, out_of_range, unknown_name
from ringwise.kit.show import dimensions, spanned
from ringwise.kit.units import parse_dimensions_mm
from ringwise.kit.words import _
from ringwise.records.model import POT_SHAPES

# Beyond these a figure is a slip of the unit, not a pot: judged wide on purpose.
_POT_MM = (5.0, 2_000.0)


@dataclass(frozen=True)
class PotMeasures:
    """Inside measures of a pot in mm and as typed; all None in the ground."""

    length_mm: float | None
    width_mm: float | None
    depth_mm: float | None
    typed: str


def pot_measures(shape: str, text: str, *, field: str = "pot") -> PotMeasures:
    """Inside measures as typed: length x width x depth, or across x depth for a round or even-sided pot.

    Parameters
    ----------
    shape : str
        One of `POT_SHAPES`.
    text : str
        Such as "12x9x2.5 in" or "28x9" (cm where no unit is given); blank in the ground.
    field : str
        The field's name, for the error line.

    Returns
    -------
    PotMeasures
        In mm, with the text.

    Raises
    ------
    UnknownNameError
        If the shape is unknown.
    UnitError
        If the number of measures does not fit the shape.
    RangeError
        If a measure is no measure of a pot.

    Examples
    --------
    >>> found = pot_measures("oval", "12x9x2.5 in")
    >>> round(found.length_mm, 1), round(found.width_mm, 1), round(found.depth_mm, 1), found.typed
    (304.8, 228.6, 63.5, '12x9x2.5 in')
    """
    if shape not in POT_SHAPES:
        raise unknown_name(_("pot shape"), shape, POT_SHAPES)
    if shape == "ground":
        if text.strip() not in ("", "-"):
            raise UnitError(
                _('{field} is "{text}", but the ground has no measures.').format(field=field, text=text)
            )
        return PotMeasures(None, None, None, text.strip())
    sizes = parse_dimensions_mm(text, field=field)
    even = shape in ("round", "hexagon", "octagon")
    if even and len(sizes) == 2:
        sizes = (sizes[0], *sizes)
    if len(sizes) != 3:
        example = "28x9 cm" if even else "42x31x7.5 cm"
        raise UnitError(
            _('{field} is "{text}"; for shape {shape} write it like "{example}".').format(
                field=field, text=text, shape=shape, example=example
            )
        )
    for name, size_mm in zip((_("length"), _("width"), _("depth")), sizes, strict=True):
        check_pot_length(size_mm, field=f"{field} {name}")
    return PotMeasures(*sizes, typed=text.strip())


def check_pot_length(size_mm: float, *, field: str) -> None:
    """Refuse a length that is none of a pot.

    Parameters
    ----------
    size_mm : float
        Length, in mm.
    field : str
        The field's name, for the error line.

    Raises
    ------
    RangeError
        If it lies outside 0.5 to 200 cm.

    Examples
    --------
    >>> check_pot_length(80.0, field="pot depth")
    """
    low, high = _POT_MM
    if not low <= size_mm <= high:
        raise out_of_range(
            field,
            dimensions((size_mm,)),
            spanned(dimensions((low,)), dimensions((high,))),
        )
