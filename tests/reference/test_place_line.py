"""The line of a place learned with shrinkage, against least squares with prior rows and against a grid."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import linalg, stats

from ringwise.weather.microsite import PlaceLine
from ringwise.weather.place_readings import line_learned

PRIOR = PlaceLine(2.0, 1.5, 0.9, 1.0, 0.1, 1.5)
STATION = np.array([-4.0, -1.0, 0.5, 2.0, 5.5, 9.0])
PLACE = np.array([-0.5, 1.4, 3.1, 4.0, 6.6, 10.4])
WEIGHTS = np.array([1.0, 0.5, 1.0, 0.5, 0.5, 1.0])


def test_mean_and_covariance_are_those_of_least_squares_with_two_more_rows() -> None:
    # Source: algebra. A normal prior is one row a coefficient, divided by its spread (scipy.linalg.lstsq).
    got = line_learned(STATION, PLACE, PRIOR, weights=WEIGHTS)
    root = np.sqrt(WEIGHTS) / got.residual_degC
    rows = np.vstack(
        [
            root[:, None] * np.column_stack([np.ones(6), STATION - PRIOR.centre_degC]),
            [1 / PRIOR.offset_sd_degC, 0],
            [0, 1 / PRIOR.slope_sd_ratio],
        ]
    )
    # The place is centre + offset + slope (station - centre).
    wanted = np.concatenate(
        [
            root * (PLACE - PRIOR.centre_degC),
            [PRIOR.offset_degC / PRIOR.offset_sd_degC, PRIOR.slope_ratio / PRIOR.slope_sd_ratio],
        ]
    )
    coefficients, _squares, _rank, _singular = linalg.lstsq(rows, wanted)
    covariance = linalg.inv(rows.T @ rows)
    assert [got.offset_degC, got.slope_ratio] == pytest.approx(coefficients)
    assert got.offset_sd_degC**2 == pytest.approx(covariance[0, 0])
    assert got.slope_sd_ratio**2 == pytest.approx(covariance[1, 1])
    assert got.shared_degC == pytest.approx(covariance[0, 1])
    assert got.sd_degC(-5.0) ** 2 == pytest.approx(np.array([1, -7]) @ covariance @ np.array([1, -7]))


def test_mean_and_spread_are_those_of_the_product_of_densities() -> None:
    # Source: Bayes' rule on a grid of offsets and slopes, densities of scipy.stats.
    ones = np.ones(6)
    got = line_learned(STATION, PLACE, PRIOR, weights=ones)
    offsets = np.linspace(-2.0, 5.0, 701)[:, None]
    slopes = np.linspace(0.4, 1.4, 701)[None, :]
    density = stats.norm.logpdf(offsets, PRIOR.offset_degC, PRIOR.offset_sd_degC) + stats.norm.logpdf(
        slopes, PRIOR.slope_ratio, PRIOR.slope_sd_ratio
    )
    for here, there in zip(STATION, PLACE, strict=True):
        line = PRIOR.centre_degC + offsets + slopes * (here - PRIOR.centre_degC)
        density = density + stats.norm.logpdf(there, line, got.residual_degC)
    share = np.exp(density - density.max())
    share /= share.sum()
    mean = float((share * offsets).sum())
    assert got.offset_degC == pytest.approx(mean, abs=1e-4)
    assert got.offset_sd_degC == pytest.approx(float((share * (offsets - mean) ** 2).sum() ** 0.5), abs=1e-4)
    assert got.slope_ratio == pytest.approx(float((share * slopes).sum()), abs=1e-5)


def test_residual_spread_of_three_readings() -> None:
    # Source: algebra. (0, 1, 0) at -1, 0, 1 lies -1/3, 2/3, -1/3 from its line 1/3: squares of 2/3 with one
    # degree of freedom, beside 4 readings of variance 1.5^2: (9 + 2/3) / (4 + 1).
    prior = PlaceLine(0.0, 0.0, 1.0, 1.0, 0.1, 1.5)
    station = np.array([-1.0, 0.0, 1.0])
    got = line_learned(station, station + np.array([0.0, 1.0, 0.0]), prior, weights=np.ones(3))
    assert got.residual_degC**2 == pytest.approx((9.0 + 2.0 / 3.0) / 5.0)
