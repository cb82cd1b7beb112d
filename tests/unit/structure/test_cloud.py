"""Clouds: the stem's circle against known circles with leaves, gaps and noise, and the gap of heights."""

from __future__ import annotations

import numpy as np
import pytest

from ringwise.kit.errors import FileFormatError, InputError, RangeError
from ringwise.structure.cloud import cloud_from_text, height_gap, stem_circle


def stem(
    diameter_mm: float, *, noise_mm: float = 4.0, n: int = 9000, seen_deg: float = 360.0, seed: int = 1
) -> np.ndarray:
    """Points of an upright stem of 9 m, off by the scanner's noise."""
    rng = np.random.default_rng(seed)
    turn = np.radians(rng.uniform(0.0, seen_deg, n))
    radius = diameter_mm / 2.0 + rng.normal(0.0, noise_mm, n)
    heights = rng.uniform(0.0, 9000.0, n)
    heights[:2] = 0.0, 9000.0
    return np.column_stack([2000.0 + radius * np.cos(turn), -700.0 + radius * np.sin(turn), heights])


@pytest.mark.parametrize("diameter_mm", [60.0, 150.0, 320.0, 900.0])
def test_circle_of_a_clean_stem(diameter_mm: float) -> None:
    found = stem_circle(stem(diameter_mm, n=30_000))
    # Mean of 200 or so radii with 4 mm of noise: 0.3 mm one way, twice that for a diameter.
    assert found.diameter_mm == pytest.approx(diameter_mm, abs=2.0)
    assert (found.x_mm, found.y_mm) == pytest.approx((2000.0, -700.0), abs=1.5)
    assert found.spread_mm == pytest.approx(4.0, rel=0.3)
    assert found.seen_frac == 1.0


def test_leaves_do_not_pull_the_circle() -> None:
    rng = np.random.default_rng(2)
    leaves = np.column_stack(
        [rng.uniform(2000.0, 2500.0, 70), rng.uniform(-900.0, -300.0, 70), rng.uniform(1270.0, 1330.0, 70)]
    )
    found = stem_circle(np.vstack([stem(150.0, n=30_000), leaves]))
    assert found.diameter_mm == pytest.approx(150.0, rel=0.02)
    assert found.points - found.used >= 50


def test_stem_seen_from_one_side_keeps_its_size_or_is_refused() -> None:
    assert stem_circle(stem(150.0, n=30_000, seen_deg=200.0)).diameter_mm == pytest.approx(150.0, rel=0.03)
    with pytest.raises(InputError, match="too little for its size"):
        stem_circle(stem(150.0, n=30_000, seen_deg=70.0))


def test_other_heights_and_bad_ones() -> None:
    cloud = stem(150.0)
    cloud[:, :2] = [2000.0, -700.0] + (cloud[:, :2] - [2000.0, -700.0]) * (
        1.0 - cloud[:, 2:] / 18_000.0
    )  # tapers to half
    assert stem_circle(cloud, at_mm=6000.0).diameter_mm == pytest.approx(100.0, rel=0.03)
    with pytest.raises(RangeError, match="height of the slice is 12000 mm; accepted: 0 to 9000 mm"):
        stem_circle(cloud, at_mm=12_000.0)
    with pytest.raises(InputError, match="points lie in the slice at 1300 mm; 12 are needed"):
        stem_circle(cloud[::200])


def test_the_same_cloud_gives_the_same_circle() -> None:
    assert stem_circle(stem(150.0)) == stem_circle(stem(150.0))


def test_text_of_a_cloud() -> None:
    cloud = cloud_from_text("X;Y;Z;intensity\n1.0;2.0;3.5;17\n\n-1,0,0.25\n1\t2\t3\n")
    assert cloud.tolist() == [[1000.0, 2000.0, 3500.0], [-1000.0, 0.0, 250.0], [1000.0, 2000.0, 3000.0]]
    with pytest.raises(FileFormatError, match="line 3: x, y and z were expected"):
        cloud_from_text("1 2 3\n4 5 6\n7 8\n")
    with pytest.raises(FileFormatError, match="no points"):
        cloud_from_text("x y z\n")
    with pytest.raises(FileFormatError, match="not a number"):
        cloud_from_text("1 2 3\n1 nan 3\n")


def test_gap_of_heights_is_told_by_its_ends() -> None:
    gap = height_gap(np.array([[0.0, 0.0, 100.0], [5.0, 0.0, 22_880.0]]), 500.0, 21_440.0)
    assert gap.cloud_mm == 22_780.0
    assert (gap.above_mm, gap.below_mm) == (1440.0, 400.0)
    assert gap.frac == pytest.approx((1440.0 + 400.0) / 20_940.0)
    with pytest.raises(RangeError, match="top of the model"):
        height_gap(np.zeros((2, 3)), 10.0, 10.0)
