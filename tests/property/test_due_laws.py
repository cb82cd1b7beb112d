"""Laws of when water is due: warmer dries sooner, rain never does, own readings draw to what was seen."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwise.rootzone.balance import DailyForcing, PotDemand, pot_water, run
from ringwise.rootzone.due import due_days, own_pace

RATIOS = st.lists(st.floats(0.05, 20.0), min_size=1, max_size=8)
DAYS = 30


def due(et0_mm: float, leaf_m2: float, rain_mm: float = 0.0) -> float:
    tray = pot_water(3929.3, 0.066, 70.0, capacity_v=0.5063, refill_v=0.310, wilting_v=0.25)
    weather = DailyForcing(np.full((1, DAYS), et0_mm), np.full((1, DAYS), rain_mm))
    return float(due_days(run(PotDemand(tray, leaf_m2), weather))[0, 0])


@settings(max_examples=40, deadline=None)
@given(st.floats(1.0, 7.0), st.floats(1.05, 2.0), st.floats(0.0, 0.5))
def test_more_evaporation_is_due_sooner(et0_mm: float, more: float, leaf_m2: float) -> None:
    assert due(et0_mm * more, leaf_m2) <= due(et0_mm, leaf_m2)


@settings(max_examples=40, deadline=None)
@given(st.floats(1.0, 7.0), st.floats(0.0, 0.5), st.floats(0.0, 6.0))
def test_rain_never_makes_it_due_sooner(et0_mm: float, leaf_m2: float, rain_mm: float) -> None:
    assert due(et0_mm, leaf_m2, rain_mm) >= due(et0_mm, leaf_m2) - 1e-9


@given(RATIOS)
def test_an_own_pace_lies_between_one_and_what_was_measured(ratios: list[float]) -> None:
    measured = float(np.exp(np.mean(np.log(ratios))))
    pace = own_pace(ratios)
    assert min(1.0, measured) - 1e-9 <= pace.factor <= max(1.0, measured) + 1e-9
    assert pace.sd_log < own_pace([]).sd_log


@given(RATIOS, st.integers(2, 40))
def test_draws_of_a_pace_have_its_middle(ratios: list[float], n: int) -> None:
    pace = own_pace(ratios)
    assert np.isclose(np.exp(np.mean(np.log(pace.draws_factor(n)))), pace.factor)
