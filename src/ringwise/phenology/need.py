"""What a model needs, fitted to own seasons: one number, found along its sums with the rest held."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.phenology.form import ModelForm, Parameters
from ringwise.phenology.skill import Skill
from ringwise.phenology.sums import DailyMeans

MOST_TRIED = 257  # needs tried: more lie closer together than a day's warmth
_SUMS = ("heat", "forcing_days", "warm_hours", "cold_sum")


@dataclass(frozen=True)
class Curves:
    """How far a model had come on each day, (sightings, days), and the day index of the first column.

    The stage is the first day on which a curve reaches the need. `seasons` (sightings,) tells the growing
    year of each, `seen_index` the day on which the stage was seen.
    """

    level: FloatArray
    first_index: int
    seasons: IntArray
    seen_index: FloatArray

    @property
    def usable(self) -> BoolArray:
        """Which sightings lie on known weather."""
        at = np.ceil(self.seen_index).astype(np.int64) - self.first_index
        inside = (at >= 1) & (at < self.level.shape[1])
        held = np.clip(at, 0, self.level.shape[1] - 1)
        known: BoolArray = inside & np.isfinite(self.level[np.arange(held.size), held])
        return known


@dataclass(frozen=True)
class Need:
    """A need fitted to all seasons, and the errors with each season left out."""

    value: float
    skill: Skill


def levels(form: ModelForm, parameters: Parameters, days: DailyMeans) -> FloatArray:
    """How far a model comes day by day, on the scale of what it needs.

    Parameters
    ----------
    form : ModelForm
        A model with running sums.
    parameters : mapping
        One value each; the need's own value does not matter.
    days : DailyMeans
        A row a season.

    Returns
    -------
    (seasons, days) float
        Never falling; missing after a missing day, minus infinity before the model may meet its need.

    Source
    ------
    own reasoning: in every form the need is a number that a sum must reach, or is added to one.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.models import model
    >>> from ringwise.phenology.sums import daily_means
    >>> days = daily_means(np.array([3.0, 7.0, 9.0]), first_index=1, year=GrowingYear(2013))
    >>> rows = {"start_day": np.array([1.0]), "base": np.array([5.0]), "heat": np.array([50.0])}
    >>> levels(model("thermal_time"), rows, days).tolist()
    [[0.0, 2.0, 6.0]]
    """
    sums = form.sums(parameters, days) if form.sums is not None else {}
    level = next(sums[name] for name in _SUMS if name in sums)[0]
    if "needed" in sums:
        level = level - sums["needed"][0] + float(np.ravel(parameters[form.need])[0])
        level = np.where(days.since(days.heat_index), level, -np.inf)
    risen: FloatArray = np.maximum.accumulate(level, axis=1)
    return risen


def days_at(curves: Curves, needs: FloatArray) -> FloatArray:
    """The day on which each curve reaches each need.

    Parameters
    ----------
    curves : Curves
        Of the sightings.
    needs : (n,) float
        What must be reached.

    Returns
    -------
    (sightings, n) float
        Day indices; one never reached is the day after the last.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> rising = Curves(np.array([[0.0, 2.0, 6.0]]), 1, np.array([2026]), np.array([2.0]))
    >>> days_at(rising, np.array([2.0, 7.0])).tolist()
    [[2.0, 4.0]]
    """
    place = np.stack([np.searchsorted(row, needs, side="left") for row in curves.level])
    return place.astype(np.float64) + curves.first_index


def fitted_need(name: str, curves: Curves) -> Need:
    """The need with the least squared errors, and how it does on seasons that it was not fitted to.

    Parameters
    ----------
    name : str
        The model, for the score's name.
    curves : Curves
        Usable sightings of two seasons or more.

    Returns
    -------
    Need
        Seasons count alike, however many trees were seen in each.

    Source
    ------
    own reasoning: the error changes only where a need passes a curve's value on a day, so the values on the
    days seen, and the middles between them, are tried.

    Examples
    --------
    >>> rising = np.cumsum(np.full((3, 60), 5.0), axis=1)
    >>> seen = Curves(rising, 1, np.array([2024, 2025, 2026]), np.array([40.0, 40.0, 40.0]))
    >>> need = fitted_need("thermal_time", seen)
    >>> bool(195.0 < need.value <= 200.0), need.skill.rmse_days
    (True, 0.0)
    """
    tried = _tried(curves)
    errors = days_at(curves, tried) - curves.seen_index[:, None]
    labels, season, count = np.unique(curves.seasons, return_inverse=True, return_counts=True)
    squares = np.zeros((labels.size, tried.size))
    np.add.at(squares, season, errors**2 / count[season][:, None])
    best = [_least(squares.sum(axis=0) - row) for row in squares]
    left_out = float(np.sqrt(np.mean([row[at] for row, at in zip(squares, best, strict=True)])))
    skill = Skill(name, left_out, mean_error(curves.seen_index, curves.seasons), labels.size)
    return Need(float(tried[_least(squares.sum(axis=0))]), skill)


def mean_error(values: FloatArray, seasons: IntArray) -> float:
    """How far the mean of the other seasons lies from each season.

    Parameters
    ----------
    values : (n,) float
        Days.
    seasons : (n,) int
        The season of each; two seasons or more.

    Returns
    -------
    float
        Root of the mean square, seasons counted alike.

    Source
    ------
    own reasoning (leave one season out).

    Examples
    --------
    >>> mean_error(np.array([90.0, 96.0]), np.array([2025, 2026]))
    6.0
    """
    labels, season, count = np.unique(seasons, return_inverse=True, return_counts=True)
    means = np.bincount(season, values / count[season])
    others = (means.sum() - means) / (labels.size - 1)
    within = (values - others[season]) ** 2 / count[season]
    return float(np.sqrt(within.sum() / labels.size))


def _tried(curves: Curves) -> FloatArray:
    at = np.floor(curves.seen_index).astype(np.int64) - curves.first_index
    rows = np.arange(at.size)
    held = np.concatenate([curves.level[rows, at + step] for step in (-1, 0, 1)])
    known = np.unique(held[np.isfinite(held)])
    tried = np.unique(np.concatenate([known, (known[1:] + known[:-1]) / 2.0]))
    if tried.size > MOST_TRIED:
        tried = np.quantile(tried, np.linspace(0.0, 1.0, MOST_TRIED))
    return tried


def _least(squares: FloatArray) -> int:
    """The middle one of the needs that do equally well."""
    least = np.flatnonzero(squares <= squares.min() + 1e-9)
    return int(least[least.size // 2])
