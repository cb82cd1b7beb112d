"""Both trees of a layered course are cared for: the stump is repotted as any tree, and its hours count."""

from __future__ import annotations

import numpy as np
from standing_trees import mulberry

from ringwise.futures import kernels
from ringwise.futures.offers import offers
from ringwise.futures.outcome import HOURS, KEPT
from ringwise.futures.plan import plan_of
from ringwise.futures.simulate import Worker, parameters_of, start_trees
from ringwise.growth import layout as at
from ringwise.growth.draws import Block

YEARS = 20


def test_a_stump_is_repotted_and_its_hours_count() -> None:
    start, life = mulberry()
    course = next(each.course for each in offers(start, life) if each.course.key.startswith("air_layer"))
    plan, room, block = plan_of(course, start, life.keys), Worker(), Block(3, 0, 8)
    lived = 0
    for future, par in enumerate(parameters_of(start, life, block)):
        values = np.zeros((YEARS + 1, KEPT))
        kernels.live(room.trees, start_trees(start)[0], par, (3, future), plan, room.grid, values)
        top, stump = (tree[3] for tree in room.trees)
        if stump[at.ALIVE] and top[at.ALIVE]:
            lived += 1
            assert stump[at.SINCE_REPOT] <= par[at.P_INTERVAL] + par[at.P_HEAVY_REST] + 1
            assert stump[at.HOURS] > 1.0
            assert values[YEARS, HOURS] == top[at.HOURS] + stump[at.HOURS]
    assert lived >= 4
