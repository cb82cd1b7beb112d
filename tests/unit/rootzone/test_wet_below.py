"""Dry on top and wet below: told by mass and suction, not before anything has dried, and for every draw."""

from __future__ import annotations

import numpy as np
import pytest

from ringwise.rootzone.balance import DailyForcing, PotDemand, held_by, run
from ringwise.rootzone.blend import blend
from ringwise.rootzone.container import container_state
from ringwise.rootzone.mix import recipe
from ringwise.rootzone.pot import PotLengths, PotShape, pot_shape
from ringwise.rootzone.retention import RetentionCurve, curve
from ringwise.rootzone.wet_below import drying_profile, lasts, wet_below

FINE = curve(
    0.05, 0.6, [(1, 0.02, 1.8)]
)  # a mix gone to fines: it holds its water against the height of a pot


def _deep() -> PotShape:
    return pot_shape("rectangle", PotLengths(300, 200, 80))


@pytest.mark.parametrize("mix", ["D", "V", "A"])
def test_the_profile_begins_at_what_the_pot_holds_drained(mix: str) -> None:
    pot = pot_shape("rectangle", PotLengths(depth_mm=70, top_mm=(300, 220), bottom_mm=(260, 180)))
    held = blend(recipe(mix)).curve
    state = container_state(pot, held)
    profile = drying_profile(pot, held)
    assert profile.water_cm3[0, 0] == pytest.approx(float(state.water_cm3), rel=1e-3)
    assert profile.saturated_v[0] - profile.bottom_v[0, 0] == pytest.approx(
        float(state.air_bottom_v), abs=1e-3
    )


def test_a_pot_just_drained_is_not_dry_on_top() -> None:
    profile = drying_profile(_deep(), FINE)
    told = wet_below(profile, profile.water_cm3[0, 0], 0.0)
    assert not told.warns
    assert float(told.bottom_air_v) < 0.1


def test_air_alone_dries_the_top_and_leaves_the_bottom_wet() -> None:
    profile = drying_profile(_deep(), FINE)
    full = float(profile.water_cm3[0, 0])
    lost_mm = np.array([0.0, 2.0, 5.0, 8.0])
    told = wet_below(profile, full - lost_mm * profile.top_cm3_per_mm[0], lost_mm)
    assert np.allclose(told.bottom_air_v, told.bottom_air_v[0], atol=1e-6)  # nothing was drawn from below
    assert np.allclose(np.diff(told.top_v), -np.diff(lost_mm) / 20.0)  # a layer of 20 mm, by hand
    assert told.warns.tolist() == [False, False, True, True]


def test_roots_alone_draw_evenly_and_do_not_warn() -> None:
    profile = drying_profile(_deep(), FINE)
    told = wet_below(profile, np.linspace(0.3, 1.0, 30) * float(profile.water_cm3[0, 0]), 0.0)
    assert not told.warns.any()


@pytest.mark.parametrize(
    ("held", "leaf_m2", "warned"),
    [
        (FINE, 0.0, True),  # a weak tree in a mix gone to fines: sour
        (FINE, 0.3, False),  # a strong tree draws it down itself
        (blend(recipe("D")).curve, 0.0, False),  # an open mix drains its bottom before long
        (blend(recipe("D")).curve, 0.3, False),
    ],
)
def test_the_sour_pot_is_the_weak_tree_in_fines(held: RetentionCurve, leaf_m2: float, warned: bool) -> None:
    pot = _deep()
    water = held_by(pot, held, container_state(pot, held))
    told = run(PotDemand(water, leaf_m2), DailyForcing(np.full((1, 12), 4.0), np.zeros((1, 12))))
    evaporated_mm = np.cumsum(told.evaporated_cm3, axis=-1) / (water.area_m2[0] * 1000)
    seen = wet_below(drying_profile(pot, held), told.water_cm3, evaporated_mm)
    assert bool(lasts(seen.warns)[0, 0]) is warned
    assert (seen.top_v >= 0).all()


def test_each_draw_is_looked_at_with_its_own_curve() -> None:
    draws = RetentionCurve(
        np.array([0.05, 0.02]),
        np.array([0.6, 0.45]),
        np.ones((2, 1)),
        np.array([[0.02], [0.455]]),
        np.array([[1.8], [3.0]]),
    )
    profile = drying_profile(_deep(), draws)
    water = np.repeat((profile.water_cm3[:, :1] - 360.0), 3, axis=1)
    told = wet_below(profile, water, 6.0)
    assert told.warns.shape == (2, 3)
    assert told.warns[0].all()
    assert not told.warns[1].any()
