"""What must hold for every number, date and key, not only for the ones we thought of."""

from __future__ import annotations

import contextlib
import math
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringwise.kit import show
from ringwise.kit.balance import close
from ringwise.kit.chance import Purpose, normal, uniform
from ringwise.kit.days import GrowingYear, growing_year, parse_date
from ringwise.kit.errors import InputError, near_names, unknown_name
from ringwise.kit.ranged import ranged
from ringwise.kit.units import KINDS, parse_dimensions_mm, parse_quantity

DAYS = st.dates(date(1800, 1, 1), date(2200, 12, 31))
PAIRS = [(kind, unit) for kind in sorted(KINDS) for unit in sorted(KINDS[kind].units)]
TYPED = st.text(alphabet="0123456789.,/-+eE xX*by cminfkgLo%°\"'µ\n\t", max_size=14) | st.text(max_size=12)
HUGE = [
    "1/0",
    "1e999",
    "9e99999",
    "0/0 in",
    "-1 1/0 cm",
    "1e-400 mm",
    "x",
    "12x",
    "\u0661\u0662 cm",
    "1\u2044 2 in",
]


@given(pair=st.sampled_from(PAIRS), value=st.floats(-1e6, 1e6))
def test_a_quantity_comes_back_from_its_unit(pair: tuple[str, str], value: float) -> None:
    kind, unit = pair
    factor, offset = KINDS[kind].units[unit]
    inside = parse_quantity(f"{value!r} {unit}", kind, field="x")
    assert (inside - offset) / factor == pytest.approx(value, rel=1e-9, abs=1e-6)


@given(whole=st.integers(0, 500), top=st.integers(0, 63), bottom=st.integers(1, 64))
def test_fractions_of_an_inch_are_exact(whole: int, top: int, bottom: int) -> None:
    typed = parse_quantity(f"{whole} {top}/{bottom} in", "length", field="x")
    assert typed == pytest.approx((whole + top / bottom) * 25.4, rel=1e-12)


@pytest.mark.parametrize("text", HUGE)
@pytest.mark.parametrize("kind", ["length", "temperature", "fraction"])
def test_odd_texts_are_read_or_refused(text: str, kind: str) -> None:
    with contextlib.suppress(InputError):
        assert math.isfinite(parse_quantity(text, kind, field="x"))


@given(text=TYPED, kind=st.sampled_from(sorted(KINDS)))
def test_any_text_is_a_finite_quantity_or_an_input_error(text: str, kind: str) -> None:
    with contextlib.suppress(InputError):
        assert math.isfinite(parse_quantity(text, kind, field="x"))


@given(text=TYPED)
def test_any_text_is_dimensions_or_an_input_error(text: str) -> None:
    with contextlib.suppress(InputError):
        sides = parse_dimensions_mm(text, field="pot")
        assert 1 <= len(sides) <= 4
        assert all(math.isfinite(side) for side in sides)


@given(text=TYPED | DAYS.map(str))
def test_any_text_is_a_day_or_an_input_error(text: str) -> None:
    with contextlib.suppress(InputError):
        assert isinstance(parse_date(text, field="--on"), date)


@given(sides=st.lists(st.integers(1, 2000), min_size=1, max_size=4), unit=st.sampled_from(["mm", "cm", "in"]))
def test_the_last_unit_counts_for_all_sides(sides: list[int], unit: str) -> None:
    text = "x".join(str(side) for side in sides) + f" {unit}"
    factor = KINDS["length"].units[unit][0]
    assert parse_dimensions_mm(text, field="pot") == pytest.approx([side * factor for side in sides])


@given(when=DAYS, south=st.booleans())
def test_every_day_lies_in_exactly_one_growing_year(when: date, south: bool) -> None:
    year = growing_year(when, south=south)
    holds = [
        label
        for label in range(when.year - 2, when.year + 3)
        if GrowingYear(label, south).start <= when <= GrowingYear(label, south).end
    ]
    assert holds == [year.label]


@given(label=st.integers(1800, 2200), south=st.booleans())
def test_growing_years_touch_and_hold_their_marks(label: int, south: bool) -> None:
    year = GrowingYear(label, south)
    assert year.end + timedelta(days=1) == GrowingYear(label + 1, south).start
    assert year.start < year.year_start < year.heat_start < year.end
    assert year.length_days in {365, 366}


@given(label=st.integers(1800, 2200))
def test_the_southern_year_lies_half_a_year_later(label: int) -> None:
    north, south = GrowingYear(label), GrowingYear(label, south=True)
    for mark in ("start", "year_start", "heat_start"):
        gap_days = (getattr(south, mark) - getattr(north, mark)).days
        assert 180 < gap_days < 185
        assert getattr(north, mark).day == getattr(south, mark).day


@given(when=DAYS, south=st.booleans())
def test_a_day_comes_back_from_its_index(when: date, south: bool) -> None:
    year = growing_year(when, south=south)
    assert year.day_at(float(year.day_index(when))) == when


@given(
    seed=st.integers(0, 2**63 - 1),
    key=st.tuples(*[st.integers(0, 2**31)] * 4),
    purpose=st.sampled_from(list(Purpose)),
)
def test_a_draw_is_open_repeatable_and_alone(
    seed: int, key: tuple[int, int, int, int], purpose: Purpose
) -> None:
    future, year, half, entity = key
    one = uniform(seed, future, year, half, purpose, entity)
    assert 0.0 < one[0] < 1.0
    among = uniform(seed, np.array([future + 1, future, future + 2]), year, half, purpose, entity)
    assert among[1] == one[0]
    assert np.isfinite(normal(seed, future, year, half, purpose, entity)).all()


@given(values=st.lists(st.floats(-1e9, 1e9), min_size=1, max_size=40))
def test_a_band_is_ordered(values: list[float]) -> None:
    band = ranged(np.array(values))
    assert min(values) <= band.low <= band.median <= band.high <= max(values)


@given(
    gains=st.dictionaries(st.sampled_from("abc"), st.floats(0, 1e6)),
    losses=st.dictionaries(st.sampled_from("xyz"), st.floats(0, 1e6)),
)
def test_a_true_balance_closes(gains: dict[str, float], losses: dict[str, float]) -> None:
    close("w", change=math.fsum(gains.values()) - math.fsum(losses.values()), gains=gains, losses=losses)


@given(value=st.floats(1e-9, 1e12), sign=st.sampled_from([-1, 1]), digits=st.integers(1, 6))
def test_a_shown_number_is_near_the_number(value: float, sign: int, digits: int) -> None:
    last_digit = 10 ** (math.floor(math.log10(value)) + 1 - digits)
    shown = float(show.number(sign * value, digits))
    assert abs(shown - sign * value) <= 0.5 * last_digit * (1 + 1e-6)


@given(prob=st.floats(0, 1))
def test_a_chance_is_words_and_never_percent(prob: float) -> None:
    text = show.chance(prob)
    assert "likely" in text or "even odds" in text
    assert "%" not in text
    assert "10 in 10" not in text
    assert "about 0" not in text


@given(name=st.text(max_size=20), known=st.lists(st.text(min_size=1, max_size=20), max_size=20))
def test_an_unknown_name_is_always_one_line_of_known_names(name: str, known: list[str]) -> None:
    assert set(near_names(name, known)) <= set(known)
    assert str(unknown_name("species", name, known)).startswith("species is")
