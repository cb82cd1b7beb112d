from __future__ import annotations

import pytest

from ringwise.kit.errors import InputError, RangeError, UnknownNameError
from ringwise.rootzone.mix import (
    component_name,
    grain_for,
    gross_cm3,
    own_recipe,
    recipe,
    split,
)


@pytest.mark.parametrize(
    ("code", "parts"),
    [
        ("D", (2, 1, 1)),
        ("V", (1, 1, 1)),
        ("C", (1, 2, 2)),
        ("W", (3, 1, 1)),
        ("A", (3, 1)),
        ("T", (2, 1, 1, 0.4)),
        ("S", (1, 1, 1)),
    ],
)
def test_recipes_of_the_trade(code: str, parts: tuple[float, ...]) -> None:
    mix = recipe(code)
    assert tuple(share for _component, share in mix.parts) == parts
    assert mix.why
    assert mix.use


def test_bark_of_the_warm_mix_is_a_tenth_of_its_four_parts() -> None:
    parts = dict(recipe("T").parts)
    bark = parts.pop("aged_bark")
    assert bark == pytest.approx(0.1 * sum(parts.values()))


def test_unknown_recipe_offers_names() -> None:
    with pytest.raises(UnknownNameError, match="mix is"):
        recipe("Z")


def test_own_recipe() -> None:
    mix = own_recipe("mine", {"sharp_grit": 1, "pumice": 3, "lava": 0})
    assert split(400.0, mix) == {"sharp_grit": 100.0, "pumice": 300.0}
    assert component_name("sharp_grit") == "sharp grit"
    with pytest.raises(InputError, match="no part above zero"):
        own_recipe("none", {"pumice": 0})
    with pytest.raises(RangeError, match="part of pumice is -1"):
        own_recipe("none", {"pumice": -1})


@pytest.mark.parametrize(
    ("depth_mm", "cut"),
    [(39, (2, 4)), (40, (3, 6)), (69, (3, 6)), (70, (3, 8)), (119, (3, 8)), (120, (4, 10))],
)
def test_particle_size_by_depth(depth_mm: float, cut: tuple[float, float]) -> None:
    grain = grain_for(depth_mm)
    assert (grain.from_mm, grain.to_mm) == cut


def test_seed_mix_is_fine_whatever_the_depth() -> None:
    assert grain_for(150, "S").to_mm == 3
    assert grain_for(150, "D").to_mm == 10
    with pytest.raises(RangeError, match="substrate depth"):
        grain_for(0)


def test_gross_takes_the_growers_own_figures() -> None:
    assert gross_cm3(1000, settle_factor=1.0, waste_factor=1.0) == 1000
    assert gross_cm3(1000, settle_factor=1.2, waste_factor=1.0) == pytest.approx(1200)
    with pytest.raises(RangeError, match="net volume"):
        gross_cm3(-1)
