"""Fitting a model to days that were seen: bounded global search over all seasons at once."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from ringwise.kit.errors import MissingFieldError, unknown_name
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray, IntArray
from ringwise.kit.words import _
from ringwise.phenology.choice import ROOM
from ringwise.phenology.form import ModelForm
from ringwise.phenology.models import model
from ringwise.phenology.search import Search, least
from ringwise.phenology.sums import DailyMeans

ERROR_SD = "error_sd"  # the row that bounds the spread of errors, searched along where intervals are wide
CELLS = 200_000  # days x seasons x points laid out at once: what a processor's cache holds
DAYS_AFTER = 60  # weather kept beyond the last day seen
FEWEST_SEASONS = 3


@dataclass(frozen=True)
class Sightings:
    """Days seen: for each, the row of its season in the weather, and the interval (low, high] it lies in.

    A day known exactly lies in (day - 1, day]; a season in which it was not there yet when last looked has an
    infinite `high_index`.
    """

    season: IntArray
    low_index: FloatArray
    high_index: FloatArray

    @property
    def exact(self) -> bool:
        """Whether every day is known to the day."""
        return bool((self.high_index - self.low_index == 1.0).all())

    def of(self, kept: FloatArray | IntArray) -> Sightings:
        """Those chosen by a mask or by places."""
        return Sightings(self.season[kept], self.low_index[kept], self.high_index[kept])


@dataclass(frozen=True)
class Fit:
    """Fitted parameters with the record of the search that found them.

    `rmse_days` is the distance of the model's days from the intervals seen; it flatters: see `left_out`.
    `error_sd_days` is None where days are exact and squares were made least.
    """

    model: str
    values: Mapping[str, float]
    rmse_days: float
    error_sd_days: float | None
    search: Search
    generations: int
    tried: int
    settled: bool
    held: Mapping[str, float] = field(default_factory=dict)


def seen_on(season: IntArray, day_index: FloatArray) -> Sightings:
    """Sightings of days that are known to the day.

    Parameters
    ----------
    season : (n,) int
        Row of each in the weather.
    day_index : (n,) float
        Day index of each.

    Returns
    -------
    Sightings
        With intervals of one day.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> seen_on(np.array([0]), np.array([100.0])).exact
    True
    """
    day = np.asarray(day_index, dtype=np.float64)
    return Sightings(np.asarray(season, dtype=np.int64), day - 1.0, day)


def fit(
    model_name: str,
    days: DailyMeans,
    seen: Sightings,
    search: Search,
    *,
    held: Mapping[str, float] | None = None,
) -> Fit:
    """The parameters of a model that agree best with the days seen.

    Parameters
    ----------
    model_name : str
        A model with search ranges in the table `search_ranges`.
    days : DailyMeans
        One row a season; seasons seen on many trees are run once.
    seen : Sightings
        Exact days: least squares. Wider intervals: the largest chance of the intervals, errors logistic
        (close to normal, with tails that one wrong date does not pull).
    search : Search
        Seed and effort.
    held : mapping of str to float, optional
        Parameters kept at a value.

    Returns
    -------
    Fit
        The same for the same seed.

    Raises
    ------
    MissingFieldError
        If fewer than `FEWEST_SEASONS` seasons were seen.
    UnknownNameError
        If the model has no search ranges.

    Source
    ------
    own reasoning; search: storn_price1997.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> wave = 8.0 - 10.0 * np.cos(2 * np.pi * (np.arange(366) - 76) / 365)
    >>> days = daily_means(wave + np.arange(4.0)[:, None], first_index=-60, year=GrowingYear(2013))
    >>> seen = seen_on(np.arange(4), np.array([120.0, 111.0, 101.0, 91.0]))
    >>> fit("thermal_time", days, seen, Search(7, population=32)).rmse_days < 1.0
    True
    """
    form, kept = model(model_name), dict(held or {})
    if np.unique(seen.season).size < FEWEST_SEASONS:
        raise MissingFieldError(
            _("{seen} seasons were seen; a fit needs at least {need}. Keep to the published rows.").format(
                seen=np.unique(seen.season).size, need=FEWEST_SEASONS
            )
        )
    names = [name for name in form.needs if name not in kept]
    searched = names if seen.exact else [*names, ERROR_SD]
    bounds = np.array([search_range(model_name, name) for name in searched]).T
    if "start_day" in searched:
        bounds[:, searched.index("start_day")] = np.maximum(
            bounds[:, searched.index("start_day")], days.first_index
        )
    near, told = _looked_at(days, seen)

    def loss(points: FloatArray) -> FloatArray:
        modelled = _modelled(form, names, kept, points, near)[told.season]
        if seen.exact:
            return np.asarray((distance_days(modelled, told) ** 2).mean(axis=0))
        return _surprise(modelled, told, points[:, -1])

    found = least(loss, bounds[0], bounds[1], search)
    values = dict(zip(searched, found.point.tolist(), strict=True))
    sd_days = values.pop(ERROR_SD, None)
    values = {name: kept.get(name, values.get(name, math.nan)) for name in form.needs}
    return Fit(
        model_name,
        values,
        rmse_days(model_name, values, days, seen),
        sd_days,
        search,
        found.generations,
        found.tried,
        found.settled,
        kept,
    )


def search_range(model_name: str, name: str) -> tuple[float, float]:
    """The bounds between which a parameter is searched.

    Parameters
    ----------
    model_name, name : str
        Model and parameter.

    Returns
    -------
    tuple of float
        Lower and upper bound.

    Raises
    ------
    UnknownNameError
        If the model is not one that is fitted.

    Source
    ------
    rows of search_ranges.csv.

    Examples
    --------
    >>> search_range("uniforc", "force")
    (0.0, 200.0)
    """
    table = load_table(ROOM, "search_ranges")
    if not table.has(model_name, name) and name != ERROR_SD:
        known = sorted({key for key in table.keys() if key != "any"})  # noqa: SIM118 - rows, not keys
        raise unknown_name(_("model with search ranges"), model_name, known)
    row = table.first((model_name, "any"), name)
    return (row.number if row.low is None else row.low, row.number if row.high is None else row.high)


def rmse_days(model_name: str, values: Mapping[str, float], days: DailyMeans, seen: Sightings) -> float:
    """How far a model's days lie from the intervals seen, as a root of mean squares.

    Parameters
    ----------
    model_name : str
        The model.
    values : mapping of str to float
        Its parameters.
    days : DailyMeans
        One row a season.
    seen : Sightings
        What was seen.

    Returns
    -------
    float
        In days; a day never reached counts as the day after the last of the weather.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> warm = daily_means(np.full((1, 40), 10.0), first_index=1, year=GrowingYear(2013))
    >>> seen = seen_on(np.zeros(2, int), np.array([9.0, 11.0]))
    >>> rmse_days("thermal_time", {"start_day": 1.0, "base": 5.0, "heat": 50.0}, warm, seen)
    1.0
    """
    modelled = days_of(model_name, values, days)[:, None][seen.season]
    return float(np.sqrt((distance_days(modelled, seen) ** 2).mean()))


def days_of(model_name: str, values: Mapping[str, float], days: DailyMeans) -> FloatArray:
    """A model's day in each season; one never reached is the day after the last of the weather.

    Parameters
    ----------
    model_name : str
        The model.
    values : mapping of str to float
        Its parameters.
    days : DailyMeans
        One row a season.

    Returns
    -------
    (seasons,) float
        Day indices.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> warm = daily_means(np.full((1, 40), 10.0), first_index=1, year=GrowingYear(2013))
    >>> days_of("thermal_time", {"start_day": 1.0, "base": 5.0, "heat": 1e6}, warm).tolist()
    [41.0]
    """
    found = model(model_name).run({name: np.array([value]) for name, value in values.items()}, days)[:, 0]
    return np.where(np.isnan(found), days.first_index + days.tmean_degC.shape[1], found)


def _looked_at(days: DailyMeans, seen: Sightings) -> tuple[DailyMeans, Sightings]:
    """The seasons that were seen, each once, and the days up to a while after the last sighting."""
    rows, season = np.unique(seen.season, return_inverse=True)
    last = float(
        max(seen.high_index[np.isfinite(seen.high_index)].max(initial=-np.inf), seen.low_index.max())
    )
    columns = int(min(last + DAYS_AFTER - days.first_index, days.tmean_degC.shape[1]))
    return days.part(rows, columns), replace(seen, season=season.astype(np.int64))


def _modelled(
    form: ModelForm, names: list[str], held: Mapping[str, float], points: FloatArray, days: DailyMeans
) -> FloatArray:
    """Days (seasons, points) of the model, the day after the last where it is never reached."""
    block = max(1, CELLS // days.tmean_degC.size)
    kept = {name: np.array([value]) for name, value in held.items()}
    parts = []
    for start in range(0, points.shape[0], block):
        part = points[start : start + block]
        parts.append(form.run(kept | {name: part[:, k] for k, name in enumerate(names)}, days))
    found = np.concatenate(parts, axis=1)
    return np.where(np.isnan(found), days.first_index + days.tmean_degC.shape[1], found)


def distance_days(modelled: FloatArray, seen: Sightings) -> FloatArray:
    """How many days lie between modelled days and the intervals seen.

    Parameters
    ----------
    modelled : (sightings, points) float
        Whole day indices.
    seen : Sightings
        The intervals.

    Returns
    -------
    (sightings, points) float
        0 inside the interval.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> span = Sightings(np.zeros(1, int), np.array([99.0]), np.array([103.0]))  # day 100 to 103
    >>> distance_days(np.array([[98.0, 100.0, 103.0, 105.0]]), span).tolist()
    [[2.0, 0.0, 0.0, 2.0]]
    """
    early = np.maximum(seen.low_index[:, None] + 1.0 - modelled, 0.0)
    late = np.maximum(modelled - seen.high_index[:, None], 0.0)
    return early + late


def _surprise(modelled: FloatArray, seen: Sightings, sd_days: FloatArray) -> FloatArray:
    """Mean of minus the logarithm of the chance of each interval, by point."""
    scale = sd_days * math.sqrt(3.0) / math.pi  # of a logistic with this standard deviation
    low = (seen.low_index[:, None] + 0.5 - modelled) / scale
    high = (seen.high_index[:, None] + 0.5 - modelled) / scale
    width = (seen.high_index - seen.low_index)[:, None] / scale
    # log(F(high) - F(low)) with F the logistic, written so that neither tail loses its digits
    chance_log = np.log(-np.expm1(-width)) - np.logaddexp(0.0, low) - np.logaddexp(0.0, -high)
    return np.asarray(-chance_log.mean(axis=0))
