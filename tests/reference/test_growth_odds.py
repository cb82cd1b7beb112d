"""Odds and the girth posterior against hand-worked values of the conjugate formulas."""

from __future__ import annotations

import numpy as np
import pytest

from ringwise.growth.calibration import vigour_posterior
from ringwise.growth.odds import (
    Odds,
    odds_from_trials,
    odds_quantile,
    success_in_two_prob,
    take_after_signs,
    updated,
)


def test_three_of_four_own_layers_on_the_pool() -> None:
    after = updated(Odds(5.922, 3.189), successes=3, failures=1)
    assert after.mean_prob == pytest.approx(0.6805, abs=5e-5)
    low, high = odds_quantile(after, np.array([0.05, 0.95]))
    assert low == pytest.approx(0.461, abs=5e-4)
    assert high == pytest.approx(0.868, abs=5e-4)


def test_pool_of_layer_trials_as_beta_counts() -> None:
    odds = odds_from_trials(0.65, 0.15)
    assert (odds.successes_n, odds.failures_n) == pytest.approx((5.92, 3.19), abs=0.005)


def test_two_tries_on_one_tree_share_their_chance() -> None:
    # The published worked value 0.8538 (0.8763 if independent) belongs to a pool mean of 0.6483;
    # the rounded counts 5.92 and 3.19 give 0.8549 by the same formula.
    odds = odds_from_trials(0.64829, 0.15)
    assert success_in_two_prob(odds) == pytest.approx(0.8538, abs=1e-4)
    assert 1 - (1 - odds.mean_prob) ** 2 == pytest.approx(0.8763, abs=1e-4)
    assert success_in_two_prob(Odds(5.92, 3.19)) == pytest.approx(1 - 3.19 * 4.19 / (9.11 * 10.11), abs=1e-12)


def test_girth_posterior() -> None:
    after = vigour_posterior(np.array([0.8, 0.75, 0.9]))
    assert after.mean_log == pytest.approx(-0.1935, abs=1e-4)
    assert after.sd_log == pytest.approx(0.0841, abs=1e-4)
    assert after.factor_ratio == pytest.approx(0.824, abs=5e-4)
    assert not after.mostly_prior


def test_small_increments_weigh_less_by_tape_error() -> None:
    ratios = np.array([0.8, 0.8, 0.8])
    exact = vigour_posterior(ratios)
    taped = vigour_posterior(ratios, np.full(3, 4.0))
    assert exact.mean_log < taped.mean_log < 0
    assert taped.sd_log > exact.sd_log


def test_posteriors_of_a_good_and_a_bad_sign() -> None:
    assert take_after_signs(0.5, (True,)) == pytest.approx(0.8095, abs=5e-5)
    assert take_after_signs(0.5, (False,)) == pytest.approx(0.1579, abs=5e-5)
