"""Leaf area: what it rests on, what does not fit, and how it comes and goes with the stages."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringwise.kit.errors import InputError
from ringwise.rootzone.leaf_area import (
    crown_m2,
    joined,
    leaf_check,
    leaf_of_crown,
    leaf_of_pot,
    leaf_of_tips,
    leaf_share_frac,
)


def test_leaf_of_tips_is_their_sum_with_its_band() -> None:
    # By hand: 200 tips of 14 cm2 are 0.28 m2; the row's band is from half to twice.
    leaf = leaf_of_tips(200 * 14.0)
    assert (leaf.low_m2, leaf.full_m2, leaf.high_m2) == pytest.approx((0.14, 0.28, 0.56), rel=1e-3)


def test_leaf_of_a_crown_grows_with_the_square_of_its_width() -> None:
    one, two = (leaf_of_crown(crown_m2(width)).full_m2 for width in (300.0, 600.0))
    assert two == pytest.approx(4 * one)


def test_the_surer_look_counts_for_more_and_a_quarrel_widens() -> None:
    tips, pot = leaf_of_tips(2800.0), leaf_of_pot(0.07)
    assert pot.sd_log > tips.sd_log
    near = joined([tips, pot])
    apart = joined([tips, leaf_of_pot(0.7)])
    assert abs(math.log(near.full_m2 / tips.full_m2)) < abs(math.log(near.full_m2 / pot.full_m2))
    assert apart.sd_log > near.sd_log


def test_the_trunk_of_a_trained_tree_could_feed_far_more() -> None:
    check = leaf_check(0.4, covered_m2=0.2, trunk_mm=40.0)
    assert check.fits
    assert check.layers_ratio == pytest.approx(2.0)
    assert check.trunk_most_m2 is not None
    assert check.trunk_most_m2 > 2.0
    assert not leaf_check(0.5, trunk_mm=5.0).fits  # a stem like a pencil lead carries no such crown


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_no_leaf_is_no_leaf_area(value: float) -> None:
    for wrong in (leaf_of_tips, leaf_of_crown, leaf_of_pot, crown_m2, leaf_check):
        with pytest.raises(InputError):
            wrong(value)
    with pytest.raises(InputError, match="unknown"):
        joined([])


def test_samples_keep_their_own_days() -> None:
    codes = ("00", "07", "11", "H1", "93", "97")
    early, late = [60.0, 90, 110, 140, 280, 300], [60.0, 100, 120, 150, 290, 310]
    shares = leaf_share_frac(np.array([95.0, 200.0, 305.0]), np.array([early, late]), codes)
    assert shares.shape == (2, 3)
    assert shares[0, 0] > shares[1, 0] == 0.0
    assert shares[:, 1].tolist() == [1.0, 1.0]
    assert shares[1, 2] > shares[0, 2] == 0.0


def test_evergreens_keep_their_leaf_and_broken_stages_are_refused() -> None:
    days = np.array([1.0, 200.0])
    assert leaf_share_frac(days, np.zeros((3, 2)), ("07", "H1"), evergreen=True).tolist() == [[1.0, 1.0]] * 3
    for stages, codes in (([90.0, 80.0], ("07", "H1")), ([math.nan, 90.0], ("07", "H1")), ([90.0], ("51",))):
        with pytest.raises(InputError):
            leaf_share_frac(days, np.array(stages), codes)
