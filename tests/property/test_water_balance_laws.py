"""Laws of a pot's daily water: it closes, stays within the pot, and answers to leaf, rain and roofs."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwise.kit.errors import BalanceError, InputError, RingwiseError
from ringwise.rootzone.balance import (
    TERMS,
    BalanceDays,
    DailyForcing,
    PotDemand,
    PotStart,
    RootWork,
    Watering,
    pot_water,
    run,
)
from ringwise.rootzone.evaporation import COVERS, cover, evaporated_mm
from ringwise.rootzone.leaf_area import joined, leaf_of_crown, leaf_of_tips, leaf_share_frac
from ringwise.rootzone.pot_water import PotWater
from ringwise.rootzone.rain_share import through_mm
from ringwise.rootzone.transpiration import taken_cm3

shares = st.floats(0.0, 1.0)


@st.composite
def pots(draw: st.DrawFn) -> PotWater:
    capacity = draw(st.floats(0.2, 0.9))
    refill = capacity * draw(st.floats(0.1, 1.0))
    area = draw(st.floats(0.001, 0.3))
    depth = draw(st.floats(15.0, 400.0))
    return pot_water(
        area * depth * 1000 * draw(st.floats(0.7, 1.0)),
        area,
        depth,
        capacity_v=capacity,
        refill_v=refill,
        wilting_v=refill * draw(st.floats(0.0, 0.95)),
    )


@st.composite
def weather(draw: st.DrawFn, members: int = 2, days: int = 8) -> DailyForcing:
    each = st.lists(st.floats(0.0, 12.0), min_size=members * days, max_size=members * days)
    wet = st.lists(
        st.sampled_from([0.0, 0.0, 0.3, 4.0, 60.0]), min_size=members * days, max_size=members * days
    )
    shape = (members, days)
    return DailyForcing(np.array(draw(each)).reshape(shape), np.array(draw(wet)).reshape(shape))


rules = st.sampled_from(
    [
        Watering(),
        Watering("daily"),
        Watering("due", 0.3),
        Watering("due", 0.0, 4.0),
        Watering("daily", 0.0, 0.0),
    ]
)


@st.composite
def demands(draw: st.DrawFn) -> PotDemand:
    roots = RootWork(draw(shares), draw(st.floats(0.0, 500.0)), draw(st.floats(-30.0, 5.0)))
    return PotDemand(
        draw(pots()),
        leaf_m2=draw(st.floats(0.0, 3.0)),
        crown_m2=draw(st.floats(0.0, 1.0)),
        exposure_factor=draw(st.floats(0.5, 2.0)),
        rain_frac=draw(shares),
        top=cover(draw(st.sampled_from(COVERS))),
        roots=draw(st.sampled_from([None, roots])),
    )


def _same(first: BalanceDays, second: BalanceDays) -> None:
    for name in TERMS:
        np.testing.assert_allclose(first.term(name), second.term(name), rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(first.water_cm3, second.water_cm3, rtol=1e-9, atol=1e-9)


@settings(max_examples=60, deadline=None)
@given(demands(), weather(), rules, shares)
def test_it_closes_over_all_days_and_stays_within_the_pot(
    pot: PotDemand, days: DailyForcing, rule: Watering, full: float
) -> None:
    start = full * pot.water.capacity_cm3
    told = run(pot, days, rule, PotStart(water_cm3=start, dressing_mm=0.0))
    ended = told.water_cm3[..., -1] + told.dressing_cm3[..., -1]
    inward = (told.rain_cm3 + told.watered_cm3).sum(axis=-1)
    outward = (told.drained_cm3 + told.transpired_cm3 + told.evaporated_cm3).sum(axis=-1)
    scale = float(pot.water.capacity_cm3[0] + inward.max())
    np.testing.assert_allclose(ended - start[:, None], inward - outward, atol=1e-7 * scale)
    assert (told.water_cm3 >= 0).all()
    assert (told.water_cm3 <= pot.water.capacity_cm3[:, None, None] * (1 + 1e-9)).all()
    assert all((told.term(name) >= 0).all() for name in TERMS)
    dry = told.water_cm3 < pot.water.wilting_cm3[:, None, None] * (1 - 1e-9)
    assert (told.transpired_cm3[dry] <= 1e-6 * scale).all()  # below the stop only the air still takes


@settings(max_examples=40, deadline=None)
@given(pots(), weather(), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_more_leaf_takes_no_less_on_the_first_day(
    water: PotWater, days: DailyForcing, leaf_m2: float, more_m2: float
) -> None:
    dry = DailyForcing(days.et0_mm_day, np.zeros_like(days.rain_mm))
    few, many = (
        run(PotDemand(water, leaf), dry).transpired_cm3[..., 0] for leaf in (leaf_m2, leaf_m2 + more_m2)
    )
    assert (many >= few * (1 - 1e-9) - 1e-9).all()


@settings(max_examples=40, deadline=None)
@given(
    st.floats(30.0, 300.0), st.floats(1.0, 8.0), st.floats(0.0, 1.0), st.floats(4.0, 8.0), st.floats(0.4, 0.9)
)
def test_more_leaf_dries_sooner(depth: float, et0: float, few: float, many: float, at: float) -> None:
    # A wet surface alone evaporates 1.2 of the reference; from four layers on leaf takes more than that.
    water = pot_water(5 * depth, 0.005, depth, capacity_v=0.5, refill_v=0.2 + 0.3 * at, wilting_v=0.2)
    dry = DailyForcing(np.full((1, 40), et0), np.zeros((1, 40)))
    wet_days = [
        int((run(PotDemand(water, layers * 0.005), dry).water_cm3 > water.refill_cm3[0]).sum())
        for layers in (few, many)
    ]
    assert wet_days[1] <= wet_days[0]


@settings(max_examples=40, deadline=None)
@given(demands(), weather(), st.integers(0, 7), st.floats(0.0, 80.0))
def test_rain_never_dries(pot: PotDemand, days: DailyForcing, when: int, more_mm: float) -> None:
    rain = days.rain_mm.copy()
    rain[:, when] += more_mm
    plain = run(pot, days)
    wetter = run(pot, DailyForcing(days.et0_mm_day, rain))
    together = [told.water_cm3 + told.dressing_cm3 for told in (plain, wetter)]
    scale = float(pot.water.capacity_cm3[0])
    assert (together[1][..., when] >= together[0][..., when] - 1e-7 * scale).all()


@settings(max_examples=30, deadline=None)
@given(demands(), weather(members=1), rules, st.integers(2, 5))
def test_more_weathers_alike_change_nothing(
    pot: PotDemand, days: DailyForcing, rule: Watering, members: int
) -> None:
    alone = run(pot, days, rule)
    many = run(
        pot, DailyForcing(*(np.repeat(each, members, 0) for each in (days.et0_mm_day, days.rain_mm))), rule
    )
    for member in range(members):
        np.testing.assert_array_equal(many.water_cm3[:, member], alone.water_cm3[:, 0])


@settings(max_examples=30, deadline=None)
@given(demands(), weather(), rules)
def test_both_hemispheres_reckon_alike(pot: PotDemand, days: DailyForcing, rule: Watering) -> None:
    # The growing year counts from its own start: the same days at the same indices give the same water, and a
    # shift of all indices with the day of the root work changes nothing.
    north = run(pot, days, rule)
    moved = pot
    if pot.roots is not None:
        roots = pot.roots
        moved = PotDemand(
            **{**vars(pot), "roots": RootWork(roots.kept_frac, roots.normal_day_cm3, roots.cut_days + 181.0)}
        )
    south = run(moved, DailyForcing(days.et0_mm_day, days.rain_mm, days.first_days + 181.0), rule)
    _same(north, south)


@settings(max_examples=30, deadline=None)
@given(pots(), weather(), st.floats(0.0, 1.0))
def test_under_a_roof_no_rain_comes_in(water: PotWater, days: DailyForcing, leaf_m2: float) -> None:
    assert not run(PotDemand(water, leaf_m2, rain_frac=0.0), days).rain_cm3.any()


@settings(max_examples=60, deadline=None)
@given(st.floats(0.0, 500.0), st.floats(0.0, 500.0), st.floats(1e-3, 500.0))
def test_leaves_never_take_more_than_there_is_nor_than_they_want(
    demand: float, above: float, slowing: float
) -> None:
    taken = float(taken_cm3(np.array(demand), np.array(above), np.array(slowing)))
    assert 0.0 <= taken <= min(demand, above) * (1 + 1e-9) + 1e-12


@settings(max_examples=60, deadline=None)
@given(st.floats(0.0, 20.0), st.floats(0.0, 60.0), st.floats(1.0, 60.0), st.sampled_from(COVERS))
def test_two_half_days_of_air_are_one(power: float, lost: float, tew: float, key: str) -> None:
    top, all_mm = cover(key), np.array(tew)
    begun = np.array(min(lost, tew))
    whole = float(evaporated_mm(power, begun, all_mm, top))
    first = float(evaporated_mm(power / 2, begun, all_mm, top))
    second = float(evaporated_mm(power / 2, begun + first, all_mm, top))
    assert whole == pytest.approx(first + second, abs=1e-9 * tew + 1e-9)
    assert -1e-12 <= whole <= min(power, tew - float(begun)) + 1e-9


@settings(max_examples=60, deadline=None)
@given(st.floats(0.0, 200.0), st.floats(0.0, 3.0), st.floats(0.0, 2.0), st.floats(0.01, 1.0), shares)
def test_no_more_rain_comes_through_than_falls(
    rain: float, leaf: float, crown: float, area: float, roof: float
) -> None:
    through = float(through_mm(rain, leaf, crown, area, roof))
    assert -1e-12 <= through <= rain * roof + 1e-12


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(1, 365), min_size=5, max_size=5, unique=True), st.integers(1, 365))
def test_leaf_grows_to_hard_and_falls_to_bare(stages: list[int], day: int) -> None:
    codes, when = ("07", "11", "H1", "93", "97"), np.sort(np.array(stages, dtype=np.float64))
    share = leaf_share_frac(np.array([float(day)]), when, codes)[0]
    assert 0.0 <= share <= 1.0
    if day < when[0] or day > when[-1]:
        assert share == 0.0
    spring = leaf_share_frac(np.linspace(when[0], when[2], 9), when, codes)
    assert (np.diff(spring) >= -1e-12).all()


@given(st.floats(10.0, 50_000.0), st.floats(0.005, 3.0))
def test_two_looks_at_a_crown_meet_between_them(tips_cm2: float, covered_m2: float) -> None:
    looks = [leaf_of_tips(tips_cm2), leaf_of_crown(covered_m2)]
    both = joined(looks)
    low, high = sorted(each.full_m2 for each in looks)
    assert low * (1 - 1e-9) <= both.full_m2 <= high * (1 + 1e-9)
    if high / low > 6.0:
        assert both.sd_log > min(each.sd_log for each in looks)


GOOD: dict[str, Any] = {
    "volume_cm3": 1000.0,
    "area_m2": 0.02,
    "depth_mm": 50.0,
    "capacity_v": 0.5,
    "refill_v": 0.3,
    "wilting_v": 0.2,
}
DAY = DailyForcing(np.full((1, 2), 3.0), np.zeros((1, 2)))
nonsense = st.sampled_from([float("nan"), float("inf"), -1.0, -1e-9, 0.0, 1.5, 1e9])


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(sorted(GOOD)), nonsense)
def test_a_pot_that_cannot_be_is_one_line_or_a_sound_pot(name: str, value: float) -> None:
    try:
        told = run(PotDemand(pot_water(**(GOOD | {name: value})), 0.1), DAY)
    except InputError as wrong:
        _one_line(wrong)
    else:
        assert np.isfinite(told.water_cm3).all()


@settings(max_examples=80, deadline=None)
@given(
    st.sampled_from(["leaf_m2", "crown_m2", "exposure_factor", "et0_factor", "rain_frac", "kept", "normal"]),
    nonsense,
)
def test_a_demand_that_cannot_be_is_one_line_or_sound(name: str, value: float) -> None:
    good = pot_water(**GOOD)
    roots = {"kept": RootWork(value, 100.0, 1.0), "normal": RootWork(0.5, value, 1.0)}
    pot = PotDemand(good, roots=roots[name]) if name in roots else PotDemand(good, **{name: value})
    try:
        told = run(pot, DAY)
    except InputError as wrong:
        _one_line(wrong)
    else:
        assert np.isfinite(told.water_cm3).all()


@pytest.mark.parametrize("table", ["et0_mm_day", "rain_mm"])
@pytest.mark.parametrize("value", [np.nan, np.inf, -0.1, 1e5])
def test_weather_that_cannot_be_names_its_day(table: str, value: float) -> None:
    tables = {"et0_mm_day": np.full((2, 3), 3.0), "rain_mm": np.zeros((2, 3))}
    tables[table][1, 2] = value
    with pytest.raises(InputError, match="weather 2, day 3") as wrong:
        run(PotDemand(pot_water(**GOOD)), DailyForcing(**tables))
    _one_line(wrong.value)


@pytest.mark.parametrize(
    ("rule", "start"),
    [
        (Watering("often"), PotStart()),
        (Watering("due", 1.2), PotStart()),
        (Watering("daily", amount_mm=float("nan")), PotStart()),
        (Watering("marked"), PotStart()),
        (Watering("marked", marked=np.array([True])), PotStart()),
        (Watering(), PotStart(water_cm3=501.0)),
        (Watering(), PotStart(water_cm3=float("nan"))),
        (Watering(), PotStart(lost_mm=-1.0)),
        (Watering(), PotStart(dressing_mm=float("nan"))),
    ],
)
def test_rules_and_starts_that_cannot_be_are_one_line(rule: Watering, start: PotStart) -> None:
    with pytest.raises(InputError) as wrong:
        run(PotDemand(pot_water(**GOOD)), DAY, rule, start)
    _one_line(wrong.value)


def _one_line(wrong: RingwiseError) -> None:
    assert "\n" not in str(wrong)
    assert 10 < len(str(wrong)) < 200


def test_a_day_that_does_not_close_raises_with_its_terms(monkeypatch: pytest.MonkeyPatch) -> None:
    from ringwise.rootzone import balance

    monkeypatch.setattr(balance, "taken_cm3", lambda wanted, above, slowing: np.full_like(above, -50.0))
    with pytest.raises(BalanceError, match="day 1") as wrong:
        run(PotDemand(pot_water(**GOOD), 0.1), DAY)
    assert "transpired" in str(wrong.value)
