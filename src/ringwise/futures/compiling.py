"""Compile the years of a tree before anyone waits for them: all that a turning asks for, in one go."""

from __future__ import annotations

import numpy as np

from ringwise.futures.catalogue import ready_course
from ringwise.futures.outcome import KEPT
from ringwise.futures.plan import plan_of
from ringwise.futures.simulate import Worker, parameters_of, start_trees
from ringwise.futures.start import Aim, Start
from ringwise.growth.biology import biology
from ringwise.growth.draws import Block
from ringwise.growth.start import Condition
from ringwise.structure.table import single_segment


def compile_years() -> None:
    """Compile what lives, replays and measures a future, by a year of a tree of one segment.

    What it computes is thrown away. The programs that Python calls share the code of their parts only
    within one process, so all of them are compiled in the same one.

    Source
    ------
    own.

    Examples
    --------
    >>> compile_years()
    """
    from ringwise.futures import kernels
    from ringwise.futures.measure_kernels import measure

    start = Start(
        (single_segment(length_mm=40.0, diameter_mm=3.0),), Condition(6.0), 2027, aim=Aim(40.0, 20.0)
    )
    plan = plan_of(ready_course("ground_layer"), start)
    par = parameters_of(start, biology(("any",)), Block(1, 0, 1))[0]
    room, first, values = Worker(), start_trees(start)[0], np.zeros((2, KEPT))
    kernels.live(room.trees, first, par, (1, 0), plan, room.grid, values)
    kernels.begin(room.trees, first, par, (1, 0, 0), room.grid)
    kernels.live_year(room.trees, par, (1, 0, 0), plan, room.grid)
    measure(room.trees[0], room.trees[1], plan[7], values[1])
