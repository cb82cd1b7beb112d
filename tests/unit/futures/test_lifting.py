"""Lifting from the ground in paired futures: signs that follow from roots lost and regrown, none fitted."""

from __future__ import annotations

import math

import pytest

from ringwise.futures.lifting import Lifted, lifted
from ringwise.growth.biology import biology, growth_parameter
from ringwise.kit.errors import RangeError
from ringwise.kit.tables import load_table

KEYS = ("zelkova_serrata", "zelkova", "G1", "any")
PAIRS = 30


def _lift(diameter_mm: float, volume_l: float = math.inf, futures: int = PAIRS, seed: int = 2) -> Lifted:
    return lifted(KEYS, biology(KEYS), diameter_mm, volume_l=volume_l, futures=futures, seed=seed)


def test_a_lifted_tree_grows_less_and_a_thick_one_recovers_more_slowly() -> None:
    thin, thick = _lift(20.0), _lift(90.0)
    assert 0 < thick.growth_ratio < thin.growth_ratio < 1
    assert 0 < thick.shoot_ratio < thin.shoot_ratio
    assert thick.shoot_ratio < 1


def test_a_small_box_holds_back_more_than_a_large_one() -> None:
    assert _lift(40.0, 8.0).growth_ratio < _lift(40.0, 45.0).growth_ratio


def test_survival_is_that_of_the_share_of_roots_lost() -> None:
    share = load_table("ringwise.operations", "effects").get("lift", "root_removed").number
    excess = share - biology(KEYS).root_removed_frac
    prob = 1 / (1 + math.exp(growth_parameter("survive_excess") * excess - growth_parameter("survive_base")))
    told = _lift(20.0, futures=120).survival_prob
    assert told == pytest.approx(prob, abs=3 * math.sqrt(prob * (1 - prob) / 120))


@pytest.mark.parametrize(("diameter", "litres", "futures"), [(2.0, 10.0, 3), (40.0, 0.0, 3), (40.0, 10.0, 0)])
def test_what_does_not_fit_is_refused(diameter: float, litres: float, futures: int) -> None:
    with pytest.raises(RangeError):
        _lift(diameter, litres, futures)
