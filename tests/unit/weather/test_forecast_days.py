"""Days of a forecast among past years: how far they weigh, and what they leave as it was."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import FileFormatError
from ringwise.weather.forecast_days import DaysToCome, between, drawn_to, lead_weight, longest_lead_days
from ringwise.weather.series import WeatherSeries, series_of
from ringwise.weather.years import WeatherMembers, members

ISSUE = date(2027, 3, 7)
YEAR = GrowingYear(2027)


def rough(first: date, last: date, *, seed: int = 3) -> WeatherSeries:
    days = (last - first).days + 1
    luck = np.random.default_rng(seed)
    mean = 8.0 - 7.0 * np.cos(2 * np.pi * (np.arange(days) + first.timetuple().tm_yday) / 365.25)
    mean = mean + luck.normal(0.0, 2.0, days)
    half = luck.uniform(1.0, 6.0, days)
    wind = luck.uniform(0.5, 6.0, days)
    columns = {"tmin_degC": mean - half, "tmax_degC": mean + half, "tmean_degC": mean, "wind_2m_m_s": wind}
    return series_of(first, columns)


def ahead(days: int = 10, *, mean: float = 4.0, first: date = ISSUE + timedelta(days=1)) -> DaysToCome:
    values = np.full(days, mean)
    lead = np.arange(days) + (first - ISSUE).days
    return DaysToCome(ISSUE, first, lead, values - 3, values + 4, values, np.full(days, 2.0))


def seen(to_come: DaysToCome | None, **more: int) -> WeatherMembers:
    series = rough(date(2014, 6, 1), ISSUE)
    return members(series, issue=ISSUE, year=YEAR, to_come=to_come, **more)


def test_weights_fall_with_the_lead_and_end_where_the_table_ends() -> None:
    last = longest_lead_days()
    weights = lead_weight(np.arange(1, last + 2))
    assert last == 16
    assert (np.diff(weights) < 0).all()
    assert ((weights >= 0) & (weights < 1)).all()
    assert weights[-1] == 0.0 < weights[-2]
    assert lead_weight(np.array([0])) == weights[0]  # the day of making is the first day ahead


def test_without_a_forecast_nothing_differs() -> None:
    plain, beyond = seen(None), seen(ahead(5, first=ISSUE + timedelta(days=20)))
    for name in ("tmin_degC", "tmax_degC", "tmean_degC", "wind_2m_m_s", "rain_mm"):
        np.testing.assert_array_equal(getattr(plain, name), getattr(beyond, name))
    assert not plain.forecast.any()
    assert (beyond.forecast_of, beyond.forecast_to) == (None, None)


def test_the_mean_moves_and_the_spread_shrinks_by_the_weight() -> None:
    plain, drawn = seen(None), seen(ahead())
    assert (drawn.forecast_of, drawn.forecast_to) == (ISSUE, ISSUE + timedelta(days=10))
    assert drawn.forecast.sum() == 10
    for k in range(1, 11):
        at = plain.column(ISSUE + timedelta(days=k))
        weight = float(lead_weight(np.array([k]))[0])
        before, after = plain.tmean_degC[:, at], drawn.tmean_degC[:, at]
        assert after.mean() == pytest.approx(before.mean() + weight * (4.0 - before.mean()))
        assert after.std() == pytest.approx(np.sqrt(1 - weight**2) * before.std())
        assert np.corrcoef(before, after)[0, 1] == pytest.approx(1.0)  # warm years stay the warm ones
    outside = ~drawn.forecast
    np.testing.assert_array_equal(plain.tmean_degC[:, outside], drawn.tmean_degC[:, outside])
    np.testing.assert_array_equal(plain.observed, drawn.observed)


def test_a_measured_day_wins_and_a_passed_one_without_measurement_stays_a_forecast() -> None:
    series = rough(date(2014, 6, 1), ISSUE - timedelta(days=3))
    early = replace(ahead(14, first=ISSUE - timedelta(days=6)), lead_days=np.arange(14) + 1)
    weather = members(series, issue=ISSUE, year=YEAR, to_come=early)
    told = [weather.column(ISSUE + timedelta(days=k)) for k in (-4, -3, -2, 0, 1)]
    assert weather.observed[told].tolist() == [True, True, False, False, False]
    assert weather.forecast[told].tolist() == [False, False, True, True, True]
    assert weather.tmean_degC[:, told[1]].std() == 0.0
    assert weather.tmean_degC[0, told[1]] == series.day(ISSUE - timedelta(days=3))["tmean_degC"]
    assert weather.tmean_degC[:, told[2]].std() > 0.0


def test_lowest_and_highest_stay_in_order() -> None:
    narrow = ahead(16, mean=2.0)
    narrow = replace(narrow, tmin_degC=narrow.tmean_degC - 0.01, tmax_degC=narrow.tmean_degC + 0.01)
    drawn = seen(narrow)
    assert (drawn.tmin_degC <= drawn.tmean_degC).all()
    assert (drawn.tmean_degC <= drawn.tmax_degC).all()


def test_a_forecast_of_means_alone_moves_the_extremes_along() -> None:
    nothing = np.full(10, np.nan)
    plain, drawn = seen(None), seen(replace(ahead(), tmin_degC=nothing, tmax_degC=nothing))
    for name in ("tmin_degC", "tmax_degC"):
        np.testing.assert_allclose(
            getattr(drawn, name) - getattr(plain, name), drawn.tmean_degC - plain.tmean_degC, atol=1e-9
        )


def test_a_day_without_a_mean_is_no_forecast() -> None:
    holed = ahead()
    holed.tmean_degC[4] = np.nan
    drawn = seen(holed)
    assert not drawn.forecast[drawn.column(ISSUE + timedelta(days=5))]
    assert drawn.forecast.sum() == 9


def test_wind_weighs_less_and_never_blows_below_zero() -> None:
    calm = replace(ahead(), wind_2m_m_s=np.zeros(10))
    plain, drawn = seen(None), seen(calm)
    at = plain.column(ISSUE + timedelta(days=1))
    before, after = plain.wind_2m_m_s[:, at], drawn.wind_2m_m_s[:, at]
    assert (drawn.wind_2m_m_s >= 0).all()
    assert 0.0 < after.mean() < before.mean()
    assert np.isnan(drawn.rain_mm).all()  # the series knows no rain, and a forecast adds none


def test_years_without_a_measure_get_none_from_a_forecast() -> None:
    past = {name: np.full((3, 1), 5.0) for name in ("tmin_degC", "tmax_degC", "tmean_degC", "wind_2m_m_s")}
    past["wind_2m_m_s"][:] = np.nan
    found = drawn_to(past, ahead(1), np.array([0]))
    assert np.isnan(found["wind_2m_m_s"]).all()


def test_full_weight_is_the_forecast_and_none_the_years() -> None:
    years = np.array([[1.0, 2.0], [4.0, 8.0]])
    forecast = np.array([0.1, 0.7])
    np.testing.assert_array_equal(between(years, forecast, np.ones(2)), np.tile(forecast, (2, 1)))
    np.testing.assert_array_equal(between(years, forecast, np.zeros(2)), years)


def test_columns_of_unequal_length_are_refused() -> None:
    with pytest.raises(FileFormatError, match="each of its days"):
        replace(ahead(), tmin_degC=np.zeros(3))


def test_days_before_the_year_are_observed_else_lent_else_not_known() -> None:
    series = rough(date(2024, 10, 1), ISSUE)  # the days before growing year 2025 are not all there
    weather = members(series, issue=ISSUE, year=YEAR)
    assert (weather.labels, weather.lead_days, weather.first) == ((2025, 2026), 70, date(2026, 8, 23))
    assert weather.observed[:70].all()
    assert weather.known_from == weather.first_index == -130
    # Seen from before: the next growing year's lead is still to come, and one lender lacks part of it.
    early = members(series, issue=date(2026, 8, 31), year=YEAR, most=9)
    assert early.labels == (2025,)  # 2026 lacks its own later days on that issue day
    gap = np.isnan(early.tmean_degC[0])
    assert gap[early.column(date(2026, 9, 1)) : early.column(date(2026, 10, 1))].all()
    assert not gap[early.column(date(2026, 10, 1)) :].any()
    assert not gap[: early.column(date(2026, 9, 1))].any()
    assert early.known_from == YEAR.day_index(date(2026, 10, 1))


def test_missing_days_before_the_year_refuse_no_year() -> None:
    series = rough(date(2024, 11, 1), ISSUE)
    with_lead, without = (members(series, issue=ISSUE, year=YEAR, lead_days=k) for k in (70, 0))
    assert with_lead.labels == without.labels == (2025, 2026)
    np.testing.assert_array_equal(with_lead.tmean_degC[:, 70:], without.tmean_degC)
    np.testing.assert_array_equal(with_lead.wind_2m_m_s[:, 70:], without.wind_2m_m_s)


def test_so_many_years_have_the_forecast_rain_as_it_is_believed_and_none_drizzles() -> None:
    from dataclasses import replace

    from ringwise.weather.forecast_days import rain_of

    values = np.full(3, 10.0)
    ahead = DaysToCome(ISSUE, ISSUE, np.array([1, 5, 17]), values, values, values, values)
    past = np.zeros((20, 3))
    assert np.array_equal(rain_of(past, ahead, np.arange(3)), past)
    wet = replace(ahead, rain_mm=np.array([8.0, 8.0, 8.0]))
    got = rain_of(past, wet, np.arange(3))
    assert set(np.unique(got)) == {0.0, 8.0}
    near, far, beyond = (got == 8.0).sum(axis=0)
    assert near > far > beyond == 0
    assert ((got[:, 1] == 8.0) <= (got[:, 0] == 8.0)).all()
