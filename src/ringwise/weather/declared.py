"""What a mapping says of one column: its name in the file, unit, mark for missing, form of dates."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ringwise.kit.errors import InputError, out_of_range
from ringwise.kit.words import _
from ringwise.weather.file_units import UNITS, WIND, converter

_NOT_MEASURED = frozenset({"", "na", "nan", "null", "none", "-"})
_NUMBER = re.compile(r"^[-+]?(\d+[.,]?\d*|[.,]\d+)([eE][-+]?\d+)?$", re.ASCII)
_YEAR_FIRST = re.compile(r"^(?P<y>\d{4})[-/]?(?P<m>\d{2})[-/]?(?P<d>\d{2})$", re.ASCII)
DATE_FORMS: dict[str, re.Pattern[str]] = {
    "YYYY-MM-DD": _YEAR_FIRST,
    "DD.MM.YYYY": re.compile(r"^(?P<d>\d{1,2})[.](?P<m>\d{1,2})[.](?P<y>\d{4})$", re.ASCII),
    "DD/MM/YYYY": re.compile(r"^(?P<d>\d{1,2})/(?P<m>\d{1,2})/(?P<y>\d{4})$", re.ASCII),
    "MM/DD/YYYY": re.compile(r"^(?P<m>\d{1,2})/(?P<d>\d{1,2})/(?P<y>\d{4})$", re.ASCII),
}


@dataclass(frozen=True)
class Declared:
    """One column of a file as a mapping declares it; `unit` is empty for our own."""

    column: str
    unit: str = ""
    missing: tuple[str, ...] = ()
    height_m: float | None = None
    date_form: str = "YYYY-MM-DD"

    def day(self, text: str) -> date:
        """The day that a cell names; ValueError where it names none."""
        match = DATE_FORMS[self.date_form].match(text[:10])
        if match is None:
            raise ValueError(text)
        return date(int(match["y"]), int(match["m"]), int(match["d"]))

    def number(self, text: str, ours: str) -> float:
        """The value of a cell in our unit; NaN where nothing was measured; ValueError where it is none."""
        if text.casefold() in _NOT_MEASURED or text in self.missing:
            return math.nan
        if not _NUMBER.match(text):
            raise ValueError(text)
        value = float(text.replace(",", "."))
        if any(_NUMBER.match(mark) and float(mark.replace(",", ".")) == value for mark in self.missing):
            return math.nan
        if not self.unit and self.height_m is None:
            return value
        return converter(ours, self.unit, height_m=self.height_m)(value)


def declared(ours: str, text: str, names: Sequence[str]) -> Declared:
    """What the right side of a mapping says: "TMIN", "TMIN:degF", "TMIN:degF:missing=-99".

    Parameters
    ----------
    ours : str
        Our column, or "date".
    text : str
        The right side. A column whose whole name has colons in it is taken by that name.
    names : sequence of str
        The columns of the file.

    Returns
    -------
    Declared
        Name, unit, marks for missing (several joined by "|"), height of the wind, form of the date.

    Raises
    ------
    InputError
        If a part is no unit, form or mark that is known; the accepted ones are listed.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> declared("tmin_degC", "TMIN:degF:missing=-99", ["DATE", "TMIN"])
    Declared(column='TMIN', unit='degF', missing=('-99',), height_m=None, date_form='YYYY-MM-DD')
    """
    if text in names or ":" not in text:
        return Declared(text)
    pieces = text.split(":")
    width = next((k for k in range(len(pieces), 0, -1) if ":".join(pieces[:k]).strip() in names), 1)
    column, parts = ":".join(pieces[:width]).strip(), [piece.strip() for piece in pieces[width:]]
    unit, form, missing, height_m = "", "YYYY-MM-DD", [], None
    for part in parts:
        name, separator, given = part.partition("=")
        if separator and name == "missing":
            missing += [mark.strip() for mark in given.split("|")]
        elif separator and name == "height" and ours == WIND:
            height_m = _height_m(given)
        elif ours == "date" and part in DATE_FORMS:
            form = part
        elif ours != "date" and part in UNITS[ours]:
            unit = part
        else:
            raise _unknown_part(ours, part)
    return Declared(column, unit, tuple(missing), height_m, form)


def _height_m(text: str) -> float:
    digits = text.strip().removesuffix("m").strip()
    if not _NUMBER.match(digits):
        raise out_of_range(
            _("height of the wind instrument"), text, _("a number of metres, such as height=10")
        )
    height_m = float(digits.replace(",", "."))
    converter(WIND, "", height_m=height_m)  # refuses what is no height
    return height_m


def _unknown_part(ours: str, part: str) -> InputError:
    known = [*(DATE_FORMS if ours == "date" else UNITS[ours]), "missing=-99"]
    if ours == WIND:
        known.append("height=10")
    return InputError(
        _('column mapping of {ours} has "{part}", which is unknown. Accepted: {known}.').format(
            ours=ours, part=part, known=", ".join(known)
        )
    )
