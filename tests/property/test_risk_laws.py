"""Laws of the risks after a work: colder is not safer, more nights are not safer, both hemispheres alike."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwise.kit.days import GrowingYear
from ringwise.kit.trace import Trace
from ringwise.phenology.forecast import StageForecast
from ringwise.phenology.stages import codes_of
from ringwise.records.taxa import lookup_keys, taxon
from ringwise.rootzone.core import PotCore, bench_hours
from ringwise.rootzone.heat import place_heat, pot_days
from ringwise.rootzone.skin import PotHeat, PotSkin
from ringwise.season.carry import ALARM, CARRY, NONE, carry_in
from ringwise.season.risk import Risk, Stand, work_risks
from ringwise.season.risk_kinds import HEAT, WIND
from ringwise.weather.years import WeatherMembers

KINDS = ("acer_palmatum", "malus_domestica", "prunus_avium", "pinus_sylvestris", "larix_kaempferi")
LATITUDE_DEG = 50.0
MEMBERS, DRAWS, DAYS = 6, 5, 420
TRAY = PotHeat(PotCore(7.9, 0.133, 15.0, 0.35, 3929.0), PotSkin(0.067, 0.066, "mid", True, 0.7))


def stand(seed: int, key: str, *, south: bool = False, colder_degC: float = 0.0, cut: bool = True) -> Stand:
    """A tree and its weather years, all by chance; only the hemisphere, the cold and the roots are given."""
    luck = np.random.default_rng(seed)
    year = GrowingYear(2027, south)
    wave = 9 - 10 * np.cos(2 * np.pi * (np.arange(DAYS) - 70) / 365)
    night_degC = wave - 4 + luck.normal(0, 4, (MEMBERS, DAYS)) - colder_degC
    weather = WeatherMembers(
        first=year.start,
        tmin_degC=night_degC,
        tmax_degC=night_degC + 9,
        tmean_degC=night_degC + 4.5,
        wind_2m_m_s=luck.uniform(0, 5, (MEMBERS, DAYS)),
        rain_mm=np.full((MEMBERS, DAYS), np.nan),
        labels=tuple(range(MEMBERS)),
        observed=np.zeros(DAYS, dtype=np.bool_),
        forecast=np.zeros(DAYS, dtype=np.bool_),
        year=year,
    )
    kind = taxon(key)
    codes = codes_of(kind.group, kind.leaf_habit)
    count = MEMBERS * DRAWS
    steps = luck.uniform(2, 14, (count, len(codes)))
    days = 60 + np.cumsum(steps, axis=1)
    days[:, 0] = year.day_index(year.start)
    told = StageForecast(year, codes, days, "given", 0, "assumed", Trace("given", ""), 460, MEMBERS)
    told = replace(told, member=np.arange(count) // DRAWS)
    sign = -1 if south else 1
    air = bench_hours(
        weather.tmin_degC, weather.tmax_degC, first=weather.first, latitude_deg=sign * LATITUDE_DEG
    )
    return Stand(weather, told, lookup_keys(key), pot_days(place_heat(air, None), TRAY), cut)


def by_kind(where: Stand, day_index: int, **more: int) -> dict[str, Risk]:
    work = where.weather.year.day_at(float(day_index))
    return {each.kind: each for each in work_risks(where, work, **more)}


seeds = st.integers(0, 10_000)
kinds = st.sampled_from(KINDS)
days = st.integers(20, 200)


@settings(max_examples=40)
@given(seeds, kinds, days, st.booleans())
def test_chances_lie_between_none_and_all(seed: int, key: str, day: int, cut: bool) -> None:
    found = by_kind(stand(seed, key, cut=cut), day)
    assert found
    for each in found.values():
        assert 0.0 <= each.prob <= 1.0
        assert 0 <= each.years <= each.of_years == MEMBERS
        assert each.lost_frac is None or 0.0 <= each.lost_frac <= 1.0


@settings(max_examples=40)
@given(seeds, kinds, days, st.floats(0.1, 8.0), st.booleans())
def test_colder_is_not_safer(seed: int, key: str, day: int, colder_degC: float, cut: bool) -> None:
    usual = by_kind(stand(seed, key, cut=cut), day)
    cold = by_kind(stand(seed, key, cut=cut, colder_degC=colder_degC), day)
    assert usual.keys() == cold.keys()
    for kind, each in usual.items():
        if kind in {HEAT, "core_heat"}:
            assert cold[kind].prob <= each.prob
        elif kind == WIND:
            assert cold[kind].prob == each.prob
        else:
            assert cold[kind].prob >= each.prob
            assert cold[kind].worst <= each.worst


@settings(max_examples=40)
@given(seeds, kinds, days, st.integers(1, 20), st.integers(1, 20))
def test_more_nights_are_not_safer(seed: int, key: str, day: int, nights: int, more: int) -> None:
    where = stand(seed, key)
    few, many = by_kind(where, day, nights=nights), by_kind(where, day, nights=nights + more)
    for kind, each in few.items():
        assert many[kind].prob >= each.prob


@settings(max_examples=40)
@given(seeds, kinds, days, st.floats(0.1, 8.0))
def test_colder_never_takes_back_the_call_to_carry_in(
    seed: int, key: str, day: int, colder_degC: float
) -> None:
    order = (NONE, CARRY, ALARM)
    states = []
    for cold in (0.0, colder_degC):
        where = stand(seed, key, colder_degC=cold)
        told = carry_in(where, where.weather.year.day_at(float(day)))
        assert told is not None
        states.append(order.index(told.state))
    assert states[0] <= states[1]


@settings(max_examples=30)
@given(seeds, kinds, days)
def test_half_a_year_on_at_the_mirrored_latitude_all_is_the_same(seed: int, key: str, day: int) -> None:
    """The same weather by day of the growing year; only the hours of the night differ by a trace."""
    north, south = stand(seed, key), stand(seed, key, south=True)
    assert north.weather.first.month != south.weather.first.month
    assert north.core is not None
    assert south.core is not None
    # Days of the mirrored half-years differ in length by minutes: parts of a degree where days swing wildly.
    apart_degC = np.abs(north.core.low_degC - south.core.low_degC)
    assert apart_degC.mean() < 0.05
    assert apart_degC.max() < 1.0
    shared = replace(south, core=north.core)
    here, there = by_kind(north, day), by_kind(shared, day)
    assert here.keys() == there.keys()
    for kind, each in here.items():
        assert there[kind].prob == each.prob
        assert (there[kind].last - there[kind].first) == (each.last - each.first)


@settings(max_examples=40)
@given(seeds, st.floats(5.0, 600.0))
def test_a_core_never_leaves_the_range_of_its_air(seed: int, lag_min: float) -> None:
    luck = np.random.default_rng(seed)
    night_degC = luck.normal(0, 5, (3, 30))
    air = bench_hours(night_degC, night_degC + 10, first=date(2027, 3, 1), latitude_deg=LATITUDE_DEG)
    core = PotCore(lag_min * 60 * 15 * 0.1 / 1000, 0.1, 15.0, 0.35, 1000.0)
    told = pot_days(place_heat(air, None), PotHeat(core, PotSkin(0.06, 0.04, "mid", True, 0.7)))
    assert (told.low_degC >= air.min(axis=1, keepdims=True) - 1e-9).all()
    assert (told.high_degC <= air.max(axis=1, keepdims=True) + 1e-9).all()
    assert (told.low_degC <= told.high_degC).all()


def test_the_mirrored_days_are_half_a_year_apart() -> None:
    north, south = stand(1, "acer_palmatum"), stand(1, "acer_palmatum", south=True)
    apart = north.weather.first - south.weather.first
    assert timedelta(days=180) <= abs(apart) <= timedelta(days=186)
