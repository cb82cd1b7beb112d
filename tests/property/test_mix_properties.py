"""What holds for any packing and any mix, whatever its parts."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwise.rootzone.blend import blend
from ringwise.rootzone.components import component_keys
from ringwise.rootzone.container import container_state
from ringwise.rootzone.mix import Grain, own_recipe
from ringwise.rootzone.packing import packed
from ringwise.rootzone.pot import PotLengths, pot_shape

classes = st.lists(
    st.tuples(st.floats(0.05, 5), st.floats(0.2, 12), st.floats(0.45, 0.68)), min_size=1, max_size=5
)
parts = st.dictionaries(st.sampled_from(component_keys()), st.floats(0.1, 5), min_size=1, max_size=4)


@given(classes)
def test_mixing_never_makes_volume_and_the_order_does_not_matter(rows: list[tuple[float, ...]]) -> None:
    volumes, sizes, alone = zip(*rows, strict=True)
    fraction, kept = packed(volumes, sizes, alone)
    assert kept <= 1 + 1e-9
    assert min(alone) - 1e-9 <= fraction < 1
    turned = packed(volumes[::-1], sizes[::-1], alone[::-1])
    assert np.allclose(turned, (fraction, kept), rtol=1e-9)


@given(classes, st.floats(0.2, 12))
def test_equal_sizes_lose_nothing(rows: list[tuple[float, ...]], size_mm: float) -> None:
    volumes, _sizes, alone = zip(*rows, strict=True)
    _fraction, kept = packed(volumes, [size_mm] * len(rows), alone)
    assert np.isclose(kept, 1.0, rtol=1e-9)


@given(st.floats(0.05, 5), st.floats(0.2, 12), st.floats(0.3, 0.75), st.floats(1, 20))
def test_one_class_alone_fills_what_it_fills(volume: float, size: float, alone: float, index: float) -> None:
    if alone >= 0.99 * index / (1 + index):
        return
    assert np.allclose(packed([volume], [size], [alone], index), (alone, 1.0), rtol=1e-9)


@settings(deadline=None, max_examples=30)
@given(parts, st.floats(0.0, 0.5), st.floats(0.0, 0.4), st.floats(30, 120))
def test_more_broken_grains_never_leave_more_air(
    shares: dict[str, float], broken: float, more: float, depth_mm: float
) -> None:
    pot = pot_shape("prism", PotLengths(depth_mm=depth_mm))
    mix = own_recipe("any", shares)
    young, old = (
        container_state(pot, blend(mix, broken_frac=frac).curve) for frac in (broken, broken + more)
    )
    assert float(old.air_filled_porosity_v) <= float(young.air_filled_porosity_v) + 1e-9


@settings(deadline=None, max_examples=25)
@given(parts, st.integers(0, 5))
def test_draws_of_any_mix_are_curves_that_a_pot_can_hold(shares: dict[str, float], seed: int) -> None:
    mixed = blend(own_recipe("any", shares), draws=50, seed=seed, grain=Grain(3, 6, 1.5))
    curve = mixed.curve  # its own check refuses shares that do not sum to 1, or more pores than volume
    assert curve.draws == 50
    assert np.all(mixed.yield_frac > 0.5)
    assert np.all(mixed.bulk_kg_l > 0)
    assert np.all(mixed.cec_cmol_l >= 0)
    again = blend(own_recipe("any", shares), draws=50, seed=seed, grain=Grain(3, 6, 1.5))
    assert np.array_equal(again.curve.alphas_per_cm, curve.alphas_per_cm)


@settings(deadline=None, max_examples=25)
@given(parts)
def test_the_order_of_parts_does_not_matter(shares: dict[str, float]) -> None:
    turned = dict(reversed(shares.items()))
    one, other = (blend(own_recipe("any", each)) for each in (shares, turned))
    suctions = np.array([0.0, 3.0, 10.0, 50.0, 300.0])
    assert np.allclose(one.curve.theta_v(suctions), other.curve.theta_v(suctions), rtol=1e-9)


@settings(deadline=None, max_examples=25)
@given(st.sampled_from(component_keys()), st.lists(st.floats(0.1, 5), min_size=1, max_size=3))
def test_a_component_with_itself_is_the_component(key: str, volumes: list[float]) -> None:
    alone = blend(own_recipe("one", {key: 1.0}))
    more = blend(own_recipe("more", {key: sum(volumes)}))
    assert np.allclose(alone.curve.shares, more.curve.shares)
    assert np.isclose(more.yield_frac, 1.0)
