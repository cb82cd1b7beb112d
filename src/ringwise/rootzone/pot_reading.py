"""Pot measures as typed ("50 cm", "26x18cm") to a pot; the one parser of every command that takes a pot."""

from __future__ import annotations

from dataclasses import dataclass

from ringwise.kit.units import parse_dimensions_mm, parse_quantity
from ringwise.kit.words import _
from ringwise.rootzone.pot import Fill, PotLengths, PotShape, pot_shape


@dataclass(frozen=True)
class PotWords:
    """What was typed for a pot; empty text where nothing was. A bare size is in cm, a bare drop in mm."""

    length: str = ""
    width: str = ""
    depth: str = ""
    top: str = ""
    bottom: str = ""
    rim: str = ""
    base_drop: str = ""
    taper: str = ""


def read_pot(shape: str, words: PotWords) -> PotShape:
    """A pot from typed words, checked.

    Parameters
    ----------
    shape : str
        prism, rectangle (rect), oval, round, hexagon or octagon.
    words : PotWords
        Its measures as typed.

    Returns
    -------
    PotShape
        The pot with the fill that was asked for; without one, the whole inside.

    Raises
    ------
    InputError
        One clear line for an unknown shape, unit or range.

    Source
    ------
    own: reading of typed measures.

    Examples
    --------
    >>> tray = PotWords("50cm", "37cm", "8cm", rim="5mm", base_drop="5mm", taper="0.92")
    >>> round(read_pot("oval", tray).volume_cm3)
    9357
    """
    lengths = PotLengths(
        _one(words.length, _("pot length")),
        _one(words.width, _("pot width")),
        _one(words.depth, _("pot depth")),
        _several(words.top, _("pot top size")),
        _several(words.bottom, _("pot bottom size")),
    )
    fill = Fill(
        _one(words.rim, _("rim drop"), "mm") or 0.0,
        _one(words.base_drop, _("base drop"), "mm") or 0.0,
        parse_quantity(words.taper, "fraction", field=_("taper factor"), default_unit="")
        if words.taper
        else 1.0,
    )
    return pot_shape(shape, lengths, fill)


def _one(text: str, field: str, unit: str = "cm") -> float | None:
    return parse_quantity(text, "length", field=field, default_unit=unit) if text else None


def _several(text: str, field: str) -> tuple[float, ...]:
    return parse_dimensions_mm(text, field=field) if text else ()
