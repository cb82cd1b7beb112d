"""A population of wounds closes as the compiled year closes each of them, and keeps to the signs in print.

Neely 1988, J. Arboric. 14(6):148-152, abstract: wounds narrower than 12 mm close within a year on trees in
the ground. Neely 1970 (as reported in Perry & Hickman 1987): spring, summer, winter, autumn in that order.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringwise.growth import layout as at
from ringwise.growth.start import empty_arrays
from ringwise.growth.wound_population import WoundRanges, closed_share
from ringwise.growth.wounds import SEASONS
from ringwise.kit import chance
from ringwise.kit.chance import Purpose
from ringwise.kit.errors import RangeError, UnknownNameError

FIELD = WoundRanges((6.0, 45.0), (6.0, 14.0))


def test_each_wound_closes_as_in_the_compiled_year() -> None:
    from ringwise.growth import kernels

    count, years = 300, 3
    each = np.arange(count)
    width = 6.0 + 39.0 * chance.uniform(5, each, 0, 0, Purpose.CLOSURE, 0)
    growth = 6.0 + 8.0 * chance.uniform(5, each, 0, 0, Purpose.CLOSURE, 1)
    spread = (math.log(1.6) - math.log(1.0)) / 2.0
    coefficient = 1.3 * np.exp(spread * chance.normal(5, each, 0, 0, Purpose.CLOSURE, 1))
    closed = 0
    par = np.zeros(at.PARAMETERS)
    par[[at.P_WIDTH, at.P_GROWTH, at.P_WIDTH_REFERENCE, at.P_GROWTH_REFERENCE]] = 0.2, -0.2, 20.0, 8.0
    for one in range(count):
        tree = empty_arrays(1)
        tree[4][0], tree[1][at.PARENT, 0] = 1, -1
        tree[0][at.WOUND, 0], tree[0][at.GROWN, 0] = width[one], growth[one]
        par[at.P_CLOSURE] = coefficient[one]
        for year in range(years):
            kernels.close_wounds(tree, par, (5, 0, year))
        closed += tree[0][at.WOUND, 0] == 0.0
    assert closed_share(count, FIELD, (years,), seed=5)[years] == pytest.approx(closed / count, abs=1e-9)


def test_seasons_in_their_published_order_and_more_close_with_the_years() -> None:
    shares = [
        closed_share(4000, WoundRanges((6.0, 45.0), (6.0, 14.0), season), (1, 3, 5), seed=2)
        for season in SEASONS
    ]
    for year in (1, 3, 5):
        told = [share[year] for share in shares]
        assert told == sorted(told, reverse=True)
        assert len(set(told)) == 4
    assert all(share[1] < share[3] < share[5] for share in shares)


def test_narrow_wounds_mostly_close_in_a_year_in_the_ground() -> None:
    assert closed_share(4000, WoundRanges((6.0, 12.0), (9.8, 14.0)), (1,), seed=2)[1] > 0.75


def test_without_growth_or_behind_a_long_stub_nothing_closes() -> None:
    assert closed_share(500, WoundRanges((6.0, 45.0), (0.0, 0.0)), (30,), seed=1)[30] == 0.0
    assert closed_share(500, WoundRanges((6.0, 45.0), (6.0, 14.0), stub_mm=20.0), (30,), seed=1)[30] == 0.0


def test_the_seed_alone_decides() -> None:
    assert closed_share(900, FIELD, (3,), seed=4) == closed_share(900, FIELD, (3,), seed=4)
    assert closed_share(900, FIELD, (3,), seed=4) != closed_share(900, FIELD, (3,), seed=5)


@pytest.mark.parametrize(
    ("count", "ranges", "years"),
    [
        (0, FIELD, (1,)),
        (10, FIELD, (0,)),
        (10, FIELD, ()),
        (10, WoundRanges((6.0, 4.0), (6.0, 14.0)), (1,)),
        (10, WoundRanges((6.0, 45.0), (-6.0, 14.0)), (1,)),
        (10, WoundRanges((6.0, 45.0), (6.0, 14.0), stub_mm=-1.0), (1,)),
    ],
)
def test_what_does_not_fit_is_refused(count: int, ranges: WoundRanges, years: tuple[int, ...]) -> None:
    with pytest.raises(RangeError):
        closed_share(count, ranges, years, seed=1)


def test_a_month_is_no_season() -> None:
    with pytest.raises(UnknownNameError, match="Accepted: autumn, spring, summer, winter"):
        closed_share(10, WoundRanges((6.0, 45.0), (6.0, 14.0), "may"), (1,), seed=1)
