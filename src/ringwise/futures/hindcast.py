"""A tree lived again from where its record begins, to see which growth agrees with what was measured."""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np

from ringwise.futures.course import Course
from ringwise.futures.outcome import KEPT, MEASURES
from ringwise.futures.plan import plan_of
from ringwise.futures.simulate import Worker, parameters_of, start_trees, which_start
from ringwise.futures.start import Start
from ringwise.growth import layout as at
from ringwise.growth.biology import Biology
from ringwise.growth.draws import Block
from ringwise.growth.particle_draws import (
    Cloud,
    cloud_of,
    drawn,
    prior_over_drawn,
    resampled,
    scale_of,
    values_of,
)
from ringwise.growth.particles import COLUMNS, Grown, Particles, SeenGrowth, log_weights
from ringwise.growth.start import table_of
from ringwise.growth.step import light_grid
from ringwise.kit.errors import out_of_range
from ringwise.kit.types import FloatArray
from ringwise.structure.orders import strahler_order
from ringwise.structure.table import SegmentTable

_FIRST = 50_000_000  # the past is lived by futures numbered from here, so that their luck is their own
_CARE = Course("as_it_was", "", "")
PARTICLES_N = 240
_PRIOR_N = 4000  # draws that tell the scale of the prior, none of them lived


def tree_then(table: SegmentTable, width_ratio: float, length_ratio: float) -> SegmentTable:
    """A tree as it may have stood when it was thinner: the same form, with the leaf that its wood then fed.

    Parameters
    ----------
    table : SegmentTable
        The tree now.
    width_ratio, length_ratio : float
        Girth and height then against now, above 0.

    Returns
    -------
    SegmentTable
        With as many segments.

    Raises
    ------
    RangeError
        If a ratio is not above 0.

    Source
    ------
    own: leaf in proportion to wood area, as the pipe model has it; assumed.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> then = tree_then(single_segment(length_mm=400.0, diameter_mm=30.0), 0.5, 0.8)
    >>> round(float(then.diameter_mm[0]), 3), round(float(then.length_mm[0]), 3)
    (15.0, 320.0)
    """
    if not (width_ratio > 0 and length_ratio > 0):
        raise out_of_range("girth and height then against now", f"{width_ratio}, {length_ratio}", "above 0")
    area = width_ratio**2
    return replace(
        table,
        length_mm=table.length_mm * length_ratio,
        wood_mm2=table.wood_mm2 * area,
        sapwood_mm2=table.sapwood_mm2 * area,
        leaf_cm2=table.leaf_cm2 * area,
    )


def relived(start: Start, parameters: FloatArray, years: int, seed: int, *, workers: int = 2) -> Grown:
    """Lives under routine care from a past start, one for each row of parameters.

    Parameters
    ----------
    start : Start
        The tree as it stood.
    parameters : (n, parameters) float
        One row a life.
    years : int
        How many.
    seed : int
        Of its luck.
    workers : int
        Threads; they change nothing.

    Returns
    -------
    Grown
        Not a number where the tree died.

    Source
    ------
    own: the growth of futures, without work beyond routine care.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> start = Start((single_segment(length_mm=40.0, diameter_mm=3.0),), Condition(6.0), 2027)
    >>> rows = parameters_of(start, biology(("morus",)), Block(1, 0, 2))
    >>> relived(start, rows, 2, 1).girth_mm.shape
    (2, 3)
    """
    from ringwise.futures import kernels

    plan, starts, room = plan_of(_CARE, start), start_trees(start), Worker()
    count = parameters.shape[0]
    values = np.zeros((count, years + 1, KEPT))
    orders = np.full(count, np.nan)

    def live(row: int) -> None:
        future = _FIRST + row
        first = starts[which_start(seed, future, len(starts))]
        kernels.live(room.trees, first, parameters[row], (seed, future), plan, room.grid, values[row])
        if values[row, -1, MEASURES.index("alive")] > 0:
            orders[row] = float(strahler_order(table_of(room.trees[0], first_year=start.first_year))[0])

    light_grid()
    with ThreadPoolExecutor(workers) as pool:
        list(pool.map(live, range(count)))
    dead = values[:, :, MEASURES.index("alive")] <= 0
    girth = math.pi * np.where(dead, np.nan, values[:, :, MEASURES.index("base_mm")])
    height = np.where(dead, np.nan, values[:, :, MEASURES.index("height_mm")])
    return Grown(girth, height, values[:, -1, MEASURES.index("tips_n")], orders)


def calibrated(
    start: Start, life: Biology, seen: SeenGrowth, *, seed: int, particles_n: int = PARTICLES_N
) -> Particles:
    """What a tree's own record leaves of the uncertain numbers of its growth.

    Parameters
    ----------
    start : Start
        The tree as it stood at the first girth.
    life : Biology
        Its taxon.
    seen : SeenGrowth
        What was measured since; girths are held against the base's own growth from the first one on.
    seed : int
        Of the lives.
    particles_n : int
        How many are lived.

    Returns
    -------
    Particles
        Of equal weight.

    Raises
    ------
    RangeError
        If the record spans no season, or no life agrees with it.

    Source
    ------
    own: importance sampling in three stages with the growth of futures; weather is part of the error.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> start = Start((single_segment(length_mm=400.0, diameter_mm=10.0),), Condition(6.0), 2027)
    >>> seen = SeenGrowth((0.0, 1.0, 2.0), (31.4, 34.0, 37.0))
    >>> calibrated(start, biology(("morus",)), seen, seed=1, particles_n=20).mostly_prior
    True
    """
    if seen.years_n < 1:
        raise out_of_range("seasons of the record", str(seen.years_n), "1 or more")
    start = replace(start, particles=None, vigour=None)
    scale = scale_of(parameters_of(start, life, Block(seed, _FIRST, _PRIOR_N)))
    rows = parameters_of(start, life, Block(seed, _FIRST, particles_n))
    rows[:, at.P_WEATHER] = 0.0
    cloud: Cloud | None = None
    for stage, count in enumerate((particles_n // 4, particles_n // 4, particles_n)):
        standard = drawn(cloud, count, seed=seed, stage=stage)
        rows[:count, COLUMNS] = values_of(standard, scale)
        grown = relived(start, rows[:count], seen.years_n, seed + stage)
        # The tape is not always at the base: growth counts, from the girth that was read.
        from_read = grown.girth_mm / grown.girth_mm[:, :1] * seen.girths_mm[0]
        log = log_weights(seen, replace(grown, girth_mm=from_read)) + prior_over_drawn(standard, cloud)
        cloud = cloud_of(standard, log)
    return resampled(standard, log, scale, increments_n=seen.increments_n, seed=seed)
