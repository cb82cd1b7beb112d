"""Wound closure against published slopes and signs.

Seifert, Nickel & Pretzsch 2010, Trees 24:797-808, abstract: 1.3 mm closed for each mm of diameter growth.
Neely 1979, J. Arboric. 5(6):135-140, abstract: widths of 11/16, 1/2 and 3/8 inch close in a season.
Neely 1988, J. Arboric. 14(6):148-152, abstract: large wounds close more mm a year, slow growers more for
each unit of growth. Neely 1970: order of the seasons.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from ringwise.growth.wounds import close_wound_mm, closure_rows, season_factor, years_to_close

PLAIN = replace(closure_rows(), width_exponent_ratio=0.0, growth_exponent_ratio=0.0)


@pytest.mark.parametrize(("growth", "years"), [(4.0, 3.846), (8.0, 1.923), (12.0, 1.282)])
def test_a_twenty_millimetre_wound(growth: float, years: float) -> None:
    assert years_to_close(20.0, growth, rows=PLAIN) == pytest.approx(years, abs=1e-3)
    assert years_to_close(20.0, growth, rows=PLAIN) * growth == pytest.approx(15.385, abs=1e-3)


def test_without_growth_nothing_closes() -> None:
    assert years_to_close(20.0, 0.0) == math.inf
    assert close_wound_mm(20.0, 0.0) == 20.0


@pytest.mark.parametrize(("width", "growth"), [(17.5, 13.46), (12.7, 9.77), (9.5, 7.31)])
def test_widths_that_close_in_one_season(width: float, growth: float) -> None:
    assert years_to_close(width, growth, rows=PLAIN) == pytest.approx(1.0, abs=1e-3)


def test_larger_wounds_close_more_a_year_and_slow_wood_more_for_its_growth() -> None:
    small, large = (w - close_wound_mm(w, 4.0) for w in (10.0, 30.0))
    assert large > small
    slow, fast = ((30.0 - close_wound_mm(30.0, g)) / g for g in (3.0, 9.0))
    assert slow > fast


def test_seasons_in_their_published_order() -> None:
    factors = [season_factor(s) for s in ("spring", "summer", "winter", "autumn")]
    assert factors == sorted(factors, reverse=True)
    assert len(set(factors)) == 4
