"""Two stations made of one real record, and the standard atmosphere.

Sources: daily extremes of Seattle 2012 to 2015 as shipped in vega_datasets 0.9.0; the documentation of
atmosisa (Aerospace Toolbox R2021a), whose example prints 281.65 K at 1000 m and 216.65 K at 11000 m of the
ICAO international standard atmosphere.
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from seattle_days import seattle_series

from ringwise.kit.days import GrowingYear
from ringwise.phenology.calc import StageAsk, stage_day
from ringwise.weather.borrowed import YEAR_DAYS, borrowed_series, fit_borrowing
from ringwise.weather.series import WeatherSeries

PRINTED_K = {1000.0: 281.65, 11000.0: 216.65}


def hillside(record: WeatherSeries) -> WeatherSeries:
    """The record two degrees colder in winter and one in summer, with its own weather of 1 degree besides."""
    numbers = np.arange(record.n) + (record.first - date(2001, 1, 1)).days
    own = np.random.default_rng(3).normal(0.0, 1.0, record.n)
    colder = -1.5 - 0.5 * np.cos(2 * math.pi * (numbers - 15) / YEAR_DAYS) + own
    moved = {name: record.column(name) + colder for name in ("tmin_degC", "tmax_degC", "tmean_degC")}
    return replace(record, station="hillside", **moved)


@pytest.fixture(scope="module")
def record() -> WeatherSeries:
    return replace(seattle_series(), station="town")


def test_the_added_difference_is_found_in_one_common_year(record: WeatherSeries) -> None:
    yard = hillside(record).cut(date(2015, 1, 1), date(2015, 12, 31))
    fit = fit_borrowing(yard, record)
    # A cosine's three months about its extreme average 0.9 of it.
    for winter, truth in ((True, -1.95), (False, -1.05)):
        assert fit.season_degC("tmean_degC", winter=winter) == pytest.approx(truth, abs=0.3)
    assert fit.left_sd_degC == pytest.approx(1.0, abs=0.1)


def day(series: WeatherSeries, ask: StageAsk) -> int:
    when = stage_day(series, ask).when
    assert when is not None
    return GrowingYear(ask.year).day_index(when)


@pytest.mark.parametrize("label", [2013, 2014])
@pytest.mark.parametrize(
    ("model", "species"),
    [
        ("menzel", "larix_decidua"),
        ("menzel", "quercus_robur"),
        ("menzel", "fagus_sylvatica"),
        ("uniforc", "fagus_sylvatica"),
    ],
)
def test_a_lent_spring_comes_near_the_true_one(
    record: WeatherSeries, model: str, species: str, label: int
) -> None:
    truth = hillside(record)
    yard = truth.cut(date(2015, 1, 1), date(2015, 12, 31))
    lent = borrowed_series(yard, record, fit_borrowing(yard, record))
    ask = StageAsk(model, species, label)
    assert abs(day(lent, ask) - day(truth, ask)) <= 2
    if (
        model == "uniforc"
    ):  # of heat alone: a colder place must be later, where Menzel's chill makes up for it
        assert day(truth, ask) - day(record, ask) >= 5


def test_elevation_alone_follows_the_standard_atmosphere(record: WeatherSeries) -> None:
    low_m, high_m = PRINTED_K
    per_m = (PRINTED_K[high_m] - PRINTED_K[low_m]) / (high_m - low_m)
    fit = fit_borrowing(None, record, above_m=400.0)
    for winter in (True, False):
        assert fit.season_degC("tmean_degC", winter=winter) == pytest.approx(400.0 * per_m)
