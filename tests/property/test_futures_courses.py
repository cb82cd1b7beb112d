"""Any course that a tree allows: same bits for workers, parts, rests and replays; nothing impossible."""

from __future__ import annotations

import os
from dataclasses import replace
from functools import lru_cache

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwise.futures.course import Course, Step
from ringwise.futures.feasible import unfeasible
from ringwise.futures.outcome import joined
from ringwise.futures.replay import lived
from ringwise.futures.simulate import Run, simulate
from ringwise.futures.start import Aim, GraftNow, Start
from ringwise.growth.biology import Biology, biology
from ringwise.growth.start import Condition
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.forms import form_for
from ringwise.structure.table import checked
from ringwise.structure.tape_tree import tree_from_tape

COURSES = 500 if int(os.environ.get("RINGWISE_LONG", "0")) else 50
YEARS = 6


@lru_cache(maxsize=1)
def _known() -> tuple[Start, Biology]:
    form = form_for(("any",))
    tape = tape_from_basics(24.0, 260.0, form, seed=4)
    tables = tuple(tree_from_tape(tape, seed=seed, form=form, born_year=2026) for seed in range(2))
    graft = GraftNow(60.0, 9.0, 0.8, (4.0,), (4.1,))
    condition = Condition(3.0, 3, 2.0, (True,) * 8 + (False,) * 4)
    return Start(tables, condition, 2027, "S", Aim(260.0, 200.0), graft), biology(("acer_palmatum", "acer"))


SITES = {
    **dict.fromkeys(("chop", "prune"), ("60 mm", "120 mm", "180 mm")),
    **dict.fromkeys(("ground_layer", "air_layer"), ("base", "30 mm", "90 mm", "130 mm")),
}
WORK = (*SITES, "repot", "separate_layer", "root_graft", "approach_graft", "check_graft", "sever_graft",
        "abandon_graft", "rest", "cut_back")  # fmt: skip
CONDITIONS = (
    "always",
    "always",
    "rooted",
    "not_rooted",
    "taken",
    "not_taken",
    "sectors_empty",
    "not_severed",
)


@st.composite
def steps(draw: st.DrawFn) -> Step:
    operation = draw(st.sampled_from(WORK))
    site = draw(st.sampled_from(SITES[operation])) if operation in SITES else ""
    amount = draw(st.sampled_from((0.0, 0.2, 0.5, 0.9))) if operation == "repot" else 0.0
    litres = draw(st.sampled_from((0.0, 1.0, 9.0))) if operation == "repot" else 0.0
    when, half = draw(st.integers(0, YEARS)), draw(st.sampled_from(("spring", "summer")))
    return Step(when, half, operation, site, amount, litres, draw(st.sampled_from(CONDITIONS)))


def _course(work: list[Step]) -> Course:
    """The steps in order, without those that this tree does not allow."""
    start, _life = _known()
    course = Course("any", "Any", "", (), reason="to see what comes of it")
    for step in sorted(work, key=lambda step: (step.after_years, step.half != "spring")):
        longer = replace(course, steps=(*course.steps, step))
        course = course if unfeasible(longer, start) else longer
    return course


@settings(max_examples=COURSES)
@given(st.lists(steps(), max_size=7), st.integers(0, 2**62), st.integers(0, 1000), st.data())
def test_a_course_is_a_function_of_seed_and_future(
    work: list[Step], seed: int, first: int, data: st.DataObject
) -> None:
    start, life = _known()
    run = Run(6, YEARS, seed=seed, workers=1, first_future=first)
    whole = simulate(start, _course(work), life, run)
    cut = data.draw(st.integers(1, 5))
    parts = [
        simulate(start, _course(work), life, replace(run, futures=n, first_future=at, workers=2))
        for at, n in ((first, cut), (first + cut, 6 - cut))
    ]
    np.testing.assert_array_equal(joined(parts).values, whole.values)
    rest = Step(data.draw(st.integers(0, YEARS)), data.draw(st.sampled_from(("spring", "summer"))), "rest")
    idle = simulate(start, _course([*work, rest]), life, run)
    np.testing.assert_array_equal(idle.values, whole.values)
    future = first + data.draw(st.integers(0, 5))
    trees, values = lived(start, _course(work), life, run, future=future, at_years=range(YEARS + 1))
    np.testing.assert_array_equal(values, whole.values[future - first])
    for year, tree in enumerate(trees):
        assert (tree is None) == (values[year, 0] == 0)
        if tree is not None:
            checked(tree)


@settings(max_examples=COURSES)
@given(st.lists(steps(), max_size=7), st.integers(0, 2**62))
def test_no_course_gives_what_cannot_be(work: list[Step], seed: int) -> None:
    start, life = _known()
    lives = simulate(start, _course(work), life, Run(6, YEARS, seed=seed, workers=1))
    assert np.isfinite(lives.values).all()
    alive = lives.alive
    assert set(np.unique(alive)) <= {0.0, 1.0}
    assert (np.diff(alive, axis=1) <= 0).all()
    assert (np.diff(lives.of("hours_h"), axis=1) >= 0).all()
    assert (lives.of("wound_mm")[alive > 0] >= 0).all()
    assert (lives.of("base_mm")[alive > 0] > 0).all()
    assert (lives.of("tips_n")[alive > 0] >= 1).all()
    taper = lives.of("taper_ratio")[alive > 0]
    assert (taper >= 0).all()
    if not any(step.operation == "separate_layer" for step in work):
        grown = np.diff(lives.of("base_mm"), axis=1)
        assert (grown[~np.isnan(grown)] >= 0).all()
        assert (lives.of("second_kept") == 0).all()


@settings(max_examples=COURSES)
@given(st.lists(steps(), max_size=5), steps(), st.integers(0, 2**62))
def test_work_changes_nothing_of_the_years_before_it(work: list[Step], more: Step, seed: int) -> None:
    start, life = _known()
    run = Run(4, YEARS, seed=seed, workers=1)
    without, with_it = (simulate(start, _course(each), life, run) for each in (work, [*work, more]))
    until = more.after_years + 1  # year 0 is now; the work of a year shows at its end
    np.testing.assert_array_equal(without.values[:, :until], with_it.values[:, :until])
    np.testing.assert_array_equal(without.parameters, with_it.parameters)
