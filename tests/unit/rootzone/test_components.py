"""Components: names, near names, own ones from weights, spread."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from ringwise.kit.errors import InputError, RangeError, UnknownNameError
from ringwise.rootzone.blend import blend
from ringwise.rootzone.components import component, component_key, component_keys, component_name
from ringwise.rootzone.container import container_state
from ringwise.rootzone.measured import BedWeighings, measured_component
from ringwise.rootzone.mix import Recipe, own_recipe
from ringwise.rootzone.packing import packed
from ringwise.rootzone.pot import PotLengths, pot_shape
from ringwise.rootzone.spread import Amount, drawn

SEEN = BedWeighings(1000, 100, 2, 5, 50, 530, 1350, 1060)


def test_former_names_and_others_are_understood() -> None:
    assert component("clay_granule").key == component("Akadama").key == "akadama"
    assert component("acid granule").key == "kanuma"
    assert component("composted-bark").key == "aged_bark"
    assert component_name("composted_bark") == "composted bark"
    assert component_key("My grit") == "my_grit"


def test_parts_under_two_names_of_one_component_are_added() -> None:
    assert own_recipe("mine", {"clay_granule": 1, "akadama": 2, "pumice": 1}).parts == (
        ("akadama", 3.0),
        ("pumice", 1.0),
    )


def test_an_unknown_component_is_told_with_near_names() -> None:
    with pytest.raises(UnknownNameError, match="pumice"):
        component("pumise")
    with pytest.raises(UnknownNameError):
        blend(Recipe("x", (("moon_dust", 1.0),)))


def test_parts_that_sum_to_zero_are_refused() -> None:
    with pytest.raises(InputError, match="no part above zero"):
        own_recipe("mine", {"pumice": 0.0})
    with pytest.raises(InputError, match="add up to zero"):
        packed([0, 0], [3, 6], [0.6, 0.6])


def test_percent_given_as_a_number_is_asked_back() -> None:
    with pytest.raises(RangeError, match=r"Did you enter percent\? Write 60 %\."):
        packed([1], [3], [60])


def test_an_own_component_holds_in_its_vessel_what_it_held() -> None:
    made = measured_component("my_clay", SEEN)
    assert made.bulk_kg_l.value == pytest.approx(0.48)
    assert made.open_porosity_v.value == pytest.approx(0.82)
    curve = blend(Recipe("one", (("my_clay", 1.0),)), own={"my_clay": made}).curve
    vessel = pot_shape("prism", PotLengths(depth_mm=100))
    assert float(container_state(vessel, curve).theta_v) == pytest.approx(0.53, abs=1e-6)


def test_an_own_component_of_closed_grains_has_no_pores_in_them() -> None:
    made = measured_component("my_grit", replace(SEEN, dry_g=1500, soaked_g=1950, drained_g=1560))
    assert made.grain_porosity_v == pytest.approx(0.0)
    assert made.packing_frac.value == pytest.approx(0.55)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"drained_g": 1400.0}, "Check which is which"),
        ({"dry_g": 40.0}, "Check which is which"),
        ({"volume_cm3": 500.0}, "open porosity from the weights is 1.64"),
        ({"drained_g": 1345.0}, "no room between grains"),
        ({"grain_to_mm": 1.0}, "largest grain is 1 mm"),
        ({"height_mm": 0.0}, "height of the vessel"),
        ({"volume_cm3": 90.0, "soaked_g": 560.0, "drained_g": 550.0}, "bulk density from the weights"),
    ],
)
def test_weights_that_contradict_are_one_line(change: dict[str, float], words: str) -> None:
    with pytest.raises(InputError, match=words) as told:
        measured_component("my_clay", replace(SEEN, **change))
    assert "\n" not in str(told.value)


def test_draws_have_the_spread_that_they_are_given() -> None:
    normal = drawn(Amount(10.0, 2.0), "a", 4000, 1)
    assert normal.mean() == pytest.approx(10.0, abs=0.15)
    assert normal.std() == pytest.approx(2.0, rel=0.05)
    ratio = drawn(Amount(10.0, 0.4, ratio=True), "a", 4000, 1)
    assert np.median(ratio) == pytest.approx(10.0, rel=0.03)
    assert np.log(ratio).std() == pytest.approx(0.4, rel=0.05)


def test_what_two_mixes_share_has_the_same_luck() -> None:
    one = blend(own_recipe("a", {"pumice": 1}), draws=20, seed=4)
    other = blend(own_recipe("b", {"pumice": 2}), draws=20, seed=4)
    assert np.array_equal(one.bulk_kg_l, other.bulk_kg_l)
    assert not np.array_equal(one.bulk_kg_l, blend(one.recipe, draws=20, seed=5).bulk_kg_l)


def test_components_without_read_numbers_are_drawn_wider() -> None:
    spread = {key: component(key).bulk_kg_l for key in component_keys()}
    for key in ("pumice", "kanuma", "kiryu", "zeolite", "diatomite", "fired_clay"):
        assert spread[key].sd == pytest.approx(0.25 * spread[key].value, rel=0.01), key
    assert spread["lava"].sd < 0.15 * spread["lava"].value
