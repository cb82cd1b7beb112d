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


def vigour_posterior(
    ratios: FloatArray, girth_growth_mm: FloatArray | None = None, *, drift_log: float = 0.0
) -> VigourPosterior:
    """Vigour of a tree from observed against modelled yearly girth growth.

    Parameters
    ----------
    ratios : (n,) float
        Observed over modelled girth growth of each year, above 0; may be empty.
    girth_growth_mm : (n,) float, optional
        Observed growth in mm, which adds the tape's error; without it the tape is taken as exact.
    drift_log : float
        How far ln vigour wanders from one ratio to the next: what a tree did of late then says most.

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
    variance = variance + drift_log**2 * np.arange(y.size)[::-1]
    precision = 1.0 / growth_parameter("vigour_ln_sd") ** 2 + float((1.0 / variance).sum())
    mean = float((np.log(y) / variance).sum()) / precision
    return VigourPosterior(mean, math.sqrt(1.0 / precision), int(y.size))


def joined_growth(observed_mm: FloatArray, modelled_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Observed and modelled growth in girth, seasons joined until a tape can tell what grew.

    Parameters
    ----------
    observed_mm, modelled_mm : (n,) float
        Growth between readings; a reading may fall short of the one before.

    Returns
    -------
    ((m,) float, (m,) float)
        Growth of joined seasons, each observed at twice the tape's error or more; what is left at the end
        without reaching it joins the last, or stands alone at that size if nothing else was readable.

    Source
    ------
    own: below twice its error a single growth says next to nothing, and may be negative.

    Examples
    --------
    >>> seen, grown = joined_growth(np.array([1.0, 4.0, -1.0]), np.array([2.0, 2.0, 2.0]))
    >>> seen.tolist(), grown.tolist()
    ([4.0], [6.0])
    """
    least = 2.0 * growth_parameter("girth_tape_error")
    seen: list[float] = []
    grown: list[float] = []
    some, other = 0.0, 0.0
    for observed, modelled in zip(observed_mm, modelled_mm, strict=True):
        some, other = some + float(observed), other + float(modelled)
        if some >= least:
            seen.append(some)
            grown.append(other)
            some, other = 0.0, 0.0
    if other > 0.0 and seen:
        seen[-1], grown[-1] = seen[-1] + some, grown[-1] + other
    elif other > 0.0:
        seen, grown = [max(some, 0.5 * least)], [other]
    return np.array(seen), np.array(grown)
