"""Twelve monthly normals as typed, as a file, as kept in the record and as shown."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.desk.texts import one_line
from ringwise.kit import show
from ringwise.kit.errors import FileFormatError, InputError, MissingFieldError, NotFoundError
from ringwise.kit.tables import load_table
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.records.model import JsonValue
    from ringwise.weather.normals import Normals

_WINTER_FIRST = 9  # October, counted from January: the winter half of the northern year
_MOST_BYTES = 65_536  # twelve rows; whatever is larger is another file


def normals_given(file: Path | None, monthly: str, *, means: str = "") -> Normals | None:
    """Twelve normals from a file or as typed; None where neither is given.

    Parameters
    ----------
    file : Path or None
        A table, see `weather.normals_reading`.
    monthly : str
        Twelve means, January first: "2.1,3.0,..." in degrees C, or each with its unit; split by semicolons
        where commas stand for decimal points.
    means : str
        What was typed of the coldest and the warmest month, which the twelve already hold.

    Returns
    -------
    Normals or None
        Checked.

    Raises
    ------
    NotFoundError
        If there is no such file.
    InputError
        If two of these are given, or what is given does not read or cannot be a climate.
    """
    from ringwise.weather.normals import checked_normals

    if file is not None and monthly.strip():
        raise InputError(_("give the twelve normals as a file or as twelve numbers, not both"))
    if (file is not None or monthly.strip()) and means.strip():
        raise InputError(
            _(
                "the coldest and the warmest month are among the twelve normals; "
                "leave --coldest and --warmest out"
            )
        )
    if file is not None:
        return _read(file)
    return checked_normals(_typed(monthly)) if monthly.strip() else None


def _read(file: Path) -> Normals:
    from ringwise.weather.normals_reading import read_normals

    if not file.is_file():
        raise NotFoundError(_("there is no file {file}").format(file=file))
    if file.stat().st_size > _MOST_BYTES:
        raise FileFormatError(
            _("is too large for twelve months; daily weather goes in with: ringwise weather import FILE"),
            where=file.name,
        )
    try:
        text = file.read_bytes().decode("utf-8")
    except UnicodeDecodeError:
        raise FileFormatError(_("is no text in UTF-8; save it as CSV in UTF-8"), where=file.name) from None
    return read_normals(text, file=file.name)


def _typed(monthly: str) -> Normals:
    from ringwise.weather.normals import MONTHS, Normals

    parts = [part.strip() for part in monthly.split(";" if ";" in monthly else ",")]
    if len(parts) != MONTHS:
        raise MissingFieldError(
            _(
                "there are {months}; give twelve, January first, such as 2.1,3.0,... "
                "(with decimal commas split them by semicolons)"
            ).format(months=counted("{n} month", "{n} months", len(parts)))
        )
    means_degC = tuple(
        parse_quantity(
            one_line(part), "temperature", field=_("mean of {month}").format(month=show.month(number))
        )
        for number, part in enumerate(parts, 1)
    )
    with_unit = [not part[-1].isdigit() for part in parts]
    if any(with_unit) and not all(with_unit):
        raise InputError(
            _("some months have a unit and {month} has none; give all twelve a unit, or none").format(
                month=show.month(with_unit.index(False) + 1)
            )
        )
    return Normals(means_degC)


def typed_mean(mean_degC: float) -> str:
    """A monthly mean as somebody would type it.

    Parameters
    ----------
    mean_degC : float
        In degrees Celsius.

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> typed_mean(2.1)
    '2.1 C'
    """
    return f"{mean_degC:g} C"


def kept_months(normals: Normals | None) -> JsonValue:
    """Normals as the record keeps them.

    Parameters
    ----------
    normals : Normals or None
        None where two means were told.

    Returns
    -------
    dict or None
        Lists by name.
    """
    if normals is None:
        return None
    return {
        "mean_degC": list(normals.mean_degC),
        "low_degC": None if normals.low_degC is None else list(normals.low_degC),
        "high_degC": None if normals.high_degC is None else list(normals.high_degC),
    }


def normals_of(kept: object) -> Normals | None:
    """Normals from what the record keeps.

    Parameters
    ----------
    kept : object
        As `kept_months` made it; older records have none.

    Returns
    -------
    Normals or None
        None where two means were told.
    """
    from ringwise.weather.normals import Normals

    if not isinstance(kept, dict):
        return None
    mean, low, high = (_numbers(kept.get(name)) for name in ("mean_degC", "low_degC", "high_degC"))
    return None if mean is None else Normals(mean, low, high)


def _numbers(kept: object) -> tuple[float, ...] | None:
    return tuple(float(str(each)) for each in kept) if isinstance(kept, list) else None


def months_shape(normals: Normals | None) -> list[Shape]:
    """The twelve months for JSON; none where two means were told.

    Parameters
    ----------
    normals : Normals or None
        As stated.

    Returns
    -------
    list of dict
        Keys month (1 to 12), words, mean_degC, low_degC, high_degC and shown.
    """
    if normals is None:
        return []
    return [
        {
            "month": number,
            "words": show.month(number),
            "mean_degC": mean,
            "low_degC": None if normals.low_degC is None else normals.low_degC[number - 1],
            "high_degC": None if normals.high_degC is None else normals.high_degC[number - 1],
            "shown": show.fine_temperature(mean),
        }
        for number, mean in enumerate(normals.mean_degC, 1)
    ]


def turned_months(normals: Normals, *, south: bool) -> list[str]:
    """A question where the coldest month lies in the summer of the yard's half of the earth.

    Parameters
    ----------
    normals : Normals
        As stated, January first.
    south : bool
        Whether the yard lies south of the equator.

    Returns
    -------
    list of str
        One sentence, or none; near the equator, where months hardly differ, nothing is asked.

    Examples
    --------
    >>> from ringwise.weather.normals import Normals
    >>> january = Normals((0.0, 1.0, 4.0, 8.0, 13.0, 16.0, 18.0, 17.0, 14.0, 9.0, 4.0, 1.0))
    >>> turned_months(january, south=False), len(turned_months(january, south=True))
    ([], 1)
    """
    means_degC = normals.mean_degC
    coldest = min(range(len(means_degC)), key=lambda month: means_degC[month])
    half = len(means_degC) // 2
    across_degC = means_degC[(coldest + half) % len(means_degC)] - means_degC[coldest]
    winter = range(_WINTER_FIRST, _WINTER_FIRST + half)
    is_winter = (coldest + half * south) % len(means_degC) in {month % len(means_degC) for month in winter}
    if is_winter or across_degC < load_table("ringwise.weather", "described").get("any", "seasons").number:
        return []
    return [
        _(
            "The coldest of the twelve is {month}, which is summer at this latitude. "
            "Is the first value January?"
        ).format(month=show.month(coldest + 1))
    ]


def months_line(months: Sequence[Shape]) -> str:
    """The twelve months in one line.

    Parameters
    ----------
    months : sequence of dict
        From `months_shape`.

    Returns
    -------
    str
        Such as "Jan 2.1 °C, Feb 3.0 °C".
    """
    return ", ".join(f"{each['words']} {each['shown']}" for each in months)
