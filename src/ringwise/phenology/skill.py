"""How well fitted models do on seasons that they have not seen, and how much each is then trusted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ringwise.kit.errors import MissingFieldError
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.phenology.fit import Sightings, days_of, distance_days, fit
from ringwise.phenology.search import Search
from ringwise.phenology.seen import variation
from ringwise.phenology.sums import DailyMeans

MEAN = "mean"  # the plain mean of the other seasons, always scored beside the models


@dataclass(frozen=True)
class Skill:
    """Errors on seasons left out: of a model, and of the mean of the other seasons, in days."""

    model: str
    rmse_days: float
    mean_rmse_days: float
    seasons: int

    @property
    def beats_the_mean(self) -> bool:
        """Whether the model was closer than the mean."""
        return self.rmse_days < self.mean_rmse_days


def left_out(model_name: str, days: DailyMeans, seen: Sightings, search: Search) -> Skill:
    """Fit without each season in turn, and compare that season's model day with what was seen.

    Parameters
    ----------
    model_name : str
        A model that can be fitted.
    days : DailyMeans
        One row a season.
    seen : Sightings
        Of every season; open intervals count by how far a day lies outside them.
    search : Search
        Seed and effort of each fit.

    Returns
    -------
    Skill
        Of the model and of the mean day.

    Raises
    ------
    MissingFieldError
        If too few seasons remain for a fit.

    Source
    ------
    own reasoning (leave one season out).

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.fit import seen_on
    >>> from ringwise.phenology.sums import daily_means
    >>> wave = 8.0 - 10.0 * np.cos(2 * np.pi * (np.arange(366) - 76) / 365)
    >>> days = daily_means(wave + np.arange(5.0)[:, None], first_index=-60, year=GrowingYear(2013))
    >>> seen = seen_on(np.arange(5), np.array([120.0, 111.0, 101.0, 91.0, 80.0]))
    >>> left_out("thermal_time", days, seen, Search(7, population=24)).beats_the_mean
    True
    """
    seasons = np.unique(seen.season)
    model_errors, mean_errors = [], []
    for each in seasons:
        out = seen.season == each
        taught, asked = seen.of(~out), seen.of(out)
        values = fit(model_name, days, taught, search).values
        model_errors.append(distance_days(days_of(model_name, values, days)[:, None][asked.season], asked))
        usual = np.full((asked.season.size, 1), _middle(taught))
        mean_errors.append(distance_days(usual, asked))
    return Skill(model_name, _root(model_errors), _root(mean_errors), seasons.size)


def _middle(seen: Sightings) -> float:
    """Mean day of the intervals that are closed on both sides."""
    closed = np.isfinite(seen.low_index) & np.isfinite(seen.high_index)
    if not closed.any():
        raise MissingFieldError(_("no season was seen from both sides; a mean day needs at least one."))
    return float(((seen.low_index + 1.0 + seen.high_index) / 2.0)[closed].mean())


def _root(errors: list[FloatArray]) -> float:
    return float(np.sqrt((np.concatenate(errors) ** 2).mean()))


def weights(rmse_days: Mapping[str, float], *, mean_rmse_days: float, seasons: int) -> dict[str, float]:
    """How much each model, and the mean day beside them, is trusted.

    Parameters
    ----------
    rmse_days : mapping of str to float
        Errors on seasons left out, by model.
    mean_rmse_days : float
        The same of the mean of the other seasons.
    seasons : int
        How many seasons the errors stand on.

    Returns
    -------
    dict of str to float
        Weights that sum to 1, with the mean under "mean". Inverse squared errors, shrunk to equal weights
        by the row any.weight_seasons; a model that does not beat the mean gets at most the row
        any.beaten_weight. So does the mean once the best model beats it, and no more than its errors earn
        without the shrinkage. What is lost so goes to the others by their weights.

    Raises
    ------
    MissingFieldError
        If no model is given.

    Source
    ------
    own reasoning; rows of variation.csv.

    Examples
    --------
    >>> told = weights({"menzel": 3.0, "uniforc": 3.0}, mean_rmse_days=6.0, seasons=12)
    >>> round(told["menzel"] - told["uniforc"], 9), told["menzel"] > told["mean"] > 0
    (0.0, True)
    """
    if not rmse_days:
        raise MissingFieldError(_("there is no model to weigh. Name at least one."))
    errors = {**rmse_days, MEAN: mean_rmse_days}
    trusted = seasons / (seasons + variation().get("any", "weight_seasons").number)
    precision = np.array([1.0 / max(error, _LEAST_DAYS) ** 2 for error in errors.values()])
    earned = precision / precision.sum()
    shares = trusted * earned + (1.0 - trusted) / precision.size
    most = np.full(precision.size, variation().get("any", "beaten_weight").number)
    most[-1] = min(most[-1], earned[-1])  # the mean, beaten: shrinkage to equal would widen every band by it
    best = min(rmse_days.values())
    beaten = np.array([*(error >= mean_rmse_days for error in rmse_days.values()), best < mean_rmse_days])
    held = np.where(beaten, np.minimum(shares, most), shares)
    held[~beaten] *= (1.0 - held[beaten].sum()) / held[~beaten].sum()
    return dict(zip(errors, held.tolist(), strict=True))


_LEAST_DAYS = 0.5  # days are whole: no model is trusted as if it knew the hour
