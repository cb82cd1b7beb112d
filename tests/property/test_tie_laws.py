"""Laws of tying down, carrying and potting that hold for any tree and any pot."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ringwise.rootzone.anchoring import AnchorNeed, anchoring, assumed_holes
from ringwise.rootzone.carry import Posture, limit_kg
from ringwise.rootzone.cut import RootBall, assumed_ball
from ringwise.rootzone.litres import MixOrder, kept_after_cut_frac, litres_for
from ringwise.rootzone.mix import recipe, recipe_codes
from ringwise.rootzone.pot import Fill, PotLengths, PotShape, pot_shape
from ringwise.rootzone.tie_down import Stand, TieCase, stand_limits, tie_down
from ringwise.rootzone.tie_ladder import ladder, needs_ladder
from ringwise.rootzone.tie_plan import windward_arms
from ringwise.rootzone.wire import gauges_mm, thinnest, wire_of

ARMS = st.lists(st.floats(20, 600), min_size=1, max_size=8).map(tuple)
CASES = st.builds(
    TieCase,
    area_m2=st.floats(0.001, 3),
    gust_m_s=st.floats(0, 40),
    grip_mm=st.floats(20, 2000),
    ball_g=st.floats(20, 80_000),
    ball_width_mm=st.floats(20, 800),
    arms_mm=ARMS,
    bare=st.booleans(),
)
SHARES = st.floats(0, 1)


@given(CASES)
def test_no_tension_where_the_weight_is_enough_and_only_there(case: TieCase) -> None:
    held = tie_down(case)
    assert (held.tension_n == 0) == (held.net_nm <= 0)
    assert held.tension_n >= 0
    assert held.tension_n == pytest.approx(held.safety_factor * held.bare_tension_n)


@given(CASES, st.floats(20, 600))
def test_one_more_leg_never_pulls_more(case: TieCase, arm_mm: float) -> None:
    more = replace(case, arms_mm=(*case.arms_mm, arm_mm))
    assert tie_down(more).tension_n <= tie_down(case).tension_n


@given(CASES, st.floats(0, 20))
def test_more_wind_is_never_safer(case: TieCase, more_m_s: float) -> None:
    assert tie_down(replace(case, gust_m_s=case.gust_m_s + more_m_s)).tension_n >= tie_down(case).tension_n


@given(CASES)
def test_a_bare_tree_pulls_no_more_than_one_in_leaf(case: TieCase) -> None:
    leafy = tie_down(replace(case, bare=False))
    assert tie_down(replace(case, bare=True)).tension_n <= leafy.tension_n


@given(st.floats(0.01, 1000), st.sampled_from(["aluminium", "copper"]))
def test_thicker_wire_never_has_less_margin(tension_n: float, material: str) -> None:
    margins = [wire_of(material, gauge, tension_n).margin_factor or 0.0 for gauge in gauges_mm(material)]
    assert margins == sorted(margins)
    chosen = thinnest(material, tension_n)
    if chosen is None:
        assert max(margins) < 1
    else:
        assert chosen.margin_factor is not None
        assert chosen.margin_factor >= 1
        thinner = [gauge for gauge in gauges_mm(material) if gauge < chosen.diameter_mm]
        assert all((wire_of(material, gauge, tension_n).margin_factor or 0) < 1 for gauge in thinner)


@given(CASES)
def test_the_ladder_stands_only_where_3_mm_of_aluminium_does_not_hold(case: TieCase) -> None:
    held = tie_down(case)
    short = wire_of("aluminium", 3.0, held.tension_n).working_n < held.tension_n
    assert needs_ladder(held) == short
    assert bool(ladder(held)) == short


@given(st.floats(100, 80_000), st.floats(30, 800), st.floats(50, 2500), st.floats(0.001, 3))
def test_a_heavier_or_wider_pot_tips_later(
    mass_g: float, foot_mm: float, grip_mm: float, area_m2: float
) -> None:
    stands = Stand(mass_g, foot_mm, grip_mm)
    tip = stand_limits(stands, area_m2, 1.0).tip_m_s
    assert stand_limits(replace(stands, mass_g=1.5 * mass_g), area_m2, 1.0).tip_m_s > tip
    assert stand_limits(replace(stands, foot_mm=1.5 * foot_mm), area_m2, 1.0).tip_m_s > tip
    assert stand_limits(replace(stands, grip_mm=1.5 * grip_mm), area_m2, 1.0).tip_m_s < tip


@given(st.floats(0, 6.3), st.floats(50, 500), st.floats(50, 500))
def test_no_arm_is_longer_than_the_ball_and_the_far_holes(angle: float, long: float, wide: float) -> None:
    holes = [(-40.0, 0.0), (40.0, 0.0), (0.0, 30.0), (0.0, -30.0)]
    width, arms = windward_arms(holes, RootBall(long, wide, 40.0), angle)
    assert min(long, wide) - 1e-6 <= width <= max(long, wide) + 1e-6
    assert 2 <= len(arms) <= 4
    assert all(width / 2 - 1e-6 <= arm <= width / 2 + 40 + 1e-6 for arm in arms)


def _pot(length: float, width: float, depth: float) -> PotShape:
    return pot_shape("oval", PotLengths(length, width, depth), Fill(0, 0, 1))


@given(st.floats(60, 600), st.floats(60, 400), st.floats(30, 150), st.floats(1.1, 3))
def test_volumes_grow_with_the_cube_of_the_lengths(
    length: float, width: float, depth: float, by: float
) -> None:
    small, large = _pot(length, width, depth), _pot(by * length, by * width, by * depth)
    assert large.volume_cm3 == pytest.approx(by**3 * small.volume_cm3)
    order = MixOrder(recipe("D"), root_removed_frac=0.3)
    assert litres_for(large, order).gross_cm3 == pytest.approx(by**3 * litres_for(small, order).gross_cm3)
    ball, grown = assumed_ball(small, 0.4), assumed_ball(large, 0.4)
    assert grown.length_mm == pytest.approx(by * ball.length_mm)


@given(SHARES, SHARES, st.sampled_from(recipe_codes()))
def test_more_roots_off_never_takes_less_mix(one: float, other: float, code: str) -> None:
    less, more = sorted((one, other))
    kept = kept_after_cut_frac(code, less)
    assert 0 <= kept_after_cut_frac(code, more) <= kept < 1
    pot = _pot(400, 300, 80)
    assert (
        litres_for(pot, MixOrder(recipe(code), root_removed_frac=more)).gross_cm3
        >= litres_for(pot, MixOrder(recipe(code), root_removed_frac=less)).gross_cm3 - 1e-9
    )


@given(st.floats(0.5, 1), SHARES)
def test_what_mixing_loses_is_made_up_for(yield_frac: float, kept: float) -> None:
    assume(kept <= 0.95)
    pot = _pot(400, 300, 80)
    plain = litres_for(pot, MixOrder(recipe("D"), kept_frac=kept))
    lossy = litres_for(pot, MixOrder(recipe("D"), kept_frac=kept, yield_frac=yield_frac))
    assert lossy.gross_cm3 * yield_frac == pytest.approx(plain.gross_cm3)
    assert sum(lossy.parts_cm3.values()) == pytest.approx(lossy.gross_cm3)


@given(st.floats(25, 62), st.floats(0.5, 1), st.floats(0, 170), st.floats(25, 170))
def test_further_out_or_higher_up_never_allows_more(
    reach: float, out: float, height: float, travel: float
) -> None:
    here = limit_kg(Posture(reach, height, travel))
    assert limit_kg(Posture(min(63.0, reach + out), height, travel)) <= here <= 23
    assert limit_kg(Posture(reach, height, min(175.0, travel + out))) <= here + 1e-9


@given(st.floats(60, 600), st.floats(60, 400), st.floats(30, 150))
def test_every_tie_is_long_enough_for_its_route(length: float, width: float, depth: float) -> None:
    pot = _pot(length, width, depth)
    plan = anchoring(AnchorNeed(pot, assumed_holes(pot, "M"), "M"))
    for tie in plan.ties:
        assert tie.length_mm >= tie.spacing_mm + 2 * (pot.fill_height_mm + plan.reach_mm)
