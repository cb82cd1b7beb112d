"""How a cut closes: by the growth in thickness of the wood around it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringwise.kit.errors import out_of_range, unknown_name
from ringwise.kit.tables import load_table

MOST_YEARS = 1000  # no tree waits longer
SEASONS = ("spring", "summer", "winter", "autumn")


@dataclass(frozen=True)
class Closure:
    """Coefficients of wound closure: mm closed for each mm of diameter growth, and its exponents."""

    closure_ratio: float
    width_exponent_ratio: float
    growth_exponent_ratio: float
    width_reference_mm: float
    growth_reference_mm: float
    stub_loss_frac: float


def closure_rows() -> Closure:
    """The closure coefficients of the table, at their middle values.

    Returns
    -------
    Closure
        From wounds.csv.

    Source
    ------
    seifert2010 (1.3), neely1988_width (signs of the exponents; their size is assumed).

    Examples
    --------
    >>> closure_rows().closure_ratio
    1.3
    """
    table = load_table("ringwise.growth", "wounds")
    names = (
        "closure",
        "width_exponent",
        "growth_exponent",
        "width_reference",
        "growth_reference",
        "stub_loss",
    )
    return Closure(*(table.get("any", name).number for name in names))


def season_factor(season: str) -> float:
    """How fast a wound made in a season closes, against one made before leaf-out.

    Parameters
    ----------
    season : str
        spring (before leaf-out), summer, winter or autumn.

    Returns
    -------
    float
        0 to 1.

    Raises
    ------
    UnknownNameError
        For any other season.

    Source
    ------
    neely1970: order of the seasons; the values are assumed.

    Examples
    --------
    >>> season_factor("spring")
    1.0
    """
    if season not in SEASONS:
        raise unknown_name("season", season, SEASONS)
    return load_table("ringwise.growth", "wounds").get(season, "season").number


def close_wound_mm(
    width_mm: float,
    growth_mm: float,
    *,
    season: str = "spring",
    stub_mm: float = 0.0,
    rows: Closure | None = None,
) -> float:
    """Open width of a wound after a year in which the wood beside it grew.

    Parameters
    ----------
    width_mm : float
        Open width at the start of the year, in mm.
    growth_mm : float
        Diameter growth of the wood at the wound over the year, in mm.
    season : str
        When the cut was made.
    stub_mm : float
        Stub left beyond the collar, in mm.
    rows : Closure, optional
        Coefficients; by default the table's.

    Returns
    -------
    float
        Open width at the end of the year, never below 0.

    Raises
    ------
    RangeError
        If a width, growth or stub is negative.

    Source
    ------
    seifert2010 for the slope, neely1988_width for the signs of the exponents; form and size own.

    Examples
    --------
    >>> close_wound_mm(20.0, 8.0)
    9.6
    """
    if width_mm < 0 or growth_mm < 0 or stub_mm < 0:
        raise out_of_range(
            "wound width, growth and stub", f"{width_mm}, {growth_mm}, {stub_mm} mm", "0 mm or more"
        )
    if width_mm == 0 or growth_mm == 0:
        return width_mm
    c = closure_rows() if rows is None else rows
    stub = max(0.0, 1.0 - c.stub_loss_frac * stub_mm)
    return max(0.0, width_mm - stub * _closed_mm(width_mm, growth_mm, season, c))


def _closed_mm(width_mm: float, growth_mm: float, season: str, c: Closure) -> float:
    """Width that a year's growth closes, without a stub."""
    wide = float((width_mm / c.width_reference_mm) ** c.width_exponent_ratio)
    fast = float((growth_mm / c.growth_reference_mm) ** c.growth_exponent_ratio)
    return c.closure_ratio * season_factor(season) * wide * fast * growth_mm


def years_to_close(
    width_mm: float, growth_mm_year: float, *, season: str = "spring", rows: Closure | None = None
) -> float:
    """Years until a wound is closed at a steady growth, infinite where the wood does not grow.

    Parameters
    ----------
    width_mm : float
        Open width now, in mm.
    growth_mm_year : float
        Diameter growth at the wound, in mm a year.
    season : str
        When the cut was made.
    rows : Closure, optional
        Coefficients; by default the table's.

    Returns
    -------
    float
        Years, with the part of the last one.

    Raises
    ------
    RangeError
        If a width or the growth is negative.

    Source
    ------
    seifert2010, neely1988_width: as `close_wound_mm`, year by year.

    Examples
    --------
    >>> years_to_close(20.0, 0.0)
    inf
    """
    if width_mm < 0 or growth_mm_year < 0:
        raise out_of_range("wound width and growth", f"{width_mm}, {growth_mm_year} mm", "0 mm or more")
    if width_mm == 0:
        return 0.0
    if growth_mm_year == 0:
        return math.inf
    c = closure_rows() if rows is None else rows
    left_mm = width_mm
    for year in range(MOST_YEARS):
        closed_mm = _closed_mm(left_mm, growth_mm_year, season, c)
        if closed_mm >= left_mm:
            return year + left_mm / closed_mm
        left_mm -= closed_mm
    return math.inf
