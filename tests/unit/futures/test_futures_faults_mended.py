"""Faults that a review found, each by its own reproduction."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from standing_trees import mulberry

from ringwise.futures.catalogue import ready_course
from ringwise.futures.course import Course, Step
from ringwise.futures.feasible import check_feasible, unfeasible
from ringwise.futures.simulate import Run, simulate
from ringwise.futures.start import Start
from ringwise.growth import layout as at
from ringwise.growth.biology import biology
from ringwise.growth.start import Condition, start_arrays
from ringwise.growth.step import CAPACITY
from ringwise.growth.tree_kernels import base_row
from ringwise.kit.errors import NotReadyError
from ringwise.operations.effects import split_trunk
from ringwise.structure.forms import TreeForm
from ringwise.structure.measures import measures
from ringwise.structure.table import SegmentTable, single_segment
from ringwise.structure.tape import Tape, TapeGirth
from ringwise.structure.tape_tree import tree_from_tape

HEIGHTS = [(99.0, 100.0), (150.0, 150.0), (199.0, 200.0), (101.0, 100.0)]  # asked for, kept
LIFE = biology(("morus_alba", "morus"))


def tower() -> SegmentTable:
    """Three segments of 100 mm, one on the other."""
    one = single_segment(length_mm=100.0, diameter_mm=20.0)
    return SegmentTable(
        **{
            name: np.repeat(getattr(one, name), 3, axis=0)
            for name in SegmentTable.__dataclass_fields__
            if name not in {"parent", "basis"}
        },
        parent=np.array([-1, 0, 1]),
        basis="invented",
    )


@pytest.mark.parametrize(
    ("height_mm", "kept_mm"), [(99.0, 100.0), (150.0, 150.0), (199.0, 200.0), (101.0, 100.0)]
)
def test_a_cut_falls_where_it_is_asked_for(height_mm: float, kept_mm: float) -> None:
    tree = start_arrays(tower(), Condition(6.0), first_year=2027)
    room = tuple(
        np.concatenate([a, np.zeros((*a.shape[:-1], 8), a.dtype)], axis=-1) if i in (0, 1, 2) else a
        for i, a in enumerate(tree)
    )
    row = split_trunk(room, height_mm)
    parent = room[1][at.PARENT, row]
    assert row > 0
    assert room[0][at.END_Z, parent] == pytest.approx(kept_mm, abs=2.0)


def test_a_step_that_is_never_taken_costs_no_care() -> None:
    start = Start((single_segment(length_mm=300.0, diameter_mm=40.0),), Condition(6.0), 2027)
    years = range(0, 12, 2)
    idle = Course(
        "idle",
        "Idle",
        "",
        tuple(Step(y, "spring", "root_graft", "roots", condition="rooted") for y in years),
    )
    run = Run(10, 12, workers=1)
    routine = simulate(start, ready_course("accept"), LIFE, run)
    assert (simulate(start, idle, LIFE, run).values == routine.values).all()


@pytest.mark.parametrize("site", ["3 m", "-5 cm", ""])
def test_pruning_where_there_is_no_tree_is_refused(site: str) -> None:
    start = Start((single_segment(length_mm=300.0, diameter_mm=40.0),), Condition(6.0), 2027)
    with pytest.raises((NotReadyError, ValueError)):
        check_feasible(Course("cut", "Cut", "", (Step(0, "spring", "prune", site),)), start, LIFE)


def test_the_trunk_is_read_above_the_flare() -> None:
    tape = Tape(520.0, (TapeGirth(30.0, 289.0), TapeGirth(330.0, 141.0)))
    table = tree_from_tape(tape, seed=3, form=TreeForm())
    tree = start_arrays(table, Condition(6.0), first_year=2027)
    diameter = np.sqrt(tree[0][at.WOOD, base_row(tree)] * 4 / np.pi)
    assert diameter == pytest.approx(289.0 / np.pi, rel=0.02)
    assert table.n < CAPACITY


def test_the_flare_is_told_in_every_likely_tree() -> None:
    tape = Tape(520.0, (TapeGirth(10.0, 317.0), TapeGirth(30.0, 289.0), TapeGirth(330.0, 141.0)))
    for seed in range(24):
        base = measures(tree_from_tape(tape, seed=seed, form=TreeForm())).base_diameter_mm
        assert base == pytest.approx(317.0 / np.pi, rel=0.005)


def test_a_course_parts_a_tree_once_unless_a_ring_found_no_roots() -> None:
    start, _life = mulberry()
    first = (Step(0, "summer", "air_layer", "26 cm"), Step(1, "spring", "separate_layer", "26 cm"))
    again = Step(2, "summer", "air_layer", "20 cm")
    assert unfeasible(Course("once", "Once", "", first), start) == ""
    assert "parts the tree already" in unfeasible(Course("twice", "Twice", "", (*first, again)), start)
    retry = replace(again, site="26 cm", condition="not_rooted")
    assert unfeasible(Course("retry", "Retry", "", (*first, retry)), start) == ""
