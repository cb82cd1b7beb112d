"""What a tree's own record leaves of the uncertain numbers of its growth, as equally likely rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.biology import growth_parameter
from ringwise.growth.calibration import VigourPosterior
from ringwise.growth.draws import Block
from ringwise.growth.seen_growth import SeenGrowth, growth_errors
from ringwise.kit import chance
from ringwise.kit.chance import Purpose
from ringwise.kit.types import FloatArray

COLUMNS = (
    at.P_PIPE,
    at.P_SAPWOOD,
    at.P_POT,
    at.P_CONTROL,
    at.P_VIGOUR,
    at.P_BUDGET,
    at.P_CAPACITY,
    at.P_WOOD,
    at.P_UNIT,
)
_PICK = 300_000  # entity of the draw that picks a particle, far above those of the parameters
_MOST_PRIOR_N = 3
LEAST_GROWN_MM = 0.05  # growth of a life that made next to none


@dataclass(frozen=True)
class Grown:
    """Lives from the first girth on: girth and height by year (n, years + 1), last tips and order."""

    girth_mm: FloatArray
    height_mm: FloatArray
    tips_n: FloatArray
    order_n: FloatArray


@dataclass(frozen=True)
class Told:
    """What lives show where a tree was measured: growth between girths, heights, last tips and order."""

    growth_mm: FloatArray
    heights_mm: FloatArray
    tips_n: FloatArray
    order_n: FloatArray


@dataclass(frozen=True)
class Particles:
    """Equally weighted rows of the calibrated parameters, in the order of `COLUMNS`.

    `effective_n` is how many of the lives stood behind the weights; `sharpness_frac` below 1 says that the
    record was taken less sharply than its errors allow, so that enough of them did.
    """

    values: FloatArray
    increments_n: int
    effective_n: float
    sharpness_frac: float = 1.0

    @property
    def vigour(self) -> VigourPosterior:
        """Mean and spread of ln vigour over the particles."""
        log = self.values[:, COLUMNS.index(at.P_VIGOUR)]
        return VigourPosterior(float(log.mean()), float(log.std()), self.increments_n)

    @property
    def mostly_prior(self) -> bool:
        """Whether fewer than three own increments stand behind it."""
        return self.increments_n < _MOST_PRIOR_N


def at_seasons(by_year: FloatArray, seasons: FloatArray) -> FloatArray:
    """Values at seasons lived: growth within a season is shared out as it grows.

    Parameters
    ----------
    by_year : (n, years + 1) float
        Values after whole seasons.
    seasons : (m,) float
        Seasons lived.

    Returns
    -------
    (n, m) float
        Values between them.

    Source
    ------
    own.

    Examples
    --------
    >>> at_seasons(np.array([[10.0, 20.0]]), np.array([0.5])).tolist()
    [[15.0]]
    """
    low = np.clip(np.floor(seasons).astype(np.int64), 0, by_year.shape[1] - 1)
    high = np.minimum(low + 1, by_year.shape[1] - 1)
    result: FloatArray = by_year[:, low] + (seasons - low)[None, :] * (by_year[:, high] - by_year[:, low])
    return result


def told_by(seen: SeenGrowth, grown: Grown) -> Told:
    """What lives show at the seasons at which the tree was measured.

    Parameters
    ----------
    seen : SeenGrowth
        The record.
    grown : Grown
        Lives from its first girth on; their growth counts, from the girth that was read, since the tape is
        not always at the base.

    Returns
    -------
    Told
        Growth between readings, heights, tips and order.

    Source
    ------
    own.

    Examples
    --------
    >>> two = np.array([[30.0, 40.0], [30.0, 50.0]])
    >>> seen = SeenGrowth((0.0, 1.0), (60.0, 80.0))
    >>> told_by(seen, Grown(two, two, np.ones(2), np.ones(2))).growth_mm.tolist()
    [[20.0], [40.0]]
    """
    count = grown.girth_mm.shape[0]
    growth = np.zeros((count, 0))
    if seen.increments_n:
        girth = grown.girth_mm / grown.girth_mm[:, :1] * seen.girths_mm[0]
        growth = np.diff(at_seasons(girth, np.array(seen.seasons)), axis=1)
    heights = at_seasons(grown.height_mm, np.array(seen.height_seasons))
    return Told(growth, heights, grown.tips_n, grown.order_n)


def told_together(parts: Sequence[Told]) -> Told:
    """Pieces of one record in order as one; tips and order are those of the last.

    Parameters
    ----------
    parts : sequence of Told
        Of the same lives' numbers.

    Returns
    -------
    Told
        The whole.

    Source
    ------
    own.

    Examples
    --------
    >>> one = Told(np.ones((2, 1)), np.zeros((2, 0)), np.ones(2), np.ones(2))
    >>> told_together((one, one)).growth_mm.shape
    (2, 2)
    """
    return Told(
        np.concatenate([each.growth_mm for each in parts], axis=1),
        np.concatenate([each.heights_mm for each in parts], axis=1),
        parts[-1].tips_n,
        parts[-1].order_n,
    )


def log_weights(seen: SeenGrowth, told: Told, *, drift_log: float = 0.0) -> FloatArray:
    """How well each life agrees with what was measured, as log likelihood.

    Parameters
    ----------
    seen : SeenGrowth
        The record.
    told : Told
        What lives show there.
    drift_log : float
        How far ln growth wanders from one reading to the next.

    Returns
    -------
    (n,) float
        Minus infinity for a life in which the tree died.

    Source
    ------
    own: normal errors of ln growth (the spread of a yearly ratio, the tape, drift), of ln height and of
    ln tips.

    Examples
    --------
    >>> two = np.array([[30.0, 40.0], [30.0, 50.0]])
    >>> seen = SeenGrowth((0.0, 1.0), (30.0, 40.0))
    >>> log = log_weights(seen, told_by(seen, Grown(two, two, np.ones(2), np.ones(2))))
    >>> bool(log[0] > log[1])
    True
    """
    out = np.zeros(told.growth_mm.shape[0])
    if seen.increments_n:
        observed_log, variance = growth_errors(seen, drift_log=drift_log)
        miss = np.log(np.maximum(told.growth_mm, LEAST_GROWN_MM)) - observed_log
        out += (-0.5 * miss**2 / variance).sum(axis=1)
        out[~np.isfinite(told.growth_mm).all(axis=1)] = -np.inf
    if seen.heights_mm:
        heights = np.maximum(told.heights_mm, 1.0)
        miss = np.log(heights / np.array(seen.heights_mm)[None, :]) / growth_parameter("height_ln_sd")
        out += (-0.5 * miss**2).sum(axis=1)
    if seen.tips_n:
        tips = np.log(np.maximum(told.tips_n, 1.0) / seen.tips_n) / growth_parameter("tips_ln_sd")
        out += -0.5 * tips**2
    if seen.order_n:
        out += -0.5 * ((told.order_n - seen.order_n) / growth_parameter("order_sd")) ** 2
    return np.where(np.isfinite(out), out, -np.inf)


def put_particles(out: FloatArray, particles: Particles, block: Block) -> None:
    """Give each future of a block one particle's parameters, the same whatever else is drawn.

    Parameters
    ----------
    out : (count, parameters) float
        Changed in place.
    particles : Particles
        Of the tree.
    block : Block
        Seed and futures.

    Source
    ------
    own.

    Examples
    --------
    >>> out = np.zeros((2, at.PARAMETERS))
    >>> put_particles(out, Particles(np.full((5, len(COLUMNS)), 0.5), 4, 5.0), Block(1, 0, 2))
    >>> out[:, at.P_VIGOUR].tolist()
    [0.5, 0.5]
    """
    futures = np.arange(block.first, block.first + block.count)
    luck = chance.uniform(block.seed, futures, 0, 0, Purpose.PARAMETER, _PICK)
    count = particles.values.shape[0]
    out[:, COLUMNS] = particles.values[np.minimum((luck * count).astype(np.int64), count - 1)]
