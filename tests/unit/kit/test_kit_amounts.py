"""Amounts as people read them, against the definitions of the units and Unicode CLDR by way of Babel.

1 in = 25.4 mm and 1 lb = 0.45359237 kg: international yard and pound agreement, 1959. 1 US gallon = 231 in3
and 1 gallon = 4 quarts: NIST Handbook 44, appendix C (recalled). degF = 9/5 degC + 32 by definition.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date
from fractions import Fraction

import pytest
from babel.dates import format_date
from babel.numbers import format_decimal
from hypothesis import given
from hypothesis import strategies as st

from ringwise.kit import show
from ringwise.kit.reading import Reading, reading


@pytest.fixture
def inches() -> Iterator[None]:
    with reading(Reading(units="inch")):
        yield


def on_tape(text: str) -> Fraction:
    """A length such as "1 5/8 in" in inches."""
    *parts, unit = text.split()
    assert unit == "in"
    return sum((Fraction(each) for each in parts), Fraction(0))


@given(st.floats(min_value=25.4 / 32, max_value=120 * 25.4))
def test_inches_are_the_nearest_mark_of_the_tape(value_mm: float) -> None:
    exact = Fraction(value_mm) / Fraction("25.4")
    marks = ((1, Fraction(1, 16)), (6, Fraction(1, 8)), (36, Fraction(1, 4)))
    mark = next((size for top, size in marks if exact < top), Fraction(1))
    with reading(Reading(units="inch")):
        shown = on_tape(show.length(value_mm))
    assert abs(shown - exact) <= mark / 2 + Fraction(1, 10**9)
    assert (shown / mark).denominator == 1


@pytest.mark.parametrize(
    ("value_mm", "text"),
    [
        (25.4, "1 in"),
        (12.7, "1/2 in"),
        (41.0, "1 5/8 in"),  # 1.614
        (152.4, "6 in"),
        (520.0, "20 1/2 in"),  # 20.47
        (914.4, "36 in"),
        (2540.0, "100 in"),
        (3.175, "1/8 in"),
        (8.0, "5/16 in"),  # 0.315
        (0.5, "0.02 in"),  # too small for a tape: decimals
        (0.0, "0 in"),
        (-25.4 * 1.5, "-1 1/2 in"),
    ],
)
@pytest.mark.usefixtures("inches")
def test_lengths_in_inches(value_mm: float, text: str) -> None:
    assert show.length(value_mm) == text


@pytest.mark.usefixtures("inches")
def test_other_amounts_for_inch_readers() -> None:
    assert show.dimensions((420.0, 310.0, 76.2)) == "16 1/2 × 12 1/4 × 3 in"  # 16.54, 12.20, 3.00
    assert show.length_span(25.4, 50.8) == "1 to 2 in"
    assert show.area(645.16 * 20) == "20 in²"  # 1 in2 = 645.16 mm2
    assert show.fine(6.35) == "0.25 in"
    assert show.rain(25.4) == "1.00 in"
    assert show.temperature(-40.0) == "-40 °F"
    assert show.temperature(100.0) == "212 °F"
    assert show.mass(453.59237 * 12.5) == "12.5 lb"
    assert show.mass(453.59237 / 2) == "8 oz"
    assert show.mass_span(453.59237 * 12, 453.59237 * 15) == "12 to 15 lb"
    assert show.litres(3785.411784 * 2.5) == "9.5 L (2.5 gal)"
    assert show.litres(3785.411784 / 2) == "1.9 L (2 qt)"
    assert show.litres(90.0) == "90 cm³"
    assert show.wire_span(2.0, 2.5) == "2 to 2.5 mm"


def test_metric_readers_see_no_inch() -> None:
    shown = (
        show.length(41.0),
        show.litres(9463.5),
        show.mass(5670.0),
        show.mass(227.0),
        show.temperature(-2.4),
        show.rain(25.4),
        show.fine(6.25),
        show.litres(5.0),
    )
    assert shown == ("41 mm", "9.5 L", "5.67 kg", "227 g", "-2 °C", "25 mm", "6.25 mm", "5 cm³")


@pytest.mark.parametrize("month", range(1, 13))
def test_days_read_as_unicode_cldr_has_them(month: int) -> None:
    when = date(2027, month, 9)
    with reading(Reading("de")):
        assert show.day(when) == format_date(when, "d. MMM", locale="de").rstrip(".")
        assert show.day(when, year=True) == f"{show.day(when)} 2027"
    assert show.day(when) == format_date(when, "d MMM", locale="en")


@given(st.floats(min_value=0.01, max_value=9999))
def test_the_decimal_mark_is_the_one_of_unicode_cldr(value: float) -> None:
    point = show.fixed(value, 2)
    with reading(Reading("de")):
        comma = show.fixed(value, 2)
    assert comma == format_decimal(
        float(point), "0.00", locale="de", group_separator=False, decimal_quantization=True
    )


def test_german_amounts_and_words() -> None:
    with reading(Reading("de")):
        assert show.span(date(2027, 3, 14), date(2027, 3, 26)) == "14. bis 26. März"
        assert show.span(date(2027, 3, 29), date(2027, 4, 2)) == "29. März bis 2. Apr"
        assert show.length(3400.0) == "3,4 m"
        assert show.dimensions((420.0, 310.0, 75.0)) == "42 × 31 × 7,5 cm"
        assert show.litres(9357.0) == "9,4 L"
        assert show.percent(0.3) == "30\N{NO-BREAK SPACE}%"  # DIN 5008: a blank before the sign
        assert show.chance(0.7) == "wahrscheinlich, etwa 7 von 10"
        assert show.odds(0.02) == "unter 1 von 20"


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_a_missing_value_is_said_to_be_unknown(units: str) -> None:
    with reading(Reading(units="inch" if units == "inch" else "metric")):
        for shown in (show.length, show.temperature, show.rain, show.number, show.percent):
            assert shown(math.nan) == "unknown"
