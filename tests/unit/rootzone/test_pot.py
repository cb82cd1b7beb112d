from __future__ import annotations

import math

import pytest

from ringwise.kit.errors import InputError, MissingFieldError, RangeError, UnitError, UnknownNameError
from ringwise.rootzone.pot import AREA_FACTOR, Fill, PotLengths, pot_shape, practice_fill
from ringwise.rootzone.pot_reading import PotWords, read_pot


@pytest.mark.parametrize(
    ("shape", "sizes", "area_cm2"),
    [
        ("rectangle", (300, 200), 600.0),
        ("oval", (500, 370), math.pi * 25 * 18.5),
        ("round", (280,), math.pi * 14**2),
        # regular polygons by their apothem: area = n a^2 tan(pi/n), with a half the width across flats
        ("hexagon", (200,), 6 * 10**2 * math.tan(math.pi / 6)),
        ("octagon", (200,), 8 * 10**2 * math.tan(math.pi / 8)),
        ("prism", (), 1.0),
    ],
)
def test_plan_area_of_each_shape(shape: str, sizes: tuple[float, ...], area_cm2: float) -> None:
    pot = pot_shape(shape, PotLengths(depth_mm=80, top_mm=sizes))
    assert pot.area_mm2 / 100 == pytest.approx(area_cm2, rel=1e-12)


def test_area_by_height_meets_both_ends() -> None:
    pot = pot_shape("rect", PotLengths(depth_mm=70, top_mm=(300, 220), bottom_mm=(260, 180)))
    assert pot.area_at_mm2(0) == pytest.approx(260 * 180)
    assert pot.area_at_mm2(70) == pytest.approx(300 * 220)
    assert pot.area_at_mm2(35) == pytest.approx(280 * 200)


def test_sloping_pot_with_drops_starts_above_the_floor() -> None:
    pot = pot_shape("rect", PotLengths(depth_mm=70, top_mm=(300, 220), bottom_mm=(260, 180)), Fill(7.0, 14.0))
    assert pot.fill_height_mm == pytest.approx(49)
    assert pot.area_at_mm2(0) == pytest.approx((260 + 40 * 0.2) * (180 + 40 * 0.2))
    assert pot.area_at_mm2(49) == pytest.approx((260 + 40 * 0.9) * (180 + 40 * 0.9))


def test_taper_is_never_applied_unless_asked() -> None:
    pot = pot_shape("oval", PotLengths(500, 370, 80))
    assert pot.taper_frac == 1.0
    assert pot.filled(practice_fill(pot)).taper_frac == 0.92
    sloping = pot_shape("oval", PotLengths(depth_mm=80, top_mm=(500, 370), bottom_mm=(460, 330)))
    assert practice_fill(sloping).taper_frac == 1.0


@pytest.mark.parametrize("word", ["rect", "Rectangle", " RECT "])
def test_rect_is_an_alias(word: str) -> None:
    assert pot_shape(word, PotLengths(300, 200, 80)).shape == "rectangle"


def test_one_length_of_a_square_and_a_round_pot() -> None:
    assert pot_shape("rectangle", PotLengths(300, None, 80)).width_mm == 300
    assert pot_shape("round", PotLengths(300, None, 80)).width_mm == 300


@pytest.mark.parametrize(
    ("lengths", "line"),
    [
        (PotLengths(300, 200, -30), "pot depth is -3 cm; accepted: 0.5 to 200 cm."),
        (PotLengths(300, 200, 0), "pot depth is 0 cm; accepted: 0.5 to 200 cm."),
        (PotLengths(300, 200, math.nan), "pot depth is unknown cm; accepted: 0.5 to 200 cm."),
        (PotLengths(5, 200, 80), "pot length is 0.5 cm; accepted: 1 to 300 cm."),
        (PotLengths(300, 4000, 80), "pot width is 400 cm; accepted: 1 to 300 cm."),
    ],
)
def test_a_measure_out_of_range_is_one_clear_line(lengths: PotLengths, line: str) -> None:
    with pytest.raises(RangeError) as caught:
        pot_shape("rect", lengths)
    assert str(caught.value) == line
    assert caught.value.exit_code == 2


def test_missing_measures_are_named() -> None:
    with pytest.raises(MissingFieldError, match="pot depth is missing"):
        pot_shape("rect", PotLengths(300, 200))
    with pytest.raises(MissingFieldError, match="pot top size is missing"):
        pot_shape("rect", PotLengths(depth_mm=80))
    with pytest.raises(MissingFieldError, match="pot width is missing"):
        pot_shape("oval", PotLengths(300, None, 80))


def test_what_does_not_fit_together_is_refused() -> None:
    with pytest.raises(UnknownNameError, match="Did you mean: oval"):
        pot_shape("ovel", PotLengths(300, 200, 80))
    with pytest.raises(InputError, match="one width"):
        pot_shape("round", PotLengths(300, 200, 80))
    with pytest.raises(InputError, match="3 lengths"):
        pot_shape("rect", PotLengths(depth_mm=80, top_mm=(1, 2, 3)))
    with pytest.raises(RangeError, match="together is 8 cm"):
        pot_shape("rect", PotLengths(300, 200, 80), Fill(40, 40))
    with pytest.raises(RangeError, match="taper factor is 0"):
        pot_shape("rect", PotLengths(300, 200, 80), Fill(taper_frac=0.2))
    with pytest.raises(InputError, match="Give one"):
        pot_shape(
            "rect", PotLengths(depth_mm=80, top_mm=(300, 200), bottom_mm=(200, 100)), Fill(taper_frac=0.9)
        )


def test_typed_words_carry_their_units() -> None:
    by_inch = read_pot("rect", PotWords(top="12x9 in", depth="2.5 in"))
    assert (by_inch.length_mm, by_inch.width_mm) == pytest.approx((304.8, 228.6))
    assert by_inch.depth_mm == pytest.approx(63.5)
    assert read_pot("rect", PotWords("30", "20", "8", rim="5")).rim_drop_mm == 5.0
    assert read_pot("rect", PotWords("30", "20", "8")).depth_mm == 80.0
    assert read_pot("rect", PotWords(bottom="26x18cm", top="30x22cm", depth="7cm")).bottom_width_mm == 180.0
    assert read_pot("rect", PotWords("30", "20", "8", taper="92 %")).taper_frac == pytest.approx(0.92)


def test_typed_words_that_are_no_lengths() -> None:
    with pytest.raises(RangeError, match="pot depth is -3 cm"):
        read_pot("oval", PotWords("50cm", "37cm", "-3cm"))
    with pytest.raises(UnitError, match="pot depth"):
        read_pot("oval", PotWords("50cm", "37cm", "8 kg"))


def test_every_shape_has_an_area() -> None:
    for shape in AREA_FACTOR:
        assert pot_shape(shape, PotLengths(100, 100, 50)).volume_cm3 > 0
