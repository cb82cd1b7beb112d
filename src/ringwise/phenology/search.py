"""A bounded global search that tries a whole generation of points in one call: differential evolution.

Every draw is keyed by seed, generation and member, so a search can be repeated to the last bit.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ringwise.kit.chance import Purpose, uniform
from ringwise.kit.errors import out_of_range
from ringwise.kit.types import FloatArray, IntArray
from ringwise.kit.words import _

Loss = Callable[[FloatArray], FloatArray]
PER_DIMENSION = 16
PATIENCE = 15
FEWEST = 6  # a step needs the member itself, one of the best and two others


@dataclass(frozen=True)
class Search:
    """How to search: seed, members of a generation, most generations; it stops once nothing improves.

    `population` None takes `PER_DIMENSION` members for each parameter searched, `patience` None
    `PATIENCE` generations for each. The first generation is the best of `first_times` as many points. A
    generation that betters the best by less than `least_gain_frac` of it is idle; `patience` idle ones in
    a row end the search. A step goes towards one of the best `elite_frac` of the members.
    """

    seed: int = 1
    population: int | None = None
    first_times: int = 8
    generations: int = 2000
    patience: int | None = None
    least_gain_frac: float = 1e-4
    elite_frac: float = 0.15
    cross_frac: float = 0.8


@dataclass(frozen=True)
class Found:
    """The best point and its score, the least loss; generations and points that it took.

    `settled` says that the search ended because nothing improved.
    """

    point: FloatArray
    score: float
    generations: int
    tried: int
    settled: bool


def least(loss: Loss, low: FloatArray, high: FloatArray, search: Search) -> Found:
    """The point between two bounds at which a loss is least.

    Parameters
    ----------
    loss : callable
        Takes (n, dimensions) points, gives (n,) losses; infinite where a point is out of the question.
    low, high : (dimensions,) float
        The bounds, both within the search.
    search : Search
        Seed and effort.

    Returns
    -------
    Found
        The same for the same seed.

    Raises
    ------
    RangeError
        If the population is too small, or a lower bound lies above its upper one.

    Source
    ------
    storn_price1997 (differential evolution); steps towards one of the best as in zhang_sanderson2009.

    Examples
    --------
    >>> bowl = least(lambda at: ((at - 3.0) ** 2).sum(axis=1), np.zeros(2), np.full(2, 10.0), Search(7))
    >>> bowl.point.round(2).tolist()
    [3.0, 3.0]
    """
    members = search.population or PER_DIMENSION * low.size
    if members < FEWEST:
        raise out_of_range(_("population"), str(members), _("{n} or more").format(n=FEWEST))
    if not bool((low <= high).all()):
        raise out_of_range(_("bounds"), str(low[low > high][0]), _("the lower at most the upper"))
    first = low + (high - low) * _spread_evenly(search, members * search.first_times, low.size)
    losses = loss(first)
    kept = losses.argsort(kind="stable")[:members]
    points, losses = first[kept], losses[kept]
    patience = search.patience or PATIENCE * low.size
    best, idle, generation = float(losses.min()), 0, 0
    while generation < search.generations and idle < patience:
        generation += 1
        tried = _steps(points, losses, (low, high), search, generation)
        found = loss(tried)
        better = found <= losses
        points, losses = np.where(better[:, None], tried, points), np.where(better, found, losses)
        now = float(losses.min())
        idle = 0 if best - now > search.least_gain_frac * abs(best) else idle + 1
        best = min(best, now)
    at = int(losses.argmin())
    tried_points = members * (generation + search.first_times)
    return Found(points[at], best, generation, tried_points, idle >= patience)


def _draw(search: Search, generation: int, shape: tuple[int, int], what: int) -> FloatArray:
    """Uniform draws (members, columns)."""
    members, halves = np.arange(shape[0])[:, None], np.arange(shape[1])
    return uniform(search.seed, members, generation, halves, Purpose.FIT, what)


def _spread_evenly(search: Search, members: int, dimensions: int) -> FloatArray:
    """Members of the first generation: in each dimension one a stratum, in its own order."""
    order = _draw(search, 0, (members, dimensions), 0).argsort(axis=0)
    return (order + _draw(search, 0, (members, dimensions), 1)) / members


def _steps(
    points: FloatArray,
    losses: FloatArray,
    bounds: tuple[FloatArray, FloatArray],
    search: Search,
    generation: int,
) -> FloatArray:
    """Each member drawn towards one of the best and along the difference of two others."""
    members, dimensions = points.shape
    drawn = _draw(search, generation, (members, 5), 2)
    elite = max(2, round(search.elite_frac * members))
    best = losses.argsort(kind="stable")[_pick(drawn[:, 0], elite)]
    one, other = _pick(drawn[:, 1], members), _pick(drawn[:, 2], members)
    scale = 0.4 + 0.6 * drawn[:, 3:4]
    moved = points + scale * (points[best] - points) + scale * (points[one] - points[other])
    crossed = _draw(search, generation, (members, dimensions), 3) < search.cross_frac
    crossed[np.arange(members), _pick(drawn[:, 4], dimensions)] = True
    tried = np.where(crossed, moved, points)
    low, high = bounds
    # A step out of bounds lands between the bound and where it came from.
    tried = np.where(tried < low, (points + low) / 2.0, tried)
    return np.where(tried > high, (points + high) / 2.0, tried)


def _pick(share: FloatArray, count: int) -> IntArray:
    chosen: IntArray = np.minimum((share * count).astype(np.int64), count - 1)
    return chosen
