"""A place told by twelve normals with lows and highs, held against what was measured there.

Source: daily extremes of Seattle 2012 to 2015 as shipped in vega_datasets 0.9.0. Its calendar-month means are
all that is told; frost days and the days of the models are not.
"""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from seattle_days import LATITUDE_DEG, seattle_series

from ringwise.kit.days import GrowingYear
from ringwise.phenology.calc import StageAsk, stage_day
from ringwise.weather.climate_words import ClimateWords, words_of_normals
from ringwise.weather.described import described_years
from ringwise.weather.normals import Normals
from ringwise.weather.series import WeatherSeries

FIRST_YEAR, YEARS = 1900, 60
LEVELS = ("tmean_degC", "tmin_degC", "tmax_degC")


def by_month(series: WeatherSeries, column: str) -> tuple[float, ...]:
    months = np.array([(series.first + timedelta(days=k)).month for k in range(series.n)])
    return tuple(float(series.column(column)[months == month].mean()) for month in range(1, 13))


def made(words: ClimateWords) -> WeatherSeries:
    return described_years(words, first=date(FIRST_YEAR, 1, 1), last=date(FIRST_YEAR + YEARS, 12, 31), seed=7)


@pytest.fixture(scope="module")
def measured() -> WeatherSeries:
    return seattle_series()


@pytest.fixture(scope="module")
def normals(measured: WeatherSeries) -> WeatherSeries:
    mean, low, high = (by_month(measured, column) for column in LEVELS)
    return made(words_of_normals(LATITUDE_DEG, Normals(mean, low, high)))


@pytest.mark.parametrize("column", LEVELS)
def test_every_month_comes_back(measured: WeatherSeries, normals: WeatherSeries, column: str) -> None:
    # Sixty years of the table's slow departures (1.4 degC) and noise (3.2 degC that remembers): 0.27 degC.
    apart = np.abs(np.array(by_month(measured, column)) - np.array(by_month(normals, column)))
    assert apart.max() < 3 * 0.27


def test_twelve_tell_more_than_two(measured: WeatherSeries, normals: WeatherSeries) -> None:
    """Through its two extreme months alone, the record's November is missed by more than two degrees."""
    months = by_month(measured, "tmean_degC")
    two = made(ClimateWords(LATITUDE_DEG, min(months), max(months)))
    november = 10
    missed = [abs(by_month(each, "tmean_degC")[november] - months[november]) for each in (two, normals)]
    assert missed[0] > 1.5
    assert missed[1] < 0.8


@pytest.mark.parametrize(
    ("model", "species"),
    [
        ("menzel", "larix_decidua"),
        ("menzel", "quercus_robur"),
        ("menzel", "fagus_sylvatica"),
        ("uniforc", "fagus_sylvatica"),
    ],
)
def test_the_days_of_published_models_fall_among_the_made_years(
    measured: WeatherSeries, normals: WeatherSeries, model: str, species: str
) -> None:
    """Chill and heat carry through: none of three real springs lies outside sixty made ones."""

    def day(series: WeatherSeries, label: int) -> float:
        when = stage_day(series, StageAsk(model, species, label)).when
        assert when is not None
        return float(GrowingYear(label).day_index(when))

    days = [day(normals, FIRST_YEAR + k) for k in range(1, YEARS)]
    real = [day(measured, label) for label in (2013, 2014, 2015)]
    assert min(days) <= min(real)
    assert max(real) <= max(days)
    assert abs(float(np.median(days)) - float(np.median(real))) < 5.0


def test_the_last_frosts_fall_among_the_made_years(measured: WeatherSeries, normals: WeatherSeries) -> None:
    def last_frost(series: WeatherSeries, year: int) -> int:
        begin = series.position(date(year, 1, 1))
        frosty = np.flatnonzero(series.tmin_degC[begin : begin + 182] < 0.0)
        return int(frosty.max(initial=0))

    real = [last_frost(measured, year) for year in range(2012, 2016)]
    days = [last_frost(normals, FIRST_YEAR + k) for k in range(YEARS)]
    assert min(days) <= min(real)
    assert max(real) <= max(days)
