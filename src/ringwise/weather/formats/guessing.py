"""What the columns of an unknown table may be: a first mapping to correct, never one that is taken unseen."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ringwise.weather.declared import DATE_FORMS, Declared
from ringwise.weather.file_units import UNITS

DATE = "date"
_LOOKED_AT = 400  # rows spread over the table; more tell no more of what a column is
_LIKELY_FRAC = 0.95  # of the cells that are days: a footer may stand below them
# Beginnings of words in headers of English and German tables; those joined by a blank must all be there.
_NAMES = {
    "tmin_degC": ("tmin", "low", "tn", "tnk", "tief", "temp min"),
    "tmax_degC": ("tmax", "high", "tx", "txk", "höch", "temp max"),
    "tmean_degC": ("tmean", "tavg", "tmk", "tm", "temp mean", "temp av", "temp mit"),
    "rh_min_pct": ("rhmin", "hum min", "feucht min"),
    "rh_max_pct": ("rhmax", "hum max", "feucht max"),
    "rain_mm": ("rain", "prec", "prcp", "regen", "nieder", "rsk"),
    "wind_2m_m_s": ("wind", "wspd"),
    "radiation_mj_m2": ("radiation", "solar", "strahlung", "globalstrahlung"),
    "sunshine_h": ("sunshine", "sun", "sonne", "sdk"),
}
_UNIT_SIGNS = {"°c": "degC", "c": "degC", "°f": "degF", "f": "degF", "in": "inch", "m/s": "m/s"}
_MISSING = re.compile(r"^-?9{2,4}([.]9+|[.]0+)?$", re.ASCII)


@dataclass(frozen=True)
class Guess:
    """What a column may be; `ours` is blank where nothing is known, `date_form` where several fit."""

    column: str
    ours: str = ""
    unit: str = ""
    date_form: str = ""
    missing: tuple[str, ...] = ()


def guesses(header: Sequence[str], rows: Sequence[Sequence[str]]) -> tuple[Guess, ...]:
    """A guess for each column of a table; no measure is named twice.

    Parameters
    ----------
    header : sequence of str
        Names of the columns.
    rows : sequence of sequence of str
        The cells; a short row has blanks at its end.

    Returns
    -------
    tuple of Guess
        In the order of the columns.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> found = guesses(["Day", "Low (°F)", "note"], [["31.12.2026", "28", ""], ["01.01.2027", "-99", "x"]])
    >>> [each.ours for each in found], found[0].date_form, found[1].unit, found[1].missing
    (['date', 'tmin_degC', ''], 'DD.MM.YYYY', 'degF', ('-99',))
    """
    found: list[Guess] = []
    taken: set[str] = set()
    step = max(1, len(rows) // _LOOKED_AT)
    seen = [*rows[::step], *rows[-1:]]
    for place, name in enumerate(header):
        cells = [row[place].strip() for row in seen if place < len(row)]
        forms = date_forms(cells)
        ours = DATE if forms else _measure(name)
        if not ours or ours in taken:
            found.append(Guess(name))
            continue
        taken.add(ours)
        if ours == DATE:
            found.append(Guess(name, ours, date_form=forms[0] if len(forms) == 1 else ""))
        else:
            missing = tuple(dict.fromkeys(cell for cell in cells if _MISSING.match(cell)))
            found.append(Guess(name, ours, _unit(ours, name), missing=missing))
    return tuple(found)


def date_forms(cells: Sequence[str]) -> list[str]:
    """The forms in which nearly all cells are days of the calendar.

    Parameters
    ----------
    cells : sequence of str
        Of one column.

    Returns
    -------
    list of str
        Several where the days do not tell day and month apart; none where they are no days.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> date_forms(["01/02/2027"]), date_forms(["01/02/2027", "13/02/2027"]), date_forms(["12", "7.5"])
    (['DD/MM/YYYY', 'MM/DD/YYYY'], ['DD/MM/YYYY'], [])
    """
    given = [cell for cell in cells if cell]
    if not given:
        return []
    fits = {form: sum(_is_day(form, cell) for cell in given) for form in DATE_FORMS}
    best = max(fits.values())
    return [form for form, n in fits.items() if n == best and n >= _LIKELY_FRAC * len(given)]


def _is_day(form: str, cell: str) -> bool:
    try:
        day: date = Declared("", date_form=form).day(cell)
    except ValueError:
        return False
    return day.year > 0


def _measure(name: str) -> str:
    words = re.findall(r"[^\W\d_]+", name.casefold())
    for ours, names in _NAMES.items():
        for beginnings in names:
            if all(any(_begins(word, each) for word in words) for each in beginnings.split()):
                return ours
    return ""


def _begins(word: str, beginning: str) -> bool:
    """Short names stand alone, longer ones may go on."""
    return word == beginning if len(beginning) <= 2 else word.startswith(beginning)


def _unit(ours: str, name: str) -> str:
    known = UNITS[ours]
    for sign in re.findall(r"[°\w/²%]+", name.casefold().replace("_", " "))[::-1]:
        for unit in known:
            if sign == unit.casefold() or _UNIT_SIGNS.get(sign) == unit:
                return unit
    return ""
