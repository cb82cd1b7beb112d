"""Runs repeat, do not depend on workers or blocks, share their luck, and stay within reason."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from standing_trees import maple, mulberry

from ringwise.futures.catalogue import courses_for, ready_course
from ringwise.futures.course import Course, Step
from ringwise.futures.offers import offers
from ringwise.futures.outcome import joined
from ringwise.futures.replay import lived, replay
from ringwise.futures.simulate import Run, engine_version, simulate
from ringwise.futures.start import GraftNow, Start
from ringwise.growth.calibration import VigourPosterior
from ringwise.growth.start import Condition
from ringwise.kit.errors import NotReadyError, RangeError
from ringwise.structure.measures import measures

SMALL = Run(40, 8, seed=7, workers=1)


def test_one_and_two_workers_give_the_same_bits() -> None:
    start, life = mulberry()
    one = simulate(start, ready_course("root_grafts"), life, replace(SMALL, futures=60))
    two = simulate(start, ready_course("root_grafts"), life, replace(SMALL, futures=60, workers=2))
    np.testing.assert_array_equal(one.values, two.values)
    np.testing.assert_array_equal(one.parameters, two.parameters)


def test_another_seed_gives_other_lives() -> None:
    start, life = mulberry()
    one, other = (simulate(start, ready_course("accept"), life, replace(SMALL, seed=s)) for s in (7, 8))
    assert not np.array_equal(one.values, other.values)


def test_a_run_resumed_in_parts_equals_the_whole() -> None:
    start, life = mulberry()
    course = ready_course("ground_layer")
    whole = simulate(start, course, life, SMALL)
    parts = [simulate(start, course, life, replace(SMALL, futures=20, first_future=k)) for k in (20, 0)]
    np.testing.assert_array_equal(joined(parts).values, whole.values)
    with pytest.raises(RangeError, match="one after the last block"):
        joined([parts[1], replace(parts[0], first_future=30)])


def test_a_course_with_work_that_changes_nothing_is_bit_identical() -> None:
    start, life = maple()
    idle = Course("idle", "Idle", "", tuple(Step(year, "summer", "rest") for year in (0, 1, 5)))
    plain = simulate(start, ready_course("accept"), life, SMALL)
    rested = simulate(start, idle, life, SMALL)
    np.testing.assert_array_equal(plain.values, rested.values)


def test_weather_and_inputs_are_those_of_all_courses() -> None:
    start, life = mulberry()
    lives = [simulate(start, course, life, SMALL) for course in courses_for("base")]
    for each in lives[1:]:
        np.testing.assert_array_equal(each.parameters, lives[0].parameters)


def test_paired_variance_is_below_unpaired() -> None:
    start, life = mulberry()
    a, b = (
        simulate(start, ready_course(key), life, Run(200, 10, seed=7, workers=2)).of("base_mm")[:, -1]
        for key in ("root_grafts", "accept")
    )
    known = ~(np.isnan(a) | np.isnan(b))
    a, b = a[known], b[known]
    assert np.var(a - b) < 0.5 * (np.var(a) + np.var(b))


def test_progress_is_told_and_a_cancelled_run_keeps_what_it_has() -> None:
    start, life = maple()
    told: list[tuple[int, int]] = []
    run = Run(100, 3, seed=1, workers=1)
    lives = simulate(
        start,
        ready_course("accept"),
        life,
        run,
        progress=lambda done, of: told.append((done, of)),
        cancelled=lambda: len(told) == 2,
    )
    assert told == [(25, 100), (50, 100)]
    assert not lives.complete
    whole = simulate(start, ready_course("accept"), life, run)
    assert whole.complete
    np.testing.assert_array_equal(lives.values, whole.values[:50])


def test_replayed_trees_are_those_of_the_run() -> None:
    start, life = mulberry()
    course = ready_course("ground_layer")
    run = simulate(start, course, life, SMALL)
    for future in (0, 3, 17):
        trees, values = lived(start, course, life, SMALL, future=future, at_years=(0, 4, 8))
        np.testing.assert_array_equal(values, run.values[future])
        for year, tree in zip((0, 4, 8), trees, strict=True):
            assert (tree is None) == (run.alive[future, year] == 0)
            if tree is not None:
                seen = measures(tree)
                assert tree.diameter_mm[0] == pytest.approx(run.of("base_mm")[future, year], rel=1e-6)
                assert seen.height_mm == pytest.approx(run.of("height_mm")[future, year], rel=1e-4)
                assert seen.tips == run.of("tips_n")[future, year]


def test_now_is_one_of_the_given_trees_unchanged() -> None:
    start, life = mulberry()
    tree = replay(start, ready_course("accept"), life, SMALL, future=2, at_years=(0,))[0]
    assert tree is not None
    assert any(
        np.array_equal(tree.wood_mm2, table.wood_mm2) and np.array_equal(tree.parent, table.parent)
        for table in start.tables
    )


def test_a_potted_mulberry_thickens_slowly_and_holds_its_height() -> None:
    start, life = mulberry()
    lives = simulate(start, ready_course("accept"), life, Run(100, 20, seed=3, workers=2))
    yearly = np.diff(lives.of("base_mm"), axis=1)
    typical = np.nanmedian(yearly)
    assert 0.05 < typical < 2.0
    assert (yearly[~np.isnan(yearly)] >= -1e-4).all()
    height = lives.of("height_mm")[:, 5:]
    assert np.nanmin(height) > 0.7 * 520.0
    assert np.nanmax(height) < 1.15 * 520.0
    assert np.nanmax(lives.of("spread_mm")) < 1.5 * start.aim.spread_mm
    assert lives.alive[:, -1].mean() > 0.8


def test_the_same_tree_grows_faster_in_the_ground() -> None:
    start, life = maple()
    free = replace(start, condition=Condition(math.inf, 4), size_class="F", graft=None)
    potted, grown = (
        simulate(each, ready_course("accept"), life, Run(40, 6, seed=3)) for each in (start, free)
    )
    assert np.nanmedian(grown.of("base_mm")[:, -1]) > np.nanmedian(potted.of("base_mm")[:, -1]) + 5.0
    assert np.nanmedian(grown.of("height_mm")[:, -1]) > 700.0


def test_own_girths_move_and_narrow_the_growth() -> None:
    start, life = mulberry()
    weak = replace(start, vigour=VigourPosterior(-0.4, 0.05, 6))
    plain, own = (simulate(each, ready_course("accept"), life, Run(120, 6, seed=3)) for each in (start, weak))
    grown = [each.of("base_mm")[:, -1] - each.of("base_mm")[:, 0] for each in (plain, own)]
    assert np.nanmedian(grown[1]) < np.nanmedian(grown[0])
    assert np.nanstd(grown[1]) < np.nanstd(grown[0])


def test_repotting_in_the_season_of_a_layer_costs_roots_and_trees() -> None:
    start, life = mulberry()
    layer = ready_course("ground_layer")
    both = replace(layer, key="both", steps=(Step(0, "spring", "repot", "roots", 0.4), *layer.steps))
    alone, paid = (simulate(start, course, life, Run(300, 4, seed=5)) for course in (layer, both))
    rooted = [(each.of("layer_state")[:, 1] == 2).mean() for each in (alone, paid)]
    assert rooted[1] < rooted[0] - 0.05
    assert paid.alive[:, -1].mean() <= alone.alive[:, -1].mean()


def test_a_weak_tree_is_lost_more_often_to_the_same_work() -> None:
    start, life = mulberry()
    weak = replace(start, condition=replace(start.condition, vigour=1))
    course = Course("hard", "", "", (Step(0, "spring", "repot", "roots", 0.6),))
    alive = [simulate(s, course, life, Run(300, 1, seed=5)).alive[:, -1].mean() for s in (start, weak)]
    assert alive[1] < alive[0] - 0.02


def test_two_good_checks_change_what_waiting_for_a_graft_is_worth() -> None:
    start, life = maple()
    assert start.graft is not None
    good = replace(start, graft=GraftNow(130.0, 3.0, 1.8, (5.1, 5.6, 6.0), (5.0, 6.2, 6.9)))
    kept = [
        (simulate(s, ready_course("keep"), life, Run(200, 4, seed=5)).of("graft_state")[:, -1] == 6).mean()
        for s in (start, good)
    ]
    assert kept[0] < 0.3
    assert kept[1] > kept[0] + 0.3


def test_a_graft_branch_lives_within_the_outline() -> None:
    start, life = maple()
    lives = simulate(start, ready_course("redo"), life, Run(100, 15, seed=5))
    branch = lives.of("graft_mm")[:, -1]
    assert np.nanmax(branch) > 6.0
    assert np.nanmax(branch) < np.nanmax(lives.of("base_mm")[:, -1])
    assert np.nanmax(lives.of("height_mm")[:, -1]) < 1.15 * 440.0


def test_an_air_layer_makes_two_trees() -> None:
    start, life = mulberry()
    steps = (
        Step(0, "summer", "air_layer", "250 mm"),
        Step(1, "spring", "separate_layer", condition="rooted"),
    )
    lives = simulate(start, Course("top_off", "", "", steps), life, Run(100, 4, seed=5))
    parted = lives.of("layer_state")[:, 1] == 2
    kept = lives.of("second_kept")[:, -1] == 1
    assert parted.sum() > 20
    assert kept[parted].mean() > 0.9
    second, top = lives.of("second_base_mm")[kept, -1], lives.of("base_mm")[kept, -1]
    assert np.nanmedian(second) > np.nanmedian(top)


def test_impossible_courses_are_refused_in_one_line() -> None:
    start, life = mulberry()
    bare = replace(start, conifer=True)
    cases: list[tuple[Start, Step]] = [
        (bare, Step(0, "summer", "air_layer", "60 mm")),
        (start, Step(0, "summer", "air_layer", "3 m")),
        (start, Step(0, "spring", "lift")),
        (start, Step(0, "summer", "sever_graft")),
        (start, Step(0, "spring", "chop", "2 m")),
    ]
    for each, step in cases:
        with pytest.raises(NotReadyError) as caught:
            simulate(each, Course("x", "", "", (step,)), life, SMALL)
        assert "\n" not in str(caught.value)


@pytest.mark.parametrize("bad", [{"futures": 0}, {"years": 61}, {"workers": 0}, {"first_future": -1}])
def test_runs_out_of_range_are_refused(bad: dict[str, int]) -> None:
    with pytest.raises(RangeError):
        Run(**bad)


def test_the_engine_has_a_fingerprint() -> None:
    assert len(engine_version()) == 12
    assert int(engine_version(), 16) > 0


def test_a_crown_that_is_cut_every_year_does_not_bleed_out_of_buds() -> None:
    start, life = mulberry()
    tips = simulate(start, ready_course("accept"), life, Run(24, 25, seed=3, workers=2)).of("tips_n")
    assert np.median(tips[:, 25]) > 0.5 * np.median(tips[:, 5])
    assert np.mean(tips[:, 25] > 0.5 * tips[:, 0]) > 0.8


def test_a_layered_top_keeps_the_proportions_of_its_tree() -> None:
    start, life = mulberry()
    layer = next(each.course for each in offers(start, life) if each.course.key.startswith("air_layer"))
    lives = simulate(start, layer, life, Run(24, 12, seed=3, workers=2))
    left = simulate(start, ready_course("accept"), life, Run(24, 12, seed=3, workers=2))
    parted = (lives.of("second_kept")[:, 12] > 0) & (lives.of("alive")[:, 12] > 0)
    assert parted.sum() >= 8
    slender, usual = (
        np.median((each.of("height_mm") / each.of("base_mm"))[parted], axis=0) for each in (lives, left)
    )
    assert slender[4] == pytest.approx(usual[0], rel=0.1)
    # A trunk thickens under a height that is held, with and without a layer.
    assert slender[12] == pytest.approx(usual[12], rel=0.25)
