"""What people read: dates, numbers, chances, bands, and balances that close or say why not."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from ringwise.kit import show
from ringwise.kit.balance import TOLERANCE, close
from ringwise.kit.errors import BalanceError, RangeError
from ringwise.kit.ranged import Ranged, ranged
from ringwise.kit.words import _, counted


def test_dates() -> None:
    assert show.day(date(2027, 3, 4)) == "4 Mar"
    assert show.day(date(2027, 3, 4), year=True) == "4 Mar 2027"
    assert show.day(None) == "unknown"


def test_spans_do_not_repeat_the_month() -> None:
    assert show.span(date(2027, 3, 14), date(2027, 3, 26)) == "14 to 26 Mar"
    assert show.span(date(2027, 3, 14), date(2027, 4, 2)) == "14 Mar to 2 Apr"
    assert show.span(date(2027, 3, 14), date(2028, 3, 14)) == "14 Mar to 14 Mar"
    assert show.span(date(2027, 3, 14), date(2027, 3, 14)) == "14 Mar"


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (9.357, 3, "9.36"),
        (9.357, 2, "9.4"),
        (0.0, 2, "0"),
        (1250.0, 2, "1250"),
        (0.00123, 2, "0.0012"),
        (-0.5, 2, "-0.5"),
        (10.0, 2, "10"),
        (float("nan"), 2, "unknown"),
    ],
)
def test_numbers(value: float, digits: int, text: str) -> None:
    assert show.number(value, digits) == text


LENGTHS = [(4.25, "4.2 mm"), (99.0, "99 mm"), (100.0, "10 cm"), (3400.0, "3.4 m"), (-41.0, "-41 mm")]


@pytest.mark.parametrize(("value_mm", "text"), LENGTHS)
def test_lengths(value_mm: float, text: str) -> None:
    assert show.length(value_mm) == text


@pytest.mark.parametrize(("value_cm3", "text"), [(392.0, "390 cm³"), (499.0, "500 cm³"), (9357.0, "9.4 L")])
def test_volumes(value_cm3: float, text: str) -> None:
    assert show.litres(value_cm3) == text


@pytest.mark.parametrize(
    ("prob", "text"),
    [
        (0.0, "very unlikely, under 1 in 20"),
        (0.1, "unlikely, about 1 in 10"),
        (0.3, "rather unlikely, about 3 in 10"),
        (0.5, "even odds, about 5 in 10"),
        (0.7, "likely, about 7 in 10"),
        (0.9, "very likely, about 9 in 10"),
        (1.0, "very likely, over 19 in 20"),
        (float("nan"), "unknown"),
    ],
)
def test_chances_are_words_first(prob: float, text: str) -> None:
    assert show.chance(prob) == text


@pytest.mark.parametrize(
    ("minutes_min", "text"),
    [(0.0, "0 min"), (90.0, "90 min"), (119.4, "119 min"), (120.0, "2 h"), (450.0, "7.5 h")],
)
def test_hours(minutes_min: float, text: str) -> None:
    assert show.hours(minutes_min) == text


def test_words_without_a_catalogue_are_english() -> None:
    assert _("unknown") == "unknown"
    assert counted("{n} tree", "{n} trees", 1) == "1 tree"
    assert counted("{n} tree", "{n} trees", 0) == "0 trees"


def test_a_band_holds_its_median() -> None:
    band = ranged(np.arange(101.0), "measured")
    assert (band.low, band.median, band.high, band.basis) == (10.0, 50.0, 90.0, "measured")
    with pytest.raises(RangeError):
        Ranged(5.0, 6.0, 7.0)


@pytest.mark.parametrize("samples", [[], [1.0, float("nan")]])
def test_a_band_of_nothing_is_refused(samples: list[float]) -> None:
    with pytest.raises(RangeError):
        ranged(np.array(samples))


def test_a_closed_balance_says_nothing() -> None:
    close("water_cm3", change=-3.0, gains={"rain": 5.0}, losses={"drained": 6.0, "used": 2.0})
    close("water_cm3", change=0.0, gains={}, losses={})


def test_an_open_balance_says_every_term_and_where() -> None:
    with pytest.raises(BalanceError) as caught:
        close("water_cm3", change=1.0, gains={"rain": 5.0}, losses={"drained": 3.0}, where="pot P03, day 12")
    assert (
        str(caught.value)
        == "pot P03, day 12: water_cm3 does not close: change 1, rain +5, drained -3, residual -1"
    )


def test_the_tolerance_is_relative() -> None:
    close("x", change=1e6 * (1 + TOLERANCE / 2), gains={"in": 1e6}, losses={})
    with pytest.raises(BalanceError):
        close("x", change=1e6 * (1 + TOLERANCE * 2), gains={"in": 1e6}, losses={})


def test_a_balance_with_a_missing_number_does_not_pass() -> None:
    with pytest.raises(BalanceError):
        close("x", change=float("nan"), gains={"in": 1.0}, losses={})
