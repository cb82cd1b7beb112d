"""A mix for a purpose, its modifiers, how it meets old soil, how long its grains last."""

from __future__ import annotations

import math

import pytest

from ringwise.kit.errors import UnknownNameError
from ringwise.rootzone.breakdown import grain_life
from ringwise.rootzone.components import ph_span
from ringwise.rootzone.mix import Grain, grain_for, own_recipe, recipe, recipe_codes
from ringwise.rootzone.pot import PotLengths, pot_shape
from ringwise.rootzone.purpose import (
    PURPOSES,
    Site,
    checked_purpose,
    feed_words,
    looks_for,
    modifiers,
    purpose_row,
    texture_words,
)

TRAY = pot_shape("rectangle", PotLengths(300, 220, 60))
SHALLOW = pot_shape("rectangle", PotLengths(300, 220, 45))


def test_every_purpose_names_recipes_that_are_there() -> None:
    for purpose in PURPOSES:
        assert set(purpose_row(purpose, "recipes").items) <= set(recipe_codes())
        assert looks_for(purpose)


def test_an_unknown_purpose_is_told() -> None:
    with pytest.raises(UnknownNameError, match="build"):
        checked_purpose("built")


@pytest.mark.parametrize(
    ("site", "codes"),
    [
        (Site(), []),  # nothing is known: nothing is offered
        (Site(rain_mm_year=600, hottest_et0_mm_day=4), []),
        (Site(rain_mm_year=950), ["V", "D+lava"]),  # common practice: wet and shallow, more open
        (Site(hottest_et0_mm_day=7), ["W"]),  # common practice: hot and shallow, holds more
        (Site(rain_mm_year=950, hottest_et0_mm_day=7), ["D+lava"]),  # the two pull apart
    ],
)
def test_shallow_pots_are_offered_what_their_place_asks(site: Site, codes: list[str]) -> None:
    assert [each.recipe.code for each in modifiers(recipe("D"), SHALLOW, site)] == codes


def test_a_deep_pot_in_a_wet_place_is_offered_lava_only() -> None:
    (only,) = modifiers(recipe("D"), TRAY, Site(rain_mm_year=900))
    assert dict(only.recipe.parts) == {"akadama": 2, "pumice": 1, "lava": 2}
    assert "900" in only.why


def test_a_mix_that_keeps_little_wants_feed_often() -> None:
    assert feed_words(1.0) != feed_words(5.0) != feed_words(12.0)
    assert "often" in feed_words(1.0)


def test_the_step_in_texture_counts_both_ways() -> None:
    assert "coarser" in texture_words((2.0, 2.0), 5.0)
    assert "finer" in texture_words((5.0, 5.0), 2.0)
    assert "acts as one" in texture_words((4.0, 4.2), 4.1)
    assert texture_words((1.5, 4.0), 4.0).startswith("up to 2.7 times coarser")


def test_ph_is_a_range_and_no_mean() -> None:
    assert ph_span(["kanuma", "lava"]) == (4.5, 8.0)


def test_more_of_what_crumbles_lasts_less() -> None:
    lives = [grain_life(recipe(code), grain_for(60), TRAY).median_years for code in ("W", "D", "V", "C")]
    assert lives == sorted(lives)
    assert lives[0] > 0


def test_nothing_crumbles_where_no_part_does() -> None:
    stone = grain_life(own_recipe("stone", {"pumice": 1, "lava": 1}), grain_for(60), TRAY)
    assert not stone.crumbles
    assert math.isinf(stone.median_years)


def test_a_mix_too_fine_for_a_pot_has_no_life_in_it() -> None:
    fine = grain_life(recipe("S"), Grain(1, 3, 1), pot_shape("rectangle", PotLengths(300, 220, 30)))
    assert fine.median_years == 0.0


def test_crumbling_takes_air_and_sinks_the_surface() -> None:
    life = grain_life(recipe("D"), grain_for(60), TRAY)
    assert all(early > late for early, late in zip(life.air_v, life.air_v[1:], strict=False))
    assert all(early < late for early, late in zip(life.sunk_frac, life.sunk_frac[1:], strict=False))
