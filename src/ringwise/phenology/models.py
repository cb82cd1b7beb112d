"""Models of the day on which a stage comes: pure functions of daily means, one registry.

A model takes rows of daily mean temperature (members by days) and vectors of thresholds (one value a
parameter draw) and gives day indices (members by draws), NaN where the stage is never reached.
"""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from ringwise.kit.errors import unknown_name
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.phenology.form import (
    ModelForm,
    Parameters,
    crossing,
    first_day,
    heat_above,
    of_draws,
    sigmoid,
    since,
    summed,
)
from ringwise.phenology.model_chill_heat import CHILL_HEAT_MODELS
from ringwise.phenology.model_daylength import DAYLENGTH_MODELS
from ringwise.phenology.model_phenoflex import PHENOFLEX_MODELS
from ringwise.phenology.model_unichill import UNICHILL_MODELS
from ringwise.phenology.sums import DailyMeans


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
    return crossing(days, thermal_sums(parameters, days)["heat"], of_draws(parameters, "heat"))


def thermal_sums(parameters: Parameters, days: DailyMeans) -> dict[str, FloatArray]:
    """Heat above the base from `start_day` on, summed day by day.

    Parameters
    ----------
    parameters : mapping
        As in `thermal_time`.
    days : DailyMeans
        Daily means.

    Returns
    -------
    dict of str to (draws, members, days) float
        Under "heat", in degree days.

    Source
    ------
    kalvans2015 (form).

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> days = daily_means(np.array([3.0, 7.0]), first_index=1, year=GrowingYear(2013))
    >>> drawn = {"start_day": np.array([1.0]), "base": np.array([5.0]), "heat": np.array([50.0])}
    >>> thermal_sums(drawn, days)["heat"].tolist()
    [[[0.0, 2.0]]]
    """
    return {"heat": heat_above(days, of_draws(parameters, "base"), of_draws(parameters, "start_day"))}


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
    return crossing(days, uniforc_sums(parameters, days)["forcing_days"], of_draws(parameters, "force"))


def uniforc_sums(parameters: Parameters, days: DailyMeans) -> dict[str, FloatArray]:
    """Forcing from `start_day` on, summed day by day.

    Parameters
    ----------
    parameters : mapping
        As in `uniforc`.
    days : DailyMeans
        Daily means.

    Returns
    -------
    dict of str to (draws, members, days) float
        Under "forcing_days".

    Source
    ------
    chuine2000.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> days = daily_means(np.full(2, 10.0), first_index=1, year=GrowingYear(2013))
    >>> drawn = {name: np.array([value]) for name, value in
    ...          {"start_day": 1.0, "slope": 1.0, "half": 10.0, "force": 5.0}.items()}
    >>> uniforc_sums(drawn, days)["forcing_days"].tolist()
    [[[0.5, 1.0]]]
    """
    rate = sigmoid(of_draws(parameters, "slope") * (of_draws(parameters, "half") - days.tmean_degC))
    return {"forcing_days": summed(days, rate, of_draws(parameters, "start_day"))}


def cool_run(parameters: Parameters, days: DailyMeans) -> FloatArray:
    """Autumn: the last day of the first run of cool days, by a running mean, from `start_day` on.

    Parameters
    ----------
    parameters : mapping
        `start_day` (day index), `window` and `run` (whole days, the same for all draws), `threshold`
        (degrees C).
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
    window, run = (int(np.ravel(parameters[name])[0]) for name in ("window", "run"))
    smooth = _trailing(days.tmean_degC, window) / window
    cool = smooth < of_draws(parameters, "threshold")
    counted = cool & since(days, of_draws(parameters, "start_day"))
    return first_day(days, _trailing(counted.astype(np.float64), run) >= run)


def _trailing(values: FloatArray, window: int) -> FloatArray:
    """Sum over each column and the `window` - 1 before it, along days; NaN until the window is full."""
    total = np.full_like(values, np.nan)
    total[..., window - 1 :] = sliding_window_view(values, window, axis=-1).sum(axis=-1)
    return total


# Every model that may time a stage. A new one stands in a module of its own that exports its forms.
MODELS: dict[str, ModelForm] = {
    **CHILL_HEAT_MODELS,
    "thermal_time": ModelForm(
        thermal_time, ("start_day", "base", "heat"), ("heat",), need="heat", sums=thermal_sums
    ),
    "uniforc": ModelForm(
        uniforc, ("start_day", "slope", "half", "force"), ("force",), need="force", sums=uniforc_sums
    ),
    "cool_run": ModelForm(
        cool_run, ("start_day", "window", "run", "threshold"), ("threshold",), need="threshold", falls=True
    ),
    **UNICHILL_MODELS,
    **DAYLENGTH_MODELS,
    **PHENOFLEX_MODELS,
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
