"""How well forecasts of days did: error, band, and the continuous ranked probability score."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import FloatArray

BAND_FRAC = 0.8  # the share of days that a shown band is meant to hold
FEW, FEW_SEASONS = 20, 3  # below either, chance and one odd spring say more than the forecast does
UNLIKELY_PROB = 0.05  # a count of hits this far out in one direction is not put down to chance


@dataclass(frozen=True)
class Score:
    """One forecast against what was then seen; day indices of the growing year `label`.

    `mean_index` is the mean of the tree's own earlier seasons of the stage; None in its first.
    """

    tree: int
    code: str
    label: int
    lead_days: int
    seen_index: float
    low_index: float
    median_index: float
    high_index: float
    crps_days: float
    mean_index: float | None

    @property
    def error_days(self) -> float:
        """Days that the forecast's middle lay after what was seen."""
        return self.median_index - self.seen_index

    @property
    def inside(self) -> bool:
        """Whether the band held what was seen."""
        return self.low_index <= self.seen_index <= self.high_index


@dataclass(frozen=True)
class Totals:
    """Scores of one lead taken together; what has nothing behind it is None.

    `compared` scores have an own mean beside them: over those alone stand `model_mae_days` and
    `mean_mae_days`. `verdict` is few, narrow, wide or fits.
    """

    lead_days: int
    n: int
    seasons: int
    bias_days: float | None
    mae_days: float | None
    rmse_days: float | None
    coverage_frac: float | None
    crps_days: float | None
    compared: int
    model_mae_days: float | None
    mean_mae_days: float | None
    verdict: str


def crps(samples: FloatArray, seen_days: float) -> float:
    """The continuous ranked probability score of samples: 0 is perfect, a single guess scores its error.

    Parameters
    ----------
    samples : (n,) float
        Of the forecast, in days.
    seen_days : float
        What came, on the same count.

    Returns
    -------
    float
        In days.

    Source
    ------
    gneiting_raftery2007, equation 21: E|X - y| - E|X - X'| / 2.

    Examples
    --------
    >>> crps(np.array([3.0]), 5.0), crps(np.array([0.0, 2.0]), 1.0)
    (2.0, 0.5)
    """
    ordered = np.sort(samples)
    count = ordered.size
    # The mean of |X - X'| over all pairs, from the order alone.
    apart = 2.0 * float(((2.0 * np.arange(1, count + 1) - count - 1.0) * ordered).sum()) / count**2
    return float(np.abs(ordered - seen_days).mean()) - 0.5 * apart


def totals(scores: Sequence[Score], lead_days: int) -> Totals:
    """The scores of one lead together.

    Parameters
    ----------
    scores : sequence of Score
        Of any lead.
    lead_days : int
        The lead to take.

    Returns
    -------
    Totals
        None where nothing was scored.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> one = Score(1, "07", 2027, 7, 70.0, 66.0, 72.0, 80.0, 1.5, 75.0)
    >>> both = totals([one], 7)
    >>> both.mae_days, both.mean_mae_days, both.coverage_frac, both.verdict
    (2.0, 5.0, 1.0, 'few')
    """
    chosen = [each for each in scores if each.lead_days == lead_days]
    errors = np.array([each.error_days for each in chosen])
    with_mean = [(each, each.mean_index) for each in chosen if each.mean_index is not None]
    seasons = len({each.label for each in chosen})
    hits = sum(each.inside for each in chosen)
    return Totals(
        lead_days=lead_days,
        n=len(chosen),
        seasons=seasons,
        bias_days=_mean(errors),
        mae_days=_mean(np.abs(errors)),
        rmse_days=float(np.sqrt((errors**2).mean())) if chosen else None,
        coverage_frac=hits / len(chosen) if chosen else None,
        crps_days=_mean(np.array([each.crps_days for each in chosen])),
        compared=len(with_mean),
        model_mae_days=_mean(np.array([abs(each.error_days) for each, _mean_index in with_mean])),
        mean_mae_days=_mean(np.array([abs(mean - each.seen_index) for each, mean in with_mean])),
        verdict=verdict(hits, len(chosen), seasons),
    )


def _mean(values: FloatArray) -> float | None:
    return float(values.mean()) if values.size else None


def verdict(hits: int, count: int, seasons: int) -> str:
    """Whether bands are as wide as they say.

    Parameters
    ----------
    hits : int
        How often the band held what was seen.
    count : int
        Of how many.
    seasons : int
        From how many growing years.

    Returns
    -------
    str
        "few" where there is too little to judge by; "narrow" or "wide" where chance alone would hit so
        seldom or so often in under 1 of 20 cases; else "fits".

    Source
    ------
    own reasoning (tail of a binomial, exact).

    Examples
    --------
    >>> verdict(8, 10, 5), verdict(10, 30, 5), verdict(24, 30, 5), verdict(30, 30, 5)
    ('few', 'narrow', 'fits', 'wide')
    """
    if count < FEW or seasons < FEW_SEASONS:
        return "few"
    chances = [
        math.comb(count, k) * BAND_FRAC**k * (1.0 - BAND_FRAC) ** (count - k) for k in range(count + 1)
    ]
    if sum(chances[: hits + 1]) < UNLIKELY_PROB:
        return "narrow"
    return "wide" if sum(chances[hits:]) < UNLIKELY_PROB else "fits"
