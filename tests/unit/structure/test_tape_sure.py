"""What a tape leaves open is drawn over its range, and branches of unknown side stand where there is room."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from scipy.stats import kstest, triang

from ringwise.kit.tables import load_table
from ringwise.structure.forms import TreeForm
from ringwise.structure.likely import of_reading
from ringwise.structure.measured import How
from ringwise.structure.tape import Tape, TapeBranch, TapeGirth, hours_apart
from ringwise.structure.tape_branches import taken_rows
from ringwise.structure.tape_sure import SureTape, sure
from ringwise.structure.tape_tree import tree_from_tape

GIRTHS = (TapeGirth(20.0, 128.0),)
DRAWS = 400


@cache
def drawn(tape: Tape) -> tuple[SureTape, ...]:
    return tuple(sure(tape, TreeForm(), seed=seed) for seed in range(DRAWS))


def test_an_open_size_is_drawn_with_the_mean_and_spread_of_a_triangle() -> None:
    """Mean (a + b + c) / 3, variance (a2 + b2 + c2 - ab - ac - bc) / 18: the triangular law (recalled)."""
    row = load_table("ringwise.structure", "basics").get("trunk", "taper_exponent")
    low, peak, high = float(row.low or 0.0), row.number, float(row.high or 0.0)
    found = np.array([each.taper_index for each in drawn(Tape(440.0, GIRTHS))])
    variance = (low**2 + peak**2 + high**2 - low * peak - low * high - peak * high) / 18.0
    assert low <= found.min() < found.max() <= high
    assert found.mean() == pytest.approx((low + peak + high) / 3.0, abs=4.0 * math.sqrt(variance / DRAWS))
    assert found.std() == pytest.approx(math.sqrt(variance), rel=0.15)
    # The whole law by another program (SciPy): 0.068 is passed by one sample of 400 in twenty.
    law = triang((peak - low) / (high - low), loc=low, scale=high - low)
    assert kstest(found, law.cdf).statistic < 0.068


def test_what_was_measured_is_taken_as_it_is() -> None:
    branch = TapeBranch(140.0, 3.0, 14.0, 150.0, 24)
    for each in drawn(Tape(440.0, GIRTHS, (branch,)))[:20]:
        (kept,) = each.branches
        assert (kept.height_mm, kept.clock, kept.diameter_mm, kept.length_mm, kept.tips) == (
            140.0,
            3.0,
            14.0,
            150.0,
            24,
        )


def test_a_branch_of_unknown_side_is_seldom_at_the_front() -> None:
    """Common practice: no branch towards the viewer low on the trunk."""
    clocks = [each.branches[0].clock for each in drawn(Tape(440.0, GIRTHS, (TapeBranch(140.0),)))]
    assert np.mean([hours_apart(clock, 6.0) < 1.0 for clock in clocks]) < 0.03  # a sixth by luck alone
    assert len({round(clock) % 12 for clock in clocks}) >= 9  # elsewhere there is room on every side


def test_an_open_length_is_a_usual_share_of_the_height() -> None:
    """Common practice: table `basics`, half the spread of a rising tree against its height, 0.3 to 0.7."""
    lengths = [
        each.branches[0].length_mm / 440.0 for each in drawn(Tape(440.0, GIRTHS, (TapeBranch(110.0),)))
    ]
    assert 0.3 <= min(lengths) < max(lengths) <= 0.7


def test_two_of_unknown_side_on_one_level_keep_apart() -> None:
    found = [each.branches for each in drawn(Tape(440.0, GIRTHS, (TapeBranch(140.0), TapeBranch(145.0))))]
    apart = [hours_apart(one.clock, other.clock) for one, other in found]
    assert np.mean(apart) > 4.0  # 3 hours by luck alone
    known = [
        each.branches[1].clock
        for each in drawn(Tape(440.0, GIRTHS, (TapeBranch(140.0, 9.0), TapeBranch(145.0))))
    ]
    assert np.mean([hours_apart(clock, 9.0) for clock in known]) > 4.0


def test_the_calliper_was_set_at_the_branch_of_that_height_and_thickness() -> None:
    tape = Tape(
        440.0,
        GIRTHS,
        (
            TapeBranch(140.0, 3.0, 6.0, 90.0, 6),
            TapeBranch(140.0, 9.0, 15.0, 150.0, 20),
            TapeBranch(200.0, 12.0),
        ),
    )
    table = tree_from_tape(tape, seed=4)
    rows = np.nonzero(taken_rows(table, tape))[0]
    assert sorted(table.diameter_mm[rows].tolist()) == pytest.approx([6.0, 15.0], rel=0.01)
    assert table.start_mm[rows, 2] == pytest.approx([140.0, 140.0], abs=1.0)
    thick = Tape(440.0, GIRTHS, (TapeBranch(140.0, 3.0), TapeBranch(140.0, 9.0, 15.0, 150.0, 20)))
    for seed in range(6):
        table = tree_from_tape(thick, seed=seed)
        (row,) = np.nonzero(taken_rows(table, thick))[0]
        assert float(table.diameter_mm[row]) == pytest.approx(15.0, rel=0.01)


def test_two_branches_alike_are_both_taken() -> None:
    alike = Tape(
        440.0, GIRTHS, (TapeBranch(140.0, 3.0, 12.0, 150.0, 20), TapeBranch(140.0, 9.0, 12.0, 150.0, 20))
    )
    assert int(taken_rows(tree_from_tape(alike, seed=2), alike).sum()) == 2


def test_readings_are_as_sure_as_their_tools() -> None:
    """Own: a girth to 1 mm is a radius to 1 / (2 pi) mm, a calliper's 0.3 mm of width half of that."""
    tape = Tape(440.0, GIRTHS, (TapeBranch(140.0, 3.0, 14.0, 150.0, 24),))
    table = tree_from_tape(tape, seed=1)
    taken = taken_rows(table, tape)
    made = of_reading(table, taken)
    (row,) = np.nonzero(taken)[0]
    assert (made.how[row], made.radius_sd_mm[row]) == (How.CALLIPER, pytest.approx(0.15))
    by_tape = made.how == How.TAPE
    assert by_tape.any()
    assert made.radius_sd_mm[by_tape] == pytest.approx(1.0 / (2.0 * math.pi))
    pipe = made.how == How.PIPE
    assert made.radius_sd_mm[pipe] == pytest.approx(0.2 * table.diameter_mm[pipe] / 2.0, rel=1e-5)
