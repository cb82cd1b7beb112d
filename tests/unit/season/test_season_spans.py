"""Stage spans as days: opening, closing, stages in between, rest, frost, hard end."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from yard_of_values import MIDDLE, forecast

from ringwise.kit.days import GrowingYear
from ringwise.operations.registry import OPERATIONS
from ringwise.operations.timing import spans
from ringwise.records.taxa import lookup_keys
from ringwise.season.spans import first_frosts, span_days, stage_days
from ringwise.weather.series import series_of
from ringwise.weather.years import members


def days_of(operation: str, key: str, choice: int = 0, frost: np.ndarray | None = None) -> object:
    span = spans(OPERATIONS[operation], lookup_keys(key))[choice]
    return span_days(forecast(key, spread_days=(0,)), span, frost)


def test_a_span_opens_at_its_stage_and_closes_when_its_last_stage_is_passed() -> None:
    found = days_of("repot", "acer_palmatum")
    assert found.opens_days[0] == MIDDLE["01"]
    assert found.closes_days[0] == MIDDLE["09"]
    assert found.last_days[0] == MIDDLE["15"]


def test_rest_opens_with_the_growing_year_and_closes_at_swelling() -> None:
    found = days_of("structural_prune", "zelkova_serrata")
    assert found.opens_days[0] == -60  # 1 November is day -60 counted from 1 January
    assert found.closes_days[0] == MIDDLE["01"]


def test_evergreens_have_no_leaf_fall_and_still_have_a_rest() -> None:
    found = days_of("wire", "pinus_sylvestris")
    assert (found.opens_days[0], found.closes_days[0]) == (-60, MIDDLE["01"])


def test_late_winter_opens_weeks_before_the_candles_swell() -> None:
    assert days_of("repot", "pinus_sylvestris").opens_days[0] == MIDDLE["01"] - 21


def test_stages_between_lie_between() -> None:
    half = stage_days(forecast("zelkova_serrata", spread_days=(0,)), "35")
    assert half is not None
    assert half[0] == (MIDDLE["15"] + MIDDLE["H1"]) / 2
    assert stage_days(forecast("pinus_sylvestris"), "97") is None


def test_frost_closes_a_span_early_and_an_unknown_frost_is_said() -> None:
    early = days_of("full_defoliation", "acer_buergerianum", frost=np.array([260.0]))
    assert early.closes_days[0] == 260 - 70
    assert not early.frost_unknown
    unknown = days_of("full_defoliation", "acer_buergerianum")
    assert unknown.closes_days[0] == MIDDLE["91"]
    assert unknown.frost_unknown


def test_where_no_frost_comes_the_stage_closes_the_span() -> None:
    free = days_of("full_defoliation", "acer_buergerianum", frost=np.array([np.nan]))
    assert free.closes_days[0] == MIDDLE["91"]
    assert not free.frost_unknown


def test_each_sample_has_the_first_frost_of_its_own_weather_year() -> None:
    nights = np.full(3200, 3.0)
    first = date(2010, 1, 1)
    for night in (date(2012, 10, 20), date(2013, 10, 5)):  # no frost at all in the others
        nights[(night - first).days] = -1.0
    told = series_of(first, {"tmin_degC": nights, "tmax_degC": nights + 6})
    weather = members(told, issue=date(2014, 3, 1), year=GrowingYear(2014))
    lent = {label: k for k, label in enumerate(weather.labels)}
    member = np.array([lent[2013], lent[2012], lent[2011], lent[2013]])
    found = first_frosts(replace(forecast("zelkova_serrata", spread_days=(0,)), member=member), weather)
    assert found is not None
    np.testing.assert_array_equal(found, [278, 293, np.nan, 278])  # 5 and 20 October


def test_a_place_without_frost_is_not_one_without_minima() -> None:
    first = date(2010, 1, 1)
    nights = np.full(3200, 12.0)
    five = replace(forecast("acer_buergerianum"), member=np.array([0, 1, 2, 0, 1]))
    told = series_of(first, {"tmin_degC": nights, "tmax_degC": nights + 6})
    mild = first_frosts(five, members(told, issue=date(2014, 3, 1), year=GrowingYear(2014)))
    assert mild is not None
    assert (mild.size, bool(np.isnan(mild).all())) == (5, True)
    means = series_of(first, {"tmean_degC": nights})
    unknown = first_frosts(five, members(means, issue=date(2014, 3, 1), year=GrowingYear(2014)))
    assert unknown is None
    span = spans(OPERATIONS["full_defoliation"], lookup_keys("acer_buergerianum"))[0]
    here, there = span_days(five, span, mild), span_days(five, span, unknown)
    assert (here.frost_free, here.frost_unknown) == (True, False)
    assert (there.frost_free, there.frost_unknown) == (False, True)
    gaps = nights.copy()
    for year in (2010, 2011, 2012):  # most autumns have a gap: too little to say that none comes
        begin = (date(year, 11, 1) - first).days
        gaps[begin : begin + 30] = np.nan
    holed = series_of(first, {"tmin_degC": gaps, "tmax_degC": nights + 6, "tmean_degC": nights + 3})
    weather = members(holed, issue=date(2014, 3, 1), year=GrowingYear(2014))
    assert first_frosts(five, weather) is None


def test_a_stage_that_mostly_never_comes_tells_no_day() -> None:
    """Leaf ageing (91) closes the taking of leaves; it stays away in 2 and then in 3 of 5 samples."""
    span = spans(OPERATIONS["full_defoliation"], lookup_keys("acer_buergerianum"))[0]
    for seldom, told in ((2, False), (3, True)):
        five = forecast("acer_buergerianum")
        days = five.days.copy()
        days[:seldom, five.codes.index("91") :] = five.horizon_index
        found = span_days(replace(five, days=days), span, np.full(5, np.nan))
        assert found.closes_never is told
        assert (found.told[1] is None) is told
        assert found.told[0] is not None
        frost = span_days(replace(five, days=days), span, np.full(5, 290.0))
        assert not frost.closes_never  # the frost closes it on a day that is known


def test_a_rest_does_not_wait_for_this_years_leaf_fall() -> None:
    five = forecast("zelkova_serrata")
    days = five.days.copy()
    days[:, five.codes.index("97") :] = five.horizon_index
    span = spans(OPERATIONS["structural_prune"], lookup_keys("zelkova_serrata"))[0]
    found = span_days(replace(five, days=days), span)
    assert (found.opens_never, found.closes_never) == (False, False)


def test_a_season_too_short_leaves_an_empty_span() -> None:
    found = days_of("full_defoliation", "acer_buergerianum", frost=np.array([200.0]))
    assert found.closes_days[0] == found.opens_days[0]
    assert found.too_short
    assert found.told == (None, None, None)
    assert not days_of("full_defoliation", "acer_buergerianum", frost=np.array([290.0])).too_short


@pytest.mark.parametrize("key", ["acer_palmatum", "larix_decidua", "pinus_sylvestris", "ficus_microcarpa"])
def test_every_span_of_every_operation_becomes_days_in_order(key: str) -> None:
    for operation in OPERATIONS.values():
        for span in spans(operation, lookup_keys(key)):
            if not span.done:
                continue
            found = span_days(forecast(key), span, np.full(5, 290.0))
            if found.opens_days is not None and found.closes_days is not None:
                assert (found.opens_days <= found.closes_days).all(), operation.key
                assert (found.opens_days == np.rint(found.opens_days)).all()
