"""Reading twelve monthly normals from a table: month, mean, and means of daily lows and highs if known."""

from __future__ import annotations

import re
from collections.abc import Sequence

from ringwise.kit import show
from ringwise.kit.errors import FileFormatError, InputError, MissingFieldError, RangeError
from ringwise.kit.words import _
from ringwise.weather.normals import MONTHS, Normals, checked_normals
from ringwise.weather.rows import place_in, rows_of_text

MONTH = "month"
MEAN, LOW, HIGH = "tmean_degC", "tmin_degC", "tmax_degC"
COLUMNS = (MONTH, MEAN, LOW, HIGH)
_NAMES = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?")


def read_normals(text: str, *, file: str) -> Normals:
    """Twelve normals from CSV text with the header `month,tmean_degC,tmin_degC,tmax_degC` or a part of it.

    Parameters
    ----------
    text : str
        One row a month, in any order; months as 1 to 12 or by their English names. Without `tmean_degC` the
        mean is halfway between lows and highs.
    file : str
        Its name, for error lines.

    Returns
    -------
    Normals
        Checked.

    Raises
    ------
    InputError
        If it does not read, a month is missing or given twice, or the values cannot be a climate.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> rows = "\\n".join(f"{month},{abs(month - 7)}" for month in range(1, 13))
    >>> read_normals("month,tmean_degC\\n" + rows, file="town.csv").mean_degC[:2]
    (6.0, 5.0)
    """
    rows = rows_of_text(text, file)
    _line, header = next(rows, (0, []))
    _check_header(header, file)
    months: dict[int, dict[str, float]] = {}
    for line, row in rows:
        if len(row) != len(header):
            raise FileFormatError(
                _(
                    "the row has {n} cells where the header has {width}. "
                    "Mend the row or export the file again."
                ).format(n=len(row), width=len(header)),
                where=place_in(file, line),
            )
        cells = dict(zip(header, row, strict=True))
        number = _month(cells.pop(MONTH), place_in(file, line, MONTH))
        if number in months:
            raise FileFormatError(
                _("{month} is there twice. Give each month once.").format(month=show.month(number)),
                where=place_in(file, line, MONTH),
            )
        months[number] = {name: number_of(cell, place_in(file, line, name)) for name, cell in cells.items()}
    lacking = [show.month(number) for number in range(1, MONTHS + 1) if number not in months]
    if lacking:
        raise MissingFieldError(
            _("missing: {months}. Give all twelve months.").format(months=", ".join(lacking)), where=file
        )
    return _normals([months[number] for number in range(1, MONTHS + 1)], file)


def _check_header(header: Sequence[str], file: str) -> None:
    for name in header:
        if name not in COLUMNS or header.count(name) > 1:
            raise FileFormatError(
                _('the header holds "{name}"; accepted, each once: {known}. Values are in degC.').format(
                    name=name, known=", ".join(COLUMNS)
                ),
                where=place_in(file, 1),
            )
    enough = MEAN in header or (LOW in header and HIGH in header)
    if MONTH not in header or not enough:
        raise MissingFieldError(
            _("the header must hold {month} and {mean}, or {month}, {low} and {high}.").format(
                month=MONTH, mean=MEAN, low=LOW, high=HIGH
            ),
            where=file,
        )


def _month(text: str, where: str) -> int:
    if text.isdecimal() and text.isascii() and 1 <= int(text) <= MONTHS:
        return int(text)
    for number, name in enumerate(_NAMES, 1):
        if text[:3].lower() == name and text.isalpha():
            return number
    raise FileFormatError(
        _('"{text}" is no month; accepted: 1 to 12 or Jan to Dec. Leave out rows of a whole year.').format(
            text=text
        ),
        where=where,
    )


def number_of(text: str, where: str) -> float:
    """A temperature in degrees C as a cell holds it.

    Parameters
    ----------
    text : str
        Digits with a sign and a decimal point or comma.
    where : str
        Its place, for the error line.

    Returns
    -------
    float
        In degrees C.

    Raises
    ------
    FileFormatError
        If it is no number.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> number_of("-3,5", "town.csv, row 2")
    -3.5
    """
    if not _NUMBER.fullmatch(text):
        raise FileFormatError(
            _('"{text}" is no number. Give each month a mean in degC, such as -3.5.').format(text=text),
            where=where,
        )
    return float(text.replace(",", "."))


def _normals(months: Sequence[dict[str, float]], file: str) -> Normals:
    low, high = (
        tuple(month[name] for month in months) if name in months[0] else None for name in (LOW, HIGH)
    )
    if MEAN in months[0]:
        mean = tuple(month[MEAN] for month in months)
    else:
        mean = tuple((month[LOW] + month[HIGH]) / 2.0 for month in months)
    try:
        return checked_normals(Normals(mean, low, high))
    except InputError as wrong:
        kind = RangeError if isinstance(wrong, RangeError) else MissingFieldError
        raise kind(wrong.message, where=file) from None
