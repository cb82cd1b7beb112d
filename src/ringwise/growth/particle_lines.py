"""Where lives are drawn next, in closed form: by vigour alone, or by how growth goes with each number."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.calibration import VigourPosterior
from ringwise.growth.particle_draws import LEAST_VARIANCE, WIDER, Cloud, Scale
from ringwise.growth.particles import COLUMNS
from ringwise.kit.types import FloatArray

_NEAR_LOG = 0.3  # lives whose ln growth is farther than this from the tree's count less for the slope
_PASSES = 3  # of the line, the first with all lives alike
_DAMPING = 0.01  # of the slope, against chance agreement of few lives


def centred_cloud(vigour: VigourPosterior, scale: Scale) -> Cloud:
    """The prior, with ln vigour where the girths put it in closed form: from there the first lives are drawn.

    Parameters
    ----------
    vigour : VigourPosterior
        In closed form.
    scale : Scale
        Of the prior.

    Returns
    -------
    Cloud
        All other numbers as the prior has them.

    Source
    ------
    own.

    Examples
    --------
    >>> flat = Scale(np.zeros(len(COLUMNS)), np.ones(len(COLUMNS)))
    >>> cloud = centred_cloud(VigourPosterior(0.5, 0.1, 4), flat)
    >>> float(cloud.mean[COLUMNS.index(at.P_VIGOUR)]), float(cloud.mean.sum())
    (0.5, 0.5)
    """
    place = COLUMNS.index(at.P_VIGOUR)
    mean, spread = np.zeros(len(COLUMNS)), np.ones(len(COLUMNS))
    mean[place] = (vigour.mean_log - scale.middle[place]) / scale.sd[place]
    spread[place] = max(vigour.sd_log / scale.sd[place], math.sqrt(LEAST_VARIANCE)) ** 2
    return Cloud(mean, np.diag(spread))


@dataclass(frozen=True)
class Line:
    """How ln growth goes with the uncertain numbers: at the prior's middle, and for each standard unit."""

    level_log: float
    slope: FloatArray

    def at(self, standard: FloatArray) -> FloatArray:
        """ln growth that lives with these numbers make in the mean of their luck."""
        result: FloatArray = self.level_log + standard @ self.slope
        return result


def line_of(standard: FloatArray, grown_log: FloatArray, seen_log: float) -> Line:
    """How growth goes with each uncertain number, near what was seen; the luck of single lives drops out.

    Parameters
    ----------
    standard : (n, columns) float
        Lives, in standard units of the prior.
    grown_log : (n,) float
        ln of what each of them grew.
    seen_log : float
        ln of what the tree grew: lives whose numbers lead near it count most.

    Returns
    -------
    Line
        Through the lives.

    Source
    ------
    own: weighted, damped regression.

    Examples
    --------
    >>> from ringwise.growth.particle_draws import drawn
    >>> lives = drawn(None, 60, seed=1, stage=0)
    >>> line = line_of(lives, 2.0 + 0.5 * lives[:, 0], 2.0)
    >>> round(line.level_log, 1), round(float(line.slope[0]), 1)
    (2.0, 0.5)
    """
    line = Line(float(grown_log.mean()), np.zeros(len(COLUMNS)))
    weights = np.full(grown_log.size, 1.0 / grown_log.size)
    for _pass in range(_PASSES):
        mean, level = weights @ standard, float(weights @ grown_log)
        away = standard - mean
        inertia = (away * weights[:, None]).T @ away + _DAMPING * np.eye(len(COLUMNS))
        slope = np.linalg.solve(inertia, (away * weights[:, None]).T @ (grown_log - level))
        line = Line(level - float(slope @ mean), slope)
        # Near by their numbers, not by what they happened to grow: that would flatten the slope.
        weights = 1.0 / (1.0 + ((line.at(standard) - seen_log) / _NEAR_LOG) ** 2)
        weights /= weights.sum()
    return line


def pointed_cloud(lines: Sequence[Line], seen_logs: FloatArray, variances: FloatArray) -> Cloud:
    """Where the next lives should be drawn, from how growth goes with each uncertain number.

    Parameters
    ----------
    lines : sequence of Line
        From `line_of`, one for each reading of growth.
    seen_logs, variances : (n,) float
        ln of what the tree grew, and the variance of each such reading.

    Returns
    -------
    Cloud
        What the normal prior becomes where ln growth follows the lines; somewhat wider.

    Source
    ------
    own: conjugate normal update.

    Examples
    --------
    >>> slope = np.zeros(len(COLUMNS)); slope[[0, 4]] = 1.0
    >>> cloud = pointed_cloud([Line(0.0, slope)], np.array([1.0]), np.array([0.01]))
    >>> round(float(cloud.mean[0] + cloud.mean[4]), 2)
    1.0
    """
    slopes = np.stack([each.slope for each in lines])
    misses = seen_logs - np.array([each.level_log for each in lines])
    inverse = np.linalg.inv(np.eye(len(COLUMNS)) + (slopes / variances[:, None]).T @ slopes)
    covariance: FloatArray = np.asarray(inverse, dtype=np.float64)
    return Cloud(covariance @ slopes.T @ (misses / variances), WIDER * covariance)
