"""Compile the years of a tree in two halves, so that two processes can share the work of a first run."""

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
from ringwise.kit.errors import unknown_name
from ringwise.structure.table import single_segment

PARTS = ("steps", "years")


def compile_part(part: str) -> None:
    """Compile one half by running it on a tree of one segment; what it computes is thrown away.

    Parameters
    ----------
    part : str
        "steps" (what a hand does) or "years" (what grows by itself).

    Raises
    ------
    UnknownNameError
        If there is no such part.

    Source
    ------
    own reasoning: compiling takes half a minute, nearly all of it in one thread.

    Examples
    --------
    >>> PARTS
    ('steps', 'years')
    """
    if part not in PARTS:
        raise unknown_name("part", part, PARTS)
    from ringwise.futures import kernels
    from ringwise.futures.measure_kernels import measure
    from ringwise.growth.kernels import spring, summer, weather_year

    start = Start(
        (single_segment(length_mm=40.0, diameter_mm=3.0),), Condition(6.0), 2027, aim=Aim(40.0, 20.0)
    )
    plan = plan_of(ready_course("ground_layer"), start)
    par = parameters_of(start, biology(("any",)), Block(1, 0, 1))[0]
    room, luck = Worker(), (1, 0, 0)
    kernels.begin(room.trees, start_trees(start)[0], par, luck)
    if part == "steps":
        kernels.take_steps(room.trees, par, luck, np.int64(0), plan)
        return
    tree = room.trees[0]
    measure(tree, room.trees[1], plan[7], np.zeros(KEPT))
    weather_year(tree, par, luck)
    spring(tree, par, luck, room.grid)
    summer(tree, par, luck, room.grid)
    kernels.care(tree, par, luck, plan)
