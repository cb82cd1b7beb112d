"""Check cases of the growth notes: stochastic dominance (15), quantile dots (16), waiting from lives (14)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import norm

from ringwise.futures.compare import quantile_dots
from ringwise.futures.dominance import dominance, dominates
from ringwise.futures.learning import worth_of_waiting_lived
from ringwise.futures.waiting import WaitCase, worth_of_waiting

A = np.array([4.0, 5.0, 6.0, 7.0])
B = np.array([2.0, 5.0, 6.0, 8.0])


def test_case_15_the_steadier_lot_dominates_in_the_second_order_only() -> None:
    assert not dominates(A, B)
    assert not dominates(B, A)
    assert dominates(A, B, "second")
    assert not dominates(B, A, "second")
    assert (dominance(A, B), dominance(B, A)) == ("second", "none")


def test_case_16_fifty_dots_of_a_lognormal() -> None:
    # quantiles of a lognormal with median 8 weeks and log spread 0.35, through the normal's of scipy
    many = 400_000
    weeks = 8.0 * np.exp(0.35 * norm.ppf((np.arange(many) + 0.5) / many))
    dots = quantile_dots(weeks, 50)
    assert dots[[0, 24, 25, 49]] == pytest.approx([3.544, 7.930, 8.071, 18.059], abs=0.0006)
    assert int((dots <= 12.0).sum()) == 44
    assert norm.cdf(math.log(12.0 / 8.0) / 0.35) == pytest.approx(0.8767, abs=0.00005)


def test_case_14_lives_of_the_worked_case_give_its_worth_of_waiting() -> None:
    case = WaitCase(0.5, 0.85, 0.8, 1.0, 0.35, 0.7, 0.66)
    exact = worth_of_waiting(case)
    rng, n = np.random.default_rng(14), 10_000
    takes = rng.uniform(size=n) < case.take_prob
    good = rng.uniform(size=n) < np.where(takes, case.sensitivity_prob, 1 - case.specificity_prob)
    keep = np.where(takes, case.keep_ok_frac, case.keep_fail_frac)
    late = np.full(n, case.late_frac)
    found = worth_of_waiting_lived(keep, late, case.now_frac, good[:, None].astype(float), 1)
    ends = np.where(good, keep, late)
    error = ends.std() / math.sqrt(n)
    assert found.wait == pytest.approx(0.7735, abs=3 * error)
    assert found.evsi == pytest.approx(0.0735, abs=3 * error)
    assert found.evpi == pytest.approx(0.130, abs=3 * np.maximum(keep, late).std() / math.sqrt(n))
    assert exact.break_even_late_frac is not None
    assert found.break_even_late == pytest.approx(exact.break_even_late_frac, abs=0.02)
    posterior = {round(c.worths[0], 1): (c.worths[0] - 0.35) / 0.65 for c in found.classes}
    assert sorted(posterior.values()) == pytest.approx([0.1579, 0.8095], abs=0.02)
