"""The turning of the demo mulberry T01, from its record: what its runs promise."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from ringwise.desk.build_demo import build_demo
from ringwise.desk.start_tree import start_of
from ringwise.futures.catalogue import courses_for
from ringwise.futures.course import Course, Step
from ringwise.futures.outcome import Lives, joined
from ringwise.futures.simulate import Run, simulate
from ringwise.futures.start import Start
from ringwise.growth import layout as at
from ringwise.growth.biology import Biology, biology
from ringwise.records.taxa import lookup_keys

RUN = Run(120, 20, seed=11, workers=2)
Known = tuple[Start, Biology]


@pytest.fixture(scope="module")
def known(tmp_path_factory: pytest.TempPathFactory) -> Known:
    workspace = build_demo(tmp_path_factory.mktemp("t01") / "yard")
    facts = workspace.facts_of("T01")
    start = start_of(workspace, facts)
    workspace.store.close()
    return start, biology(lookup_keys(facts.tree.species))


@pytest.fixture(scope="module")
def lives(known: Known) -> dict[str, Lives]:
    start, life = known
    return {course.key: simulate(start, course, life, RUN) for course in courses_for("base")}


def test_t01_is_the_one_sided_mulberry(known: Known) -> None:
    start, _life = known
    assert len(start.tables) > 1
    assert start.condition.volume_l == pytest.approx(6.1, abs=0.05)
    assert 0 < sum(start.condition.sectors) < 12
    assert start.aim.height_mm > 0


@pytest.mark.parametrize(("first", "second"), [("root_grafts", "accept"), ("ground_layer", "root_grafts")])
@pytest.mark.parametrize("measure", ["base_mm", "tips_n", "leaf_cm2"])  # not height: care holds it
def test_shared_luck_narrows_the_difference(
    lives: dict[str, Lives], first: str, second: str, measure: str
) -> None:
    for year in (5, 10, 20):
        a, b = (lives[key].of(measure)[:, year] for key in (first, second))
        known = ~(np.isnan(a) | np.isnan(b))
        paired = float(np.var((a - b)[known], ddof=1))
        assert paired < np.var(a[known], ddof=1) + np.var(b[known], ddof=1), (measure, year)


def test_pairs_of_strangers_vary_as_if_unpaired(lives: dict[str, Lives]) -> None:
    """The gain is the shared luck: the same futures shuffled against each other lose it."""
    a, b = (lives[key].of("base_mm")[:, -1] for key in ("root_grafts", "accept"))
    paired, strange = np.nanvar(a - b), np.nanvar(a - np.roll(b, 7))
    assert paired < 0.25 * strange


def test_one_and_two_workers_and_resumed_parts_give_the_same_bits(
    known: Known, lives: dict[str, Lives]
) -> None:
    start, life = known
    for course in courses_for("base"):
        one = simulate(start, course, life, replace(RUN, workers=1))
        np.testing.assert_array_equal(one.values, lives[course.key].values)
        parts = [
            simulate(start, course, life, replace(RUN, futures=n, first_future=first))
            for first, n in ((0, 7), (7, 51), (58, 62))
        ]
        np.testing.assert_array_equal(joined(parts).values, lives[course.key].values)


def test_rests_added_anywhere_change_no_bit(known: Known, lives: dict[str, Lives]) -> None:
    start, life = known
    rests = tuple(Step(year, half, "rest") for year in range(20) for half in ("spring", "summer"))
    for course in courses_for("base"):
        steps = sorted((*course.steps, *rests), key=lambda step: (step.after_years, step.half != "spring"))
        idle = Course(course.key, course.title, course.words, tuple(steps))
        np.testing.assert_array_equal(simulate(start, idle, life, RUN).values, lives[course.key].values)


def test_inputs_and_years_are_those_of_all_courses(lives: dict[str, Lives]) -> None:
    one, *others = lives.values()
    for other in others:
        np.testing.assert_array_equal(one.parameters, other.parameters)
        np.testing.assert_array_equal(one.values[:, 0], other.values[:, 0])


def test_accepting_the_base_is_slow_and_safe(known: Known, lives: dict[str, Lives]) -> None:
    """Thickening against a constant crown in closed form: dA/dt = p L / tau, so dd = 2 p L / (tau pi d).

    The closed form follows from the pipe rule with a sapwood lifetime; no ring width of a potted tree is
    published to check it against. Years in which wood runs short stay below it, new shoots may lift above.
    """
    start, _life = known
    accept = lives["accept"]
    grown = (accept.of("base_mm")[:, -1] - accept.of("base_mm")[:, 0]) / 20
    leaf_cm2 = np.median(np.nan_to_num(accept.of("leaf_cm2")[:, 1:]), axis=1)
    pipe, tau = accept.parameters[:, at.P_PIPE], accept.parameters[:, at.P_SAPWOOD]
    closed = 2.0 * pipe * leaf_cm2 / (tau * np.pi * accept.of("base_mm")[:, 0])
    ratio = np.nanmedian(grown / closed)
    assert 1 / 3 <= ratio <= 3.0
    height = accept.of("height_mm")[:, 2:]
    assert np.nanpercentile(height, 5) > 0.8 * start.aim.height_mm
    assert np.nanpercentile(height, 95) < 1.2 * start.aim.height_mm
    assert 0.8 <= accept.alive[:, -1].mean() <= 1.0


@pytest.mark.parametrize("key", ["ground_layer", "root_grafts", "accept"])
def test_what_only_adds_up_never_falls(lives: dict[str, Lives], key: str) -> None:
    values = lives[key]
    assert np.isfinite(values.values).all()
    assert (np.diff(values.alive, axis=1) <= 0).all()
    assert (np.diff(values.of("hours_h"), axis=1) >= 0).all()
    sectors = values.of("sectors_n")
    assert np.nanmin(sectors) >= 0
    assert np.nanmax(sectors) <= 12
