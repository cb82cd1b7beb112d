"""The budgets of growth and futures, each beside what was measured; ends with 1 where one is missed.

On one core the processor's time is told, so that other work on the machine counts less; on two the clock.
`--rewriter FOLDER` names where pip put LindenmayerSystem 1.0.0, a public rewriting L-system engine without
geometry, light or wood (`pip install --no-deps --target FOLDER LindenmayerSystem==1.0.0`); its segments a
second stand in the same table. Plant-modelling engines are not on the package index.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from typing import Any

import numpy as np

from bench_futures import KEYS, start_tree
from ringwise.futures.catalogue import courses_for, ready_course
from ringwise.futures.outcome import KEPT
from ringwise.futures.plan import plan_of
from ringwise.futures.simulate import Run, Worker, parameters_of, simulate, start_trees
from ringwise.growth.biology import biology
from ringwise.growth.draws import Block

FUTURES, YEARS, SEGMENTS = 1000, 25, 5000
_FIRST = """
import sys, time
sys.path.insert(0, "bench")
from bench_futures import *
began = time.perf_counter()
simulate(start_tree(6.1, held=True), ready_course("accept"), biology(KEYS), Run(2, 2, workers=1))
print(time.perf_counter() - began)
"""


def year_rate() -> tuple[float, int]:
    """Segment-years a second of one year, geometry and light and all, at about 5,000 segments; the best."""
    from ringwise.futures import kernels

    start, life = start_tree(float("inf"), held=False), biology(KEYS)
    room, plan = Worker(), plan_of(ready_course("accept"), start)
    best, segments = 0.0, 0
    for future in range(20):
        par = parameters_of(start, life, Block(1, future, 1))[0]
        kernels.begin(room.trees, start_trees(start)[0], par, (1, future, 0), room.grid)
        for year in range(YEARS):
            n = int(room.trees[0][4][0])
            began = time.process_time()
            kernels.live_year(room.trees, par, (1, future, year), plan, room.grid)
            spent = time.process_time() - began
            if abs(n - SEGMENTS) < 0.2 * SEGMENTS and n / spent > best:
                best, segments = n / spent, n
    return best, segments


def futures_s(workers: int) -> tuple[float, float, float]:
    """Seconds by the clock and of the processor for all futures, and the mean tips at their end."""
    start, life = start_tree(float("inf"), held=False), biology(KEYS)
    began, used = time.perf_counter(), time.process_time()
    lives = simulate(start, ready_course("accept"), life, Run(FUTURES, YEARS, seed=1, workers=workers))
    spent = time.perf_counter() - began, time.process_time() - used
    return *spent, float(np.nanmean(lives.of("tips_n")[:, -1]))


def memory_mb() -> float:
    """Most memory of a process that lives four courses."""
    start, life = start_tree(6.1, held=True), biology(KEYS)
    kept = [
        simulate(start, course, life, Run(FUTURES, YEARS, seed=1, workers=2))
        for course in (*courses_for("base"), ready_course("accept"))[:4]
    ]
    assert kept[0].values.shape[2] == KEPT
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def rewriting_rate(folder: str) -> float:
    """Segments a second that the rewriting engine rewrites: a bracketed bush, as L-systems are introduced."""
    sys.path.insert(0, folder)
    from LindenmayerSystem import LSystem  # type: ignore[import-not-found]

    best = 0.0
    for _try in range(3):
        bush: Any = LSystem("XF", "+-[]", "X", {"X": "F[+X][-X]FX", "F": "FF"})
        began = time.process_time()
        bush.iterate(9)
        spent = time.process_time() - began
        best = max(best, sum(text.count("F") for text in bush.system[1:]) / spent)
    return best


def main() -> int:
    """Print the table."""
    told = sys.argv[1:]
    if "--memory" in told:
        print(memory_mb())
        return 0
    first_s = float(subprocess.check_output([sys.executable, "-c", _FIRST], text=True))
    first_s = min(first_s, float(subprocess.check_output([sys.executable, "-c", _FIRST], text=True)))
    rate, segments = year_rate()
    _clock, one_s, tips = futures_s(1)
    two_s, _used, _tips = futures_s(2)
    memory = float(subprocess.check_output([sys.executable, __file__, "--memory"], text=True))
    rows = [
        (f"segment-years a second at {segments} segments, one core", rate, 5e7, rate >= 5e7),
        (f"{FUTURES} futures x {YEARS} years ({tips:.0f} tips), one core, s", one_s, 3.0, one_s <= 3.0),
        ("the same with two workers, s", two_s, 1.7, two_s <= 1.7),
        ("first result after import, cache warm, s", first_s, 1.5, first_s <= 1.5),
        (f"memory for 4 courses x {FUTURES} futures, MB", memory, 500.0, memory <= 500.0),
    ]
    for label, value, budget, kept in rows:
        print(f"{label:<66} {value:10.3g}   budget {budget:8.3g}   {'kept' if kept else 'MISSED'}")
    if "--rewriter" in told:
        plain = rewriting_rate(told[told.index("--rewriter") + 1])
        print(f"rewriting L-system engine, segments a second {plain:10.3g}; this growth {rate / plain:.2f} x")
    return 0 if all(row[3] for row in rows) else 1


if __name__ == "__main__":
    sys.exit(main())
