"""Years made from words: the stated means come back, the south mirrors the north, a day never changes."""

from __future__ import annotations

import math
from datetime import date, timedelta

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import RangeError
from ringwise.weather.described import (
    DESCRIBED,
    ClimateWords,
    described_rows,
    described_years,
    is_described,
    wave,
)
from ringwise.weather.frost_words import frost_checks
from ringwise.weather.series import MEASURES
from ringwise.weather.typical import climate_guess

MILD = ClimateWords(52.4, 1.0, 19.0)
YEARS = 120


def month_means(words: ClimateWords, seed: int) -> list[float]:
    """Mean of each calendar month over many described years."""
    first = date(1900, 1, 1)
    series = described_years(words, first=first, last=date(1900 + YEARS - 1, 12, 31), seed=seed)
    months = np.array([(first + timedelta(days=k)).month for k in range(series.n)])
    return [float(series.tmean_degC[months == month].mean()) for month in range(1, 13)]


def sampling_error_degC(noise: str) -> float:
    """Standard error of a month over the years, by the table: slow departures and noise with memory."""
    rows = described_rows()
    memory = rows["persistence"].number
    slow = rows["stated_sd"].number ** 2 + rows["season_sd"].number ** 2
    daily = rows[noise].number ** 2 * (1 + memory) / (1 - memory) / 30.4
    return math.sqrt((slow + daily) / YEARS)


@pytest.mark.parametrize("seed", [1, 7, 2027])
@pytest.mark.parametrize("latitude_deg", [52.4, -33.9])
def test_stated_means_come_back(seed: int, latitude_deg: float) -> None:
    words = ClimateWords(latitude_deg, 1.0, 19.0)
    means = month_means(words, seed)
    coldest, warmest = (6, 0) if words.south else (0, 6)
    # Three standard errors; 0.1 for calendar months that are not exactly twelfths of a year.
    assert means[coldest] == pytest.approx(1.0, abs=3 * sampling_error_degC("noise_winter") + 0.1)
    assert means[warmest] == pytest.approx(19.0, abs=3 * sampling_error_degC("noise_summer") + 0.1)


def test_the_wave_alone_has_the_stated_months_to_a_tenth() -> None:
    made = wave(MILD)
    index = np.arange(1, 366)
    level = made.mean_degC - made.half_degC * np.cos(2 * np.pi * (index - made.coldest_index) / 365.2425)
    assert level[:31].mean() == pytest.approx(1.0, abs=0.1)
    assert level[181:212].mean() == pytest.approx(19.0, abs=0.1)


def test_the_south_is_the_north_moved_by_half_a_year() -> None:
    north = described_years(MILD, first=date(2001, 1, 1), last=date(2012, 12, 31), seed=7)
    start = GrowingYear(2001, south=True).year_start
    moved = described_years(
        ClimateWords(-52.4, 1.0, 19.0), first=start, last=start + timedelta(days=north.n - 1), seed=7
    )
    for name in ("tmin_degC", "tmax_degC", "tmean_degC"):
        assert np.array_equal(north.column(name), moved.column(name))


@pytest.mark.parametrize(
    "cut", [(date(2005, 3, 3), date(2005, 3, 3)), (date(1999, 12, 30), date(2006, 1, 2))]
)
def test_a_day_is_the_same_whatever_the_span(cut: tuple[date, date]) -> None:
    long = described_years(MILD, first=date(1990, 1, 1), last=date(2020, 1, 1), seed=7)
    short = described_years(MILD, first=cut[0], last=cut[1], seed=7)
    part = long.cut(*cut)
    assert np.array_equal(part.tmin_degC, short.tmin_degC)
    assert np.array_equal(part.tmax_degC, short.tmax_degC)


def test_another_seed_gives_other_weather() -> None:
    span = {"first": date(2001, 1, 1), "last": date(2001, 12, 31)}
    one, other = (described_years(MILD, seed=seed, **span) for seed in (1, 2))
    assert not np.array_equal(one.tmean_degC, other.tmean_degC)


