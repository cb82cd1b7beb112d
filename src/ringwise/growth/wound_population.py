"""Many pruning wounds at once: which share of them has closed after so many years."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringwise.growth.biology import spread_of
from ringwise.growth.wounds import MOST_YEARS, closure_rows, season_factor
from ringwise.kit import chance
from ringwise.kit.chance import Purpose
from ringwise.kit.errors import out_of_range
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray

MOST_WOUNDS = 1_000_000
_WIDTH, _GROWTH, _COEFFICIENT = 0, 1, 1  # entities of the draws; the normal uses 2 and 3


@dataclass(frozen=True)
class WoundRanges:
    """Uniform ranges of width and of yearly diameter growth beside the wound, and when the cuts were made."""

    width_mm: tuple[float, float]
    growth_mm: tuple[float, float]
    season: str = "spring"
    stub_mm: float = 0.0


def closed_share(count: int, ranges: WoundRanges, years: Sequence[int], *, seed: int) -> dict[int, float]:
    """Share of a population of wounds that has closed after so many years.

    Parameters
    ----------
    count : int
        Wounds, 1 to a million.
    ranges : WoundRanges
        What is drawn for each wound; its growth is the same every year.
    years : sequence of int
        Years of growth after the cut, 1 to 1000 each.
    seed : int
        Of the draws.

    Returns
    -------
    dict of int to float
        Closed share by year, 0 to 1.

    Raises
    ------
    RangeError
        If the count, a year, a range or the stub is out of bounds.
    UnknownNameError
        If there is no such season.

    Source
    ------
    seifert2010 (slope), neely1988_width (signs), neely1970 (seasons): the yearly step of `close_wound_mm`.

    Examples
    --------
    >>> ranges = WoundRanges((10.0, 10.0), (30.0, 30.0))
    >>> closed_share(100, ranges, (1,), seed=1)
    {1: 1.0}
    """
    _check(count, ranges, years)
    width, growth, coefficient = _drawn(count, ranges, seed)
    c = closure_rows()
    keep = season_factor(ranges.season) * max(0.0, 1.0 - c.stub_loss_frac * ranges.stub_mm)
    pace = np.zeros(count)
    grows = growth > 0
    pace[grows] = (growth[grows] / c.growth_reference_mm) ** c.growth_exponent_ratio * growth[grows]
    pace *= keep * coefficient
    shares: dict[int, float] = {}
    for year in range(1, max(years) + 1):
        step = pace * (width / c.width_reference_mm) ** c.width_exponent_ratio
        width = np.where(width > 0, np.maximum(0.0, width - step), 0.0)
        if year in years:
            shares[year] = float(np.mean(width <= 0))
    return {year: shares[year] for year in years}


def _check(count: int, ranges: WoundRanges, years: Sequence[int]) -> None:
    if not 1 <= count <= MOST_WOUNDS:
        raise out_of_range("wounds", str(count), f"1 to {MOST_WOUNDS}")
    if not years:
        raise out_of_range("years", "none", f"1 to {MOST_YEARS}")
    for year in years:
        if not 1 <= year <= MOST_YEARS:
            raise out_of_range("years", str(year), f"1 to {MOST_YEARS}")
    for name, (low, high) in (("wound width", ranges.width_mm), ("diameter growth", ranges.growth_mm)):
        if not 0 <= low <= high:
            raise out_of_range(name, f"{low:g} to {high:g} mm", "from 0 mm up, the lower end first")
    if ranges.stub_mm < 0:
        raise out_of_range("stub", f"{ranges.stub_mm:g} mm", "0 mm or more")


def _drawn(count: int, ranges: WoundRanges, seed: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Width, yearly growth and closure coefficient of each wound."""
    each = np.arange(count)
    row = spread_of(load_table("ringwise.growth", "wounds").get("any", "closure"))
    z = chance.normal(seed, each, 0, 0, Purpose.CLOSURE, _COEFFICIENT)
    drawn = []
    for entity, (low, high) in ((_WIDTH, ranges.width_mm), (_GROWTH, ranges.growth_mm)):
        drawn.append(low + (high - low) * chance.uniform(seed, each, 0, 0, Purpose.CLOSURE, entity))
    return drawn[0], drawn[1], row.middle * np.exp(row.sd * z)
