"""Laws of sun, humidity and evapotranspiration over all latitudes, days and weathers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringwise.kit.errors import RangeError, UnknownNameError
from ringwise.weather import humidity, sun
from ringwise.weather.et0_routes import ROUTES, MeasuredDays, et0_days
from ringwise.weather.evapotranspiration import (
    DailyAir,
    hargreaves_mm_day,
    penman_monteith,
    solar_day,
    wind_at_2m_m_s,
)

LATITUDES = st.floats(-90.0, 90.0)
TEMPERATE = st.floats(-60.0, 60.0)
DAYS = st.integers(1, 366)


@st.composite
def airs(draw: st.DrawFn) -> DailyAir:
    """A day of any weather; the air is never moister than saturated."""
    low = draw(st.floats(-25.0, 28.0))
    high = low + draw(st.floats(0.5, 22.0))
    share = draw(st.floats(0.05, 0.9))
    return DailyAir(
        day_of_year=draw(DAYS),
        tmin_degC=low,
        tmax_degC=high,
        actual_kPa=share * float(humidity.mean_saturation_kPa(low, high)),
        wind_2m_m_s=draw(st.floats(0.0, 12.0)),
        radiation_mj_m2=draw(st.floats(0.0, 38.0)),
    )


def et0(air: DailyAir, latitude: float) -> float:
    return float(penman_monteith(air, latitude_deg=latitude, elevation_m=200.0).et0_mm_day)


@given(LATITUDES, DAYS, st.sampled_from(sun.DEFINITIONS))
def test_daylength_lies_within_the_day_and_rises_towards_the_sunny_pole(
    latitude: float, day: int, definition: str
) -> None:
    hours = float(sun.daylength_h(latitude, day, definition))
    assert 0.0 <= hours <= 24.0
    toward = np.sign(float(sun.declination_rad(day, definition)))
    if abs(latitude) <= 88.0 and latitude * toward > 0.0:
        assert float(sun.daylength_h(latitude + toward, day, definition)) >= hours - 1e-9


@given(LATITUDES, DAYS)
def test_the_two_hemispheres_share_the_day(latitude: float, day: int) -> None:
    # Without refraction day here and day at the mirrored latitude make one whole day.
    for definition in ("fao56", "gauzere"):
        both = sun.daylength_h(latitude, day, definition) + sun.daylength_h(-latitude, day, definition)
        assert float(both) == pytest.approx(24.0, abs=1e-6)


@given(TEMPERATE, st.integers(1, 183))
def test_half_a_year_later_the_mirrored_latitude_has_the_same_day(latitude: float, day: int) -> None:
    # FAO's declination is a pure sine of 365 days: half a year is 182.5 days, exactly.
    later = day + 182.5
    here, there = sun.daylength_h(latitude, day), sun.daylength_h(-latitude, later)
    assert float(there) == pytest.approx(float(here), abs=1e-6)
    # Radiation differs by the earth's distance alone, by at most 1.033 / 0.967.
    ours, theirs = (
        float(sun.extraterrestrial_mj_m2(latitude, day)),
        float(sun.extraterrestrial_mj_m2(-latitude, later)),
    )
    nearness = float(sun.sun_distance_factor(later) / sun.sun_distance_factor(day))
    assert theirs == pytest.approx(ours * nearness, rel=1e-6, abs=1e-9)
    assert 0.967 / 1.033 - 1e-9 <= nearness <= 1.033 / 0.967 + 1e-9


@given(DAYS, st.sampled_from(sun.DEFINITIONS))
def test_the_definitions_mean_the_same_sun(day: int, definition: str) -> None:
    assert float(sun.declination_rad(day, definition)) == pytest.approx(
        float(sun.declination_rad(day)), abs=0.03
    )


def test_polar_day_and_night() -> None:
    assert float(sun.daylength_h(80.0, 172)) == 24.0
    assert float(sun.daylength_h(80.0, 355)) == 0.0
    assert float(sun.daylength_h(-80.0, 355)) == 24.0
    assert float(sun.daylength_h(90.0, 172)) == 24.0
    assert float(sun.extraterrestrial_mj_m2(80.0, 355)) == 0.0
    dark = DailyAir(355, -20.0, -15.0, 0.1, 3.0, 0.0)
    found = penman_monteith(dark, latitude_deg=80.0, elevation_m=0.0)
    assert bool(found.clamped)
    assert float(found.et0_mm_day) >= 0.0


@pytest.mark.parametrize("latitude", [-90.5, 91.0, float("nan")])
def test_no_such_latitude(latitude: float) -> None:
    with pytest.raises(RangeError, match="latitude"):
        sun.daylength_h(latitude, 1)


def test_no_such_definition_and_no_such_height() -> None:
    with pytest.raises(UnknownNameError, match="fao56"):
        sun.daylength_h(45.0, 1, "fao")
    for height in (0.0, 0.08, 500.0):
        with pytest.raises(RangeError, match="height of the wind instrument"):
            wind_at_2m_m_s(3.0, height)


@given(airs(), TEMPERATE, st.floats(0.01, 0.9))
def test_drier_air_takes_up_more(air: DailyAir, latitude: float, share: float) -> None:
    # Dry air also lets more long-wave radiation go; what that takes is given back here, so that the deficit
    # alone differs. It counts only where there is wind.
    if float(np.asarray(air.wind_2m_m_s)) < 1.0:
        air = replace(air, wind_2m_m_s=2.0)
    drier = replace(air, actual_kPa=float(np.asarray(air.actual_kPa)) * share)
    ours = penman_monteith(air, latitude_deg=latitude, elevation_m=200.0)
    theirs = penman_monteith(drier, latitude_deg=latitude, elevation_m=200.0)
    assert float(theirs.vpd_kPa) > float(ours.vpd_kPa)
    lost = float(theirs.net_long_mj_m2 - ours.net_long_mj_m2)
    kept = penman_monteith(drier, latitude_deg=latitude, elevation_m=200.0, soil_heat_mj_m2=-lost)
    if float(ours.et0_mm_day) > 0.0:
        assert float(kept.et0_mm_day) > float(ours.et0_mm_day)


@given(airs(), TEMPERATE, st.floats(0.1, 5.0))
def test_wind_moves_towards_what_wind_alone_would_take(air: DailyAir, latitude: float, more: float) -> None:
    # ET0 is a mean of an energy and a drying term, weighted by wind: more wind moves it towards the limit of
    # the drying term, up where that is higher and down where it is lower, and never past it.
    windier = replace(air, wind_2m_m_s=float(np.asarray(air.wind_2m_m_s)) + more)
    ours = penman_monteith(air, latitude_deg=latitude, elevation_m=200.0)
    limit = 900.0 / (float(ours.tmean_degC) + 273.0) * float(ours.vpd_kPa) / 0.34
    before, after = float(ours.et0_mm_day), et0(windier, latitude)
    if before > 0.0:
        assert min(before, limit) - 1e-9 <= after <= max(before, limit) + 1e-9
        if limit > before + 1e-6:
            assert after > before


@given(airs(), TEMPERATE, st.sampled_from(["tmin_degC", "tmax_degC", "wind_2m_m_s", "radiation_mj_m2"]))
def test_a_little_change_changes_little(air: DailyAir, latitude: float, name: str) -> None:
    nudged = replace(air, **{name: float(np.asarray(getattr(air, name))) + 1e-5})
    assert abs(et0(nudged, latitude) - et0(air, latitude)) < 1e-4


@given(airs(), LATITUDES)
def test_the_ratio_keeps_its_limits_and_says_so(air: DailyAir, latitude: float) -> None:
    found = penman_monteith(air, latitude_deg=latitude, elevation_m=200.0)
    assert 0.3 <= float(found.clear_ratio) <= 1.0
    clear = float(found.clear_sky_mj_m2)
    inside = clear > 0.0 and 0.3 <= float(found.radiation_mj_m2) / clear <= 1.0
    assert bool(found.clamped) is not inside


@given(LATITUDES, DAYS)
def test_many_days_at_once_are_the_days_one_by_one(latitude: float, day: int) -> None:
    looked_up = solar_day(latitude, np.tile(np.arange(1, 367), 2))
    alone = solar_day(latitude, day)
    for name in ("declination_rad", "daylength_h", "extraterrestrial_mj_m2", "distance_factor"):
        assert float(getattr(looked_up, name)[day - 1]) == float(getattr(alone, name))


@given(TEMPERATE, DAYS, st.floats(-10.0, 25.0), st.floats(0.0, 20.0))
def test_hargreaves_grows_with_the_daily_span(latitude: float, day: int, low: float, span: float) -> None:
    narrow = float(hargreaves_mm_day(day, low - span / 2, low + span / 2, latitude))
    wide = float(hargreaves_mm_day(day, low - span / 2 - 1, low + span / 2 + 1, latitude))
    assert wide >= narrow >= 0.0


def test_each_day_takes_the_best_route_it_allows() -> None:
    nan = float("nan")
    measured = MeasuredDays(
        day_of_year=np.full(5, 187),
        tmin_degC=np.array([12.3, 12.3, 12.3, 12.3, nan]),
        tmax_degC=np.full(5, 21.5),
        humidity=humidity.Humidity(
            rh_min_pct=np.array([63.0, nan, 63.0, 63.0, 63.0]),
            rh_max_pct=np.array([84.0, nan, nan, 84.0, 84.0]),
        ),
        wind_2m_m_s=np.array([2.0, nan, 2.0, 2.0, 2.0]),
        radiation_mj_m2=np.array([22.0, nan, 22.0, nan, 22.0]),
        sunshine_h=np.array([9.0, 9.0, nan, nan, 9.0]),
    )
    found = et0_days(measured, latitude_deg=50.8, elevation_m=100.0)
    assert [ROUTES[each] for each in found.route] == [
        "penman_monteith",
        "penman_monteith",
        "penman_monteith",
        "hargreaves",
        "none",
    ]
    assert [humidity.ROUTES[each] for each in found.humidity_route[:3]] == ["rh_min_max", "tmin", "rh_min"]
    assert found.radiation_from.tolist()[:4] == [0, 1, 0, 2]
    assert found.wind_assumed.tolist()[:3] == [False, True, False]
    assert np.isnan(found.et0_mm_day).tolist() == [False, False, False, False, True]


@given(st.floats(-20.0, 30.0), st.floats(0.5, 20.0), st.floats(0.0, 100.0), st.floats(0.0, 100.0))
def test_actual_vapour_is_never_above_saturation(low: float, span: float, one: float, other: float) -> None:
    least, most = sorted((one, other))
    found = humidity.actual_vapour(low, low + span, humidity.Humidity(rh_min_pct=least, rh_max_pct=most))
    assert float(found.actual_kPa) <= float(humidity.mean_saturation_kPa(low, low + span))


def test_humidity_prefers_the_better_measure() -> None:
    everything = humidity.Humidity(
        vapour_pressure_kPa=1.0, dew_point_degC=5.0, rh_min_pct=40.0, rh_max_pct=90.0, rh_mean_pct=60.0
    )
    order = []
    for name in ("vapour_pressure_kPa", "dew_point_degC", "rh_min_pct", "rh_max_pct", "rh_mean_pct"):
        order.append(humidity.ROUTES[int(humidity.actual_vapour(10.0, 20.0, everything).route)])
        everything = replace(everything, **{name: None})
    order.append(humidity.ROUTES[int(humidity.actual_vapour(10.0, 20.0, everything).route)])
    assert order == ["vapour_pressure", "dew_point", "rh_min_max", "rh_max", "rh_mean", "tmin"]
