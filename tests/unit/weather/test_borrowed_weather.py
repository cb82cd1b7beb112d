"""Days of another station: the difference is found again, doubt is told, and lent days are marked."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from ringwise.kit.errors import MissingFieldError, RangeError
from ringwise.weather.borrowed import YEAR_DAYS, borrowed_rows, borrowed_series, fit_borrowing
from ringwise.weather.series import WeatherSeries, series_of

FIRST = date(2016, 1, 1)
WINTER_DEGC, SUMMER_DEGC = -1.5, -0.5  # of the made difference, yard minus town


def town(first: date = FIRST, days: int = 3 * 365, *, station: str = "town") -> WeatherSeries:
    """A wave of twelve degrees with weather on it; noise of its own seed."""
    rough = np.random.default_rng(5).normal(0.0, 2.0, days)
    numbers = np.arange(days) + (first - date(2001, 1, 1)).days
    mean = 9.0 - 12.0 * np.cos(2 * math.pi * (numbers - 20) / YEAR_DAYS) + rough
    return series_of(
        first,
        {"tmin_degC": mean - 4.0, "tmax_degC": mean + 5.0, "rain_mm": np.full(days, 1.0)},
        station=station,
        source="town.csv",
    )


def moved(series: WeatherSeries, *, noise_degC: float = 0.0, seed: int = 9) -> WeatherSeries:
    """The yard: colder by 1.5 in mid-January and by 0.5 in mid-July, its lows by a degree more."""
    numbers = np.arange(series.n) + (series.first - date(2001, 1, 1)).days
    wave = -1.0 - 0.5 * np.cos(2 * math.pi * (numbers - 15) / YEAR_DAYS)
    wave = wave + np.random.default_rng(seed).normal(0.0, noise_degC, series.n)
    return series_of(
        series.first,
        {"tmin_degC": series.tmin_degC + wave - 1.0, "tmax_degC": series.tmax_degC + wave + 1.0},
        station="roof",
        source="roof.csv",
    )


def test_a_known_difference_comes_back_by_season() -> None:
    other = town()
    own = moved(other).cut(date(2017, 1, 1), date(2018, 6, 30))
    fit = fit_borrowing(own, other)
    assert (fit.kind, fit.days) == ("seasonal", own.n)
    # Three months about the extremes of a cosine average sin(pi/4) / (pi/4) = 0.900 of it.
    assert fit.season_degC("tmean_degC", winter=True) == pytest.approx(-1.0 - 0.45, abs=0.02)
    assert fit.season_degC("tmean_degC", winter=False) == pytest.approx(-1.0 + 0.45, abs=0.02)
    assert fit.season_degC("tmin_degC", winter=True) == pytest.approx(-2.0 - 0.45, abs=0.02)
    assert fit.season_degC("tmax_degC", winter=True) == pytest.approx(0.0 - 0.45, abs=0.02)
    assert fit.left_sd_degC < 0.01
    joined = borrowed_series(own, other, fit)
    truth = moved(other)
    for name in ("tmin_degC", "tmax_degC", "tmean_degC"):
        assert np.abs(joined.column(name) - truth.column(name)).max() < 0.05


def test_the_south_reads_its_winter_from_its_own_months() -> None:
    other = town()
    fit = fit_borrowing(moved(other), other)
    for winter in (True, False):
        assert fit.season_degC("tmean_degC", winter=winter, south=True) == pytest.approx(
            fit.season_degC("tmean_degC", winter=not winter)
        )


@pytest.mark.parametrize("seed", range(8))
def test_with_noise_the_truth_lies_within_the_told_doubt(seed: int) -> None:
    other = town()
    own = moved(other, noise_degC=1.0, seed=seed).cut(date(2017, 1, 1), date(2017, 12, 31))
    fit = fit_borrowing(own, other)
    for winter, truth in ((True, -1.45), (False, -0.55)):
        # Noise without memory: the fit, which assumes some, may only be surer than it says.
        found = fit.season_degC("tmean_degC", winter=winter)
        assert abs(found - truth) < 3 * fit.uncertainty_degC
    assert fit.left_sd_degC == pytest.approx(1.0, abs=0.15)


def test_the_wave_is_shrunk_and_less_so_the_longer_the_record() -> None:
    """A full year of evenly spread days: least squares gives the wave itself, a prior only part of it."""
    rows = borrowed_rows()
    other = town(days=4 * 365)
    shares = []
    for years in (1, 4):
        own = moved(other, noise_degC=2.0).cut(FIRST, FIRST + timedelta(days=365 * years - 1))
        there = other.cut(own.first, own.last)
        difference = own.tmean_degC - there.tmean_degC
        turn = 2 * math.pi * (np.arange(own.n) + (FIRST - date(2001, 1, 1)).days) / YEAR_DAYS
        plain, *_rest = np.linalg.lstsq(
            np.stack([np.ones_like(turn), np.cos(turn), np.sin(turn)], axis=1), difference
        )
        shift = fit_borrowing(own, other).shifts["tmean_degC"]
        share = math.hypot(shift.cosine_degC, shift.sine_degC) / math.hypot(plain[1], plain[2])
        # In closed form for orthogonal terms: (n/2) / (n/2 + s2/t2), s2 with the days' likeness.
        alike = rows["persistence"].number
        s2 = 2.0**2 * (1 + alike) / (1 - alike)
        expected = (own.n / 2) / (own.n / 2 + s2 / rows["season_sd"].number ** 2)
        assert share == pytest.approx(expected, abs=0.02)
        shares.append(share)
    assert shares[0] < shares[1] < 1.0


def test_few_days_give_a_constant_and_much_doubt() -> None:
    other = town()
    own = moved(other).cut(date(2017, 1, 1), date(2017, 2, 9))
    fit = fit_borrowing(own, other)
    shift = fit.shifts["tmean_degC"]
    assert (fit.kind, fit.days, shift.cosine_degC, shift.sine_degC) == ("constant", 40, 0.0, 0.0)
    difference = own.tmean_degC - other.cut(own.first, own.last).tmean_degC
    assert shift.mean_degC == pytest.approx(difference.mean())
    assert fit.uncertainty_degC >= borrowed_rows()["season_sd"].number
    assert not fit.teaches


def test_one_season_alone_does_not_invent_the_other() -> None:
    """Ninety winter days: the wave stays near nothing, and the doubt is largest in summer."""
    other = town()
    own = moved(other, noise_degC=1.0).cut(date(2017, 12, 1), date(2018, 2, 28))
    fit = fit_borrowing(own, other)
    shift = fit.shifts["tmean_degC"]
    summer = np.array([(date(2018, 7, 15) - date(2001, 1, 1)).days], dtype=np.float64)
    winter = np.array([(date(2018, 1, 15) - date(2001, 1, 1)).days], dtype=np.float64)
    assert fit.kind == "seasonal"
    assert float(shift.sd_at(summer)[0]) > 3 * float(shift.sd_at(winter)[0])
    assert abs(float((shift.at(summer) - shift.at(winter))[0])) < 1.0
    assert not fit.teaches


def test_a_full_year_in_common_teaches() -> None:
    other = town()
    own = moved(other, noise_degC=1.5).cut(date(2017, 1, 1), date(2017, 12, 31))
    assert fit_borrowing(own, other).teaches


@pytest.mark.parametrize("days", [0, 9])
def test_too_few_days_in_common_are_refused_with_the_way_out(days: int) -> None:
    other = town(days=400)
    own = moved(town(date(2017, 2, 3) + timedelta(days=1 - days), 300))
    with pytest.raises(
        MissingFieldError, match=rf"{days} days in common, and 10 are needed.*above_borrowed_m"
    ):
        fit_borrowing(own, other)
    fit = fit_borrowing(own, other, above_m=200.0)
    assert (fit.kind, math.isnan(fit.left_sd_degC), fit.teaches) == ("elevation", True, False)
    assert fit.season_degC("tmean_degC", winter=True) == pytest.approx(-1.3)


def test_days_in_common_beat_the_elevation() -> None:
    other = town()
    assert fit_borrowing(moved(other), other, above_m=3000.0).kind == "seasonal"


def test_own_days_stay_and_lent_days_are_marked() -> None:
    other = town()
    own = moved(other, noise_degC=1.0).cut(date(2017, 1, 1), date(2017, 12, 31))
    gap = slice(100, 110)
    holes = {name: own.column(name).copy() for name in ("tmin_degC", "tmax_degC", "tmean_degC")}
    for values in holes.values():
        values[gap] = np.nan
    own = replace(own, **holes)
    joined = borrowed_series(own, other, fit_borrowing(own, other))
    assert (joined.first, joined.last, joined.station) == (other.first, other.last, "roof")
    assert joined.source == "roof.csv"
    part = joined.cut(own.first, own.last)
    assert int(part.lent_days.sum()) == 10
    assert part.lent_days[gap].all()
    for name in ("tmin_degC", "tmax_degC", "tmean_degC"):
        assert np.array_equal(part.column(name)[~part.lent_days], own.column(name)[~part.lent_days])
    assert joined.lent_days.sum() == other.n - own.n + 10
    assert (joined.rain_mm[joined.lent_days] == 1.0).all()  # as the other station measured it
    assert np.isnan(joined.rain_mm[~joined.lent_days]).all()  # the yard's own rain is not made up
    assert joined.lent is not None
    assert (joined.lent.station, joined.lent.teaches) == ("town", True)


def test_a_lent_day_keeps_the_ups_and_downs_of_the_other_station() -> None:
    other = town()
    own = moved(other, noise_degC=1.0).cut(date(2018, 1, 1), date(2018, 12, 30))
    joined = borrowed_series(own, other, fit_borrowing(own, other))
    lent = joined.lent_days
    rough = np.diff(joined.tmean_degC[lent]) - np.diff(other.tmean_degC[lent])
    assert np.abs(rough).max() < 0.05  # nothing but the slow wave is added


def test_a_yard_without_a_day_of_its_own_takes_all_by_elevation() -> None:
    other = town()
    fit = fit_borrowing(None, other, above_m=-100.0)
    joined = borrowed_series(None, other, fit)
    assert joined.lent_days.all()
    assert np.allclose(joined.tmean_degC - other.tmean_degC, 0.65)


def test_a_shift_cannot_put_a_low_above_its_high() -> None:
    flat = town(days=400)
    other = replace(flat, tmax_degC=flat.tmin_degC + 0.2, tmean_degC=flat.tmin_degC + 0.1)
    own = replace(
        other,
        tmin_degC=other.tmin_degC + 3.0,
        tmax_degC=other.tmax_degC + 3.5,
        tmean_degC=other.tmean_degC + 3.2,
        station="roof",
    ).cut(FIRST, date(2016, 12, 31))
    twisted = replace(fit_borrowing(own, other), other="town")
    shifts = dict(twisted.shifts)
    shifts["tmin_degC"] = replace(shifts["tmin_degC"], mean_degC=5.0)
    joined = borrowed_series(own, other, replace(twisted, shifts=shifts))
    assert joined.lent_days.any()
    assert (joined.tmin_degC <= joined.tmax_degC).all()
    assert (joined.tmin_degC <= joined.tmean_degC).all()
    assert (joined.tmean_degC <= joined.tmax_degC).all()


def test_an_elevation_beyond_the_earth_is_refused() -> None:
    with pytest.raises(RangeError, match="after its shift"):
        borrowed_series(None, town(), fit_borrowing(None, town(), above_m=20_000.0))


def test_bridged_days_are_nobodys_measurement() -> None:
    other = town()
    own = moved(other).cut(date(2017, 1, 1), date(2017, 1, 31))
    bridged = own.filled.copy()
    bridged[:25] = True
    with pytest.raises(MissingFieldError, match="6 days in common"):
        fit_borrowing(replace(own, filled=bridged, bridged={}), other)


def test_a_station_of_means_alone_lends_means_alone() -> None:
    full = town()
    other = replace(full, tmin_degC=np.full(full.n, np.nan), tmax_degC=np.full(full.n, np.nan))
    own = moved(full).cut(date(2017, 1, 1), date(2017, 12, 31))
    joined = borrowed_series(own, other, fit_borrowing(own, other))
    assert np.isnan(joined.tmin_degC[joined.lent_days]).all()
    assert not np.isnan(joined.tmean_degC).any()
