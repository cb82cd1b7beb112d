"""A tree lived again from where its record begins, to see which growth agrees with what was measured."""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from ringwise.futures.course import Course
from ringwise.futures.outcome import KEPT, MEASURES
from ringwise.futures.plan import plan_of
from ringwise.futures.simulate import Worker, parameters_of, start_trees, which_start
from ringwise.futures.start import Start
from ringwise.growth import layout as at
from ringwise.growth.biology import Biology, growth_parameter
from ringwise.growth.calibration import VigourPosterior, joined_growth, vigour_posterior
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
from ringwise.growth.particle_lines import Line, centred_cloud, line_of, pointed_cloud
from ringwise.growth.particles import (
    COLUMNS,
    LEAST_GROWN_MM,
    Grown,
    Particles,
    Told,
    log_weights,
    told_by,
    told_together,
)
from ringwise.growth.seen_growth import SeenGrowth, growth_errors, over_seasons, spans
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
_AVERAGE_N, _ROUNDS = 8, 4  # lives of an average tree, and how often vigour is set anew from them
_STEP = 0.6  # of the way to the vigour found: growth follows it by more than one to one
_APART = 1_000  # between the seeds of the pieces of a record
_AIMS = [at.P_AIM_HEIGHT, at.P_AIM_SPREAD, at.P_AIM_TIPS]


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


@dataclass(frozen=True)
class _Past:
    """A record in pieces, each with the tree as it stood at its beginning and what routine care aims at."""

    seen: SeenGrowth
    pieces: tuple[SeenGrowth, ...]
    starts: tuple[Start, ...]
    aims: FloatArray

    def told(self, rows: FloatArray, seed: int) -> Told:
        """What lives with these parameters show where the tree was measured."""
        parts = []
        for number, (piece, start) in enumerate(zip(self.pieces, self.starts, strict=True)):
            own = rows.copy()
            own[:, _AIMS] = self.aims[number]
            parts.append(told_by(piece, relived(start, own, max(piece.years_n, 1), seed + number * _APART)))
        return told_together(parts)


def _past(starts: Sequence[Start], life: Biology, seen: SeenGrowth) -> _Past:
    seen = over_seasons(seen)
    plain = tuple(replace(each, particles=None, vigour=None) for each in starts)
    pieces = (seen,) if len(plain) == 1 else spans(seen)
    if len(pieces) != len(plain):
        raise out_of_range("trees of the past", str(len(plain)), f"1 or {len(pieces)}")
    aims = np.stack([parameters_of(each, life, Block(1, 0, 1))[0, _AIMS] for each in plain])
    return _Past(seen, pieces, plain, aims)


