"""Laws of heat in a pot: colour, shade, size, sun and the two hemispheres."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwise.kit.types import FloatArray
from ringwise.rootzone.freezing import freezing_hours
from ringwise.rootzone.heat import PlaceHeat, place_heat, pot_days, pot_hours
from ringwise.rootzone.heat_days import hot_day
from ringwise.rootzone.pot import PotLengths, pot_shape
from ringwise.rootzone.skin import COVERS, PotHeat, covered, pot_heat
from ringwise.weather.sun_hours import hourly_sun, sun_place

ROWS, DAYS = 2, 4
seeds = st.integers(0, 10_000)
latitudes = st.floats(-60.0, 60.0)
sizes = st.tuples(st.floats(80, 600), st.floats(80, 600), st.floats(40, 200))
kinds = st.sampled_from(["open_bench", "wall", "shade", "tunnel", "shed"])


def a_place(seed: int, latitude_deg: float, kind: str = "open_bench", *, sky: float = 40.0) -> PlaceHeat:
    luck = np.random.default_rng(seed)
    air = luck.normal(15.0, 8.0, (ROWS, DAYS * 24))
    radiation = luck.uniform(1.0, 25.0, (ROWS, DAYS))
    days = luck.integers(1, 366, DAYS).astype(np.float64)
    sun = hourly_sun(radiation, days, latitude_deg=latitude_deg)
    wind = luck.uniform(0.0, 6.0, (ROWS, DAYS))
    return place_heat(air, sun, kind=kind, sky_w_m2=np.full((ROWS, DAYS), sky), wind_2m_m_s=wind)


def a_pot(size: tuple[float, float, float], colour: str = "", material: str = "") -> PotHeat:
    return pot_heat(pot_shape("rectangle", PotLengths(*size)), colour=colour, material=material)


@settings(max_examples=40, deadline=None)
@given(seeds, latitudes, sizes, kinds)
def test_darker_is_never_cooler(
    seed: int, latitude_deg: float, size: tuple[float, float, float], kind: str
) -> None:
    place = a_place(seed, latitude_deg, kind)
    told = [pot_days(place, a_pot(size, colour)) for colour in ("white", "blue", "black")]
    for light, dark in pairwise(told):
        assert (dark.low_degC >= light.low_degC - 1e-9).all()
        assert (dark.high_degC >= light.high_degC - 1e-9).all()
        assert (dark.wall_high_degC >= light.wall_high_degC - 1e-9).all()


@settings(max_examples=40, deadline=None)
@given(seeds, latitudes, sizes, st.sampled_from(["cloth", "board"]))
def test_more_shade_is_never_warmer(
    seed: int, latitude_deg: float, size: tuple[float, float, float], cover: str
) -> None:
    place, pot = a_place(seed, latitude_deg), a_pot(size, "black")
    bare, shaded = pot_days(place, pot), pot_days(place, covered(pot, cover))
    assert (shaded.high_degC <= bare.high_degC + 1e-9).all()
    assert (shaded.wall_high_degC <= bare.wall_high_degC + 1e-9).all()
    less = replace(place, **{name: getattr(place, name) * 0.4 for name in SUN})
    dim = pot_days(less, pot)
    assert (dim.high_degC <= bare.high_degC + 1e-9).all()
    assert (dim.wall_high_degC <= bare.wall_high_degC + 1e-9).all()


SUN = ("wall_w_m2", "facing_w_m2", "level_w_m2")


@settings(max_examples=30, deadline=None)
@given(sizes, latitudes)
def test_a_covered_pot_is_never_hotter_on_a_hot_day(
    size: tuple[float, float, float], latitude_deg: float
) -> None:
    pot = a_pot(size, "black")
    bare = hot_day(pot, kind="open_bench", latitude_deg=latitude_deg)
    for cover in COVERS:
        assert (
            hot_day(covered(pot, cover), kind="open_bench", latitude_deg=latitude_deg).wall_degC
            < bare.wall_degC
        )


@settings(max_examples=30, deadline=None)
@given(sizes, st.floats(1.05, 4.0))
def test_a_larger_pot_lags_more(size: tuple[float, float, float], times: float) -> None:
    large = tuple(each * times for each in size)
    assert a_pot((large[0], large[1], large[2])).lag_min > a_pot(size).lag_min


@settings(max_examples=30, deadline=None)
@given(st.floats(-20.0, 40.0), sizes, st.floats(0.0, 10.0), kinds)
def test_no_sun_and_equal_air_is_the_air(
    air_degC: float, size: tuple[float, float, float], wind_m_s: float, kind: str
) -> None:
    still = place_heat(np.full((1, 72), air_degC), None, kind=kind, wind_2m_m_s=wind_m_s)
    told = pot_days(still, a_pot(size, "black"))
    for values in (told.low_degC, told.high_degC, told.wall_high_degC):
        assert np.allclose(values, air_degC, atol=1e-9)


@settings(max_examples=40, deadline=None)
@given(seeds, latitudes, sizes, kinds, st.sampled_from(["", "terracotta"]))
def test_every_course_closes_its_heat(
    seed: int, latitude_deg: float, size: tuple[float, float, float], kind: str, material: str
) -> None:
    told = pot_hours(a_place(seed, latitude_deg, kind), a_pot(size, "", material))  # raises where it does not
    assert 0.0 <= told.losses_kj["evaporated"] <= told.gains_kj["sun"] + 1e-9
    assert (told.wall_low_degC >= told.core_degC.min() - 60).all()


@settings(max_examples=40, deadline=None)
@given(seeds, st.floats(0.3, 12.0), sizes)
def test_ice_is_a_share_and_never_warms_a_core_above_0(
    seed: int, lag_h: float, size: tuple[float, float, float]
) -> None:
    luck = np.random.default_rng(seed)
    driving = luck.normal(-1.0, 6.0, (24, ROWS, DAYS))
    told = freezing_hours(driving, np.full((ROWS, DAYS), lag_h), a_pot(size).core)
    assert (told.frozen_frac >= 0.0).all()
    assert (told.frozen_frac <= 1.0).all()
    part = (told.frozen_frac > 0.0) & (told.frozen_frac < 1.0)
    assert np.allclose(told.core_degC[part], 0.0)
    assert (told.core_degC[told.frozen_frac >= 1.0] <= 1e-12).all()
    assert (told.core_degC[told.frozen_frac <= 0.0] >= -1e-12).all()


@settings(max_examples=30, deadline=None)
@given(st.floats(5.0, 60.0), st.integers(0, 23))
def test_the_sun_of_one_hemisphere_is_the_mirror_of_the_other(latitude_deg: float, hour: int) -> None:
    """With the declination turned round, the noon side of a pot is south here and north there."""
    day, other = days_of_opposite_sun()
    north = sun_place(np.array([day]), latitude_deg=latitude_deg)
    south = sun_place(np.array([other]), latitude_deg=-latitude_deg)
    assert np.allclose(north.sine, south.sine, atol=2e-3)
    turned = (180.0 - south.azimuth_deg[0, hour]) % 360.0
    apart = abs((north.azimuth_deg[0, hour] - turned + 180.0) % 360.0 - 180.0)
    assert apart < 2.0
    if latitude_deg > 30.0:
        assert abs(north.azimuth_deg[0, 12] - 180.0) < 1.0
        assert min(south.azimuth_deg[0, 12], 360.0 - south.azimuth_deg[0, 12]) < 1.0


def days_of_opposite_sun() -> tuple[float, float]:
    """A day in summer here and the day there with the sun as far on the other side of the equator."""
    noon: FloatArray = sun_place(np.arange(1.0, 366.0), latitude_deg=0.0).sine[:, 12]
    azimuth = sun_place(np.arange(1.0, 366.0), latitude_deg=0.0).azimuth_deg[:, 12]
    south = np.cos(np.radians(azimuth)) < 0
    at = 171
    wanted = np.where(south, np.abs(noon - noon[at]), np.inf)
    return float(at + 1), float(np.argmin(wanted) + 1)


@settings(max_examples=20, deadline=None)
@given(sizes, st.floats(10.0, 60.0), kinds)
def test_a_hot_day_is_alike_in_both_hemispheres(
    size: tuple[float, float, float], latitude_deg: float, kind: str
) -> None:
    pot = a_pot(size, "black")
    north = hot_day(pot, kind=kind, latitude_deg=latitude_deg)
    south = hot_day(pot, kind=kind, latitude_deg=-latitude_deg)
    # The sun is 7 % stronger in the southern summer; the side of the wall is mirrored.
    assert abs(north.wall_degC - south.wall_degC) < 0.1 * (north.wall_degC - 17.0)
    if latitude_deg > 35.0 and kind != "shed":
        assert 180.0 < north.side_deg < 280.0
        assert 260.0 < south.side_deg < 360.0
