"""Whatever the mix and the pot: what cannot be otherwise with water at rest."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringwise.rootzone.container import CoarseLayer, container_state, filling_state
from ringwise.rootzone.pot import PotLengths, PotShape, pot_shape
from ringwise.rootzone.retention import RetentionCurve, curve
from ringwise.rootzone.sections import Level, Mound, bowl_sections, cut, pot_sections, volume_cm3
from ringwise.rootzone.tilt import tilted, tilted_section

SHAPES = st.sampled_from(["rectangle", "oval", "round", "hexagon", "octagon"])
ALPHAS, NS = st.floats(0.005, 1.5), st.floats(1.03, 6.0)


@st.composite
def curves(draw: st.DrawFn) -> RetentionCurve:
    residual = draw(st.floats(0.0, 0.2))
    saturated = residual + draw(st.floats(0.1, 0.75))
    share = draw(st.floats(0.05, 1.0))
    modes = [(share, draw(ALPHAS), draw(NS))]
    if share < 1:
        modes.append((1 - share, draw(ALPHAS), draw(NS)))
    return curve(residual, saturated, modes)


@st.composite
def pots(draw: st.DrawFn, *, outward: bool = False) -> PotShape:
    shape = draw(SHAPES)
    long = draw(st.floats(80, 500))
    sides = (long,) if shape in {"round", "hexagon", "octagon"} else (long, long * draw(st.floats(0.5, 1.0)))
    slope = draw(st.floats(0.6, 0.95) if outward else st.floats(0.6, 1.4))
    bottom = tuple(side * slope for side in sides)
    return pot_shape(shape, PotLengths(depth_mm=draw(st.floats(20, 200)), top_mm=sides, bottom_mm=bottom))


def prism(height_mm: float) -> PotShape:
    return pot_shape("prism", PotLengths(depth_mm=height_mm))


@given(curves(), st.floats(0, 1e4), st.floats(0, 1e3))
def test_a_mix_never_holds_more_at_more_suction(mix: RetentionCurve, suction: float, more: float) -> None:
    wet, dry = mix.theta_v([suction, suction + more])
    assert mix.residual_v - 1e-12 <= dry <= wet + 1e-12 <= mix.saturated_v + 2e-12
    assert float(mix.capacity_per_cm(suction)) >= 0


@given(curves(), st.floats(0.01, 1e3))
def test_water_given_up_is_the_slope_of_the_curve(mix: RetentionCurve, suction: float) -> None:
    step = suction * 1e-4
    above, below = mix.theta_v([suction + step, suction - step])
    assert float(mix.capacity_per_cm(suction)) == pytest.approx(
        (below - above) / (2 * step), rel=1e-4, abs=1e-9
    )


@given(curves(), st.floats(0.02, 0.98))
def test_suction_of_a_water_content_gives_it_back(mix: RetentionCurve, part: float) -> None:
    wanted = float(mix.residual_v + part * mix.span_v)
    found = float(mix.suction_cm(wanted))
    if found < 1e25:  # the flattest curves reach no such water content this side of it
        assert float(mix.theta_v(found)) == pytest.approx(wanted, abs=1e-9)


@given(curves(), st.floats(10, 400), st.floats(1.05, 3.0))
def test_a_deeper_pot_holds_less_by_volume_and_more_air(
    mix: RetentionCurve, height: float, times: float
) -> None:
    shallow, deep = (container_state(prism(each), mix) for each in (height, height * times))
    assert deep.theta_v <= shallow.theta_v + 1e-12
    assert deep.air_filled_porosity_v >= shallow.air_filled_porosity_v - 1e-12


@given(curves(), pots())
def test_water_and_air_fill_the_pores_and_the_bottom_has_least_air(
    mix: RetentionCurve, pot: PotShape
) -> None:
    state = container_state(pot, mix)
    assert float(state.theta_v + state.air_filled_porosity_v) == pytest.approx(
        float(mix.saturated_v), abs=1e-12
    )
    assert -1e-12 <= state.air_bottom_v <= state.air_filled_porosity_v + 1e-9
    assert state.theta_top_v - 1e-9 <= state.theta_v <= state.theta_bottom_v + 1e-9


@given(curves(), pots(outward=True))
def test_a_pot_wide_at_the_bottom_holds_more_than_one_wide_at_the_top(
    mix: RetentionCurve, pot: PotShape
) -> None:
    rim, floor = (pot.length_mm, pot.width_mm), (pot.bottom_length_mm or 0.0, pot.bottom_width_mm or 0.0)
    sides = (slice(0, 1) if pot.shape in {"round", "hexagon", "octagon"} else slice(0, 2),)
    turned = pot_shape(
        pot.shape, PotLengths(depth_mm=pot.depth_mm, top_mm=floor[sides[0]], bottom_mm=rim[sides[0]])
    )
    assert turned.volume_cm3 == pytest.approx(pot.volume_cm3, rel=1e-12)
    assert container_state(turned, mix).water_cm3 >= container_state(pot, mix).water_cm3 * (1 - 1e-12)


@given(curves(), pots(), st.floats(1, 75))
def test_tilting_never_adds_water_nor_takes_volume(mix: RetentionCurve, pot: PotShape, tilt: float) -> None:
    level, leaning = container_state(pot, mix), container_state(pot, mix, tilt_deg=tilt)
    assert leaning.water_cm3 <= level.water_cm3 * (1 + 1e-9)
    assert volume_cm3(tilted(pot, tilt)) == pytest.approx(pot.volume_cm3, rel=1e-9)


@given(curves(), st.floats(50, 400), st.floats(20, 150), st.floats(1, 75))
def test_slices_of_a_straight_pot_equal_the_exact_section(
    mix: RetentionCurve, long: float, tall: float, tilt: float
) -> None:
    # A bottom a thousandth of a millimetre shorter sends the same pot through the general slices.
    lengths = PotLengths(depth_mm=tall, top_mm=(long, 100.0), bottom_mm=(long - 1e-3, 100.0))
    sliced = filling_state(tilted(pot_shape("rectangle", lengths), tilt), mix)
    exact = filling_state(tilted_section(long, tall, tilt), mix)
    assert float(sliced.theta_v) == pytest.approx(float(exact.theta_v), abs=2e-3)


@given(pots(), st.floats(1.1, 3.0))
def test_volume_grows_with_the_cube_with_a_mound_too(pot: PotShape, times: float) -> None:
    small = Mound(10, pot.length_mm / 2, pot.width_mm / 2)
    large = Mound(10 * times, small.length_mm * times, small.width_mm * times)
    bottom = (pot.bottom_length_mm or 0.0, pot.bottom_width_mm or 0.0)
    grown = PotShape(
        pot.shape,
        pot.length_mm * times,
        pot.width_mm * times,
        pot.depth_mm * times,
        bottom_length_mm=bottom[0] * times,
        bottom_width_mm=bottom[1] * times,
    )
    before, after = volume_cm3(pot_sections(pot, small)), volume_cm3(pot_sections(grown, large))
    assert after == pytest.approx(before * times**3, rel=1e-9)


@given(curves(), pots())
def test_a_bowl_of_two_slices_is_the_pot(mix: RetentionCurve, pot: PotShape) -> None:
    levels = [
        Level(0.0, pot.bottom_length_mm or 0.0, pot.bottom_width_mm or 0.0),
        Level(pot.depth_mm, pot.length_mm, pot.width_mm),
    ]
    bowl = filling_state(bowl_sections(pot.shape, levels), mix)
    assert float(bowl.water_cm3) == pytest.approx(float(container_state(pot, mix).water_cm3), rel=1e-9)


@given(curves(), st.floats(40, 200), st.floats(5, 30), st.floats(0.1, 2.0))
def test_mix_on_a_coarse_layer_has_no_more_air_than_on_as_much_mix(
    mix: RetentionCurve, tall: float, layer: float, alpha: float
) -> None:
    above = container_state(prism(tall), mix, coarse_layer=CoarseLayer(layer, alpha))
    on_mix = filling_state(cut(pot_sections(prism(tall)), layer / 10, tall / 10), mix)
    assert above.volume_cm3 == pytest.approx(on_mix.volume_cm3, rel=1e-9)
    assert above.air_filled_porosity_v <= on_mix.air_filled_porosity_v + 1e-9


@given(st.lists(curves(), min_size=2, max_size=4), pots(), st.floats(5, 60))
def test_draws_together_equal_draws_one_by_one(
    mixes: list[RetentionCurve], pot: PotShape, tilt: float
) -> None:
    two = [
        mix
        if mix.ns.size == 2
        else curve(
            float(mix.residual_v),
            float(mix.saturated_v),
            [(0.5, float(mix.alphas_per_cm[0]), float(mix.ns[0]))] * 2,
        )
        for mix in mixes
    ]
    together = RetentionCurve(
        *(np.stack([getattr(mix, name) for mix in two]) for name in RetentionCurve.__dataclass_fields__)
    )
    assert together.draws == len(mixes)
    for tilt_deg in (0.0, tilt):
        state = container_state(pot, together, tilt_deg=tilt_deg)
        for i in range(len(mixes)):
            alone = container_state(pot, together.one(i), tilt_deg=tilt_deg)
            assert state.water_cm3[i] == pytest.approx(float(alone.water_cm3), rel=1e-9)
            assert state.saturated_layer_cm[i] == pytest.approx(float(alone.saturated_layer_cm), rel=1e-9)
