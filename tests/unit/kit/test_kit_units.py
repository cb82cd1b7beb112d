"""What people type becomes one number in the unit used inside, or one clear line."""

from __future__ import annotations

import subprocess
import sys

import pytest

from ringwise.kit.errors import InputError, RangeError, UnitError, UnknownNameError
from ringwise.kit.units import KINDS, in_range, kind_of, parse_dimensions_mm, parse_quantity


@pytest.mark.parametrize(
    ("text", "kind", "inside"),
    [
        ("12 cm", "length", 120.0),
        ("12cm", "length", 120.0),
        ("12", "length", 12.0),
        ("3/4 in", "length", 19.05),
        ("1 1/2 in", "length", 38.1),
        ('2"', "length", 50.8),
        ("1 ft", "length", 304.8),
        ("1,5 m", "length", 1500.0),
        ("1e2 mm", "length", 100.0),
        (".5 m", "length", 500.0),
        ("2 L", "volume", 2000.0),
        ("1 gal", "volume", 3785.411784),
        ("1 lb", "mass", 453.59237),
        ("16 oz", "mass", 453.59237),
        ("-3,5 degC", "temperature", -3.5),
        ("32 degF", "temperature", 0.0),
        ("-40 °F", "temperature", -40.0),
        ("273.15 K", "temperature", 0.0),
        ("30 %", "fraction", 0.3),
        ("0.3", "fraction", 0.3),
        ("36 km/h", "speed", 10.0),
        ("1 kn", "speed", 1852 / 3600),
        ("100 W/m2", "radiation", 8.64),
        ("47.6 S", "latitude", -47.6),
        ("2 min", "time", 120.0),
        ("1.5 h", "duration", 90.0),
    ],
)
def test_quantity_reads(text: str, kind: str, inside: float) -> None:
    assert parse_quantity(text, kind, field="x") == pytest.approx(inside, rel=1e-12, abs=1e-12)


def test_bare_number_has_the_unit_of_its_flag() -> None:
    assert parse_quantity("12", "length", field="x", default_unit="cm") == 120.0


@pytest.mark.parametrize(
    "text", ["", "cm", "twelve cm", "1..2 cm", "--3 cm", "12 cm 3", "nan", "inf mm", "1/ cm"]
)
def test_no_quantity_is_refused_with_field_and_text(text: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse_quantity(text, "length", field="pot depth")
    assert "pot depth" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_unit_of_another_kind_is_refused_with_the_accepted_ones() -> None:
    with pytest.raises(UnitError, match=r'unit "kg" does not fit a length\. Accepted units: mm, cm, m'):
        parse_quantity("12 kg", "length", field="pot depth")


@pytest.mark.parametrize("text", ["1/0 in", "1 1/0 in", "1e999 mm", "1e400"])
def test_a_number_beyond_numbers_is_an_input_error(text: str) -> None:
    with pytest.raises(InputError):
        parse_quantity(text, "length", field="trunk")


def test_a_huge_exponent_answers_at_once() -> None:
    # In its own process: an exact 10 ** 999999999 would not return and could not be interrupted.
    program = (
        "from ringwise.kit.units import parse_quantity as p; p('1e999999999 mm', 'length', field='trunk')"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, timeout=20, check=False
    )
    assert "UnitError: trunk is" in done.stderr


@pytest.mark.parametrize(
    ("text", "sides_mm"),
    [
        ("12x9x2.5 in", (304.8, 228.6, 63.5)),
        ("42x31x7.5 cm", (420, 310, 75)),
        ("30 x 28 cm", (300, 280)),
        ("30 cm x 280 mm", (300, 280)),
        ("30*28", (300, 280)),
        ("30 by 28 by 8", (300, 280, 80)),
        ("1 1/2 x 2 in", (38.1, 50.8)),
        ("30", (300,)),
    ],
)
def test_dimensions_read(text: str, sides_mm: tuple[float, ...]) -> None:
    assert parse_dimensions_mm(text, field="pot") == pytest.approx(sides_mm)


@pytest.mark.parametrize("text", ["", "x", "1x2x3x4x5", "12x9 kg", "12xx", "a x b"])
def test_bad_dimensions_are_refused(text: str) -> None:
    with pytest.raises(UnitError):
        parse_dimensions_mm(text, field="pot")


def test_range_holds_its_ends_and_refuses_nan() -> None:
    for value in (0.0, 5.0, 10.0):
        assert in_range(value, 0.0, 10.0, field="vigour", shown="", accepted="0 to 10") == value
    for value in (-0.001, 10.001, float("nan")):
        with pytest.raises(RangeError, match="vigour is this; accepted: 0 to 10"):
            in_range(value, 0.0, 10.0, field="vigour", shown="this", accepted="0 to 10")


def test_kind_by_name() -> None:
    assert kind_of("mass").inside == "g"
    with pytest.raises(UnknownNameError, match="length"):
        kind_of("lenght")


@pytest.mark.parametrize("name", sorted(KINDS))
def test_the_unit_inside_converts_to_itself(name: str) -> None:
    assert parse_quantity(f"7 {KINDS[name].inside}", name, field="x") == pytest.approx(
        7.0 if name != "fraction" else 7
    )
