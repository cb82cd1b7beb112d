"""The core of a pot behind the air: lag, surface, gaps, and a fine step-by-step solution beside it."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import numpy as np
import pytest

from ringwise.kit.errors import RangeError
from ringwise.kit.types import FloatArray
from ringwise.rootzone.core import (
    PotCore,
    bench_hours,
    core_hours,
    core_trace,
    perimeter_mm,
    pot_core,
    top_surface_m2,
    wall_surface_m2,
)
from ringwise.rootzone.heat import place_heat, pot_days
from ringwise.rootzone.pot import PotLengths, pot_shape
from ringwise.rootzone.skin import PotHeat, PotSkin, pot_heat

TRAY = PotCore(7.9, 0.133, 15.0, 0.35, 3929.0)


def behind(air_degC: FloatArray, lag_h: float) -> FloatArray:
    """The core behind the air of some hours, laid out by whole days as the closed form takes them."""
    spare = -len(air_degC) % 24
    days = np.concatenate([air_degC, np.full(spare, np.nan)]).reshape(1, -1, 24)
    found = core_hours(np.moveaxis(days, -1, 0), lag_h)
    return np.moveaxis(found, 0, -1).ravel()[: len(air_degC)]


def small_steps(air_degC: FloatArray, lag_h: float, parts: int = 2000) -> FloatArray:
    """The same lag in many small steps of its plain equation, the air in straight lines between hours."""
    core, found = float(air_degC[0]), [float(air_degC[0])]
    for before, now in pairwise(air_degC):
        for part in range(parts):
            air = before + (now - before) * (part + 0.5) / parts
            core += (air - core) / lag_h / parts
        found.append(core)
    return np.array(found)


@pytest.mark.parametrize("lag_min", [20.0, 66.0, 300.0])
def test_the_closed_form_is_the_lag_in_small_steps(lag_min: float) -> None:
    air = np.array([5.0, 3.0, -2.0, -6.0, -1.0, 4.0, 12.0, 12.0, 3.0])
    core = PotCore(lag_min * 60 * 15.0 * 0.1 / 1000, 0.1, 15.0, 0.35, 1000.0)
    assert core.lag_min == pytest.approx(lag_min)
    assert behind(air, core.lag_h) == pytest.approx(small_steps(air, core.lag_h), abs=2e-3)


def test_a_sudden_cold_has_sunk_in_by_two_thirds_after_one_lag() -> None:
    lag = PotCore(15.0 * 0.1 * 10 * 3600 / 1000, 0.1, 15.0, 0.35, 1000.0)  # ten hours
    air = np.concatenate([[10.0], np.zeros(200)])
    core = behind(air, lag.lag_h)
    # The first hour is a slope; after it the rest dies away by e each ten hours.
    assert core[11] / core[1] == pytest.approx(np.exp(-1.0))
    assert core[-1] == pytest.approx(0.0, abs=1e-6)


def test_steady_air_is_the_core_and_a_gap_starts_anew() -> None:
    air = np.array([4.0, 4.0, 4.0, np.nan, -3.0, -3.0])
    core = behind(air, TRAY.lag_h)
    assert core[:3].tolist() == [4.0, 4.0, 4.0]
    assert np.isnan(core[3])
    assert core[4:].tolist() == [-3.0, -3.0]


def test_days_with_a_missing_hour_are_not_told() -> None:
    air = np.full((2, 72), 2.0)
    air[1, 30] = np.nan
    told = pot_days(place_heat(air, None), PotHeat(TRAY, PotSkin(0.067, 0.066, "mid", True, 0.7)))
    assert told.low_degC.tolist()[0] == [2.0, 2.0, 2.0]
    assert np.isnan(told.low_degC[1]).tolist() == [False, True, False]


def test_a_larger_pot_lags_more_and_stays_milder() -> None:
    small = pot_heat(pot_shape("round", PotLengths(100, None, 80)))
    large = pot_heat(pot_shape("round", PotLengths(400, None, 300)))
    assert small.lag_min < large.lag_min
    low, high = np.array([[-4.0] * 5]), np.array([[8.0] * 5])
    air = bench_hours(low, high, first=date(2027, 3, 1), latitude_deg=50.0)
    cold, mild = (pot_days(place_heat(air, None), pot) for pot in (small, large))
    assert (cold.low_degC[0, 1:] < mild.low_degC[0, 1:]).all()
    assert (cold.high_degC[0, 1:] > mild.high_degC[0, 1:]).all()


def test_wet_mix_holds_more_heat_than_dry() -> None:
    pot = pot_shape("rectangle", PotLengths(300, 200, 70))
    assert pot_core(pot, water_v=0.1).lag_min < pot_core(pot).lag_min < pot_core(pot, water_v=0.5).lag_min
    with pytest.raises(RangeError):
        pot_core(pot, water_v=1.0)


@pytest.mark.parametrize(
    ("shape", "sizes", "round_mm"),
    [
        ("rectangle", (300.0, 200.0), 1000.0),
        ("round", (200.0, 200.0), 628.3185),
        ("octagon", (100.0, 100.0), 331.3708),
        ("hexagon", (100.0, 100.0), 346.4102),
    ],
)
def test_the_way_round_a_plan(shape: str, sizes: tuple[float, float], round_mm: float) -> None:
    assert perimeter_mm(shape, *sizes) == pytest.approx(round_mm, abs=1e-3)


def test_the_way_round_an_oval_is_that_of_its_integral() -> None:
    a, b = 250.0, 150.0
    angle = np.linspace(0, 2 * np.pi, 200_001)
    steps = np.hypot(np.diff(a * np.cos(angle)), np.diff(b * np.sin(angle)))
    assert perimeter_mm("oval", 2 * a, 2 * b) == pytest.approx(float(steps.sum()), rel=1e-4)


def test_the_surface_is_top_and_walls() -> None:
    box = pot_shape("rectangle", PotLengths(300, 200, 100))
    assert (top_surface_m2(box), wall_surface_m2(box)) == pytest.approx((0.3 * 0.2, 1.0 * 0.1))


def test_the_chain_names_its_rows() -> None:
    links = [link for _depth, link in core_trace(TRAY).walk()]
    assert links[0].value == "66 min"
    assert all(link.source for link in links)
    assert len(links) == 6
