"""Sigmoid forcing of beech by the parameters attributed to Gauzere et al. (2017)."""

from __future__ import annotations

import math
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from ringwise.phenology.calc import StageAsk, stage_day
from ringwise.weather.reading import read_csv
from ringwise.weather.series import series_of


def test_leaf_unfolding_at_goettingen() -> None:
    # Source: parameters read in a public model repository; days by an independent program.
    text = (Path(__file__).parent / "data" / "goe.csv").read_text(encoding="utf-8")
    series = read_csv(text, file="goe.csv")
    days = [
        stage_day(series, StageAsk("uniforc", "fagus_sylvatica", year)).day_of_year
        for year in range(2002, 2011)
    ]
    assert days == [118, 119, 114, 117, 115, 121, 119, 117, 116]


def test_smooth_spring() -> None:
    # Source: own calculation by an independent program: T(J) = 10 - 12 cos(2 pi (J - 15) / 365), J = 1..180.
    warmth = np.array([10 - 12 * math.cos(2 * math.pi * (day - 15) / 365) for day in range(1, 181)])
    found = stage_day(
        series_of(date(2013, 1, 1), {"tmean_degC": warmth}), StageAsk("uniforc", "fagus_sylvatica", 2013)
    )
    assert found.day_of_year == 123
    assert found.forcing_days == pytest.approx(41.61305, abs=1e-4)
