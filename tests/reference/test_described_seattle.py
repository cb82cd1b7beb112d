"""A place described by two monthly means, held against what was measured there.

Source: daily extremes of Seattle 2012 to 2015 as shipped in vega_datasets 0.9.0. Only the coldest and the
warmest of its monthly means are told to the description. Noise and lag of the table stem from the same
record; the levels of the months between, the frost days and the days of the models do not.
"""

from __future__ import annotations

from datetime import date, timedelta
from importlib import resources

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.phenology.calc import StageAsk, stage_day
from ringwise.weather.described import ClimateWords, described_years
from ringwise.weather.reading import parse_columns, read_csv
from ringwise.weather.series import WeatherSeries

LATITUDE_DEG = 47.45  # of the station, as in the reference sheet
FIRST_YEAR, YEARS = 1900, 60


def seattle() -> WeatherSeries:
    """As measured."""
    text = (resources.files("vega_datasets") / "_data" / "seattle-weather.csv").read_text(encoding="utf-8")
    columns = parse_columns("date=date,tmin_degC=temp_min,tmax_degC=temp_max")
    return read_csv(text, file="seattle-weather.csv", columns=columns)


def by_month(series: WeatherSeries) -> list[float]:
    months = np.array([(series.first + timedelta(days=k)).month for k in range(series.n)])
    return [float(series.tmean_degC[months == month].mean()) for month in range(1, 13)]


@pytest.fixture(scope="module")
def measured() -> WeatherSeries:
    return seattle()


@pytest.fixture(scope="module")
def described(measured: WeatherSeries) -> WeatherSeries:
    months = by_month(measured)
    words = ClimateWords(LATITUDE_DEG, min(months), max(months))
    return described_years(words, first=date(FIRST_YEAR, 1, 1), last=date(FIRST_YEAR + YEARS, 12, 31), seed=7)


def test_the_months_between_come_out_within_a_wave_that_is_no_wave(
    measured: WeatherSeries, described: WeatherSeries
) -> None:
    # The record's year is no cosine: through its two extreme months one misses November by 2.3 degC. A wrong
    # lag of a month misses spring and autumn by 4, a mirrored year by 14.
    apart = np.abs(np.array(by_month(measured)) - np.array(by_month(described)))
    assert apart.max() < 3.0


@pytest.mark.parametrize(
    ("model", "species"),
    [
        ("menzel", "larix_decidua"),
        ("menzel", "quercus_robur"),
        ("menzel", "fagus_sylvatica"),
        ("uniforc", "fagus_sylvatica"),
    ],
)
def test_the_days_of_published_models_fall_among_the_described_years(
    measured: WeatherSeries, described: WeatherSeries, model: str, species: str
) -> None:
    """Of three real springs none may lie outside the sixty described ones."""

    def day(series: WeatherSeries, label: int) -> float:
        when = stage_day(series, StageAsk(model, species, label)).when
        assert when is not None
        return float(GrowingYear(label).day_index(when))

    made = [day(described, FIRST_YEAR + k) for k in range(1, YEARS)]
    real = [day(measured, label) for label in (2013, 2014, 2015)]
    assert min(made) <= min(real)
    assert max(real) <= max(made)
    assert abs(float(np.median(made)) - float(np.median(real))) < 14.0


def test_the_last_frost_falls_among_the_described_years(
    measured: WeatherSeries, described: WeatherSeries
) -> None:
    def last_frost(series: WeatherSeries, year: int) -> int:
        begin = series.position(date(year, 1, 1))
        frosty = np.flatnonzero(series.tmin_degC[begin : begin + 182] < 0.0)
        return int(frosty.max(initial=0))

    real = [last_frost(measured, year) for year in range(2012, 2016)]
    made = [last_frost(described, FIRST_YEAR + k) for k in range(YEARS)]
    assert min(made) <= min(real)
    assert max(real) <= max(made)
