"""Where a pot stood counts: past seasons stand against the weather of the place where the tree was then."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import lru_cache

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.phenology.choice import Luck
from ringwise.phenology.forecast import StageForecast
from ringwise.phenology.seen import SeenStage, TreeRecord
from ringwise.phenology.species import YardWeather, yard_weather
from ringwise.phenology.yard import OPEN, one_place, yard_forecast
from ringwise.records.taxa import taxon
from ringwise.weather.series import series_of
from ringwise.weather.years import members

TODAY, YEAR, LUCK = date(2027, 2, 20), GrowingYear(2027), Luck(5, 8)
LARCH = taxon("larix_decidua")
PAST = (2023, 2024, 2025, 2026)


@lru_cache(maxsize=4)
def weather(warmer_degC: float) -> YardWeather:
    """A smooth climate, so many degrees warmer than the yard's."""
    first = date(2015, 11, 1)
    days = np.arange((TODAY - first).days + 1)
    mean = 9 - 9 * np.cos(2 * np.pi * (days - 76) / 365.25) + np.sin(days / 251.0) + warmer_degC
    series = series_of(first, {"tmean_degC": mean})
    return yard_weather(series, members(series, issue=TODAY, year=YEAR))


def places() -> dict[str, YardWeather]:
    return {OPEN: weather(0.0), "tunnel": weather(4.0)}


def made(record: TreeRecord, sites: dict[str, YardWeather] | None = None) -> StageForecast:
    return yard_forecast([record], sites or places(), today=TODAY, luck=LUCK)[record.tree]


def median(record: TreeRecord, sites: dict[str, YardWeather] | None = None) -> float:
    return float(np.median(made(record, sites).samples("11")))


def model_day(site: str, label: int) -> date:
    """Day of stage 11 that the larch model gives for a place: from the weather alone."""
    from ringwise.phenology.species import species_days

    clock = species_days(LARCH, places()[site], LUCK).spring
    return GrowingYear(label).day_at(float(clock.past[label][0]))


def seen(site: str) -> tuple[SeenStage, ...]:
    """Leaves seen each spring on the very day of the model for a place."""
    days = [(label, model_day(site, label)) for label in PAST]
    return tuple(SeenStage("11", GrowingYear(k), day, day - timedelta(days=1)) for k, day in days)


def test_a_tree_that_leafed_early_in_the_tunnel_is_no_early_tree() -> None:
    plain = median(TreeRecord(1, LARCH))
    told = TreeRecord(1, LARCH, seen("tunnel"))
    assert median(told) < plain - 4  # taken to have stood in the open, it seems early
    assert median(replace(told, sites=dict.fromkeys(PAST, "tunnel"))) == pytest.approx(plain, abs=1.0)


def test_the_present_place_times_the_forecast() -> None:
    outside = median(TreeRecord(1, LARCH))
    inside = median(TreeRecord(1, LARCH, sites={YEAR.label: "tunnel"}))
    alone = median(TreeRecord(1, LARCH), one_place(weather(4.0)))
    assert inside < outside - 8
    assert inside == alone


def test_an_unknown_place_is_the_yard() -> None:
    at = made(TreeRecord(1, LARCH, seen("tunnel"), dict.fromkeys((*PAST, YEAR.label), "attic")))
    np.testing.assert_array_equal(at.days, made(TreeRecord(1, LARCH, seen("tunnel"))).days)
