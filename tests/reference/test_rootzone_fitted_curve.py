"""Retention curves against unsatfit 6.3 (MIT), an open program that fits them."""

from __future__ import annotations

import numpy as np
import pytest
import unsatfit
from scipy.optimize import least_squares

from ringwise.rootzone.container import container_state
from ringwise.rootzone.pot import PotLengths, pot_shape
from ringwise.rootzone.retention import curve

# Source: sample 3393 of the database UNSODA, as printed in the self-test of unsatfit 6.3.
SUCTION_CM = np.array([10, 28, 74, 160, 288, 640, 1250, 2950, 6300, 10600, 15800], dtype=float)
HELD_V = np.array([0.36, 0.35, 0.34, 0.33, 0.32, 0.30, 0.28, 0.26, 0.24, 0.22, 0.20])
FITTED = (0.355406, 0.005307, 0.106616)  # saturated, alpha per cm, m; reckoned outside with unsatfit


def theirs() -> tuple[float, float, float]:
    fit = unsatfit.Fit()
    fit.swrc = (SUCTION_CM, HELD_V)
    fit.set_model("VG", const=["qr=0", "q=1"])
    fit.ini = (0.36, 0.005, 0.1)
    fit.optimize()
    return tuple(float(each) for each in fit.fitted)


def ours() -> tuple[float, float, float]:
    def apart(guess: np.ndarray) -> np.ndarray:
        saturated, log_alpha, m = guess
        return (
            curve(0.0, saturated, [(1.0, float(np.exp(log_alpha)), 1 / (1 - m))]).theta_v(SUCTION_CM) - HELD_V
        )

    bounds = ([0.3, -9, 0.02], [0.45, -2, 0.6])
    found = least_squares(apart, [0.36, np.log(0.005), 0.1], bounds=bounds, xtol=1e-12, ftol=1e-12).x
    return float(found[0]), float(np.exp(found[1])), float(found[2])


def test_both_fits_of_a_measured_soil_agree() -> None:
    assert theirs() == pytest.approx(FITTED, rel=0.01)
    assert ours() == pytest.approx(FITTED, rel=0.01)


def test_a_field_soil_in_a_pot_stays_full() -> None:
    # Source: outside; 5, 10 and 15 cm.
    saturated, alpha, m = theirs()
    soil = curve(0.0, saturated, [(1.0, alpha, 1 / (1 - m))])
    found = [
        float(container_state(pot_shape("prism", PotLengths(depth_mm=h * 10)), soil).theta_v)
        for h in (5, 10, 15)
    ]
    assert found == pytest.approx([0.35510, 0.35475, 0.35438], abs=1e-4)


def test_two_pore_systems_hold_the_same() -> None:
    other = unsatfit.Fit()
    other.set_model("dual-VG", const=["q=1"])
    ns = np.array([3.0, 1.6])
    suctions = np.geomspace(0.1, 15000, 60)
    parameters = [0.4, 0.1, 0.6, 0.5, 1 - 1 / ns[0], 0.01, 1 - 1 / ns[1]]
    same = curve(0.1, 0.4, [(0.6, 0.5, 3.0), (0.4, 0.01, 1.6)])
    assert same.theta_v(suctions) == pytest.approx(other.vg2(parameters, suctions), rel=1e-12)
