"""Search and fit: known answers, intervals, seeds, seasons left out, weights."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import MissingFieldError, RangeError, UnknownNameError
from ringwise.kit.types import FloatArray
from ringwise.phenology.fit import Sightings, days_of, fit, rmse_days, search_range, seen_on
from ringwise.phenology.models import model
from ringwise.phenology.search import Search, least
from ringwise.phenology.skill import MEAN, left_out, weights
from ringwise.phenology.sums import DailyMeans, daily_means

TRUE = {"start_day": 30.0, "slope": 0.3, "half": 9.0, "force": 18.0}


def seasons(count: int = 14) -> DailyMeans:
    """Waves of years that differ in warmth and in roughness."""
    wave = 8.0 - 11.0 * np.cos(2 * np.pi * (np.arange(300) - 76) / 365)
    rough = np.stack([np.random.default_rng(k).normal(0, 3.0, 300) for k in range(count)])
    level = np.random.default_rng(99).normal(0, 1.5, count)[:, None]
    return daily_means(wave + rough + level, first_index=-60, year=GrowingYear(2013))


def true_days(days: DailyMeans) -> FloatArray:
    """The days on which the stage truly came."""
    return days_of("uniforc", TRUE, days)


def test_a_narrow_curved_valley_is_followed_to_its_end() -> None:
    # Source: the test function of Rosenbrock (1960), least at (1, 1) in two dimensions.
    def valley(at: FloatArray) -> FloatArray:
        return np.asarray((1 - at[:, 0]) ** 2 + 100 * (at[:, 1] - at[:, 0] ** 2) ** 2)

    found = least(valley, np.full(2, -5.0), np.full(2, 5.0), Search(3))
    assert found.point == pytest.approx([1.0, 1.0], abs=1e-3)
    assert found.settled


def test_many_hollows_and_one_deepest() -> None:
    # Source: the test function of Rastrigin, least at the origin with a hollow at every whole number.
    def hollows(at: FloatArray) -> FloatArray:
        return np.asarray((at**2 - 10 * np.cos(2 * np.pi * at) + 10).sum(axis=1))

    found = least(hollows, np.full(3, -5.12), np.full(3, 4.2), Search(3, population=90))
    assert found.point == pytest.approx([0.0, 0.0, 0.0], abs=1e-3)


def test_the_bounds_hold_and_the_least_may_lie_on_them() -> None:
    tried: list[FloatArray] = []

    def slope(at: FloatArray) -> FloatArray:
        tried.append(at)
        return np.asarray(at.sum(axis=1))

    found = least(slope, np.array([2.0, -1.0]), np.array([5.0, 7.0]), Search(3))
    every = np.concatenate(tried)
    assert every.min(axis=0).tolist() >= [2.0, -1.0]
    assert (every.max(axis=0) <= [5.0, 7.0]).all()
    assert found.point == pytest.approx([2.0, -1.0], abs=1e-2)
    assert found.tried == every.shape[0]


def test_the_seed_alone_decides() -> None:
    days = seasons(6)
    seen = seen_on(np.arange(6), true_days(days))
    short = {"generations": 12}
    one, again, other = (fit("uniforc", days, seen, Search(k, **short)) for k in (1, 1, 2))
    assert one == again
    assert one.values != other.values
    assert one.search.seed == 1
    assert not one.settled


def test_wrong_bounds_and_populations_are_refused() -> None:
    with pytest.raises(RangeError, match="bounds"):
        least(lambda at: at[:, 0], np.ones(1), np.zeros(1), Search(1))
    with pytest.raises(RangeError, match="population"):
        least(lambda at: at[:, 0], np.zeros(1), np.ones(1), Search(1, population=3))


def test_days_made_by_the_model_are_found_again() -> None:
    days = seasons()
    seen = seen_on(np.arange(14), true_days(days))
    found = fit("uniforc", days, seen, Search(4))
    assert found.rmse_days < 0.5
    fresh = daily_means(seasons(30).tmean_degC[14:], first_index=-60, year=GrowingYear(2013))
    apart = days_of("uniforc", found.values, fresh) - true_days(fresh)
    assert float(np.sqrt((apart**2).mean())) < 1.5


def test_wide_intervals_are_used_whole() -> None:
    # Visits every 8 days: the truth lies anywhere in the interval, so a fit that takes the interval whole
    # comes nearer to it than the width alone would let one think.
    days = seasons()
    truth = true_days(days)
    low = np.floor((truth - 1) / 8) * 8
    seen = Sightings(np.arange(14), low, low + 8)
    found = fit("uniforc", days, seen, Search(4), held={"start_day": 30.0, "slope": 0.3})
    assert found.error_sd_days is not None
    assert found.rmse_days < 1.0
    assert found.held == {"start_day": 30.0, "slope": 0.3}
    assert found.values["start_day"] == 30.0
    apart = days_of("uniforc", found.values, days) - truth
    assert float(np.sqrt((apart**2).mean())) < 2.5


def test_not_yet_seen_puts_the_day_later() -> None:
    days = seasons(8)
    truth = true_days(days)
    low, high = truth - 3, truth + 2
    held = {"start_day": 30.0, "slope": 0.3, "half": 9.0}
    plain = fit("uniforc", days, Sightings(np.arange(8), low, high), Search(2), held=held)
    late = np.where(np.arange(8) < 4, truth + 12, low), np.where(np.arange(8) < 4, math.inf, high)
    later = fit("uniforc", days, Sightings(np.arange(8), *late), Search(2), held=held)
    assert later.values["force"] > plain.values["force"]
    assert np.isfinite(list(later.values.values())).all()


def test_a_season_seen_on_many_trees_is_run_once_and_counts_for_each() -> None:
    days = seasons(5)
    season = np.repeat(np.arange(5), 4)
    spread = np.tile([-3.0, -1.0, 1.0, 3.0], 5)
    seen = seen_on(season, true_days(days)[season] + spread)
    # Source: algebra. The spread of the trees around their season's day is sqrt((9 + 1 + 1 + 9) / 4).
    assert rmse_days("uniforc", TRUE, days, seen) == pytest.approx(math.sqrt(5.0))


def test_too_few_seasons_and_models_without_ranges_are_refused() -> None:
    days = seasons(4)
    with pytest.raises(MissingFieldError, match="2 seasons"):
        fit("uniforc", days, seen_on(np.array([0, 0, 1]), np.array([100.0, 101.0, 99.0])), Search(1))
    with pytest.raises(UnknownNameError, match="uniforc"):
        fit("cool_run", days, seen_on(np.arange(4), np.full(4, 300.0)), Search(1))


@pytest.mark.parametrize(
    "name", ["thermal_time", "uniforc", "menzel", "chill_exponential", "unichill", "unichill_threshold"]
)
def test_every_fitted_model_has_a_range_for_each_parameter(name: str) -> None:
    for parameter in model(name).needs:
        low, high = search_range(name, parameter)
        assert low < high
    days = seasons(5)
    found = fit(name, days, seen_on(np.arange(5), true_days(days)), Search(1, generations=40))
    assert set(found.values) == set(model(name).needs)
    assert all(search_range(name, p)[0] <= v <= search_range(name, p)[1] for p, v in found.values.items())


def test_seasons_left_out_show_what_the_fit_flatters() -> None:
    days = seasons(8)
    noise = np.random.default_rng(5).normal(0, 3, 8).round()
    seen = seen_on(np.arange(8), true_days(days) + noise)
    search = Search(1, generations=60)
    skill = left_out("thermal_time", days, seen, search)
    assert skill.seasons == 8
    assert skill.rmse_days > fit("thermal_time", days, seen, search).rmse_days
    # Source: algebra. Leaving one of n out, the mean misses by n / (n - 1) times its distance to all.
    day = seen.high_index
    assert skill.mean_rmse_days == pytest.approx(
        float(np.sqrt((((day - day.mean()) * 8 / 7) ** 2).mean())), rel=0.02
    )


def test_weights_follow_errors_and_shrink_to_equal_where_seasons_are_few() -> None:
    errors = {"menzel": 3.0, "uniforc": 4.0}
    few, many = (weights(errors, mean_rmse_days=6.0, seasons=n) for n in (1, 10_000))
    for told in (few, many):
        assert sum(told.values()) == pytest.approx(1.0)
        assert told["menzel"] > told["uniforc"] > told[MEAN]
    assert few["menzel"] - few["uniforc"] < 0.06
    # Source: algebra. Inverse squares 1/9 and 1/16 stand as 16 to 9; the mean, beaten, has its tenth.
    assert [many[name] for name in ("menzel", "uniforc", MEAN)] == pytest.approx(
        [0.9 * 16 / 25, 0.9 * 9 / 25, 0.1], abs=1e-3
    )


def test_a_model_beaten_by_the_mean_gets_little() -> None:
    told = weights({"delpierre": 4.8, "cool_run": 4.6}, mean_rmse_days=4.7, seasons=3)
    assert told["delpierre"] == pytest.approx(0.1)
    assert told["cool_run"] > 0.4
    alone = weights({"delpierre": 9.0}, mean_rmse_days=4.7, seasons=20)
    assert alone == {"delpierre": pytest.approx(0.1), MEAN: pytest.approx(0.9)}
    with pytest.raises(MissingFieldError, match="no model"):
        weights({}, mean_rmse_days=4.7, seasons=3)


def test_a_mean_beaten_by_a_model_gets_little_and_no_more_than_it_earned() -> None:
    near = weights({"menzel": 4.0}, mean_rmse_days=5.0, seasons=8)
    assert near == {"menzel": pytest.approx(0.9), MEAN: pytest.approx(0.1)}
    # Source: algebra. Inverse squares of 1.5 and 8.2, drawn to nothing.
    far = weights({"menzel": 1.5}, mean_rmse_days=8.2, seasons=8)
    assert far[MEAN] == pytest.approx(1.5**2 / (1.5**2 + 8.2**2))
    mixed = weights({"menzel": 4.0, "uniforc": 6.0}, mean_rmse_days=5.0, seasons=8)
    assert [mixed[name] for name in ("menzel", "uniforc", MEAN)] == pytest.approx([0.8, 0.1, 0.1])
    even = weights({"menzel": 5.0}, mean_rmse_days=5.0, seasons=8)
    assert even == {"menzel": pytest.approx(0.1), MEAN: pytest.approx(0.9)}
