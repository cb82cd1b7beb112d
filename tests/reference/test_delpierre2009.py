"""Autumn by shortening days and cold (form of Delpierre et al. 2009), in a wave and in steady warmth."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.phenology.calc import StageAsk, stage_day
from ringwise.phenology.choice import named_choice
from ringwise.phenology.model_daylength import autumn_sums
from ringwise.phenology.sums import daily_means
from ringwise.weather.series import series_of

DAYS = np.arange(1, 366)
WAVE = 11.5 + 9 * np.cos(2 * np.pi * (DAYS - 200) / 365)
STEADY = np.full(365, 15.0)


# Source: own calculation by an independent program: L / 12.5 h with daylength as in FAO-56, base 28.5
# (recalled), both powers 2 (recalled), sum 8268, from day 173.
@pytest.mark.parametrize(
    ("means", "north_deg", "day", "total"),
    [(WAVE, 45.0, 300, 8358.985), (WAVE, 48.5, 302, None), (STEADY, 45.0, 312, 8341.047)],
    ids=["wave at 45", "wave at 48.5", "steady at 45"],
)
def test_day_and_sum(means: np.ndarray, north_deg: float, day: int, total: float | None) -> None:
    series = series_of(date(2013, 1, 1), {"tmean_degC": means})
    found = stage_day(series, StageAsk("delpierre", "any", 2013, latitude_deg=north_deg))
    assert found.day_of_year == day
    if total is None:
        return
    rows = named_choice("delpierre", "any").rows
    days = daily_means(means, first_index=1, year=GrowingYear(2013), latitude_deg=north_deg)
    sums = autumn_sums({name: np.array([row.number]) for name, row in rows.items()}, days)
    assert sums["cold_sum"][0, 0, day - 1] == pytest.approx(total, abs=0.01)
