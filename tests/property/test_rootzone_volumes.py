from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringwise.rootzone.batches import MixNeed, batches
from ringwise.rootzone.litres import MixOrder
from ringwise.rootzone.mix import own_recipe, recipe, recipe_codes, split
from ringwise.rootzone.pot import Fill, PotLengths, PotShape, pot_shape
from ringwise.rootzone.potting import PotJob, potting

SIDES = st.floats(60, 900)
DEPTHS = st.floats(30, 300)
SHAPES = st.sampled_from(["rectangle", "oval", "round", "hexagon", "octagon"])


@st.composite
def pots(draw: st.DrawFn, most_slope: float = 1.5) -> PotShape:
    shape = draw(SHAPES)
    sides = (draw(SIDES),) if shape in {"round", "hexagon", "octagon"} else (draw(SIDES), draw(SIDES))
    slope = draw(st.floats(0.5, most_slope))
    bottom = tuple(side * slope for side in sides) if draw(st.booleans()) else ()
    return pot_shape(shape, PotLengths(depth_mm=draw(DEPTHS), top_mm=sides, bottom_mm=bottom))


@given(pots(), st.floats(1.01, 2.0))
def test_volume_grows_with_the_cube_of_size(pot: PotShape, scale: float) -> None:
    bottom = (
        ()
        if pot.bottom_length_mm is None or pot.bottom_width_mm is None
        else _sides(pot, pot.bottom_length_mm, pot.bottom_width_mm, scale)
    )
    top = _sides(pot, pot.length_mm, pot.width_mm, scale)
    larger = pot_shape(pot.shape, PotLengths(depth_mm=pot.depth_mm * scale, top_mm=top, bottom_mm=bottom))
    assert larger.volume_cm3 == pytest.approx(pot.volume_cm3 * scale**3, rel=1e-9)


def _sides(pot: PotShape, length: float, width: float, scale: float) -> tuple[float, ...]:
    return (
        (length * scale,) if pot.shape in {"round", "hexagon", "octagon"} else (length * scale, width * scale)
    )


@given(pots(), st.floats(0, 0.4), st.floats(0, 0.4))
def test_allowances_never_add_volume(pot: PotShape, rim: float, base: float) -> None:
    filled = pot.filled(Fill(rim * pot.depth_mm, base * pot.depth_mm))
    assert 0 < filled.volume_cm3 <= pot.volume_cm3 * (1 + 1e-12)


@given(pots(), st.floats(0, 1))
def test_area_stays_between_floor_and_rim(pot: PotShape, share: float) -> None:
    ends = sorted((pot.area_at_mm2(0), pot.area_at_mm2(pot.fill_height_mm)))
    area = pot.area_at_mm2(share * pot.fill_height_mm)
    assert ends[0] * (1 - 1e-9) <= area <= ends[1] * (1 + 1e-9)


@given(st.dictionaries(st.sampled_from("abcdefg"), st.floats(0.01, 10), min_size=1), st.floats(0, 1e6))
def test_parts_add_up_to_the_whole(parts: dict[str, float], gross: float) -> None:
    assert sum(split(gross, own_recipe("any", parts)).values()) == pytest.approx(gross)


@given(
    st.lists(st.tuples(st.sampled_from(recipe_codes()), st.floats(1, 5e4)), min_size=1, max_size=12),
    st.floats(20, 5000),
)
def test_batches_make_enough_and_never_a_whole_scoop_too_much(
    needs: list[tuple[str, float]], scoop: float
) -> None:
    made = batches([MixNeed(str(i), recipe(c), v) for i, (c, v) in enumerate(needs)], scoop_cm3=scoop)
    assert sum(batch.gross_cm3 for batch in made) == pytest.approx(sum(volume for _code, volume in needs))
    for batch in made:
        for (component, volume), (same, count) in zip(batch.parts_cm3, batch.scoops, strict=True):
            assert component == same
            assert volume - 1e-5 * scoop <= count * scoop < volume + scoop
        assert batch.leftover_cm3 == pytest.approx(batch.made_cm3 - batch.gross_cm3)


@given(pots(most_slope=1.0), st.sampled_from(recipe_codes()), st.floats(0, 0.95))  # a ball passes the rim
def test_keeping_more_of_the_ball_never_needs_more_mix(pot: PotShape, code: str, kept: float) -> None:
    some = potting(PotJob(pot, MixOrder(recipe(code), kept_frac=kept)))
    none = potting(PotJob(pot, MixOrder(recipe(code), kept_frac=0.0)))
    assert some.gross_cm3 <= none.gross_cm3
    assert some.refill_cm3 == pytest.approx(none.refill_cm3 * (1 - kept))
