"""Models of the day on which a stage comes: pure functions of daily means, one registry.

A model takes rows of daily mean temperature (members by days) and vectors of thresholds (one value a
parameter draw) and gives day indices (members by draws), NaN where the stage is never reached.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from ringwise.kit.errors import unknown_name
from ringwise.kit.types import BoolArray, FloatArray
from ringwise.kit.words import _
from ringwise.phenology.sums import DailyMeans, chill_days, forcing_sum, heat_sum

Parameters = Mapping[str, FloatArray]


def _scalar(parameters: Parameters, name: str) -> float:
    return float(np.ravel(parameters[name])[0])


def _first_day(days: DailyMeans, reached: BoolArray) -> FloatArray:
    """Day index of the first column where each member and draw has reached its need; NaN where none has."""
    first = reached.argmax(axis=1)
    return np.where(reached.any(axis=1), days.days_index[first], np.nan)


def _crossing(days: DailyMeans, total: FloatArray, need: FloatArray) -> FloatArray:
    """First day on which a running sum reaches each of many needs."""
    place = np.stack([np.searchsorted(row, need, side="left") for row in total])
    last = total.shape[1] - 1
    inside = np.minimum(place, last)
    reached = np.take_along_axis(total, inside, axis=1) >= need
    return np.where(reached, days.days_index[inside], np.nan)


def thermal_time(parameters: Parameters, days: DailyMeans) -> FloatArray:
    """Spring warming: the day on which the heat summed from `start_day` reaches `heat`.

    Parameters
    ----------
    parameters : mapping
        `start_day` (day index), `base` (degrees C), `heat` (degree days, one value a draw).
    days : DailyMeans
        Daily means; a missing day after the last known one is never reached.

    Returns
    -------
    (members, draws) float
        Day index, NaN where never reached.

    Raises
    ------
    MissingFieldError
        If the weather starts after `start_day`.

    Source
    ------
    kalvans2015 (form).

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> warm = daily_means(np.full((1, 40), 10.0), first_index=1, year=GrowingYear(2013))
    >>> thermal_time({"start_day": np.array([1.0]), "base": np.array([5.0]), "heat": np.array([50.0])}, warm)
    array([[10.]])
    """
    start = _scalar(parameters, "start_day")
    total = heat_sum(days, base_degC=_scalar(parameters, "base"), from_index=start)
    return _crossing(days, total, np.atleast_1d(parameters["heat"]))


def uniforc(parameters: Parameters, days: DailyMeans) -> FloatArray:
    """Sigmoid forcing: the day on which the sum of 1 / (1 + exp(-slope (T - half))) reaches `force`.

    Parameters
    ----------
    parameters : mapping
        `start_day` (day index), `slope` (per degree C), `half` (degrees C), `force` (one value a draw).
    days : DailyMeans
        Daily means.

    Returns
    -------
    (members, draws) float
        Day index, NaN where never reached.

    Raises
    ------
    MissingFieldError
        If the weather starts after `start_day`.

    Source
    ------
    chuine2000.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> warm = daily_means(np.full((1, 40), 10.0), first_index=1, year=GrowingYear(2013))
    >>> uniforc({"start_day": np.array([1.0]), "slope": np.array([1.0]), "half": np.array([10.0]),
    ...          "force": np.array([5.0])}, warm)
    array([[10.]])
    """
    start = _scalar(parameters, "start_day")
    slope, half = _scalar(parameters, "slope"), _scalar(parameters, "half")
    total = forcing_sum(days, slope_factor=slope, half_degC=half, from_index=start)
    return _crossing(days, total, np.atleast_1d(parameters["force"]))


def menzel(parameters: Parameters, days: DailyMeans) -> FloatArray:
    """Chill days and heat: the day on which heat reaches a + b ln(chill days), a where no day was cold.

    Parameters
    ----------
    parameters : mapping
        `chill_base`, `heat_base` (degrees C), `a` and `b` (degree days, one value a draw).
    days : DailyMeans
        Daily means from the start of the growing year.

    Returns
    -------
    (members, draws) float
        Day index, NaN where never reached.

    Raises
    ------
    MissingFieldError
        If the weather starts after the growing year.

    Source
    ------
    menzel1997; vegperiod040.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> mild = daily_means(np.full((1, 400), 10.0), first_index=-60, year=GrowingYear(2013))
    >>> menzel({"chill_base": np.array([5.0]), "heat_base": np.array([5.0]), "a": np.array([50.0]),
    ...         "b": np.array([-5.0])}, mild)
    array([[41.]])
    """
    chill = chill_days(days, base_degC=_scalar(parameters, "chill_base"))
    heat = heat_sum(days, base_degC=_scalar(parameters, "heat_base"), from_index=days.heat_index)
    log_chill = np.log(np.maximum(chill, 1.0))
    a, b = np.atleast_1d(parameters["a"]), np.atleast_1d(parameters["b"])
    return _met(days, heat, a[None, None, :] + b[None, None, :] * log_chill[:, :, None])


def _met(days: DailyMeans, heat: FloatArray, need: FloatArray) -> FloatArray:
    """First day from the heat start on which the heat meets a need that differs by day and draw."""
    started = days.since(days.heat_index)[None, :, None]
    return _first_day(days, (heat[:, :, None] >= need) & started)


def chill_exponential(parameters: Parameters, days: DailyMeans) -> FloatArray:
    """Alternating form: the day on which heat reaches a + b exp(c chill days).

    Parameters
    ----------
    parameters : mapping
        `chill_base`, `heat_base` (degrees C), `a` and `b` (degree days, one value a draw), `c` (a chill day).
    days : DailyMeans
        Daily means from the start of the growing year.

    Returns
    -------
    (members, draws) float
        Day index, NaN where never reached.

    Raises
    ------
    MissingFieldError
        If the weather starts after the growing year.

    Source
    ------
    cannell_smith1983.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> mild = daily_means(np.full((1, 400), 10.0), first_index=-60, year=GrowingYear(2013))
    >>> chill_exponential({"chill_base": np.array([5.0]), "heat_base": np.array([5.0]),
    ...     "a": np.array([0.0]), "b": np.array([50.0]), "c": np.array([-0.01])}, mild)
    array([[41.]])
    """
    chill = chill_days(days, base_degC=_scalar(parameters, "chill_base"))
    heat = heat_sum(days, base_degC=_scalar(parameters, "heat_base"), from_index=days.heat_index)
    decay = np.exp(_scalar(parameters, "c") * chill)
    a, b = np.atleast_1d(parameters["a"]), np.atleast_1d(parameters["b"])
    return _met(days, heat, a[None, None, :] + b[None, None, :] * decay[:, :, None])


def cool_run(parameters: Parameters, days: DailyMeans) -> FloatArray:
    """Autumn: the last day of the first run of cool days, by a running mean, from `start_day` on.

    Parameters
    ----------
    parameters : mapping
        `start_day` (day index), `window` and `run` (days), `threshold` (degrees C, one value a draw).
    days : DailyMeans
        Daily means.

    Returns
    -------
    (members, draws) float
        Day index, NaN where never reached.

    Source
    ------
    vegperiod040 (rule for the end of the vegetation period, without its latest day).

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> cold = daily_means(np.r_[np.full(20, 15.0), np.full(20, 5.0)], first_index=1, year=GrowingYear(2013))
    >>> cool_run({"start_day": np.array([1.0]), "window": np.array([7.0]), "run": np.array([5.0]),
    ...           "threshold": np.array([10.0])}, cold)
    array([[28.]])
    """
    window, run = int(_scalar(parameters, "window")), int(_scalar(parameters, "run"))
    smooth = _trailing(days.tmean_degC, window) / window
    cool = smooth[:, :, None] < np.atleast_1d(parameters["threshold"])[None, None, :]
    counted = cool & days.since(_scalar(parameters, "start_day"))[None, :, None]
    return _first_day(days, _trailing(counted.astype(np.float64), run) >= run)


def _trailing(values: FloatArray, window: int) -> FloatArray:
    """Sum over each column and the `window` - 1 before it along axis 1; NaN until the window is full."""
    summed = np.full_like(values, np.nan)
    summed[:, window - 1 :] = sliding_window_view(values, window, axis=1).sum(axis=-1)
    return summed


Model = Callable[[Parameters, DailyMeans], FloatArray]


@dataclass(frozen=True)
class ModelForm:
    """A model: its function, the names of its parameters, and which of them differ between draws."""

    run: Model
    needs: tuple[str, ...]
    drawn: tuple[str, ...]


MODELS: dict[str, ModelForm] = {
    "menzel": ModelForm(menzel, ("chill_base", "heat_base", "a", "b"), ("a", "b")),
    "thermal_time": ModelForm(thermal_time, ("start_day", "base", "heat"), ("heat",)),
    "uniforc": ModelForm(uniforc, ("start_day", "slope", "half", "force"), ("force",)),
    "chill_exponential": ModelForm(chill_exponential, ("chill_base", "heat_base", "a", "b", "c"), ("a", "b")),
    "cool_run": ModelForm(cool_run, ("start_day", "window", "run", "threshold"), ("threshold",)),
}


def model(name: str) -> ModelForm:
    """The model with a name.

    Parameters
    ----------
    name : str
        A key of `MODELS`.

    Returns
    -------
    ModelForm
        Its function and parameters.

    Raises
    ------
    UnknownNameError
        If there is no such model.

    Source
    ------
    own reasoning (registry).

    Examples
    --------
    >>> model("thermal_time").needs
    ('start_day', 'base', 'heat')
    """
    if name not in MODELS:
        raise unknown_name(_("phenology model"), name, MODELS)
    return MODELS[name]
