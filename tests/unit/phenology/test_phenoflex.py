"""Chill, then heat by the hour: hand-counted days, no chill, missing extremes, more chill never later."""

from __future__ import annotations

import math
from datetime import date

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import MissingFieldError
from ringwise.phenology.calc import StageAsk, stage_day
from ringwise.phenology.choice import named_choice
from ringwise.phenology.mixture import spring_choice
from ringwise.phenology.model_phenoflex import phenoflex, phenoflex_sums
from ringwise.phenology.sums import DailyMeans, daily_means
from ringwise.records.taxa import lookup_keys
from ringwise.weather.series import series_of

VALUES = {name: np.array([row.number]) for name, row in named_choice("phenoflex", "prunus").rows.items()}


def stretches(*parts: tuple[int, float]) -> DailyMeans:
    """Days alike by day and night, from the start of the growing year."""
    means = np.concatenate([np.full(days, value) for days, value in parts])
    return daily_means(
        means,
        first_index=-60,
        year=GrowingYear(2013),
        latitude_deg=50.0,
        tmin_degC=means,
        tmax_degC=means,
    )


def test_after_full_chill_an_hour_at_the_best_temperature_counts_one() -> None:
    days = stretches((150, 6.0), (40, 25.0))
    portions = phenoflex_sums(VALUES, days)["chill_portions"][0, 0, 149]
    assert portions > 60
    # No heat at 6 degC to speak of: (1 + cos(pi + pi 2/21)) / 2 = 0.022 an hour, once chill is done.
    awake = 1 / (1 + math.exp(-0.5 * 40 * (portions - 40) / portions))
    assert awake > 0.99
    cold_hours = phenoflex_sums(VALUES, days)["warm_hours"][0, 0, 149]
    assert cold_hours < 0.0223 * 150 * 24
    reached = phenoflex(VALUES, days)[0, 0] - (-60 + 150)
    assert reached == pytest.approx((190 - cold_hours) / 24, abs=1.1)


def test_without_chill_there_is_no_heat() -> None:
    assert np.isnan(phenoflex(VALUES, stretches((300, 18.0)))).all()


@pytest.mark.parametrize("temperature_degC", [-20.0, 3.9, 36.1])
def test_outside_its_range_warmth_does_nothing(temperature_degC: float) -> None:
    days = stretches((150, 3.0), (60, temperature_degC))
    heat = phenoflex_sums(VALUES, days)["warm_hours"][0, 0]
    # The first night of the later stretch still runs between the two temperatures.
    assert heat[-1] == pytest.approx(heat[151], abs=1e-9)


def test_a_longer_winter_needs_no_more_warm_days() -> None:
    needed = []
    for cold_days in (90, 110, 130, 150):
        reached = phenoflex(VALUES, stretches((cold_days, 6.0), (120, 14.0)))[0, 0]
        needed.append(reached - (cold_days - 90))
    assert needed == sorted(needed, reverse=True)
    assert needed[0] > needed[-1] > 0


def test_means_alone_are_not_enough() -> None:
    means = np.tile([6.0], 300)
    no_extremes = series_of(date(2012, 11, 1), {"tmean_degC": means})
    with pytest.raises(MissingFieldError, match="lacks days"):
        stage_day(no_extremes, StageAsk("phenoflex", "malus", 2013, latitude_deg=47.0))
    whole = series_of(date(2012, 11, 1), {"tmin_degC": means - 3, "tmax_degC": means + 9})
    with pytest.raises(MissingFieldError, match="latitude"):
        stage_day(whole, StageAsk("phenoflex", "malus", 2013))
    assert stage_day(whole, StageAsk("phenoflex", "malus", 2013, latitude_deg=47.0)).when is not None


def test_flowers_do_not_time_leaves() -> None:
    """The model stands for flowers: the outlook of a cherry still takes the rows of its leaves or group."""
    assert spring_choice(lookup_keys("prunus_mume")).model != "phenoflex"
