"""The score of samples against the closed form for a normal; totals and verdicts worked by hand."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringwise.phenology.scores import Score, crps, totals, verdict


def closed_form(mean: float, sd: float, seen: float) -> float:
    """Gneiting et al. 2005, Monthly Weather Review 133, equation 5 (from memory)."""
    z, unit = (seen - mean) / sd, NormalDist()
    return sd * (z * (2 * unit.cdf(z) - 1) + 2 * unit.pdf(z) - 1 / math.sqrt(math.pi))


@pytest.mark.parametrize(("mean", "sd", "seen"), [(80, 5, 80), (80, 5, 71), (80, 0.5, 84), (-3, 12, 20)])
def test_samples_of_a_normal_score_as_the_closed_form(mean: float, sd: float, seen: float) -> None:
    at = (np.arange(40_000) + 0.5) / 40_000
    samples = np.array([NormalDist(mean, sd).inv_cdf(float(each)) for each in at])
    assert crps(samples[::-1], seen) == pytest.approx(closed_form(mean, sd, seen), abs=2e-3 * sd)


def test_the_closed_form_is_the_printed_one() -> None:
    """At the mean of a standard normal it is sqrt(2/pi) - 1/sqrt(pi) = 0.2337."""
    assert closed_form(0, 1, 0) == pytest.approx(math.sqrt(2 / math.pi) - 1 / math.sqrt(math.pi))
    assert closed_form(0, 1, 0) == pytest.approx(0.2337, abs=5e-5)


@given(
    st.lists(st.floats(-200, 400, allow_nan=False), min_size=1, max_size=12),
    st.floats(-200, 400, allow_nan=False),
)
def test_the_order_gives_what_all_pairs_give(samples: list[float], seen: float) -> None:
    values = np.array(samples)
    pairs = np.abs(values[:, None] - values[None, :]).mean()
    plain = np.abs(values - seen).mean() - pairs / 2
    assert crps(values, seen) == pytest.approx(plain, abs=1e-9)
    assert crps(values, seen) >= -1e-9


def score(**given_: object) -> Score:
    values: dict[str, object] = {
        "tree": 1,
        "code": "07",
        "label": 2027,
        "lead_days": 7,
        "seen_index": 70.0,
        "low_index": 66.0,
        "median_index": 72.0,
        "high_index": 80.0,
        "crps_days": 1.5,
        "mean_index": None,
    }
    return Score(**(values | given_))  # type: ignore[arg-type]


def test_totals_by_hand() -> None:
    scores = [
        score(),  # 2 late, inside
        score(
            label=2028, median_index=64.0, low_index=60.0, high_index=69.0, mean_index=73.0
        ),  # 6 early, out
        score(lead_days=14, median_index=100.0),
    ]
    both = totals(scores, 7)
    assert (both.n, both.seasons, both.compared, both.verdict) == (2, 2, 1, "few")
    assert (both.bias_days, both.mae_days, both.coverage_frac) == (-2.0, 4.0, 0.5)
    assert both.rmse_days == pytest.approx(math.sqrt(20))
    assert (both.model_mae_days, both.mean_mae_days) == (6.0, 3.0)
    none = totals(scores, 30)
    assert (none.n, none.mae_days, none.rmse_days, none.coverage_frac) == (0, None, None, None)


@pytest.mark.parametrize(
    ("hits", "count", "seasons", "said"),
    [
        (19, 19, 9, "few"),
        (20, 20, 2, "few"),
        # Binomial, 20 with 0.8 each: 12 or fewer in 3.2 % of cases, 13 or fewer in 8.7 %, all 20 in 1.2 %.
        (12, 20, 3, "narrow"),
        (13, 20, 3, "fits"),
        (19, 20, 3, "fits"),
        (20, 20, 3, "wide"),
    ],
)
def test_verdicts(hits: int, count: int, seasons: int, said: str) -> None:
    assert verdict(hits, count, seasons) == said
