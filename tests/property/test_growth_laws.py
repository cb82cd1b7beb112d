"""Laws of the plain growth functions over their whole ranges.

Area rule at every fork: Eloy 2011, PRL 107:258101. Wounds: signs of Neely 1988, J. Arboric. 14(6):148-152
(wider wounds close at least as many mm, slow wood at least as many for each mm of growth). Pots: Poorter
et al. 2012, Funct. Plant Biol. 39:839-850 (each doubling 1.43 times, never above open ground).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringwise.growth.calibration import vigour_posterior
from ringwise.growth.odds import Odds, success_in_two_prob, take_after_signs, updated
from ringwise.growth.pipe import pipe_diameters, sapwood_demand_mm2
from ringwise.growth.vigour import pot_factor, root_recovery, split_vigour
from ringwise.growth.wounds import SEASONS, close_wound_mm, years_to_close

share = st.floats(0.0, 1.0)
some = st.floats(0.0, 1e4)
width, growth = st.floats(0.5, 100.0), st.floats(0.05, 20.0)


@given(some, some, some, st.floats(0.4, 0.7))
def test_a_fork_keeps_the_sum_and_gives_more_to_more_demand(
    vigour: float, main: float, side: float, control: float
) -> None:
    ahead, aside = split_vigour(vigour, main, side, control)
    assert ahead + aside == pytest.approx(vigour, abs=1e-12 * max(1.0, vigour))
    assert min(ahead, aside) >= -1e-9
    more, _rest = split_vigour(vigour, main + 1.0, side, control)
    assert more >= ahead - 1e-9


@given(st.integers(1, 60), st.floats(1.8, 2.3), st.randoms(use_true_random=False))
def test_every_fork_obeys_the_area_rule(n: int, exponent: float, luck: object) -> None:
    choose = luck.randrange  # type: ignore[attr-defined]
    parent = np.array([-1, *(choose(row) for row in range(1, n))])
    tips = ~np.isin(np.arange(n), parent)
    d = pipe_diameters(parent, tips.astype(float), tip_mm=0.8, exponent_ratio=exponent)
    np.testing.assert_allclose(d[tips], 0.8, rtol=1e-12)
    for row in np.flatnonzero(~tips):
        daughters = d[parent == row]
        assert (daughters**exponent).sum() == pytest.approx(d[row] ** exponent, rel=1e-9)
        assert d[row] >= daughters.max() * (1 - 1e-12)


@given(st.floats(0.0, 1e5), st.floats(1.0, 1e4), st.floats(1.8, 2.3))
def test_more_leaf_asks_for_more_sapwood(leaf: float, more: float, exponent: float) -> None:
    need = sapwood_demand_mm2(
        np.array([leaf, leaf + more]), pipe_ratio=0.02, unit_cm2=12.0, exponent_ratio=exponent
    )
    assert 0 <= need[0] < need[1]


@given(st.floats(0.01, 1000.0), st.floats(0.01, 1000.0))
def test_pots_never_beat_open_ground_and_larger_never_lose(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert 0 < pot_factor(low) <= pot_factor(high) <= pot_factor(math.inf) == 1.0
    if 2 * low <= 50.0:
        assert pot_factor(2 * low) / pot_factor(low) == pytest.approx(1.43, abs=0.002)


@given(width, width, growth, growth, st.sampled_from(SEASONS))
def test_wounds_close_as_the_signs_say(one: float, other: float, a: float, b: float, season: str) -> None:
    narrow, wide = sorted((one, other))
    slow, fast = sorted((a, b))

    def closed(open_mm: float, grown_mm: float) -> float:
        left = close_wound_mm(open_mm, grown_mm, season=season)
        assert 0 <= left <= open_mm
        return open_mm - left

    assert closed(wide, slow) >= closed(narrow, slow) - 1e-9
    assert closed(wide, fast) >= closed(wide, slow) - 1e-9
    if closed(wide, fast) < wide:
        assert closed(wide, slow) / slow >= closed(wide, fast) / fast - 1e-9
    by_season = [close_wound_mm(wide, slow, season=each) for each in SEASONS]
    assert by_season == sorted(by_season)
    assert close_wound_mm(wide, slow, season=season, stub_mm=5.0) >= wide - closed(wide, slow) - 1e-9


@given(width, st.floats(0.5, 20.0))
def test_years_to_close_are_the_years_that_close(open_mm: float, growth_mm: float) -> None:
    years = years_to_close(open_mm, growth_mm)
    left = open_mm
    for _year in range(math.ceil(years) - 1):
        left = close_wound_mm(left, growth_mm)
        assert left > 0
    assert close_wound_mm(left, growth_mm) == pytest.approx(0.0, abs=1e-9)


@given(st.floats(0.05, 1.0), st.floats(0.0, 20.0), st.floats(0.5, 1.5))
def test_roots_come_back_and_never_past_the_pot(root: float, years: float, slowness: float) -> None:
    back = root_recovery(root, years=years, recovery_years=slowness)
    assert root * (1 - 1e-12) <= back <= 1.0
    halves = root_recovery(
        root_recovery(root, years=years / 2, recovery_years=slowness),
        years=years / 2,
        recovery_years=slowness,
    )
    assert halves == pytest.approx(back, rel=1e-9)


@given(st.floats(1.0, 50.0), st.floats(1.0, 50.0), st.integers(0, 30), st.integers(0, 30))
def test_own_tries_move_the_odds_towards_themselves(a: float, b: float, wins: int, losses: int) -> None:
    before = Odds(a, b)
    after = updated(before, successes=wins, failures=losses)
    seen = wins / (wins + losses) if wins + losses else before.mean_prob
    low, high = sorted((before.mean_prob, seen))
    assert low - 1e-12 <= after.mean_prob <= high + 1e-12
    alone = 1 - (1 - before.mean_prob) ** 2
    assert before.mean_prob < success_in_two_prob(before) < alone


@given(share)
def test_a_good_sign_never_lowers_and_a_bad_one_never_raises(prior: float) -> None:
    assert take_after_signs(prior, (True,)) >= prior - 1e-12
    assert take_after_signs(prior, (False,)) <= prior + 1e-12
    assert take_after_signs(prior, ()) == pytest.approx(prior)


@given(st.lists(st.floats(0.2, 3.0), max_size=12))
def test_more_own_girths_narrow_the_vigour(ratios: list[float]) -> None:
    post = vigour_posterior(np.array(ratios))
    n = len(ratios)
    # Prior N(0, 0.35), each year's ratio N(vigour, 0.15) in logarithms, in closed form.
    precision = 1 / 0.35**2 + n / 0.15**2
    assert post.sd_log == pytest.approx(precision**-0.5, rel=1e-9)
    assert post.mean_log == pytest.approx(sum(map(math.log, ratios)) / 0.15**2 / precision, abs=1e-9)
