"""Trees as likely as the measured one: as far apart as its readings are unsure, and still wood."""

from __future__ import annotations

import numpy as np
import pytest

from ringwise.structure.likely import likely
from ringwise.structure.measured import measured_of
from ringwise.structure.table import single_segment

SEEDS = range(80)


def test_a_place_moves_by_its_spread_and_the_wood_with_it() -> None:
    stem = measured_of(
        single_segment(length_mm=400.0, diameter_mm=20.0), radius_sd_mm=0.5, position_sd_mm=6.0
    )
    made = [likely(stem, seed).table for seed in SEEDS]
    ends = np.array([each.end_mm[0] for each in made])
    assert ends.std(axis=0, ddof=1) == pytest.approx([6.0, 6.0, 6.0], rel=0.3)  # 80 draws: 8 % one way
    assert np.std([each.diameter_mm[0] for each in made], ddof=1) == pytest.approx(1.0, rel=0.3)
    assert ends.mean(axis=0) == pytest.approx([0.0, 0.0, 400.0], abs=2.5)


def test_however_unsure_a_radius_is_wood_stays_wood() -> None:
    stem = measured_of(single_segment(length_mm=400.0, diameter_mm=20.0), radius_sd_mm=40.0)
    thin = min(float(likely(stem, seed).table.diameter_mm[0]) for seed in SEEDS)
    assert thin == pytest.approx(4.0, rel=1e-5)  # a fifth


def test_a_piece_that_would_vanish_is_left_as_it_was_measured() -> None:
    short = measured_of(single_segment(length_mm=0.5, diameter_mm=20.0), position_sd_mm=0.5)
    lengths = np.array([float(likely(short, seed).table.length_mm[0]) for seed in SEEDS])
    assert lengths.min() >= 0.05 * 0.5
