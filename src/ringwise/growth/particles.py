"""What a tree's own record leaves of the uncertain numbers of its growth, as equally likely rows."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.biology import growth_parameter
from ringwise.growth.calibration import VigourPosterior
from ringwise.growth.draws import Block
from ringwise.kit import chance
from ringwise.kit.chance import Purpose
from ringwise.kit.errors import out_of_range
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


@dataclass(frozen=True)
class SeenGrowth:
    """What was measured of a tree: girths by growing seasons since the first, heights, tips, order.

    The first girth is that of the tree from which a life begins; tips and order are of the last season.
    """

    seasons: tuple[float, ...]
    girths_mm: tuple[float, ...]
    height_seasons: tuple[float, ...] = ()
    heights_mm: tuple[float, ...] = ()
    tips_n: float | None = None
    order_n: float | None = None

    def __post_init__(self) -> None:
        if len(self.seasons) != len(self.girths_mm) or len(self.height_seasons) != len(self.heights_mm):
            raise out_of_range("seasons", str(len(self.seasons)), "one for each measure")
        if any(b <= a for a, b in zip(self.seasons, self.seasons[1:], strict=False)):
            raise out_of_range("seasons", f"{self.seasons}", "rising")

    @property
    def increments_n(self) -> int:
        """How many increments of girth there are."""
        return max(0, len(self.girths_mm) - 1)

    @property
    def years_n(self) -> int:
        """How many years a life must run to reach the last measure."""
        last = max((*self.seasons, *self.height_seasons), default=0.0)
        return math.ceil(last - 1e-9)


@dataclass(frozen=True)
class Grown:
    """Lives from the first girth on: girth and height by year (n, years + 1), last tips and order."""

    girth_mm: FloatArray
    height_mm: FloatArray
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


def log_weights(seen: SeenGrowth, grown: Grown) -> FloatArray:
    """How well each life agrees with what was measured, as log likelihood.

    Parameters
    ----------
    seen : SeenGrowth
        The record.
    grown : Grown
        Lives.

    Returns
    -------
    (n,) float
        Minus infinity for a life in which the tree died.

    Source
    ------
    own: normal errors; of an increment the spread of a yearly ratio and the tape's error.

    Examples
    --------
    >>> two = np.array([[30.0, 40.0], [30.0, 50.0]])
    >>> lives = Grown(two, two, np.ones(2), np.ones(2))
    >>> log = log_weights(SeenGrowth((0.0, 1.0), (30.0, 40.0)), lives)
    >>> bool(log[0] > log[1])
    True
    """
    out = np.zeros(grown.girth_mm.shape[0])
    seasons = np.array(seen.seasons)
    if seen.increments_n:
        simulated = np.diff(at_seasons(grown.girth_mm, seasons), axis=1)
        observed = np.diff(np.array(seen.girths_mm))[None, :]
        years = np.maximum(np.diff(seasons), 0.25)[None, :]
        ratio_sd, tape_mm = growth_parameter("girth_ln_sd"), growth_parameter("girth_tape_error")
        sd = np.sqrt((ratio_sd * simulated) ** 2 / years + tape_mm**2)
        out += (-0.5 * ((observed - simulated) / sd) ** 2 - np.log(sd)).sum(axis=1)
    if seen.heights_mm:
        heights = np.maximum(at_seasons(grown.height_mm, np.array(seen.height_seasons)), 1.0)
        miss = np.log(heights / np.array(seen.heights_mm)[None, :]) / growth_parameter("height_ln_sd")
        out += (-0.5 * miss**2).sum(axis=1)
    if seen.tips_n:
        tips = np.log(np.maximum(grown.tips_n, 1.0) / seen.tips_n) / growth_parameter("tips_ln_sd")
        out += -0.5 * tips**2
    if seen.order_n:
        out += -0.5 * ((grown.order_n - seen.order_n) / growth_parameter("order_sd")) ** 2
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
