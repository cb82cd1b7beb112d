"""Values of measures as a grower reads them: units once, a closed wound closed, in both languages."""

from __future__ import annotations

import math

import pytest

from ringwise.futures.measured import measured, measured_span
from ringwise.futures.view import MeasureText
from ringwise.kit import show
from ringwise.kit.reading import Reading, reading

WOUND = MeasureText("wound_mm", "Widest open wound", "mm", "wider", "smaller")
BASE = MeasureText("base_mm", "Trunk", "mm", "thicker", "thinner")
SHARE = MeasureText("leader_frac", "Leader", "frac", "higher", "lower")


@pytest.mark.parametrize(
    ("value_mm", "told"),
    [
        (0.0, "all closed"),
        (0.1, "all closed"),
        (0.49, "all closed"),
        (0.5, "under 1 mm"),
        (0.99, "under 1 mm"),
        (1.0, "1 mm"),
        (12.3, "12 mm"),
        (math.nan, "unknown"),
    ],
)
def test_a_wound_that_no_eye_sees_is_closed(value_mm: float, told: str) -> None:
    assert measured(WOUND, value_mm) == told


def test_a_range_has_its_unit_once() -> None:
    assert measured_span(BASE, 12.0, 15.0) == "12 to 15 mm"
    assert measured_span(BASE, 87.0, 102.0) == "87 to 102 mm"
    assert measured_span(BASE, 95.0, 1200.0) == "9.5 to 120 cm"
    assert measured_span(WOUND, 0.1, 3.0) == "all closed to 3 mm"
    assert measured_span(WOUND, 0.6, 3.0) == "under 1 to 3 mm"
    assert measured_span(SHARE, 0.3, 0.45) == "30 to 45%"
    assert measured_span(SHARE, 0.3, 0.3) == "30%"


def test_a_range_in_inches_has_its_unit_once() -> None:
    with reading(Reading("en", "inch")):
        assert measured_span(BASE, 25.4, 38.1) == "1 to 1 1/2 in"
        assert measured(WOUND, 0.7) == "under 1/16 in"


def test_german_parts_number_and_percent_by_a_space_that_does_not_break() -> None:
    # Source: DIN 5008: a number and its percent sign are parted by a space that does not break (from memory).
    with reading(Reading("de")):
        assert show.percent(0.3) == "30\N{NO-BREAK SPACE}%"
        assert measured_span(SHARE, 0.3, 0.45) == "30 bis 45\N{NO-BREAK SPACE}%"
        assert measured_span(BASE, 12.0, 15.0) == "12 bis 15 mm"
        assert measured(WOUND, 0.1) == "alle geschlossen"
