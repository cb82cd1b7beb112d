"""Aims, worths, turns and the worth of waiting on lives whose answers are known by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from standing_trees import maple, mulberry

from ringwise.faces.reports.futures_page import futures_page
from ringwise.futures import outcome as out
from ringwise.futures.aims import SETS, Aims, Wish, aim_set, aims_met, fault_factor, for_question, shares_met
from ringwise.futures.catalogue import courses_for, ready_course
from ringwise.futures.chance_words import chances_of
from ringwise.futures.course import Course, Step
from ringwise.futures.flips import turning_value
from ringwise.futures.learning import (
    SignClass,
    break_even,
    input_information,
    perfect_information,
    worth_of_waiting_lived,
)
from ringwise.futures.outcome import KEPT, Lives
from ringwise.futures.simulate import Run, simulate
from ringwise.futures.turning import Heading, Turning, futures_view
from ringwise.futures.verdict import verdict_parts
from ringwise.futures.weighed import weigh
from ringwise.futures.weighing import (
    TimeWeights,
    field_of,
    usual_time_weights,
    year_weights,
    years_until_met,
)
from ringwise.growth import layout as at
from ringwise.growth.tries import Learned
from ringwise.kit.errors import InputError, MissingFieldError, RangeError, UnknownNameError

TIPS = Aims("own", (Wish("tips_n", 1.0, 0.0, 100.0),))
YEARS = 10


def _lives(key: str, tips: np.ndarray, *, dead: np.ndarray | None = None) -> Lives:
    """Futures whose tips stay as given from the first year on; 20 now."""
    values = np.zeros((len(tips), YEARS + 1, KEPT))
    values[:, :, out.ALIVE] = values[:, :, out.BASE] = values[:, :, out.HEIGHT] = 1.0
    values[:, 0, out.TIPS] = 20.0
    values[:, 1:, out.TIPS] = tips[:, None]
    if dead is not None:
        values[dead, 1:, out.ALIVE] = 0.0
    rng = np.random.default_rng(7)
    return Lives(key, 0, 7, "x", values, rng.normal(size=(len(tips), at.PARAMETERS)))


@pytest.mark.parametrize(
    ("value", "share"),
    [(0.0, 0.0), (1.0, 0.0), (1.5, 0.5), (2.0, 1.0), (3.0, 1.0), (4.0, 0.5), (5.0, 0.0), (9.0, 0.0)],
)
def test_a_wish_rises_stays_full_and_falls(value: float, share: float) -> None:
    wish = Wish("height_to_base_ratio", 1.0, 1.0, 2.0, 3.0, 5.0)
    assert wish.met(np.array([value]))[0] == pytest.approx(share)


def test_what_is_not_there_meets_nothing_and_open_ends_stay_full() -> None:
    assert Wish("branch_ratio", 1.0, None, None, 0.4, 0.8).met(np.array([np.nan, 0.0, 0.6])).tolist() == [
        0.0,
        1.0,
        pytest.approx(0.5),
    ]


@pytest.mark.parametrize(
    ("wish", "error"),
    [
        (("beauty", 1.0, 0.0, 1.0), UnknownNameError),
        (("tips_n", 0.0, 0.0, 1.0), RangeError),
        (("tips_n", 1.0), MissingFieldError),
        (("tips_n", 1.0, 5.0, 1.0), InputError),
        (("tips_n", 1.0, None, float("nan")), InputError),
    ],
)
def test_wishes_that_make_no_sense_are_refused(wish: tuple[object, ...], error: type[Exception]) -> None:
    with pytest.raises(error):
        Wish(*wish)  # type: ignore[arg-type]


def test_faults_multiply_down_to_a_floor_and_death_takes_all() -> None:
    assert fault_factor(np.array([0.0, 1.0, 2.0, 6.0, 9.0])).tolist() == pytest.approx(
        [1.0, 0.85, 0.7225, 0.85**6, 0.3]
    )
    lives = _lives("a", np.full(4, 50.0), dead=np.array([1]))
    met = aims_met(lives, TIPS)
    assert met[0].tolist() == pytest.approx([0.2] + [0.5] * YEARS)
    assert met[1, 1:].tolist() == [0.0] * YEARS


def test_the_question_joins_its_own_measure_unless_the_grower_weighs_it() -> None:
    own = Aims("own", (Wish("sectors_n", 7.0, 0.0, 12.0),), own=True)
    assert for_question(own, "base").wishes == own.wishes
    assert [wish.measure for wish in for_question(own, "graft").wishes] == ["sectors_n", "graft_mm"]


def test_years_count_by_their_period() -> None:
    weights = year_weights(25, (0, 1, 5, 10, 15, 25), TimeWeights(0.2, 0.4, 0.4))
    assert weights[[1, 5, 10, 15, 25]].tolist() == pytest.approx([0.1, 0.1, 0.2, 0.2, 0.4])
    with pytest.raises(RangeError):
        year_weights(3, (0,), TimeWeights(1, 1, 1))
    with pytest.raises(RangeError):
        TimeWeights(0.0, 0.0, 0.0)


def test_worth_is_the_share_met_over_the_years() -> None:
    field = field_of({"a": _lives("a", np.array([50.0, 100.0]))}, TIPS, (1, 5, 10), TimeWeights(1, 1, 1))
    assert field.worth("a").tolist() == pytest.approx([0.5, 1.0])


def test_time_until_met_may_be_never() -> None:
    met = aims_met(_lives("a", np.array([50.0, 90.0])), TIPS)
    assert years_until_met(met, 0.8).tolist() == [np.inf, 1.0]


def test_a_known_turn_is_found_at_its_value_and_luck_alone_gives_none() -> None:
    rng = np.random.default_rng(5)
    x = rng.beta(6.5, 2.2, 4000)
    success = rng.uniform(size=4000) < x
    # success is worth 1, failure 0, the other course 0.55: they part where the chance is 0.55
    found = turning_value(x, success - 0.55, 40.0)
    assert found is not None
    assert found[0] == pytest.approx(0.55, abs=0.03)
    assert turning_value(rng.normal(size=4000), success - 0.55, 40.0) is None
    assert turning_value(np.ones(50), rng.normal(size=50), 40.0) is None


def test_knowing_an_input_is_worth_what_it_decides() -> None:
    rng = np.random.default_rng(6)
    x = rng.normal(size=4000)
    worths = np.stack([x, np.zeros(4000)], axis=1)  # E max(x, 0) = 1 / sqrt(2 pi)
    assert input_information(x, worths) == pytest.approx(1 / np.sqrt(2 * np.pi), abs=0.03)
    assert perfect_information(worths) == pytest.approx(np.maximum(x, 0).mean() - max(x.mean(), 0))
    assert input_information(rng.normal(size=4000), worths) < 0.03


def test_a_sign_that_tells_nothing_is_worth_nothing() -> None:
    rng = np.random.default_rng(8)
    keep, late = rng.uniform(size=2000), np.full(2000, 0.5)
    found = worth_of_waiting_lived(keep, late, 0.5, rng.integers(0, 2, (2000, 1)).astype(float), 2)
    assert abs(found.evsi) < 0.02
    assert break_even((SignClass(1.0, (0.6, 0.1)),), 0.5) is None


def _keep() -> Course:
    looks = Step(2, "summer", "sever_graft", site="graft", condition="taken")
    return Course("keep", "Keep", "", question="graft", steps=(looks,))


def test_waiting_is_read_from_lives_in_which_the_sign_was_seen() -> None:
    n = 400
    taken = np.arange(n) % 2 == 0
    keep, act = _lives("keep", np.where(taken, 100.0, 35.0)), _lives("act", np.full(n, 70.0))
    keep.values[:, 3:, out.GRAFT] = np.where(taken, at.ESTABLISHED, at.CALLUS)[:, None]
    redo = Step(0, "summer", "approach_graft", site="graft")
    courses = (
        _keep(),
        Course("act", "Act", "", question="graft", steps=(redo,)),
    )
    weighed = weigh(courses, {"keep": keep, "act": act}, TIPS, TimeWeights(0, 1, 0), (1, 10))
    assert len(weighed.waits) == 1
    wait = weighed.waits[0]
    assert (wait.keep, wait.act, wait.found.years) == ("keep", "act", 2)
    # by hand, at year 10: decide now max(.675, .7); wait .5 x 1 + .5 x .7; perfect the same
    assert wait.found.now == pytest.approx(0.7)
    assert wait.found.wait == pytest.approx(0.85)
    assert wait.found.evsi == pytest.approx(0.15)
    assert wait.found.break_even_late == pytest.approx(0.4)


@pytest.mark.parametrize("name", SETS)
def test_no_set_is_met_by_a_tree_that_is_still_in_training(name: str) -> None:
    for start, life in (mulberry(), maple()):
        lives = simulate(start, ready_course("as_it_is"), life, Run(8, 1, workers=1))
        met = aims_met(lives, aim_set(name))[:, 0]
        assert 0.0 < met.mean() < 0.95  # the trunks of both are made to the trade's proportions
        assert (shares_met(lives, aim_set(name))[:, 0].mean(axis=0) < 0.9).any()


def test_a_whole_turning_is_weighed_told_and_drawn_without_a_winner() -> None:
    start, life = mulberry()
    run, courses = Run(60, 10, seed=3, workers=1), courses_for("base")
    lives = {each.key: simulate(start, each, life, run) for each in courses}
    turning = Turning(
        start,
        life,
        run,
        courses,
        lives,
        for_question(aim_set("meadow"), "base"),
        usual_time_weights(),
        "sunk",
    )
    weighed = turning.weighed
    assert weighed is not None
    assert (weighed.other.most_regret_frac >= 0).all()
    worths = {each.course: each.worth for each in weighed.courses}
    a, b = worths["root_grafts"], worths["accept"]
    assert np.var(a - b) < np.var(a) + np.var(b)  # shared luck: case 15
    view = futures_view(turning, Heading("T", "S", "?", (), None, "front", "today"), drawn=False)
    assert view.weighed is not None
    assert len(view.weighed.courses[0].dots) == 40
    page = futures_page(view)
    assert "The answer, by the aims of this tree" in page
    assert view.weighed.sunk in page
    text = " ".join([view.weighed.verdict, *view.weighed.turns, *view.weighed.waits])
    for word in ("winner", "score", "best course", "nan"):
        assert word not in text
    assert "None" not in text.replace("None of", "")  # the word, not a missing value


def test_the_paragraph_says_who_is_ahead_in_words_before_any_figure() -> None:
    n = 200
    low, high = _lives("keep", np.linspace(20.0, 60.0, n)), _lives("act", np.linspace(30.0, 70.0, n))
    redo = Step(0, "summer", "approach_graft", site="graft")
    courses = (_keep(), Course("act", "Act", "", question="graft", steps=(redo,)))
    weighed = weigh(courses, {"keep": low, "act": high}, TIPS, TimeWeights(0, 1, 0), (1, 10))
    chances = ("a ring roots: likely, about 6 to 9 in 10, from 4 of your layers and general practice",)
    parts = verdict_parts(weighed, {"keep": "A", "act": "B"}, {"keep": "Keep", "act": "Act"}, chances)
    text = " ".join(parts)
    assert text.startswith("By these aims B (Act) comes first. It meets more than A (Keep): very likely,")
    assert chances[0] in text
    assert "%" not in text.split("In figures:")[0]


def test_courses_that_lead_in_half_the_futures_each_are_not_told_apart() -> None:
    n = 200
    one, other = _lives("keep", np.full(n, 50.0)), _lives("act", np.where(np.arange(n) % 2, 60.0, 41.0))
    redo = Step(0, "summer", "approach_graft", site="graft")
    courses = (_keep(), Course("act", "Act", "", question="graft", steps=(redo,)))
    weighed = weigh(courses, {"keep": one, "act": other}, TIPS, TimeWeights(0, 1, 0), (1, 10))
    parts = verdict_parts(weighed, {"keep": "A", "act": "B"})
    assert parts[0].startswith("Between B and A these aims hardly decide.")


def test_a_lost_top_beside_a_living_stump_is_not_told_as_a_lost_tree() -> None:
    n = 200
    dead = np.arange(n) < 40
    top = _lives("layer", np.full(n, 50.0), dead=dead)
    top.values[:, 1:, out.SECOND] = 1.0
    top.values[:10, 1:, out.SECOND] = 0.0
    courses = (Course("layer", "Layer", ""), Course("act", "Act", ""))
    lives = {"layer": top, "act": _lives("act", np.full(n, 50.0), dead=dead)}
    weighed = weigh(courses, lives, TIPS, TimeWeights(0, 1, 0), (1, 10))
    assert weighed.worth("layer").lost_frac == 0.2
    assert weighed.worth("layer").none_left_frac == 0.05
    assert weighed.worth("act").none_left_frac is None
    text = " ".join(verdict_parts(weighed, {"layer": "A", "act": "B"}))
    assert "A loses the separated top, unlikely, about 2 in 10; the stump as well, " in text
    assert "B loses the tree, unlikely, about 2 in 10" in text


def test_a_chance_tells_how_many_own_layers_it_stands_on() -> None:
    start, life = mulberry()
    course = (ready_course("ground_layer"),)
    assert chances_of(start, life, course)[-1] == "all of it from general practice alone"
    told = replace(start, learned=Learned(layer=life.layer, counts=(("layer", 3, 4),)))
    first = chances_of(told, life, course)[0]
    assert first.endswith("from 4 of your layers and general practice")
    assert first.startswith("a ring on wood over 40 mm roots: likely, about ")  # a trunk of 92 mm


def test_a_chance_is_told_as_thick_wood_and_low_vigour_shift_it_in_a_run() -> None:
    start, life = mulberry()
    course = (ready_course("ground_layer"),)

    def first(vigour: int) -> str:
        weaker = replace(start, condition=replace(start.condition, vigour=vigour))
        return chances_of(weaker, life, course)[0]

    # Beta(6.5, 2.2), 10 and 90 % levels 0.56 and 0.91; on the logit -0.4 for thick wood, -0.6 for vigour 3
    assert first(4) == "a ring on wood over 40 mm roots: likely, about 5 to 9 in 10"
    assert first(3) == "a ring on wood over 40 mm roots: even odds, about 3 to 8 in 10"
