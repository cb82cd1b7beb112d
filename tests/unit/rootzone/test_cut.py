"""The cut through a pot: the assumed ball holds the kept share, heights are those of a tilted box."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringwise.rootzone.cut import BAND, assumed_ball, gravity_height_mm, water_by_height
from ringwise.rootzone.pot import PotLengths, pot_shape
from ringwise.rootzone.retention import RetentionCurve, curve

TRAY = pot_shape("rectangle", PotLengths(300, 220, 80))


@pytest.mark.parametrize("kept", [0.2, 0.45, 0.6])
def test_the_assumed_ball_holds_the_kept_share(kept: float) -> None:
    ball = assumed_ball(TRAY, kept)
    held_mm3 = ball.length_mm * ball.width_mm * ball.depth_mm
    assert held_mm3 == pytest.approx(kept * 300 * 220 * 80)
    assert ball.length_mm / ball.width_mm == pytest.approx(300 / 220)


def test_a_ball_is_never_larger_than_its_pot() -> None:
    assert assumed_ball(TRAY, 0.95).length_mm == TRAY.length_mm


@pytest.mark.parametrize("tilt_deg", [0.0, 10.0, 25.0, 45.0])
def test_the_highest_point_of_a_tilted_box(tilt_deg: float) -> None:
    turn = math.radians(tilt_deg)
    corners = [(x, z) for x in (0.0, 300.0) for z in (0.0, 80.0)]
    highest = max(x * math.sin(turn) + z * math.cos(turn) for x, z in corners)
    assert gravity_height_mm(TRAY, tilt_deg) == pytest.approx(highest)


def test_water_by_height_is_the_curve_at_that_suction() -> None:
    # one pore system after van Genuchten 1980, written out: m = 1 - 1/n
    sand = curve(0.045, 0.43, modes=[(1.0, 0.145, 2.68)])
    told = water_by_height(sand, 100.0, levels=6)
    for height_mm, share in zip(told.heights_mm, told.median_v, strict=True):
        scaled = (0.145 * height_mm / 10) ** 2.68
        assert share == pytest.approx(0.045 + 0.385 * (1 + scaled) ** -(1 - 1 / 2.68))
    assert told.low_v == told.median_v == told.high_v


def test_the_band_is_that_of_the_draws() -> None:
    alphas = np.linspace(0.2, 0.6, 41)[:, None]
    ones = np.ones((41, 1))
    drawn = RetentionCurve(np.zeros(41), np.full(41, 0.7), ones, alphas, 2.5 * ones)
    told = water_by_height(drawn, 60.0, levels=3)
    at_top = np.percentile(drawn.theta_v(6.0), BAND)
    assert (told.low_v[-1], told.median_v[-1], told.high_v[-1]) == pytest.approx(tuple(at_top))
