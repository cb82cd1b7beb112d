"""Twelve normals: their months come back, between them the curve is smooth, and calendar months stay put."""

from __future__ import annotations

import math
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import InputError, MissingFieldError, RangeError
from ringwise.kit.types import FloatArray, IntArray
from ringwise.weather.climate_words import ClimateWords, checked_words, words_of_normals
from ringwise.weather.described import described_rows, described_years, wave
from ringwise.weather.normals import (
    MONTH_DAYS,
    Normals,
    checked_normals,
    curve_at,
    month_edges,
    year_shares,
    yearly_curve,
)
from ringwise.weather.series import WeatherSeries

# Invented places: a mild coast, a monsoon with its warmest month in May, deep inland, no season.
COAST = (4.1, 4.6, 6.3, 8.7, 12.0, 14.9, 17.2, 17.0, 14.2, 10.6, 7.0, 4.8)
MONSOON = (14.0, 17.0, 22.5, 29.0, 33.5, 33.0, 31.0, 30.0, 29.0, 26.0, 20.5, 15.5)
INLAND = (-37.0, -33.0, -20.0, -5.0, 7.0, 16.0, 19.5, 15.5, 6.0, -8.0, -28.0, -36.0)
EVEN = (26.3, 26.4, 26.6, 26.8, 26.9, 26.7, 26.4, 26.3, 26.3, 26.4, 26.4, 26.3)
PLACES = {"coast": COAST, "monsoon": MONSOON, "inland": INLAND, "even": EVEN}
YEARS = 200


def normals(mean: tuple[float, ...], *, below: float = 4.0, above: float = 6.0) -> Normals:
    """With a low and a high; further apart in the middle of the year."""
    wide = [1.0 + 0.3 * math.sin(math.pi * month / 12) for month in range(12)]
    return Normals(
        mean,
        tuple(m - below * w for m, w in zip(mean, wide, strict=True)),
        tuple(m + above * w for m, w in zip(mean, wide, strict=True)),
    )


def month_numbers(series: WeatherSeries) -> IntArray:
    return np.array([(series.first + timedelta(days=k)).month for k in range(series.n)])


def year_of_days(values: tuple[float, ...]) -> FloatArray:
    return curve_at(yearly_curve(values), year_shares(date(2001, 1, 1), 365))


@pytest.mark.parametrize("place", PLACES)
def test_the_average_of_each_month_is_its_normal(place: str) -> None:
    """By fine sampling between the edges, which the solution never used."""
    edges = month_edges()
    waves = yearly_curve(PLACES[place])
    for (begin, end), normal in zip(pairwise(edges), PLACES[place], strict=True):
        inside = begin + (end - begin) * (np.arange(4000) + 0.5) / 4000
        assert curve_at(waves, inside).mean() == pytest.approx(normal, abs=1e-4)


@pytest.mark.parametrize("place", PLACES)
def test_days_of_an_ordinary_year_have_the_normals_too(place: str) -> None:
    level = year_of_days(PLACES[place])
    steepest = float(np.abs(np.diff(level)).max())
    months = np.array([(date(2001, 1, 1) + timedelta(days=k)).month for k in range(365)])
    for month, normal in enumerate(PLACES[place], 1):
        # February's edges are those of 28.2425 days, so days and shares differ by a quarter day.
        assert level[months == month].mean() == pytest.approx(normal, abs=0.25 * steepest + 0.01)


def test_a_line_through_mid_months_would_miss_the_extremes() -> None:
    """What the curve is for: straight lines between mid-months make every turning month too mild."""
    middles = (month_edges()[:-1] + month_edges()[1:]) / 2
    shares = year_shares(date(2001, 1, 1), 365)
    line = np.interp(shares, middles, INLAND, period=1.0)
    july = slice(181, 212)
    assert line[july].mean() < INLAND[6] - 0.5
    assert year_of_days(INLAND)[july].mean() == pytest.approx(INLAND[6], abs=0.06)


def test_a_wave_comes_back_as_itself() -> None:
    """Monthly averages of a known wave, by its integral: the smoothest curve through them is the wave."""
    edges = month_edges()
    turns = 2 * math.pi

    def integral(t: float) -> float:
        return 10.0 * t + (-9.0 * math.sin(turns * t) + 3.0 * math.cos(turns * t)) / turns

    averages = tuple((integral(b) - integral(a)) / (b - a) for a, b in pairwise(edges))
    shares = np.linspace(0, 1, 500)
    truth = 10.0 - 9.0 * np.cos(turns * shares) - 3.0 * np.sin(turns * shares)
    assert np.abs(curve_at(yearly_curve(averages), shares) - truth).max() < 1e-3


