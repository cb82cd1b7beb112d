"""The compiled recursions over hours against plain ones, written from the printed equations."""

from __future__ import annotations

import math
from datetime import date, timedelta
from importlib import resources

import numpy as np
import pytest

from ringwise.phenology import chill_kernels
from ringwise.phenology.calc import StageAsk, stage_day
from ringwise.weather.hourly import hourly_temperature
from ringwise.weather.reading import parse_columns, read_csv

DYNAMIC = (4153.5, 12888.8, 139500.0, 2.567e18, 1.6, 277.0, 273.0)
WAKING, CARDINAL = (0.5, 40.0), (4.0, 25.0, 36.0)


def plain_portions(hours: list[float], fixed: tuple[float, ...]) -> list[float]:
    """x_s = (A0/A1) e^((E1-E0)/K); x <- x_s - (x_s - x) e^(-k), k = A1 e^(-E1/K); fixed once x >= 1."""
    energy_0, energy_1, factor_0, factor_1, slope, freeze, zero_K = fixed
    product, total, booked = 0.0, 0.0, []
    for hour in hours:
        booked.append(total)
        kelvin = hour + zero_K
        level = factor_0 / factor_1 * math.exp((energy_1 - energy_0) / kelvin)
        product = level - (level - product) * math.exp(-factor_1 * math.exp(-energy_1 / kelvin))
        if product >= 1:
            grown = math.exp(slope * freeze * (kelvin - freeze) / kelvin)
            total += grown / (1 + grown) * product
            product *= 1 - grown / (1 + grown)
    return booked


def plain_heat(hours: list[float], chill: list[float]) -> list[float]:
    """Warmth weighed by e^x / (1 + e^x), x = s1 yc (y - yc) / y."""
    steep, need = WAKING
    base, best, most = CARDINAL
    total, booked = 0.0, []
    for hour, done in zip(hours, chill, strict=True):
        booked.append(total)
        if base <= hour <= best:
            warm = (1 + math.cos(math.pi + math.pi * (hour - base) / (best - base))) / 2
        elif best < hour <= most:
            warm = 1 + math.cos(math.pi / 2 + math.pi / 2 * (hour - best) / (most - best))
        else:
            warm = 0.0
        exponent = -math.inf if done == 0 else steep * need * (done - need) / done
        total += warm * (math.exp(exponent) / (1 + math.exp(exponent)))
    return booked


@pytest.mark.parametrize("seed", range(6))
def test_recursions_agree_with_plain_ones(seed: int) -> None:
    rng = np.random.default_rng(seed)
    hours = rng.normal(6, 3 + 2 * seed, (3, 2500))
    fixed = np.array(DYNAMIC)
    booked, chill, heat = (np.empty_like(hours) for _ in range(3))
    chill_kernels.portions(hours, fixed, booked)
    chill_kernels.chill_then_heat(hours, fixed, np.array(WAKING), np.array(CARDINAL), chill, heat)
    for row in range(3):
        plain = plain_portions(hours[row].tolist(), DYNAMIC)
        np.testing.assert_allclose(booked[row], plain, rtol=1e-9)
        np.testing.assert_allclose(chill[row], plain, rtol=1e-9)
        np.testing.assert_allclose(heat[row], plain_heat(hours[row].tolist(), plain), rtol=1e-7, atol=1e-300)
    assert booked[:, -1].min() > 0


def test_a_missing_hour_is_not_passed_over() -> None:
    hours = np.full((1, 300), 6.0)
    hours[0, 200] = np.nan
    booked, chill, heat = (np.empty_like(hours) for _ in range(3))
    chill_kernels.portions(hours, np.array(DYNAMIC), booked)
    chill_kernels.chill_then_heat(hours, np.array(DYNAMIC), np.array(WAKING), np.array(CARDINAL), chill, heat)
    for values in (booked, chill, heat):
        assert not np.isnan(values[0, :201]).any()
        assert np.isnan(values[0, 201:]).all()


@pytest.mark.parametrize("year", [2013, 2014, 2015])
def test_the_day_of_flowers_is_that_of_a_plain_loop(year: int) -> None:
    """Seattle by the hour; constants as read in the source code of chillR 0.77, written out again here."""
    text = (resources.files("vega_datasets") / "_data" / "seattle-weather.csv").read_text(encoding="utf-8")
    columns = parse_columns("date=date,tmin_degC=temp_min,tmax_degC=temp_max")
    series = read_csv(text, file="seattle-weather.csv", columns=columns)
    begin = date(year - 1, 11, 1)
    days = series.cut(begin, date(year, 7, 31))
    hours = (
        hourly_temperature(days.tmin_degC, days.tmax_degC, first=begin, latitude_deg=47.45).ravel().tolist()
    )
    chill = plain_portions(hours, (3372.8, 9900.3, 6319.5, 5.939917e13, 1.6, 277.0, 273.0))
    heat = plain_heat(hours, chill)
    hour = next(place for place, value in enumerate(heat) if value >= 190.0)
    found = stage_day(series, StageAsk("phenoflex", "prunus", year, latitude_deg=47.45))
    assert found.when == begin + timedelta(days=hour // 24)
    assert found.chill_portions == pytest.approx(chill[hour // 24 * 24 + 23], rel=1e-9)
