"""What this tree's own girth record says about its vigour."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.growth.biology import growth_parameter
from ringwise.kit.errors import out_of_range
from ringwise.kit.types import FloatArray


@dataclass(frozen=True)
class VigourPosterior:
    """ln vigour of a tree against its species: mean, spread, and how many own increments it rests on."""

    mean_log: float
    sd_log: float
    increments_n: int

    @property
    def factor_ratio(self) -> float:
        """The vigour factor itself."""
        return math.exp(self.mean_log)

    @property
    def mostly_prior(self) -> bool:
        """Whether fewer than three own increments stand behind it."""
        return self.increments_n < 3


def vigour_posterior(ratios: FloatArray, girth_growth_mm: FloatArray | None = None) -> VigourPosterior:
    """Vigour of a tree from observed against modelled yearly girth growth.

    Parameters
    ----------
    ratios : (n,) float
        Observed over modelled girth growth of each year, above 0; may be empty.
    girth_growth_mm : (n,) float, optional
        Observed growth in mm, which adds the tape's error; without it the tape is taken as exact.

    Returns
    -------
    VigourPosterior
        Mean and standard deviation of ln vigour.

    Raises
    ------
    RangeError
        If a ratio or growth is not above 0.

    Source
    ------
    own: conjugate normal update, prior spread from mcpherson2016 residuals, the rest assumed.

    Examples
    --------
    >>> round(vigour_posterior(np.array([0.8, 0.75, 0.9])).mean_log, 4)
    -0.1935
    """
    y = np.asarray(ratios, dtype=np.float64)
    if (y <= 0).any():
        raise out_of_range("girth ratio", f"{y.min()}", "above 0")
    variance = np.full(y.shape, growth_parameter("girth_ln_sd") ** 2)
    if girth_growth_mm is not None:
        growth = np.asarray(girth_growth_mm, dtype=np.float64)
        if (growth <= 0).any():
            raise out_of_range("girth growth", f"{growth.min()} mm", "above 0 mm")
        variance = variance + (growth_parameter("girth_tape_error") / growth) ** 2
    precision = 1.0 / growth_parameter("vigour_ln_sd") ** 2 + float((1.0 / variance).sum())
    mean = float((np.log(y) / variance).sum()) / precision
    return VigourPosterior(mean, math.sqrt(1.0 / precision), int(y.size))