def test_the_curve_bends_least_of_all_that_meet_the_months() -> None:
    """Any other curve with the same months, made with waves that average to nothing in each, bends more."""
    edges = month_edges()
    waves = yearly_curve(COAST)
    harmonics = (waves.size - 1) // 2
    begin, end = edges[:-1, None], edges[1:, None]
    k = 2 * math.pi * np.arange(1, harmonics + 1)
    averages = np.hstack(
        [
            np.ones((12, 1)),
            (np.sin(k * end) - np.sin(k * begin)) / (k * (end - begin)),
            (np.cos(k * begin) - np.cos(k * end)) / (k * (end - begin)),
        ]
    )
    _u, _s, rows = np.linalg.svd(averages)
    unseen = rows[12:]
    assert unseen.shape[0] == 2 * harmonics + 1 - 12
    assert np.abs(averages @ unseen.T).max() < 1e-9

    def bending(coefficients: FloatArray) -> float:
        return float((np.tile(k**4, 2) * coefficients[1:] ** 2).sum())

    for other in unseen:
        for size in (0.1, -0.1):
            assert bending(waves + size * other) > bending(waves)


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("seed", [1, 2027])
def test_the_normals_come_back_over_two_hundred_years(place: str, seed: int) -> None:
    words = words_of_normals(47.0, normals(PLACES[place]))
    first = date(1801, 1, 1)
    series = described_years(words, first=first, last=date(1800 + YEARS, 12, 31), seed=seed)
    months = month_numbers(series)
    rows = described_rows()
    memory = rows["persistence"].number
    told = words.normals
    assert told is not None
    assert told.low_degC is not None
    assert told.high_degC is not None
    for month in range(1, 13):
        mine = months == month
        # Of the table: slow departures, the late or early turn, noise with memory; over two hundred years.
        slope = np.ptp(year_of_days(PLACES[place])) * math.pi / 365.2425
        slow = rows["stated_sd"].number ** 2 + rows["season_sd"].number ** 2
        slow += (rows["lag_sd"].number * slope) ** 2
        noise = max(rows["noise_winter"].number, rows["noise_most"].number if place == "inland" else 0)
        daily = noise**2 * (1 + memory) / (1 - memory) / 30.4
        three = 3 * math.sqrt((slow + daily) / YEARS)
        assert series.tmean_degC[mine].mean() == pytest.approx(told.mean_degC[month - 1], abs=three)
        # How far lows and highs lie from the mean has draws of its own, far less scattered.
        below = (series.tmean_degC - series.tmin_degC)[mine].mean()
        above = (series.tmax_degC - series.tmean_degC)[mine].mean()
        assert below == pytest.approx(told.mean_degC[month - 1] - told.low_degC[month - 1], rel=0.03)
        assert above == pytest.approx(told.high_degC[month - 1] - told.mean_degC[month - 1], rel=0.03)


def test_leap_years_do_not_move_the_months() -> None:
    """Over four hundred years the calendar keeps its months; a count of days alone would drift by a day."""
    waves = yearly_curve(INLAND)
    level = curve_at(waves, year_shares(date(2001, 1, 1), 365 * 400 + 97))
    october = [
        level[(date(y, 10, 1) - date(2001, 1, 1)).days :][:31].mean() for y in (2001, 2004, 2100, 2396, 2400)
    ]
    assert max(october) - min(october) < 0.35  # half a day of a fall of 0.65 degC a day
    assert np.mean(october[:4]) == pytest.approx(INLAND[9], abs=0.25)


def test_shares_cross_new_year_without_a_gap() -> None:
    shares = year_shares(date(2003, 12, 30), 370)
    assert shares[1] == pytest.approx(364.5 / 365)
    assert shares[2] == pytest.approx(0.5 / 366)
    assert shares[2 + 59] == pytest.approx(59.5 / 366)
    assert shares[-1] == pytest.approx(1.5 / 365)


@pytest.mark.parametrize("place", ["coast", "inland", "even"])
def test_the_months_moved_by_half_a_year_mirror_the_place(place: str) -> None:
    """Months are calendar months, of unequal length: a mirrored place differs by two or three days' slope."""
    mean = PLACES[place]
    north = words_of_normals(47.0, normals(mean))
    told = north.normals
    assert told is not None
    assert told.low_degC is not None
    assert told.high_degC is not None
    south = words_of_normals(
        -47.0,
        Normals(*(each[6:] + each[:6] for each in (told.mean_degC, told.low_degC, told.high_degC))),
    )
    one = described_years(north, first=date(2001, 1, 1), last=date(2020, 12, 31), seed=7)
    begin = GrowingYear(2001, south=True).year_start
    other = described_years(south, first=begin, last=begin + timedelta(days=one.n - 1), seed=7)
    steepest = float(np.abs(np.diff(year_of_days(mean))).max())
    for name in ("tmin_degC", "tmax_degC", "tmean_degC"):
        apart = np.abs(one.column(name) - other.column(name))
        assert apart.max() < 3.0 * steepest + 0.3
        assert apart.mean() < steepest + 0.1
    years = [GrowingYear(label).year_start for label in range(2002, 2020)]
    # A year's mean differs by the lengths of the months alone: August lasts longer than February.
    lengths = np.array(MONTH_DAYS)
    longer = float(np.dot(mean, np.roll(lengths, 6) - lengths)) / lengths.sum()
    for start in years:
        at = one.position(start)
        apart = other.tmean_degC[at : at + 365].mean() - one.tmean_degC[at : at + 365].mean()
        assert apart == pytest.approx(longer, abs=0.06)


