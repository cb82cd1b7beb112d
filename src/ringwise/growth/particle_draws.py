"""Lives drawn from the prior and then from where a record points, weighed, and resampled to particles."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.particles import COLUMNS, Particles
from ringwise.kit import chance
from ringwise.kit.chance import Purpose
from ringwise.kit.errors import out_of_range
from ringwise.kit.types import FloatArray

_LOG = np.isin(COLUMNS, (at.P_PIPE, at.P_SAPWOOD, at.P_BUDGET, at.P_CAPACITY, at.P_WOOD, at.P_UNIT))
_LOWEST = (1e-4, 1.0, 0.05, 0.46, -3.0, 0.1, 10.0, 0.1, 0.1)
_HIGHEST = (10.0, 200.0, 2.0, 0.60, 3.0, 200.0, 1e7, 1e4, 1e3)
_LEAST_EFFECTIVE_N = 30.0  # below this a few lucky lives would speak for all: the record is blunted
_KEPT = 0.95  # share of a particle's place that resampling keeps; the rest is spread anew
WIDER = 1.3  # how much wider than what is known so far the next lives are drawn
LEAST_VARIANCE = 0.05  # of what lives are drawn from, against the prior's
_FROM_PRIOR = 5  # each fifth life is drawn from the prior, so that nothing is ruled out by bad luck
_PICK = 300_000  # entity of the draw that places the comb of resampling
_STAGE = 1_000  # entities of one stage of draws
_LAST_STAGE = 99  # of the noise that spreads particles


def _effective(log: FloatArray) -> tuple[float, FloatArray]:
    weights = np.exp(log - log.max())
    weights /= weights.sum()
    return float(1.0 / (weights**2).sum()), weights


def _sharpness(log: FloatArray) -> float:
    """The largest power of the likelihood, at most 1, that leaves enough lives behind the weights."""
    least = min(_LEAST_EFFECTIVE_N, 0.5 * float(np.isfinite(log).sum()))
    if _effective(log)[0] >= least:
        return 1.0
    low, high = 0.0, 1.0
    for _step in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _effective(middle * log)[0] >= least else (low, middle)
    return low


@dataclass(frozen=True)
class Scale:
    """Middle and spread of the prior of each of `COLUMNS`, of its logarithm where it is drawn so."""

    middle: FloatArray
    sd: FloatArray


@dataclass(frozen=True)
class Cloud:
    """Where lives are drawn next, in standard units of the prior: mean and covariance."""

    mean: FloatArray
    covariance: FloatArray


def scale_of(parameters: FloatArray) -> Scale:
    """The prior's scale from many of its draws.

    Parameters
    ----------
    parameters : (n, parameters) float
        Rows of `draw_parameters`.

    Returns
    -------
    Scale
        Of `COLUMNS`.

    Source
    ------
    own.

    Examples
    --------
    >>> rows = np.ones((10, at.PARAMETERS)); rows[:, at.P_VIGOUR] = np.linspace(-1, 1, 10)
    >>> bool(abs(scale_of(rows).middle[COLUMNS.index(at.P_VIGOUR)]) < 1e-9)
    True
    """
    wide = parameters[:, COLUMNS].astype(np.float64)
    wide[:, _LOG] = np.log(np.maximum(wide[:, _LOG], 1e-9))
    return Scale(wide.mean(axis=0), np.maximum(wide.std(axis=0), 1e-6))


def values_of(standard: FloatArray, scale: Scale) -> FloatArray:
    """Parameters from standard units of the prior.

    Parameters
    ----------
    standard : (n, columns) float
        In standard units.
    scale : Scale
        Of the prior.

    Returns
    -------
    (n, columns) float
        In the order of `COLUMNS`, within what growth can bear.

    Source
    ------
    own.

    Examples
    --------
    >>> flat = Scale(np.zeros(len(COLUMNS)), np.ones(len(COLUMNS)))
    >>> float(values_of(np.zeros((1, len(COLUMNS))), flat)[0, 0])
    1.0
    """
    wide = scale.middle + scale.sd * standard
    wide[:, _LOG] = np.exp(wide[:, _LOG])
    return np.clip(wide, _LOWEST, _HIGHEST)


def drawn(cloud: Cloud | None, count: int, *, seed: int, stage: int) -> FloatArray:
    """Lives to try, in standard units: from the prior, or most of them from where the record points.

    Parameters
    ----------
    cloud : Cloud or None
        None draws from the prior.
    count : int
        How many.
    seed, stage : int
        Of the draw.

    Returns
    -------
    (count, columns) float
        Standard units.

    Source
    ------
    own.

    Examples
    --------
    >>> drawn(None, 3, seed=1, stage=0).shape == (3, len(COLUMNS))
    True
    """
    rows = np.arange(count)
    free = np.stack(
        [
            chance.normal(seed, rows, 0, 0, Purpose.FIT, stage * _STAGE + column)
            for column in range(len(COLUMNS))
        ],
        axis=1,
    )
    if cloud is None:
        return free
    aimed = cloud.mean + free @ np.linalg.cholesky(cloud.covariance).T
    return np.where((rows % _FROM_PRIOR == 0)[:, None], free, aimed)


def prior_over_drawn(standard: FloatArray, cloud: Cloud | None) -> FloatArray:
    """How much more likely the prior makes each life than the way it was drawn, as log ratio.

    Parameters
    ----------
    standard : (n, columns) float
        From `drawn`.
    cloud : Cloud or None
        The same.

    Returns
    -------
    (n,) float
        0 where all were drawn from the prior.

    Source
    ------
    own: importance ratio of a mixture of the prior and a normal.

    Examples
    --------
    >>> prior_over_drawn(np.zeros((2, len(COLUMNS))), None).tolist()
    [0.0, 0.0]
    """
    if cloud is None:
        return np.zeros(standard.shape[0])
    prior = -0.5 * (standard**2).sum(axis=1)
    away = np.linalg.solve(np.linalg.cholesky(cloud.covariance), (standard - cloud.mean).T)
    _sign, log_det = np.linalg.slogdet(cloud.covariance)
    aimed = -0.5 * (away**2).sum(axis=0) - 0.5 * log_det
    free = 1.0 / _FROM_PRIOR
    result: FloatArray = prior - np.logaddexp(math.log(free) + prior, math.log(1.0 - free) + aimed)
    return result


def _weighed(log: FloatArray) -> tuple[float, float, FloatArray]:
    """Sharpness, effective number and weights."""
    if not np.isfinite(log).any():
        raise out_of_range("agreement with the record", "none", "at least one life that agrees")
    sharp = _sharpness(log[np.isfinite(log)])
    effective, weights = _effective(np.where(np.isfinite(log), sharp * log, -1e300))
    return sharp, effective, weights


def cloud_of(standard: FloatArray, log: FloatArray) -> Cloud:
    """Where the next lives should be drawn, from lives and how well they agree with the record.

    Parameters
    ----------
    standard : (n, columns) float
        Lives.
    log : (n,) float
        Log weights.

    Returns
    -------
    Cloud
        Somewhat wider than the weighted lives.

    Raises
    ------
    RangeError
        If no life agrees at all.

    Source
    ------
    own: adaptive importance sampling.

    Examples
    --------
    >>> lives = drawn(None, 200, seed=1, stage=0)
    >>> bool(cloud_of(lives, -2.0 * (lives[:, 0] - 1.0) ** 2).mean[0] > 0.4)
    True
    """
    _sharp, _effective_n, weights = _weighed(log)
    mean = weights @ standard
    away = standard - mean
    covariance = (away * weights[:, None]).T @ away
    # With few effective lives their covariance says little: lean on its diagonal.
    diagonal = np.diag(np.maximum(np.diag(covariance), LEAST_VARIANCE))
    return Cloud(mean, WIDER * (0.5 * covariance + 0.5 * diagonal))


def resampled(
    standard: FloatArray, log: FloatArray, scale: Scale, *, increments_n: int, seed: int
) -> Particles:
    """Particles of equal weight from lives and how well they agree with the record.

    Parameters
    ----------
    standard : (n, columns) float
        Lives, in standard units of the prior.
    log : (n,) float
        Log weights.
    scale : Scale
        Of the prior.
    increments_n : int
        Increments of girth behind it.
    seed : int
        Of the resampling.

    Returns
    -------
    Particles
        As many as there were lives.

    Raises
    ------
    RangeError
        If no life agrees at all.

    Source
    ------
    own: importance weights, tempered; systematic resampling; kernel that keeps mean and spread, after
    Liu & West 2001, from memory.

    Examples
    --------
    >>> lives = drawn(None, 300, seed=1, stage=0)
    >>> place = COLUMNS.index(at.P_VIGOUR)
    >>> flat = Scale(np.zeros(len(COLUMNS)), np.ones(len(COLUMNS)))
    >>> told = resampled(lives, -8.0 * (lives[:, place] - 0.5) ** 2, flat, increments_n=4, seed=1)
    >>> 0.3 < told.vigour.mean_log < 0.6, told.mostly_prior
    (True, False)
    """
    sharp, effective, weights = _weighed(log)
    mean = weights @ standard
    sd = np.sqrt(weights @ (standard - mean) ** 2)
    count = standard.shape[0]
    start = float(chance.uniform(seed, 0, 0, 0, Purpose.FIT, _PICK)[0])
    picked = np.searchsorted(np.cumsum(weights), (np.arange(count) + start) / count).clip(0, count - 1)
    noise = drawn(None, count, seed=seed, stage=_LAST_STAGE)
    moved = _KEPT * standard[picked] + (1.0 - _KEPT) * mean + math.sqrt(1.0 - _KEPT**2) * sd * noise
    return Particles(values_of(moved, scale), increments_n, effective, sharp)
