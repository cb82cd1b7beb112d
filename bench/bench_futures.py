"""Speed of growth and of a turning: segment-years a second, and three courses of 500 futures by 20 years."""

from __future__ import annotations

import time

import numpy as np

from ringwise.futures import kernels
from ringwise.futures.catalogue import courses_for, ready_course
from ringwise.futures.plan import plan_of
from ringwise.futures.simulate import Run, Worker, parameters_of, simulate, start_trees
from ringwise.futures.start import Aim, Start
from ringwise.growth import layout as at
from ringwise.growth.biology import biology
from ringwise.growth.draws import Block
from ringwise.growth.start import Condition
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.forms import form_for
from ringwise.structure.tape_tree import tree_from_tape

KEYS = ("morus_alba", "morus", "G1", "any")
YEARS = 20


def start_tree(volume_l: float, *, held: bool) -> Start:
    """A mulberry of 92 mm and 52 cm; its outline is held or left alone."""
    form = form_for(KEYS)
    tape = tape_from_basics(92.0, 520.0, form, seed=1)
    tables = tuple(tree_from_tape(tape, seed=seed, form=form, born_year=2026) for seed in range(4))
    ends = tables[0].end_mm
    aim = Aim(520.0, 2.0 * float(np.hypot(ends[:, 0], ends[:, 1]).max())) if held else Aim()
    sectors = (True,) * 5 + (False,) * 4 + (True,) * 3
    return Start(tables, Condition(volume_l, 4, 3.9, sectors), 2027, "M", aim)


def segment_years(start: Start, futures: int) -> tuple[float, float]:
    """Segment-years lived a second on one core, and the mean number of segments."""
    life = biology(KEYS)
    room, plan = Worker(), plan_of(ready_course("accept"), start)
    parameters, trees = parameters_of(start, life, Block(1, 0, futures)), start_trees(start)
    total, spent = 0, 0.0
    for future in range(futures):
        kernels.begin(room.trees, trees[0], parameters[future], (1, future, 0), room.grid)
        for year in range(YEARS):
            total += int(room.trees[0][4][0])
            began = time.perf_counter()
            kernels.live_year(room.trees, parameters[future], (1, future, year), plan, room.grid)
            spent += time.perf_counter() - began
    return total / spent, total / (futures * YEARS)


def main() -> None:
    """Print the table."""
    start, life = start_tree(6.1, held=True), biology(KEYS)
    began = time.perf_counter()
    simulate(start, ready_course("accept"), life, Run(2, 2, workers=1))
    print(f"first result (compiles when the cache is cold)   {time.perf_counter() - began:8.2f} s")
    for label, each in (
        ("held in a pot", start),
        ("free in the ground", start_tree(float("inf"), held=False)),
    ):
        rate, size = segment_years(each, 20)
        print(f"one core, {label:<20} {size:6.0f} segments   {rate:10.3g} segment-years/s")
    for workers in (1, 2):
        began = time.perf_counter()
        for course in courses_for("base"):
            simulate(start, course, life, Run(500, YEARS, seed=1, workers=workers))
        spent = time.perf_counter() - began
        print(f"3 courses x 500 futures x {YEARS} years, {workers} workers   {spent:8.2f} s")
    print(f"columns of a segment: {at.REALS} float32, {at.WHOLES} int32, 1 uint64")


if __name__ == "__main__":
    main()
