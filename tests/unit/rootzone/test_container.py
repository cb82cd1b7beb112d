from __future__ import annotations

import math

import numpy as np
import pytest

from ringwise.kit.errors import BalanceError, InputError, MissingFieldError, RangeError, UnitError
from ringwise.rootzone.container import CoarseLayer, container_state, filling_state, water_profile
from ringwise.rootzone.drain import Column, hydraulics, pot_drainage, run_column
from ringwise.rootzone.pot import PotLengths, PotShape, pot_shape
from ringwise.rootzone.retention import RetentionCurve, curve
from ringwise.rootzone.sections import Level, Mound, bowl_sections, pot_sections, volume_cm3
from ringwise.rootzone.tilt import tilted, tilted_section

SAND = curve(0.045, 0.43, [(1.0, 0.145, 2.68)])
GRAINS = curve(0.0, 0.742, [(0.54, 0.51, 3.0), (0.46, 0.012, 1.15)])


def prism(height_mm: float) -> PotShape:
    return pot_shape("prism", PotLengths(depth_mm=height_mm))


def test_the_usual_gauge_says_less_than_a_tray_gives() -> None:
    state = container_state(prism(70), GRAINS)
    pot = float(state.available_water_cm3) / state.volume_cm3
    assert pot == pytest.approx(float(state.theta_v - GRAINS.theta_v(50)), abs=1e-12)
    assert float(state.standard_available_v) == pytest.approx(
        float(GRAINS.theta_v(10) - GRAINS.theta_v(50)), abs=1e-12
    )
    assert pot > 3 * float(state.standard_available_v)


def test_the_wet_layer_is_the_mix_s_and_not_the_pot_s() -> None:
    low, high = (container_state(prism(height), SAND) for height in (40, 160))
    assert float(low.saturated_layer_cm) == float(high.saturated_layer_cm)
    at = float(low.saturated_layer_cm)
    assert float(SAND.saturation(at)) == pytest.approx(0.95, abs=1e-9)


def test_a_pot_lower_than_two_centimetres_is_all_bottom() -> None:
    state = container_state(prism(15), SAND)
    assert float(state.air_bottom_v) == pytest.approx(float(state.air_filled_porosity_v), abs=1e-12)


def test_water_by_height_ends_where_the_state_says() -> None:
    pot = pot_shape("oval", PotLengths(300, 220, 70))
    state = container_state(pot, SAND)
    profile = water_profile(pot, SAND, np.array([0.0, 70.0]))
    assert profile.tolist() == [float(state.theta_bottom_v), float(state.theta_top_v)]
    with pytest.raises(RangeError, match="height above the floor"):
        water_profile(pot, SAND, np.array([0.0, 90.0]))


def test_water_by_height_of_a_tilted_pot_averages_to_the_section() -> None:
    pot = pot_shape("rectangle", PotLengths(300, 200, 50))
    heights = (np.arange(400) + 0.5) / 400 * 50
    mean = float(water_profile(pot, SAND, heights, tilt_deg=30).mean())
    assert mean == pytest.approx(float(container_state(pot, SAND, tilt_deg=30).theta_v), abs=1e-5)


def test_a_tall_narrow_pot_gains_nothing_by_lying_down() -> None:
    pot = pot_shape("round", PotLengths(60, None, 300))
    level, lying = container_state(pot, SAND), container_state(pot, SAND, tilt_deg=70)
    assert float(filling_state(tilted(pot, 70), SAND).water_cm3) > float(level.water_cm3)
    assert float(lying.water_cm3) == float(level.water_cm3)
    assert float(lying.theta_bottom_v) == float(level.theta_bottom_v)


def test_where_some_draws_gain_and_some_lose_each_is_judged_alone() -> None:
    pot = pot_shape("rectangle", PotLengths(100, 100, 110))
    many = RetentionCurve(
        np.zeros(2),
        np.full(2, 0.6),
        np.ones((2, 1)),
        np.array([[0.02], [3.0]]),
        np.array([[6.0], [1.2]]),
    )
    level, leaning = container_state(pot, many), container_state(pot, many, tilt_deg=60)
    assert np.all(leaning.water_cm3 <= level.water_cm3)


def random_share(pot: PotShape, tilt_deg: float) -> float:
    """Mean water content of points thrown into a tilted hexagon or octagon: nothing of the slices in it."""
    throw = np.random.default_rng(3)
    long = pot.length_mm / 10
    x, y = throw.uniform(-long, long, (2, 400_000))
    z = throw.uniform(0, pot.depth_mm / 10, 400_000)
    size = (
        (pot.bottom_length_mm or 0.0)
        + (pot.length_mm - (pot.bottom_length_mm or 0.0)) * z * 10 / pot.depth_mm
    ) / 10
    turns = 3 if pot.shape == "hexagon" else 4
    inside = np.ones(x.size, dtype=bool)
    for k in range(turns):
        angle = math.pi * k / turns
        inside &= np.abs(x * math.cos(angle) + y * math.sin(angle)) < size / 2
    sin, cos = math.sin(math.radians(tilt_deg)), math.cos(math.radians(tilt_deg))
    h = (x[inside] + (pot.bottom_length_mm or 0.0) / 20) * sin + z[inside] * cos
    return float(SAND.theta_v(h).mean())


