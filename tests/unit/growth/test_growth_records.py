"""A girth record in pieces, what is read of it, and how what is known of a tree's vigour wanders."""

from __future__ import annotations

import numpy as np
import pytest

from ringwise.growth.calibration import joined_growth, vigour_posterior
from ringwise.growth.particle_lines import line_of, pointed_cloud
from ringwise.growth.particles import COLUMNS, Grown, log_weights, told_by, told_together
from ringwise.growth.seen_growth import SeenGrowth, growth_errors, over_seasons, spans

YEARLY = SeenGrowth(
    (0.0, 1.0, 2.0, 3.0, 4.0, 5.0), (20.0, 25.0, 31.0, 36.0, 40.0, 47.0), (1.0, 4.5), (300.0, 400.0)
)


def test_girths_are_counted_over_two_seasons_back_from_the_last() -> None:
    kept = over_seasons(YEARLY)
    assert kept.seasons == (0.0, 3.0, 5.0)  # the odd season goes with the first
    assert kept.girths_mm == (20.0, 36.0, 47.0)
    assert over_seasons(SeenGrowth((0.0, 1.0), (20.0, 25.0))).increments_n == 1
    assert over_seasons(SeenGrowth((), ())).increments_n == 0


def test_pieces_hold_the_heights_of_their_seasons() -> None:
    first, last = spans(over_seasons(YEARLY))
    assert (first.seasons, first.girths_mm, first.height_seasons) == ((0.0, 3.0), (20.0, 36.0), (1.0,))
    assert (last.seasons, last.girths_mm, last.height_seasons) == ((0.0, 2.0), (36.0, 47.0), (1.5,))
    no_girths = SeenGrowth((0.0,), (20.0,), (1.0,), (300.0,))
    assert spans(no_girths) == (no_girths,)


def test_pieces_tell_what_the_whole_tells() -> None:
    seen = over_seasons(YEARLY)
    girth = np.array([[20.0, 25.0, 31.0, 36.0, 40.0, 47.0], [20.0, 21.0, 22.0, 23.0, 24.0, 25.0]])
    whole = told_by(seen, Grown(girth, 10.0 * girth, np.ones(2), np.ones(2)))
    parts = [
        told_by(piece, Grown(girth[:, a:b], 10.0 * girth[:, a:b], np.ones(2), np.ones(2)))
        for piece, (a, b) in zip(spans(seen), ((0, 4), (3, 6)), strict=True)
    ]
    together = told_together(parts)
    np.testing.assert_allclose(whole.growth_mm[0], [16.0, 11.0])
    np.testing.assert_allclose(together.growth_mm[0], whole.growth_mm[0])
    np.testing.assert_allclose(together.heights_mm, whole.heights_mm)
    log = log_weights(seen, together)
    assert log[0] > log[1]


def test_old_growth_says_less_the_more_a_tree_wanders() -> None:
    _seen, still = growth_errors(over_seasons(YEARLY))
    _seen, wanders = growth_errors(over_seasons(YEARLY), drift_log=0.5)
    assert wanders[-1] == pytest.approx(still[-1])
    assert wanders[0] == pytest.approx(still[0] + 0.25)
    ratios = np.array([1.0, 2.0])
    assert vigour_posterior(ratios, drift_log=1.0).mean_log > vigour_posterior(ratios).mean_log


def test_a_reading_below_the_tape_is_the_tape() -> None:
    seen, variance = growth_errors(SeenGrowth((0.0, 2.0), (30.0, 29.0)))
    assert np.exp(seen[0]) == pytest.approx(1.4)  # growth_parameter("girth_tape_error")
    assert variance[0] > 1.0


def test_seasons_without_readable_growth_are_joined() -> None:
    seen, grown = joined_growth(np.array([0.5, 0.5]), np.array([1.0, 1.0]))
    assert (seen.tolist(), grown.tolist()) == ([1.4], [2.0])
    seen, grown = joined_growth(np.array([5.0, 0.0]), np.array([1.0, 1.0]))
    assert (seen.tolist(), grown.tolist()) == ([5.0], [2.0])


def test_one_exact_reading_of_a_linear_growth_is_met_by_the_next_lives() -> None:
    rng = np.random.default_rng(3)
    lives = rng.normal(size=(200, len(COLUMNS)))
    slope = 0.25 * rng.normal(size=len(COLUMNS))  # about as growth goes with them
    line = line_of(lives, 1.0 + lives @ slope + rng.normal(0.0, 0.3, 200), 1.0)
    cloud = pointed_cloud([line], np.array([2.5]), np.array([1e-4]))
    assert 1.0 + float(slope @ cloud.mean) == pytest.approx(2.5, abs=0.25)
    assert (np.diag(cloud.covariance) > 0.0).all()
