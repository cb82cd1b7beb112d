"""Bud swelling and leaf unfolding of oak by the parameters of Halbig et al. (2024)."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringwise.phenology.calc import StageAsk, stage_day
from ringwise.weather.reading import read_csv

TEXT = (Path(__file__).parent / "data" / "goe.csv").read_text(encoding="utf-8")


def test_bud_swelling_at_goettingen() -> None:
    # Source: parameter file of PHENTHAUproc (read); days by an independent program on the same series.
    series = read_csv(TEXT, file="goe.csv")
    days = [
        stage_day(series, StageAsk("menzel", "quercus_robur", year, stage="bud_swelling")).day_of_year
        for year in range(2002, 2011)
    ]
    assert days == [108, 110, 94, 105, 106, 112, 110, 97, 105]


def test_bud_swelling_comes_11_to_21_days_before_leaf_unfolding() -> None:
    # Source: as above; range 11 to 21 days, mean 16.
    series = read_csv(TEXT, file="goe.csv")
    gaps = []
    for year in range(2002, 2011):
        swelling = stage_day(series, StageAsk("menzel", "quercus_robur", year, stage="01")).day_of_year
        leaf = stage_day(series, StageAsk("menzel", "quercus_robur_type1", year)).day_of_year
        assert swelling is not None
        assert leaf is not None
        gaps.append(leaf - swelling)
    assert (min(gaps), max(gaps)) == (11, 21)
    assert sum(gaps) / len(gaps) == pytest.approx(16, abs=0.5)
