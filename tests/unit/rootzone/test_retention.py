from __future__ import annotations

import math

import numpy as np
import pytest

from ringwise.kit.errors import InputError, RangeError
from ringwise.rootzone.retention import RetentionCurve, curve

SAND = curve(0.045, 0.43, [(1.0, 0.145, 2.68)])


@pytest.mark.parametrize(
    ("residual", "saturated", "modes", "line"),
    [
        (0.0, 43.0, [(1, 0.1, 2)], "saturated water content is 43; accepted: 0 to 1. Did you enter percent?"),
        (14.0, 0.43, [(1, 0.1, 2)], "Did you enter percent? Write 14 %."),
        (0.0, 0.4, [(60, 0.1, 2), (40, 0.1, 2)], "share of a pore system is 60"),
        (0.0, 0.4, [(0.6, 0.1, 2), (0.6, 0.1, 2)], "sum to 1.2; they must sum to 1"),
        (0.0, 0.4, [(1, 0.1, 1.0)], "n of a pore system is 1"),
        (0.0, 0.4, [(1, -0.1, 2)], "alpha per cm is -0.1"),
        (0.0, 0.4, [(1, math.nan, 2)], "alpha per cm is unknown"),
        (0.4, 0.4, [(1, 0.1, 2)], "not below the saturated one"),
        (0.0, 0.4, [], "needs one pore system at least"),
        (0.0, -0.4, [(1, 0.1, 2)], "saturated water content is -0.4; accepted: 0 to 1."),
    ],
)
def test_what_is_no_curve_is_told_in_one_line(
    residual: float, saturated: float, modes: list[tuple[float, float, float]], line: str
) -> None:
    with pytest.raises(InputError) as told:
        curve(residual, saturated, modes)
    assert line in str(told.value)
    assert "\n" not in str(told.value)


def test_only_what_could_be_percent_is_taken_for_percent() -> None:
    with pytest.raises(RangeError) as told:
        curve(0.0, 430.0, [(1, 0.1, 2)])
    assert "percent" not in str(told.value)


def test_saturated_at_and_below_no_suction() -> None:
    assert SAND.theta_v([-5.0, 0.0]).tolist() == [0.43, 0.43]
    assert SAND.capacity_per_cm([-5.0, 0.0]).tolist() == [0.0, 0.0]
    flat = curve(0.0, 0.5, [(1, 0.01, 1.05)])  # its slope has no bound at 0
    assert math.isfinite(float(flat.capacity_per_cm(0.0)))


def test_suction_at_the_ends_of_the_curve() -> None:
    found = SAND.suction_cm([0.5, 0.43, 0.045, 0.01])
    assert found.tolist() == [0.0, 0.0, math.inf, math.inf]


def test_one_curve_by_hand() -> None:
    # (0.145 x 10)^2.68 = 2.7067; 3.7067^-0.62687 = 0.43990; 0.045 + 0.385 x 0.43990 = 0.21436
    assert float(SAND.theta_v(10.0)) == pytest.approx(0.21436, abs=2e-5)


def draws() -> RetentionCurve:
    return RetentionCurve(
        np.zeros(3),
        np.array([0.6, 0.7, 0.8]),
        np.full((3, 2), 0.5),
        np.array([[0.3, 0.01], [0.4, 0.02], [0.5, 0.03]]),
        np.array([[2.0, 1.2], [2.5, 1.3], [3.0, 1.4]]),
    )


def test_draws_come_first_then_what_was_asked() -> None:
    many = draws()
    assert many.draws == 3
    assert SAND.draws == 0
    assert many.theta_v(10.0).shape == (3,)
    assert many.theta_v(np.ones((4, 5))).shape == (3, 4, 5)
    assert many.suction_cm([0.3, 0.4]).shape == (3, 2)
    one = many.one(1)
    assert one.draws == 0
    assert float(one.theta_v(7.0)) == float(many.theta_v(7.0)[1])
    assert SAND.one(0) is SAND


def test_arrays_must_match() -> None:
    with pytest.raises(InputError, match="different numbers of draws"):
        RetentionCurve(np.zeros(3), np.full(2, 0.5), np.ones((3, 1)), np.ones((3, 1)), np.full((3, 1), 2.0))
    with pytest.raises(InputError, match="different numbers of pore systems"):
        RetentionCurve(np.zeros(3), np.full(3, 0.5), np.ones((3, 1)), np.ones((3, 1)), np.full((3, 2), 2.0))


def test_one_wrong_draw_is_found() -> None:
    many = draws()
    with pytest.raises(RangeError, match=r"n of a pore system is 0\.9"):
        RetentionCurve(
            many.residual_v,
            many.saturated_v,
            many.shares,
            many.alphas_per_cm,
            np.where(many.ns == 1.3, 0.9, many.ns),
        )


@pytest.mark.parametrize("full", [0.999, 0.95, 0.5, 0.02])
def test_the_suction_of_pore_systems_far_apart_gives_their_water_back(full: float) -> None:
    rng = np.random.default_rng(7)
    first = rng.uniform(0.02, 0.98, 300)
    mixed = RetentionCurve(
        np.full(300, 0.04),
        np.full(300, 0.6),
        np.stack([first, 1 - first], axis=-1),
        10.0 ** np.stack([rng.uniform(-1, 1, 300), rng.uniform(-3, -1, 300)], axis=-1),
        rng.uniform(1.1, 8.0, (300, 2)),
    )
    found = mixed.suction_at_cm(np.full(300, full))
    again = [float(mixed.one(i).saturation(found[i])) for i in range(300)]
    assert again == pytest.approx([full] * 300, abs=1e-10)
