"""What own observations teach: a shrunk offset in closed form, weights of draws, conditions on this year."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import FloatArray, IntArray

NODES = 33  # points across a condition's interval; a normal over it is then exact to 1e-3 of its weight
FAR_SD = 6.0  # beyond this many standard deviations nothing is drawn
LEAST_EFFECTIVE_FRAC = 0.25  # of the possible samples; fewer would show a band narrower than it is
HALVINGS = 16  # down to a 65,000th, where even 1e5 in the logarithm is level
EXTRAPOLATED_SD = 1.0  # how deep a sample goes into an interval that lies wholly beyond `FAR_SD`


@dataclass(frozen=True)
class Offset:
    """A lasting offset in days: its mean and the weight of each parameter draw, its spread."""

    mean: FloatArray
    sd_days: float
    weight_log: FloatArray
    seasons: int


@dataclass(frozen=True)
class Prior:
    """What an offset is before own observations: mean (for all draws, or one a draw) and spread, in days."""

    mean_days: float | FloatArray
    sd_days: float


def offset(residuals: FloatArray, variances: FloatArray, prior: Prior) -> Offset:
    """The offset of a tree from its residuals (seen minus forecast), shrunk towards its prior.

    Parameters
    ----------
    residuals : (seasons, draws) float
        Days that the stage came later than the model's day, for each parameter draw.
    variances : (seasons,) float
        Variance of each residual around the offset, in square days.
    prior : Prior
        The offset's mean and spread without observations.

    Returns
    -------
    Offset
        With equal variances s and a prior mean of 0 its mean is sum(r) / (k + s / prior variance).

    Source
    ------
    own reasoning (conjugate normal).

    Examples
    --------
    >>> learned = offset(np.array([[4.0], [5.0], [3.0]]), np.full(3, 4.0), Prior(0.0, 3.0))
    >>> round(float(learned.mean[0]), 4), round(learned.sd_days, 4)
    (3.4839, 1.0776)
    """
    spread = prior.sd_days**2
    expected = np.asarray(prior.mean_days, dtype=np.float64)
    precision = 1.0 / spread + float((1.0 / variances).sum())
    pulled = expected / spread + (residuals / variances[:, None]).sum(axis=0)
    mean = pulled / precision
    misfit = (residuals**2 / variances[:, None]).sum(axis=0) + expected**2 / spread
    weight_log = -0.5 * (misfit - mean**2 * precision)
    return Offset(mean, precision**-0.5, weight_log, residuals.shape[0])


def resampled(weight_log: FloatArray, count: int) -> IntArray:
    """Places drawn in proportion to weights, evenly spaced, so that no chance is needed.

    Parameters
    ----------
    weight_log : (n,) float
        Logarithms of weights; minus infinity is never drawn.
    count : int
        How many places.

    Returns
    -------
    (count,) int
        In rising order; equal weights give each place equally often.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> resampled(np.log(np.array([0.5, 0.25, 0.25])), 4).tolist()
    [0, 0, 1, 2]
    """
    weight = np.exp(weight_log - weight_log.max())
    total = np.cumsum(weight)
    marks = (np.arange(count) + 0.5) / count * total[-1]
    places: IntArray = np.minimum(np.searchsorted(total, marks), weight.size - 1)
    return places


def tempered(weight_log: FloatArray) -> FloatArray:
    """Weights made more even until no handful of samples stands for all.

    Parameters
    ----------
    weight_log : (n,) float
        Logarithms of weights; minus infinity stays so.

    Returns
    -------
    (n,) float
        Multiplied by the largest of 1, 1/2, 1/4 ... 0 at which the effective number of samples is at
        least `LEAST_EFFECTIVE_FRAC` of those that are possible at all.

    Source
    ------
    own reasoning: a sighting that surprises the model must not leave a false certainty of what follows.

    Examples
    --------
    >>> tempered(np.array([0.0, -0.1, -np.inf])).tolist()
    [0.0, -0.1, -inf]
    >>> bool(tempered(np.array([0.0, -900.0, -900.0, -900.0, -900.0, -900.0]))[1] > -2)
    True
    """
    possible = np.isfinite(weight_log)
    relative = weight_log[possible] - weight_log[possible].max()
    least = LEAST_EFFECTIVE_FRAC * relative.size
    for power in (*(0.5**k for k in range(HALVINGS)), 0.0):
        weight = np.exp(power * relative)
        if float(weight.sum()) ** 2 / float((weight**2).sum()) >= least:
            break
    evened = np.full(weight_log.shape, -np.inf)
    evened[possible] = power * relative
    return evened


@dataclass(frozen=True)
class Conditioned:
    """Samples drawn inside their intervals, and the logarithm of how likely each was to lie there."""

    days: FloatArray
    weight_log: FloatArray


def inside(
    middle: FloatArray, spread_days: float, low: FloatArray, high: FloatArray, uniform: FloatArray
) -> Conditioned:
    """A normal for each sample, cut to its own interval (low, high].

    Parameters
    ----------
    middle : (n,) float
        Where each sample's normal is centred.
    spread_days : float
        Its standard deviation.
    low, high : (n,) float
        The interval; infinite where open. Where low exceeds high the weight is 0.
    uniform : (n,) float
        Draws in (0, 1).

    Returns
    -------
    Conditioned
        A day within each interval, and the logarithm of the interval's probability.

    Source
    ------
    own reasoning (trapezoidal rule over the interval).

    Examples
    --------
    >>> cut = inside(np.zeros(1), 2.0, np.array([1.0]), np.array([np.inf]), np.array([0.5]))
    >>> round(float(np.exp(cut.weight_log[0])), 3), bool(cut.days[0] > 1)
    (0.309, True)
    """
    reach, depth = FAR_SD * spread_days, EXTRAPOLATED_SD * spread_days
    begin = np.maximum(low, np.minimum(middle - reach, high - depth))
    end = np.minimum(high, np.maximum(middle + reach, begin + depth))
    empty = (low >= high) | np.isnan(middle)
    begin, end = np.where(empty, 0.0, begin), np.where(empty, 1.0, end)
    centre = np.where(np.isnan(middle), 0.0, middle)
    part = np.linspace(0.0, 1.0, NODES)
    points = begin[:, None] + (end - begin)[:, None] * part
    density_log = -0.5 * ((points - centre[:, None]) / spread_days) ** 2
    top = density_log.max(axis=1, keepdims=True)
    density = np.exp(density_log - top)
    areas = np.cumsum((density[:, 1:] + density[:, :-1]) / 2.0, axis=1)
    width = (end - begin) / (NODES - 1)
    log_norm = np.log(spread_days * np.sqrt(2.0 * np.pi))
    weight = top[:, 0] + np.log(areas[:, -1] * width) - log_norm
    days = _inverse(areas, uniform, begin, width)
    return Conditioned(np.where(empty, np.nan, days), np.where(empty, -np.inf, weight))


def _inverse(areas: FloatArray, uniform: FloatArray, begin: FloatArray, width: FloatArray) -> FloatArray:
    """The point below which a share `uniform` of each row's area lies."""
    mark = uniform * areas[:, -1]
    cell = np.minimum((areas < mark[:, None]).sum(axis=1), areas.shape[1] - 1)
    rows = np.arange(areas.shape[0])
    before = np.where(cell > 0, areas[rows, np.maximum(cell - 1, 0)], 0.0)
    share = (mark - before) / np.maximum(areas[rows, cell] - before, np.finfo(np.float64).tiny)
    days: FloatArray = begin + (cell + np.clip(share, 0.0, 1.0)) * width
    return days