def calibrated(
    starts: Sequence[Start], life: Biology, seen: SeenGrowth, *, seed: int, particles_n: int = PARTICLES_N
) -> Particles:
    """What a tree's own record leaves of the uncertain numbers of its growth.

    Parameters
    ----------
    starts : sequence of Start
        The tree as it stood at the first girth; or at each girth of `over_seasons` but the last, so that
        each growth is held against that of a tree like it was then.
    life : Biology
        Its taxon.
    seen : SeenGrowth
        What was measured since; girths are held against the base's own growth.
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
        If the record spans no season, if there are too few or too many trees of the past, or if no life
        agrees with it.

    Source
    ------
    own: vigour in closed form, then importance sampling in three stages with the growth of futures; weather
    is part of the error.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> start = Start((single_segment(length_mm=400.0, diameter_mm=10.0),), Condition(6.0), 2027)
    >>> seen = SeenGrowth((0.0, 1.0, 2.0), (31.4, 34.0, 37.0))
    >>> calibrated((start,), biology(("morus",)), seen, seed=1, particles_n=20).mostly_prior
    True
    """
    if seen.years_n < 1:
        raise out_of_range("seasons of the record", str(seen.years_n), "1 or more")
    past = _past(starts, life, seen)
    scale = scale_of(parameters_of(past.starts[0], life, Block(seed, _FIRST, _PRIOR_N)))
    rows = parameters_of(past.starts[0], life, Block(seed, _FIRST, max(particles_n, _AVERAGE_N)))
    rows[:, at.P_WEATHER] = 0.0
    cloud: Cloud | None = None
    lived: list[tuple[FloatArray, FloatArray]] = []
    drift = 0.0
    if seen.increments_n:
        average = rows[:_AVERAGE_N].copy()
        average[:, COLUMNS] = values_of(np.zeros((1, len(COLUMNS))), scale)
        own, drift = _closed_form(past, average, seed)
        cloud = centred_cloud(own, scale)
    for stage, count in enumerate((particles_n // 4, particles_n // 4, particles_n)):
        standard = drawn(cloud, count, seed=seed, stage=stage)
        rows[:count, COLUMNS] = values_of(standard, scale)
        told = past.told(rows[:count], seed + stage)
        lived.append((standard, told.growth_mm))
        lines = _lines(lived, past.seen)
        even = _without_luck(standard, told, lines)
        log = log_weights(past.seen, even, drift_log=drift) + prior_over_drawn(standard, cloud)
        read = growth_errors(past.seen, drift_log=drift)
        cloud = pointed_cloud(lines, *read) if lines else cloud_of(standard, log)
    return resampled(standard, log, scale, increments_n=seen.increments_n, seed=seed)


def _closed_form(past: _Past, rows: FloatArray, seed: int) -> tuple[VigourPosterior, float]:
    """Vigour from what an average tree grows against what this one did, tried again at that vigour.

    Beside it how far, as ln, that ratio wanders from one reading to the next.
    """
    own = VigourPosterior(0.0, growth_parameter("vigour_ln_sd"), 0)
    observed_mm = np.diff(np.array(past.seen.girths_mm))
    aim = drift = 0.0
    for _round in range(_ROUNDS):
        rows[:, at.P_VIGOUR] = aim
        growth_mm = past.told(rows, seed).growth_mm
        growth_mm = growth_mm[np.isfinite(growth_mm).all(axis=1)]
        if not len(growth_mm):
            break
        modelled_mm = np.exp(np.log(np.maximum(growth_mm, LEAST_GROWN_MM)).mean(axis=0))
        some_mm, other_mm = joined_growth(observed_mm, modelled_mm)
        ratios = some_mm / other_mm
        steps = np.diff(np.log(ratios))
        drift = math.sqrt(float((steps**2).mean())) if steps.size else 0.0
        own = vigour_posterior(ratios * math.exp(aim), some_mm, drift_log=drift)
        aim += _STEP * (own.mean_log - aim)
    return own, min(drift, 1.0)


def _lines(lived: Sequence[tuple[FloatArray, FloatArray]], seen: SeenGrowth) -> list[Line]:
    """For each reading of growth, how lives' growth goes with their numbers; none where too few live."""
    standard = np.concatenate([each[0] for each in lived])
    growth_mm = np.concatenate([each[1] for each in lived])
    lives = np.isfinite(growth_mm).all(axis=1)
    if not seen.increments_n or lives.sum() < 2:
        return []
    grown_log = np.log(np.maximum(growth_mm[lives], LEAST_GROWN_MM))
    observed_log, _variance = growth_errors(seen)
    return [
        line_of(standard[lives], grown_log[:, number], float(each))
        for number, each in enumerate(observed_log)
    ]


def _without_luck(standard: FloatArray, told: Told, lines: Sequence[Line]) -> Told:
    """Lives with the growth that their numbers mean: a reading is of one tree, not of one life's luck."""
    if not lines:
        return told
    growth_mm = np.stack([np.exp(each.at(standard)) for each in lines], axis=1)
    return replace(told, growth_mm=np.where(np.isfinite(told.growth_mm), growth_mm, np.nan))
