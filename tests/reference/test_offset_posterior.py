"""The shrunk offset of one tree, against algebra."""

from __future__ import annotations

import numpy as np
import pytest

from ringwise.phenology.offsets import Prior, offset


def test_three_seasons() -> None:
    # Source: algebra. Tree spread 3, season spread 2, residuals 4, 5, 3:
    # mean 12 / (3 + 4/9) = 3.4839, standard deviation sqrt(36/31) = 1.0776.
    learned = offset(np.array([[4.0], [5.0], [3.0]]), np.full(3, 4.0), Prior(0.0, 3.0))
    assert learned.mean[0] == pytest.approx(3.4839, abs=5e-5)
    assert learned.sd_days == pytest.approx(1.0776, abs=5e-5)


def test_weight_of_a_draw_is_the_marginal_likelihood() -> None:
    # Source: algebra. Residuals of one tree are jointly normal with covariance s I + t 1 1'.
    residuals = np.array([[4.0, -1.0], [5.0, 0.5], [3.0, 2.0]])
    covariance = 4.0 * np.eye(3) + 9.0 * np.ones((3, 3))
    expected = [-0.5 * r @ np.linalg.solve(covariance, r) for r in residuals.T]
    weight = offset(residuals, np.full(3, 4.0), Prior(0.0, 3.0)).weight_log
    assert weight[0] - weight[1] == pytest.approx(expected[0] - expected[1], abs=1e-9)


def test_prior_mean_that_differs_by_draw() -> None:
    # Source: algebra. As above with residuals centred on each draw's own prior mean.
    residuals = np.array([[4.0, -1.0], [5.0, 0.5]])
    middle = np.array([2.0, -3.0])
    covariance = 4.0 * np.eye(2) + 9.0 * np.ones((2, 2))
    centred = residuals - middle
    expected = [-0.5 * r @ np.linalg.solve(covariance, r) for r in centred.T]
    weight = offset(residuals, np.full(2, 4.0), Prior(middle, 3.0)).weight_log
    assert weight[0] - weight[1] == pytest.approx(expected[0] - expected[1], abs=1e-9)