def test_the_series_says_what_it_is_and_invents_nothing_else() -> None:
    series = described_years(MILD, first=date(2001, 1, 1), last=date(2001, 12, 31), seed=7)
    assert series.source == DESCRIBED
    assert is_described(series.source)
    assert not series.invented
    for name in set(MEASURES) - {"tmin_degC", "tmax_degC", "tmean_degC"}:
        assert np.isnan(series.column(name)).all()


def test_neighbouring_days_resemble_as_the_table_says() -> None:
    series = described_years(
        ClimateWords(52.4, 10.0, 10.0), first=date(1900, 1, 1), last=date(1999, 12, 31), seed=3
    )
    level = series.tmean_degC - series.tmean_degC.mean()
    now, before = level[1:], level[:-1]
    # No wave here: slow departures add to the daily memory, so the table's value is the least.
    found = float((now * before).mean() / (level**2).mean())
    assert described_rows()["persistence"].number - 0.01 < found < 0.95


@pytest.mark.parametrize(
    ("words", "field"),
    [
        (ClimateWords(91.0, 1.0, 19.0), "latitude"),
        (ClimateWords(52.4, -80.0, 19.0), "coldest month"),
        (ClimateWords(52.4, 1.0, 66.0), "warmest month"),
        (ClimateWords(52.4, 20.0, 19.0), "coldest month"),
        (ClimateWords(52.4, float("nan"), 19.0), "coldest month"),
    ],
)
def test_words_that_are_no_climate_are_refused(words: ClimateWords, field: str) -> None:
    with pytest.raises(RangeError, match=field):
        described_years(words, first=date(2001, 1, 1), last=date(2001, 1, 2), seed=1)


def test_a_span_that_ends_before_it_begins_is_refused() -> None:
    with pytest.raises(RangeError, match="last day"):
        described_years(MILD, first=date(2001, 1, 2), last=date(2001, 1, 1), seed=1)


def test_a_likely_frost_day_fits_and_a_summer_one_does_not() -> None:
    spring = ClimateWords(52.4, 1.0, 19.0, date(2000, 4, 20), date(2000, 10, 25))
    assert [check.fits for check in frost_checks(spring, seed=7)] == [True, True]
    summer = ClimateWords(52.4, 1.0, 19.0, date(2000, 7, 10), None)
    assert [check.fits for check in frost_checks(summer, seed=7)] == [False]
    assert frost_checks(MILD, seed=7) == ()


def test_frost_days_are_mirrored() -> None:
    north = frost_checks(ClimateWords(50.0, 1.0, 19.0, date(2001, 4, 20)), seed=7)[0]
    south = frost_checks(ClimateWords(-50.0, 1.0, 19.0, date(2001, 10, 18)), seed=7)[0]
    assert north.usual is not None
    assert south.usual is not None
    assert (south.usual - north.usual).days == 181
    assert south.fits


def test_where_it_never_freezes_a_frost_day_is_told_off() -> None:
    (check,) = frost_checks(ClimateWords(1.0, 26.0, 27.0, date(2001, 2, 1)), seed=7)
    assert (check.usual, check.fits) == (None, False)


def test_a_guess_is_alike_on_both_sides_of_the_equator_and_colder_higher_up() -> None:
    assert climate_guess(40.0) == climate_guess(-40.0)
    low, high = climate_guess(40.0), climate_guess(40.0, 1000.0)
    assert low.coldest_month_degC - high.coldest_month_degC == pytest.approx(
        6.5
    )  # a standard atmosphere, recalled
    with pytest.raises(RangeError, match="latitude"):
        climate_guess(123.0)


@pytest.mark.parametrize("latitude_deg", range(0, 91, 6))
def test_a_guess_is_a_climate_and_wide(latitude_deg: float) -> None:
    guess = climate_guess(latitude_deg)
    described_years(
        ClimateWords(latitude_deg, guess.coldest_month_degC, guess.warmest_month_degC),
        first=date(2001, 1, 1),
        last=date(2001, 12, 31),
        seed=1,
    )
    for site in (guess.sea, guess.inland):
        assert site.coldest_high_degC - site.coldest_low_degC >= 4.0
        assert site.coldest_low_degC < site.coldest_month_degC < site.coldest_high_degC
        assert site.warmest_low_degC < site.warmest_month_degC < site.warmest_high_degC