def test_months_of_equal_length_would_mirror_exactly() -> None:
    """The curve itself knows no hemisphere: moved edges and values give the moved curve."""
    edges = month_edges()
    half = edges[6]
    moved = np.concatenate([edges[6:] - half, edges[1:7] + (1.0 - half)])
    one = yearly_curve(INLAND)
    other = yearly_curve(INLAND[6:] + INLAND[:6], moved)
    shares = np.linspace(0, 1, 200)
    assert curve_at(other, shares) == pytest.approx(curve_at(one, shares + half), abs=1e-9)


def test_winter_is_where_the_normals_have_it() -> None:
    north = wave(words_of_normals(47.0, Normals(COAST)))
    south = wave(words_of_normals(-47.0, Normals(COAST[6:] + COAST[:6])))
    assert north.coldest_index == pytest.approx(21, abs=8)
    assert south.coldest_index == pytest.approx(north.coldest_index, abs=2)
    late = wave(words_of_normals(47.0, Normals(COAST[-1:] + COAST[:-1])))
    assert late.coldest_index == pytest.approx(north.coldest_index + 30.4, abs=2)
    assert wave(words_of_normals(2.0, Normals(EVEN))) != north


def test_two_means_stay_as_they_were() -> None:
    plain = ClimateWords(52.4, 1.0, 19.0)
    assert plain.normals is None
    series = described_years(plain, first=date(2001, 1, 1), last=date(2001, 12, 31), seed=7)
    half = (series.tmax_degC - series.tmin_degC) / 2
    assert np.allclose(series.tmax_degC - half, series.tmean_degC)


def changed(month: int, value: float) -> tuple[float, ...]:
    return (*COAST[: month - 1], value, *COAST[month:])


@pytest.mark.parametrize(
    ("given", "error", "says"),
    [
        (Normals(COAST[:11]), MissingFieldError, "11 months; give twelve"),
        (Normals((*COAST, 3.0)), MissingFieldError, "13 months; give twelve"),
        (Normals(()), MissingFieldError, "0 months"),
        (Normals(changed(4, math.nan)), RangeError, "mean of Apr is nan"),
        (Normals(changed(4, 47.7)), RangeError, "mean of Apr is 47.7 degC.*Check the unit"),
        (Normals(changed(1, 37.0)), RangeError, "mean of Jan is 37 degC.*within 25 degC of the month before"),
        (Normals(changed(4, -40.0)), RangeError, "mean of Apr.*one unit"),
        (Normals(COAST, COAST), MissingFieldError, "belong together"),
        (Normals(COAST, COAST[:3], COAST), MissingFieldError, "3 months"),
        (Normals(COAST, tuple(m + 1 for m in COAST), tuple(m + 9 for m in COAST)), RangeError, "mean of Jan"),
        (Normals(COAST, tuple(m - 9 for m in COAST), tuple(m - 1 for m in COAST)), RangeError, "mean of Jan"),
        (
            Normals(COAST, (-70.0, *(m - 4 for m in COAST[1:])), tuple(m + 4 for m in COAST)),
            RangeError,
            "low of Jan",
        ),
    ],
)
def test_what_is_no_climate_is_refused(given: Normals, error: type[InputError], says: str) -> None:
    with pytest.raises(error, match=says):
        checked_normals(given)
    with pytest.raises(error):
        described_years(words_of_normals(47.0, given), first=date(2001, 1, 1), last=date(2001, 1, 2), seed=1)


def test_a_stated_month_that_is_not_among_the_twelve_is_refused() -> None:
    with pytest.raises(RangeError, match="coldest month"):
        checked_words(ClimateWords(47.0, 1.0, 17.2, normals=Normals(COAST)))


def test_chance_about_the_hottest_months_stays_weather() -> None:
    words = words_of_normals(0.0, normals((38.0,) * 12, below=9.0, above=9.0))
    for seed in range(40):
        series = described_years(words, first=date(2000, 1, 1), last=date(2001, 12, 31), seed=seed)
        assert (series.tmin_degC < series.tmean_degC).all()
        assert (series.tmean_degC < series.tmax_degC).all()
        assert series.tmax_degC.max() <= 60.0
