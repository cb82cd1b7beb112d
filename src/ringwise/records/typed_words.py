"""The data of an entry from what was typed, with the words themselves kept beside the values."""

from __future__ import annotations

import re
from collections.abc import Mapping

from ringwise.kit.errors import InputError, UnitError, unknown_name
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _
from ringwise.records.model import JsonValue
from ringwise.records.observations import TYPED, Field, checked_data, fields_of

_BARE = re.compile(r"[-+]?[\d.,/ ]+")


def typed_data(kind: str, words: Mapping[str, str]) -> dict[str, JsonValue]:
    """The data of an entry from what was typed, with the words themselves kept beside the values.

    Parameters
    ----------
    kind : str
        One of `ENTRY_KINDS`.
    words : mapping of str to str
        The keys of the kind, such as {"girth_mm": "9.2 cm"}. A length, mass, volume or time needs its unit.

    Returns
    -------
    dict
        Checked; what was typed in units lies under "typed".

    Raises
    ------
    UnitError, RangeError, UnknownNameError, MissingFieldError, DateError
        Each names the field.

    Examples
    --------
    >>> typed_data("girth", {"girth_mm": "9.2 cm", "at_mm": "1 in"})
    {'girth_mm': 92.0, 'at_mm': 25.4, 'typed': {'girth_mm': '9.2 cm', 'at_mm': '1 in'}}
    """
    fields = fields_of(kind)
    data: dict[str, JsonValue] = {}
    kept: dict[str, JsonValue] = {}
    for key, text in words.items():
        if key not in fields:
            raise unknown_name(_("{kind} field").format(kind=kind), key, fields)
        data[key] = _read(f"{kind} {key}", text, fields[key])
        if fields[key].quantity:
            kept[key] = text.strip()
    if kept:
        data[TYPED] = kept
    return checked_data(kind, data)


def _read(name: str, text: str, field: Field) -> JsonValue:
    if field.quantity:
        return _quantity(name, text, field.quantity)
    if field.holds in ("number", "whole"):
        return _plain_number(name, text, whole=field.holds == "whole")
    if field.holds == "flag":
        folded = text.strip().casefold()
        if folded not in ("yes", "no"):
            raise InputError(_("{field} is {value}; accepted: yes or no.").format(field=name, value=text))
        return folded == "yes"
    if field.holds == "list":
        return [part.strip() for part in text.split(",") if part.strip()]
    if field.holds == "points":
        pairs = [part.split(",") for part in text.split()]
        return [[_plain_number(name, each, whole=False) for each in pair] for pair in pairs]
    if field.choices:
        return next((c for c in field.choices if c.casefold() == text.strip().casefold()), text.strip())
    return text.strip()


def _quantity(name: str, text: str, quantity: str) -> float:
    """A bare number could be any unit, so it is refused, except a fraction or a zero."""
    if quantity != "fraction" and _BARE.fullmatch(text.strip()) and text.strip(" 0.,"):
        raise UnitError(
            _('{field} is "{text}" without a unit; write it with one, such as "{text} {unit}".').format(
                field=name,
                text=text.strip(),
                unit={"length": "mm", "mass": "kg", "volume": "ml", "time": "s", "angle": "deg"}.get(
                    quantity, "min"
                ),
            )
        )
    return parse_quantity(text, quantity, field=name)


def _plain_number(name: str, text: str, *, whole: bool) -> JsonValue:
    bare = text.strip().casefold().removesuffix("days").removesuffix("day").strip().replace(",", ".")
    try:
        value = float(bare)
    except ValueError:
        raise InputError(
            _('{field} is "{text}", which is no number.').format(field=name, text=text)
        ) from None
    return int(value) if whole and value == int(value) else value