@pytest.mark.parametrize("shape", ["hexagon", "octagon"])
def test_tilted_polygons_against_points_thrown_into_them(shape: str) -> None:
    pot = pot_shape(shape, PotLengths(depth_mm=60, top_mm=(240,), bottom_mm=(200,)))
    found = float(container_state(pot, SAND, tilt_deg=25).theta_v)
    assert found == pytest.approx(random_share(pot, 25), abs=1e-3)


def test_a_mound_tilts_with_its_pot() -> None:
    pot = pot_shape("oval", PotLengths(depth_mm=70, top_mm=(300, 220), bottom_mm=(260, 180)))
    heap = Mound(30, 200, 150)
    bare, heaped = (volume_cm3(tilted(pot, 20, mound)) for mound in (None, heap))
    assert heaped - bare == pytest.approx(math.pi * 10 * 7.5 * 3 / 2, rel=1e-6)
    assert float(container_state(pot, SAND, mound=heap, tilt_deg=20).theta_v) < float(
        container_state(pot, SAND, tilt_deg=20).theta_v
    )


@pytest.mark.parametrize(
    ("act", "line"),
    [
        (lambda: container_state(prism(50), SAND, tilt_deg=25), "a prism has no length to tilt along"),
        (lambda: container_state(prism(50), SAND, tilt_deg=95, along_mm=300), "tilt is 95"),
        (lambda: tilted_section(0, 50, 25), "length along the tilt is 0 mm"),
        (
            lambda: container_state(prism(50), SAND, coarse_layer=CoarseLayer(60, 1.0)),
            "coarse layer is 60 mm",
        ),
        (lambda: container_state(prism(50), SAND, coarse_layer=CoarseLayer(10, -1.0)), "more than 0"),
        (
            lambda: container_state(prism(50), SAND, tilt_deg=20, coarse_layer=CoarseLayer(10, 1.0)),
            "a tilt or a coarse layer, not both",
        ),
        (
            lambda: pot_sections(pot_shape("round", PotLengths(200, None, 70)), Mound(30, 250, 250)),
            "the mound is wider than the pot's rim",
        ),
        (lambda: pot_sections(prism(50), Mound(120, 200, 200, "cap")), "mound height is 12 cm"),
        (lambda: pot_sections(prism(50), Mound(20, 200, 100, "cap")), "a cap has a round base"),
        (lambda: pot_sections(prism(50), Mound(20, 200, 100, "cone")), "mound form is cone"),
        (lambda: bowl_sections("round", [Level(0, 100, 100)]), "at two heights or more"),
        (lambda: bowl_sections("round", [Level(0, 100, 100), Level(0, 200, 200)]), "must rise"),
        (lambda: bowl_sections("round", [Level(0, 0, 0), Level(50, 200, 200)]), "more than 0"),
        (lambda: hydraulics(SAND, 0.0), "conductivity is 0 cm/s"),
        (lambda: pot_drainage(SAND, 0.1, 0.01, [60]), "height of the fill is 0.1 cm"),
        (lambda: pot_drainage(SAND, 7.0, 0.01, [60, 30]), "times must rise"),
        (lambda: pot_drainage(SAND, 7.0, 0.01, []), "times must rise"),
    ],
)
def test_what_cannot_be_is_told_in_one_line(act: object, line: str) -> None:
    with pytest.raises((InputError, MissingFieldError, UnitError)) as told:
        act()  # type: ignore[operator]
    assert line in str(told.value)
    assert "\n" not in str(told.value)


def test_draws_do_not_drain() -> None:
    many = RetentionCurve(
        np.zeros(2), np.full(2, 0.5), np.ones((2, 1)), np.ones((2, 1)), np.full((2, 1), 2.0)
    )
    with pytest.raises(InputError, match="one curve at a time"):
        hydraulics(many, 0.1)


def test_a_closed_column_keeps_its_water_and_comes_to_rest() -> None:
    mix = hydraulics(SAND, 0.00825)
    ran = run_column(mix, Column(10.0, 40), np.full(40, -20.0), [1e6])
    assert ran.entered_cm[0] == ran.drained_cm[0] == 0.0
    assert ran.theta_v[0].mean() == pytest.approx(float(SAND.theta_v(20.0)), abs=1e-5)
    assert np.diff(ran.pressure_cm[0]) == pytest.approx(10.0 / 40, rel=1e-3)


def test_pressures_must_be_numbers() -> None:
    mix = hydraulics(SAND, 0.00825)
    for column, start in ((Column(10.0, 10, top_cm=math.nan), -20.0), (Column(10.0, 10), math.inf)):
        with pytest.raises(InputError, match="not finite"):
            run_column(mix, column, np.full(10, start), [100.0])


def test_a_flow_that_does_not_settle_or_loses_water_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    from ringwise.rootzone import drain_kernels

    mix, start = hydraulics(SAND, 0.00825), np.full(10, -20.0)
    gone = (np.full((1, 10), -20.0), np.zeros(1), np.ones(1))
    for reached_s, line in ((3.0, "does not settle at 3 s"), (100.0, "1 cm of water are unexplained")):
        monkeypatch.setattr(drain_kernels, "column", lambda *_given, at=reached_s: (*gone, at))
        with pytest.raises(BalanceError, match=line):
            run_column(mix, Column(10.0, 10), start, [100.0])
