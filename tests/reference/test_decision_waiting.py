"""The worth of waiting against a worked case, an independent influence diagram and plain simulation.

Worked case, reckoned by hand: a graft kept and taken 1.0, kept and failed 0.35, a layer now 0.70, late 0.66;
it takes with 0.5; the sign at the check has sensitivity 0.85 and specificity 0.80.
"""

from __future__ import annotations

import warnings
from dataclasses import replace
from importlib import import_module
from typing import Any

import numpy as np
import pytest

from ringwise.futures.waiting import WaitCase, worth_of_waiting
from ringwise.kit.errors import InputError, RangeError

WORKED = WaitCase(0.5, 0.85, 0.80, 1.0, 0.35, 0.70, 0.66)
CASES = (
    WORKED,
    replace(WORKED, late_frac=0.30),  # after a bad sign a late layer is worth less than keeping
    replace(WORKED, late_frac=0.95),  # acting late beats keeping after either sign
    replace(WORKED, now_frac=0.2),  # keeping anyway is the better of the two that need no sign
    WaitCase(0.13, 0.6, 0.97, 0.8, 0.05, 0.41, 0.37),
)


def test_the_worked_case() -> None:
    worth = worth_of_waiting(WORKED)
    assert worth.act_now_frac == pytest.approx(0.7000, abs=1e-4)
    assert worth.wait_frac == pytest.approx(0.7735, abs=1e-4)
    assert worth.evsi_frac == pytest.approx(0.0735, abs=1e-4)
    assert worth.evpi_frac == pytest.approx(0.130, abs=1e-4)
    assert worth.posterior_good_sign_prob == pytest.approx(0.8095, abs=1e-4)
    assert worth.posterior_bad_sign_prob == pytest.approx(0.1579, abs=1e-4)
    assert worth.break_even_late_frac == pytest.approx(0.5053, abs=1e-4)
    assert worth.waiting_is_right


def _influence_diagram(case: WaitCase, *, sign_seen: bool) -> float:
    """Highest expected worth by pyAgrum: take -> sign -> decision, and a table of worths."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        pyagrum: Any = import_module("pyagrum")

    diagram = pyagrum.InfluenceDiagram()
    take = diagram.addChanceNode(pyagrum.LabelizedVariable("take", "has it taken", ["no", "yes"]))
    sign = diagram.addChanceNode(pyagrum.LabelizedVariable("sign", "the check", ["bad", "good"]))
    step = diagram.addDecisionNode(pyagrum.LabelizedVariable("step", "what to do", ["keep", "other"]))
    worth = diagram.addUtilityNode(pyagrum.LabelizedVariable("worth", "worth", 1))
    diagram.addArc(take, sign)
    diagram.addArc(take, worth)
    diagram.addArc(step, worth)
    if sign_seen:
        diagram.addArc(sign, step)
    diagram.cpt(take).fillWith([1 - case.take_prob, case.take_prob])
    diagram.cpt(sign)[{"take": "no"}] = [case.specificity_prob, 1 - case.specificity_prob]
    diagram.cpt(sign)[{"take": "yes"}] = [1 - case.sensitivity_prob, case.sensitivity_prob]
    other = case.late_frac if sign_seen else case.now_frac
    for taken, kept in (("no", case.keep_fail_frac), ("yes", case.keep_ok_frac)):
        diagram.utility(worth)[{"take": taken, "step": "keep"}] = kept
        diagram.utility(worth)[{"take": taken, "step": "other"}] = other
    solver = pyagrum.ShaferShenoyLIMIDInference(diagram)
    solver.makeInference()
    return float(solver.MEU()["mean"])


@pytest.mark.parametrize("case", CASES)
def test_an_independent_influence_diagram_agrees(case: WaitCase) -> None:
    worth = worth_of_waiting(case)
    assert worth.wait_frac == pytest.approx(_influence_diagram(case, sign_seen=True), abs=1e-9)
    assert worth.act_now_frac == pytest.approx(_influence_diagram(case, sign_seen=False), abs=1e-9)
    perfect = replace(case, sensitivity_prob=1.0, specificity_prob=1.0)
    assert worth.evpi_frac + worth.act_now_frac == pytest.approx(
        _influence_diagram(perfect, sign_seen=True), abs=1e-9
    )


@pytest.mark.parametrize("case", CASES)
def test_ten_thousand_lives_agree_within_three_standard_errors(case: WaitCase) -> None:
    random = np.random.default_rng(20270307)
    taken = random.random(10_000) < case.take_prob
    good = np.where(
        taken, random.random(10_000) < case.sensitivity_prob, random.random(10_000) >= case.specificity_prob
    )
    kept = np.where(taken, case.keep_ok_frac, case.keep_fail_frac)
    # After each sign the step that is worth more on average over the lives that show it.
    value = np.empty(10_000)
    for sign in (True, False):
        lives = good == sign
        keeping = kept[lives]
        value[lives] = keeping if keeping.mean() >= case.late_frac else case.late_frac
    error = value.std(ddof=1) / np.sqrt(value.size)
    assert abs(value.mean() - worth_of_waiting(case).wait_frac) <= 3 * error + 1e-12


@pytest.mark.parametrize("case", CASES)
def test_at_the_break_even_waiting_is_worth_what_deciding_now_is(case: WaitCase) -> None:
    limit = worth_of_waiting(case).break_even_late_frac
    if limit is None:
        assert worth_of_waiting(replace(case, late_frac=0.0)).evsi_frac >= -1e-12
        return
    assert worth_of_waiting(replace(case, late_frac=limit)).evsi_frac == pytest.approx(0.0, abs=1e-12)
    assert worth_of_waiting(replace(case, late_frac=limit - 0.01)).evsi_frac < 0


def test_a_sign_that_cannot_be_seen_has_no_posterior() -> None:
    never = worth_of_waiting(WaitCase(0.0, 0.85, 1.0, 1.0, 0.35, 0.7, 0.66))
    assert never.posterior_good_sign_prob is None
    assert never.posterior_bad_sign_prob == 0
    assert never.wait_frac == pytest.approx(0.66)


def test_what_is_no_chance_or_worth_is_refused() -> None:
    with pytest.raises(RangeError, match="sensitivity"):
        replace(WORKED, sensitivity_prob=1.2)
    with pytest.raises(InputError, match="swap"):
        replace(WORKED, keep_ok_frac=0.2)
