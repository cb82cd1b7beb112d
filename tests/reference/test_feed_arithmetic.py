"""Strength of a feed and acid for hard water, against printed arithmetic."""

from __future__ import annotations

import pytest

from ringwise.rootzone.feed import Label, acid, dose_g_l, nutrients, pour_through, watering


def test_a_gram_a_litre_of_a_feed_with_20_percent_nitrogen() -> None:
    """Extension arithmetic of fertigation: ppm = g/L x percent x 10, so 200 ppm; 100 ppm take 0.5 g/L."""
    assert nutrients(Label(20), 1.0).n_mg_l == pytest.approx(200.0, rel=1e-3)
    assert dose_g_l(Label(20), 100.0) == pytest.approx(0.5, rel=1e-3)


def test_oxides_hold_so_much_of_the_element() -> None:
    """Molar masses of the IUPAC table of 2021 (recalled): P 30.974, K 39.098, O 15.999."""
    p2o5, k2o = 2 * 30.974 + 5 * 15.999, 2 * 39.098 + 15.999
    held = nutrients(Label(0, 10, 10), 1.0)
    assert held.p_mg_l == pytest.approx(100 * 2 * 30.974 / p2o5, rel=2e-4)
    assert held.k_mg_l == pytest.approx(100 * 2 * 39.098 / k2o, rel=2e-4)


def test_acid_for_two_point_four_milliequivalents() -> None:
    """200 to 80 ppm as calcium carbonate: 2.4 meq/L; sulphuric acid of 98.08 g/mol (recalled) has two."""
    need = acid(200.0, 80.0)
    assert need.meq_l == pytest.approx(2.4, rel=1e-3)
    assert need.sulphuric_mg_l == pytest.approx(2.4 * 98.08 / 2, rel=1e-3)
    assert acid(80.0, 80.0).ml_per_1000_l == 0.0


def test_a_deficit_with_a_leached_share() -> None:
    """Irrigation with leaching: applied = deficit / (1 - LF); 0.8 L at 0.15 take 0.941 L."""
    assert watering(800.0, 0.15).applied_cm3 == pytest.approx(941.0, abs=0.5)


def test_the_printed_pour_through() -> None:
    """NC State Extension, pour-through: 120 mL on a 4 L pot, 50 mL caught, 30 min to 2 h after watering."""
    draw = pour_through(4000.0)
    assert (draw.pour_cm3, draw.collect_cm3) == (120.0, 50.0)
    assert (draw.wait_low_min, draw.wait_high_min) == (30.0, 120.0)
    assert not pour_through(1500.0).is_printed_pot
