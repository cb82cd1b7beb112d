"""Bands keep their word: of trees made by the forecast's own assumptions 80 % lie in the 80 % band."""

from __future__ import annotations

import math
import os
from datetime import date, timedelta
from functools import lru_cache

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.phenology.choice import Luck
from ringwise.phenology.forecast import stage_forecast
from ringwise.phenology.seen import SeenStage, TreeRecord, spread_of
from ringwise.phenology.species import SpeciesDays, species_days, yard_weather
from ringwise.records.taxa import taxon
from ringwise.weather.series import series_of
from ringwise.weather.years import members

YEAR = GrowingYear(2027)
TODAY = date(2027, 2, 20)
TREES = 400 * (10 if int(os.environ.get("RINGWISE_LONG", "0")) else 1)


@lru_cache(maxsize=4)
def kind(key: str) -> SpeciesDays:
    """A kind of tree under sixteen years of rough weather."""
    first = date(2010, 11, 1)
    days = (TODAY - first).days + 1
    rough = np.random.default_rng(8).normal(0, 1, days)
    for k in range(1, days):  # warm and cold spells last
        rough[k] += 0.9 * rough[k - 1]
    wave = 9 - 10 * np.cos(2 * np.pi * (np.arange(days) - 76) / 365.25) + rough
    series = series_of(first, {"tmean_degC": wave})
    return species_days(
        taxon(key), yard_weather(series, members(series, issue=TODAY, year=YEAR)), Luck(3, 20)
    )


def dated(code: str, year: GrowingYear, index: float) -> SeenStage:
    """A sighting by daily visits."""
    day = year.day_at(math.ceil(index - 0.5))
    return SeenStage(code, year, day, day - timedelta(days=1))


def inside_band(key: str, seasons: int, *, not_yet_index: float = -math.inf) -> float:
    """Share of invented trees whose stage lies in the 80 % band; only those later than `not_yet_index`."""
    kind_days, rng = kind(key), np.random.default_rng(4)
    clock = kind_days.spring
    code = clock.members[0].code
    today = YEAR.day_at(not_yet_index) if math.isfinite(not_yet_index) else TODAY
    hits = []
    for tree in range(TREES):
        member, draw = rng.integers(clock.now.shape[0]), rng.integers(clock.now.shape[1])
        lasting = rng.normal(0, math.hypot(spread_of("site_sd"), spread_of("tree_sd")))
        days = [lasting + rng.normal(0, spread_of("season_sd")) for _k in range(seasons + 1)]
        labels = [2026 - k for k in range(seasons)]
        seen = [
            dated(code, GrowingYear(label), clock.past[label][draw] + days[k])
            for k, label in enumerate(labels)
        ]
        truth = clock.now[member, draw] + days[-1]
        if truth <= not_yet_index:
            continue
        if math.isfinite(not_yet_index):
            seen.append(SeenStage(code, YEAR, None, today))
        found = stage_forecast(TreeRecord(tree, kind_days.taxon, tuple(seen)), kind_days, today=today)
        low, high = np.percentile(found.samples(code), (10, 90))
        hits.append(low <= truth <= high)
    return float(np.mean(hits))


@pytest.mark.parametrize("key", ["larix_decidua", "fagus_crenata", "acer_palmatum"])
@pytest.mark.parametrize("seasons", [0, 1, 4])
def test_four_in_five_lie_inside(key: str, seasons: int) -> None:
    assert inside_band(key, seasons) == pytest.approx(0.8, abs=0.06)


@pytest.mark.parametrize("key", ["larix_decidua", "acer_palmatum"])
def test_four_in_five_lie_inside_when_not_yet_seen(key: str) -> None:
    middle = float(np.median(kind(key).spring.now))
    assert inside_band(key, 2, not_yet_index=round(middle)) == pytest.approx(0.8, abs=0.07)
