"""Degree days by a sine through the day's extremes, by an independent program; and by adding up the sine."""

from __future__ import annotations

import numpy as np
import pytest

from ringwise.phenology.heat import sine_degree_days


@pytest.mark.parametrize(
    ("tmax_degC", "tmin_degC", "degree_days"), [(15, 3, 4.352643), (8, -4, 0.653987), (20, 10, 10)]
)
def test_days_above_5(tmax_degC: float, tmin_degC: float, degree_days: float) -> None:
    # Source: own calculation by an independent program; form of Baskerville & Emin 1969 (recalled).
    found = sine_degree_days(np.array(float(tmin_degC)), np.array(float(tmax_degC)), base_degC=5.0)
    assert float(found) == pytest.approx(degree_days, abs=1e-6)


@pytest.mark.parametrize(("tmin_degC", "tmax_degC"), [(3, 15), (-4, 8), (10, 20), (-10, 2), (4.9, 5.1)])
def test_the_closed_form_is_the_mean_of_the_sine_above_the_base(tmin_degC: float, tmax_degC: float) -> None:
    # Source: algebra; the area above the base, added up in a million steps.
    steps = (np.arange(1_000_000) + 0.5) / 1_000_000 * 2 * np.pi
    course = (tmin_degC + tmax_degC) / 2 + (tmax_degC - tmin_degC) / 2 * np.sin(steps)
    added = np.maximum(course - 5.0, 0.0).mean()
    found = sine_degree_days(np.array(float(tmin_degC)), np.array(float(tmax_degC)), base_degC=5.0)
    assert float(found) == pytest.approx(added, abs=1e-6)
