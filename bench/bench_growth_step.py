"""The compiled half-year steps against the same steps as plain interpreted Python, in one run.

The ratio says more than seconds do: both sides see the same machine in the same minute. Then the three
courses of a turning, measured, and reckoned for plain Python from its rate.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time

import numpy as np

PLAIN = "--plain"
YEARS = 20


def rate(futures: int, years: int) -> tuple[float, int, str]:
    """Segment-years a second of a held mulberry on one core, how many were lived, how many stood last."""
    from bench_futures import KEYS, start_tree
    from ringwise.futures import kernels
    from ringwise.futures.catalogue import ready_course
    from ringwise.futures.plan import plan_of
    from ringwise.futures.simulate import Worker, parameters_of, start_trees
    from ringwise.growth.biology import biology
    from ringwise.growth.draws import Block

    start, life = start_tree(6.1, held=True), biology(KEYS)
    room, plan = Worker(), plan_of(ready_course("accept"), start)
    parameters, tree = parameters_of(start, life, Block(1, 0, futures)), start_trees(start)[0]
    lived, spent, ends = 0, 0.0, []
    for future in range(futures):
        kernels.begin(room.trees, tree, parameters[future], (1, future, 0), room.grid)
        for year in range(years):
            lived += int(room.trees[0][4][0])
            began = time.perf_counter()
            kernels.live_year(room.trees, parameters[future], (1, future, year), plan, room.grid)
            spent += time.perf_counter() - began
        ends.append(int(room.trees[0][4][0]))
    return lived / spent, lived, ",".join(map(str, ends))


def turning_s(workers: int) -> float:
    """Seconds for three courses of 500 futures and 20 years."""
    from bench_futures import KEYS, start_tree
    from ringwise.futures.catalogue import courses_for
    from ringwise.futures.simulate import Run, simulate
    from ringwise.growth.biology import biology

    start, life = start_tree(6.1, held=True), biology(KEYS)
    began = time.perf_counter()
    for course in courses_for("base"):
        simulate(start, course, life, Run(500, YEARS, seed=1, workers=workers))
    return time.perf_counter() - began


def plain_rate() -> tuple[float, int, str]:
    """The same, interpreted: a process of its own in which nothing is compiled."""
    told = subprocess.run(
        [sys.executable, __file__, PLAIN],
        env={**os.environ, "NUMBA_DISABLE_JIT": "1"},
        check=True,
        capture_output=True,
        text=True,
    ).stdout.split()
    return float(told[0]), int(told[1]), told[2]


def main() -> None:
    """Print the table."""
    if PLAIN in sys.argv:
        np.seterr(all="ignore")  # hashes overflow on purpose
        print(*rate(1, 3))
        return
    rate(1, 1)  # compiles
    slow, few, plain_ends = plain_rate()
    _fast, same_few, ends = rate(1, 3)
    if (few, plain_ends) != (same_few, ends):
        raise SystemExit(f"compiled and interpreted trees differ: {same_few} {ends} and {few} {plain_ends}")
    fast, many, _ends = rate(60, YEARS)
    print(f"interpreted   {slow:10.3g} segment-years/s   ({few} lived)")
    print(f"compiled      {fast:10.3g} segment-years/s   ({many} lived)")
    print(f"ratio         {fast / slow:10.0f}")
    reckoned_h = 3 * 500 / 60 * many / slow / 3600
    for workers in (1, 2):
        spent = turning_s(workers)
        ratio = reckoned_h * 3600 / spent
        print(f"3 courses x 500 futures x {YEARS} years, {workers} workers {spent:6.2f} s; ratio {ratio:.0f}")
    print(f"the same interpreted, reckoned from its rate: {reckoned_h:.1f} h")


if __name__ == "__main__":
    main()
