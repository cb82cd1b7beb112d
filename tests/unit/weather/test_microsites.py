"""Places beside their station: what is assumed, what readings teach and which do not, weather moved."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import UnknownNameError
from ringwise.weather.frost import frost_years
from ringwise.weather.microsite import (
    KINDS,
    MicrositeOffset,
    PlaceLine,
    microsite_prior,
    microsite_rows,
    moved,
    moved_by_day,
)
from ringwise.weather.place_readings import NO_READINGS, PlaceReadings, learned, run_weights
from ringwise.weather.series import WeatherSeries, series_of
from ringwise.weather.years import members

FIRST = date(2027, 1, 1)


def station(n_days: int = 60, seed: int = 4) -> WeatherSeries:
    """A made-up spring with nights of -6 to 8 degrees."""
    draws = np.random.default_rng(seed)
    low = np.round(draws.uniform(-6.0, 8.0, n_days), 1)
    return series_of(FIRST, {"tmin_degC": low, "tmax_degC": low + np.round(draws.uniform(3, 12, n_days), 1)})


def exact(offset_degC: float, slope_ratio: float = 1.0, centre_degC: float = 0.0) -> PlaceLine:
    return PlaceLine(centre_degC, offset_degC, slope_ratio, 1.0, 0.1, 1.0)


def place(nights: PlaceLine, days: PlaceLine) -> MicrositeOffset:
    return MicrositeOffset("open_bench", nights, days)


class TestPriors:
    def test_every_kind_has_all_its_rows(self) -> None:
        assert set(KINDS) == {row for row in _keys() if row != "any"}
        for kind in KINDS:
            prior = microsite_prior(kind)
            for line in (prior.nights, prior.days):
                assert line.offset_sd_degC > 0.0
                assert 0.0 < line.slope_ratio <= 1.0
                assert line.readings == 0

    def test_an_unknown_kind_is_refused(self) -> None:
        with pytest.raises(UnknownNameError, match="balcony"):
            microsite_prior("balcony")

    def test_what_the_kinds_stand_for(self) -> None:
        # common practice: signs, not amounts
        assert microsite_prior("wall").nights.offset_degC > 0
        assert microsite_prior("shade").days.offset_degC < 0
        assert microsite_prior("tunnel").days.offset_degC > 0
        shed = microsite_prior("shed")
        assert shed.nights.lift_degC(-15.0) > shed.nights.lift_degC(-5.0) > shed.nights.lift_degC(5.0) > 0
        assert shed.days.lift_degC(30.0) < shed.days.lift_degC(0.0)

    def test_spread_grows_away_from_the_centre(self) -> None:
        line = microsite_prior("wall").nights
        assert line.sd_degC(line.centre_degC) == pytest.approx(line.offset_sd_degC)
        assert line.sd_degC(line.centre_degC - 10.0) == pytest.approx(
            np.hypot(line.offset_sd_degC, 10.0 * line.slope_sd_ratio)
        )


def _keys() -> tuple[str, ...]:
    from ringwise.kit.tables import load_table

    return load_table("ringwise.weather", "microsites").keys()


class TestMoved:
    def test_an_open_bench_changes_nothing(self) -> None:
        series = station()
        assert moved(series, microsite_prior("open_bench")) is series

    def test_a_level_lift_adds_to_every_day(self) -> None:
        series = station()
        there = moved(series, place(exact(2.0), exact(4.0)))
        assert np.allclose(there.tmin_degC, series.tmin_degC + 2.0)
        assert np.allclose(there.tmax_degC, series.tmax_degC + 4.0)
        assert np.allclose(there.tmean_degC, series.tmean_degC + 3.0)
        assert there.rain_mm is series.rain_mm

    def test_a_line_of_a_shed(self) -> None:
        # by hand: at -8 a line of 0.5 through (0, 1) gives 1 - 4 = -3
        series = series_of(FIRST, {"tmin_degC": np.array([-8.0]), "tmax_degC": np.array([4.0])})
        there = moved(series, place(exact(1.0, 0.5), exact(0.0, 0.5)))
        assert (there.tmin_degC[0], there.tmax_degC[0]) == (-3.0, 2.0)
        assert there.tmean_degC[0] == pytest.approx(-0.5)

    def test_lines_that_cross_meet(self) -> None:
        series = series_of(FIRST, {"tmin_degC": np.array([3.0]), "tmax_degC": np.array([4.0])})
        there = moved(series, place(exact(2.0), exact(-3.0)))
        assert there.tmin_degC[0] == there.tmax_degC[0] == there.tmean_degC[0] == 3.0

    def test_a_mean_alone_is_moved_by_both_lines(self) -> None:
        series = series_of(FIRST, {"tmean_degC": np.array([5.0, np.nan, np.nan, np.nan, np.nan, 6.0])})
        there = moved(series, place(exact(2.0), exact(-1.0)))
        assert there.tmean_degC[0] == 5.5
        assert np.isnan(there.tmin_degC).all()
        assert np.isnan(there.tmean_degC[2])

    def test_weather_years_and_the_frost_counted_on_them(self) -> None:
        days = np.arange(1500)
        low = np.where(days % 7 == 0, -2.0, 3.0)
        series = series_of(date(2010, 11, 1), {"tmin_degC": low, "tmax_degC": low + 6})
        ahead = members(series, issue=date(2014, 3, 1), year=GrowingYear(2014))
        there = moved(ahead, place(exact(3.0), exact(0.0)))
        at_bench, inside = (
            frost_years(each, after=date(2014, 3, 10), within_days=14, below_degC=0.0)
            for each in (ahead, there)
        )
        assert at_bench.years == ahead.n
        assert inside.years == 0
        assert inside.coldest_degC == 1.0
        assert there.tmin_degC.shape == ahead.tmin_degC.shape

    def test_a_tree_that_was_carried_has_each_days_own_place(self) -> None:
        series = station(3)
        places = [microsite_prior("open_bench"), place(exact(5.0), exact(1.0))]
        there = moved_by_day(series, places, np.array([0, 1, 0]))
        assert np.allclose(there.tmin_degC - series.tmin_degC, [0.0, 5.0, 0.0])
        assert moved_by_day(series, places, np.zeros(3, dtype=np.int64)) is series


class TestLearned:
    def test_without_readings_exactly_the_prior(self) -> None:
        for kind in KINDS:
            prior = microsite_prior(kind)
            told = learned(NO_READINGS, station(), prior)
            assert told.offset == prior
            assert told.left_out == ()

    def test_readings_that_teach_neither_night_nor_day_leave_the_prior(self) -> None:
        read = PlaceReadings(FIRST - timedelta(days=9), np.array([1.0]), np.array([5.0]))
        told = learned(read, station(), microsite_prior("wall"))
        assert told.offset == microsite_prior("wall")
        assert {each.reason for each in told.left_out} == {"no_station"}
        assert {each.station_degC for each in told.left_out} == {None}

    def test_a_maximum_read_in_the_sun_is_left_out(self) -> None:
        series = station(20)
        high = series.tmax_degC + 1.0
        high[7] = series.tmax_degC[7] + microsite_rows("open_bench")["sun"].number + 0.5
        told = learned(PlaceReadings(FIRST, np.full(20, np.nan), high), series, microsite_prior("open_bench"))
        (out,) = told.left_out
        assert (out.day, out.measure, out.reason) == (FIRST + timedelta(days=7), "tmax_degC", "sun")
        assert told.offset.days.readings == 19
        assert told.offset.days.offset_degC < 1.1

    def test_the_same_excess_is_usual_in_a_tunnel(self) -> None:
        series = station(20)
        read = PlaceReadings(FIRST, np.full(20, np.nan), series.tmax_degC + 9.0)
        assert learned(read, series, microsite_prior("tunnel")).left_out == ()
        assert len(learned(read, series, microsite_prior("open_bench")).left_out) == 20

    @pytest.mark.parametrize("wrong", [-25.0, 25.0])
    def test_a_slip_of_the_sign_or_the_unit_is_left_out(self, wrong: float) -> None:
        series = station(5)
        low = series.tmin_degC.copy()
        low[2] += wrong
        told = learned(PlaceReadings(FIRST, low, np.full(5, np.nan)), series, microsite_prior("open_bench"))
        assert [each.reason for each in told.left_out] == ["far"]
        assert told.offset.nights.readings == 4

    def test_bridged_days_of_the_station_do_not_teach(self) -> None:
        low = np.array([1.0, np.nan, 3.0])
        series = series_of(FIRST, {"tmin_degC": low, "tmax_degC": low + 5})
        read = PlaceReadings(FIRST, np.array([2.0, 9.0, 4.0]), np.full(3, np.nan))
        told = learned(read, series, microsite_prior("open_bench"))
        assert told.offset.nights.readings == 2
        assert [each.reason for each in told.left_out] == ["no_station"]

    def test_days_in_a_row_say_less_than_days_apart(self) -> None:
        series = station(40)
        prior = microsite_prior("open_bench")
        every_other = np.where(np.arange(40) % 2 == 0, series.tmin_degC + 2.0, np.nan)
        in_a_row = np.where(np.arange(40) < 20, series.tmin_degC + 2.0, np.nan)
        apart, together = (
            learned(PlaceReadings(FIRST, low, np.full(40, np.nan)), series, prior).offset.nights
            for low in (every_other, in_a_row)
        )
        assert apart.readings == together.readings == 20
        assert apart.offset_sd_degC < together.offset_sd_degC

    def test_weights_of_a_run(self) -> None:
        # Source: algebra. The mean of an autoregressive course: 1' R^-1 1 with R of powers of r.
        alike = microsite_rows()["day_to_day"].number
        away = np.abs(np.subtract.outer(np.arange(9), np.arange(9)))
        said = np.linalg.inv(alike**away).sum()
        assert run_weights(np.ones(9, dtype=np.bool_)).sum() == pytest.approx(said)
