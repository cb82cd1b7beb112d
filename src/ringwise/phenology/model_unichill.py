"""Chill first, then forcing: the unified form with a bell of chill, and its form with a plain threshold."""

from __future__ import annotations

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.phenology.form import (
    ModelForm,
    Parameters,
    crossing,
    days_where,
    of_draws,
    sigmoid,
    summed,
)
from ringwise.phenology.sums import DailyMeans


def unichill(parameters: Parameters, days: DailyMeans) -> FloatArray:
    """Chill by 1 / (1 + exp(a (T - c)^2 + b (T - c))) up to `chill`, then sigmoid forcing up to `force`.

    Parameters
    ----------
    parameters : mapping
        `start_day` (day index), `chill_a`, `chill_b`, `chill_c` (per square degree, per degree, degrees
        C), `chill` (days), `slope` (per degree C), `half` (degrees C), `force` (days).
    days : DailyMeans
        Daily means.

    Returns
    -------
    (members, draws) float
        Day index, NaN where never reached. The day that completes the chill is the first that forces.

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
    >>> mild = daily_means(np.full((1, 60), 5.0), first_index=1, year=GrowingYear(2013))
    >>> one = {"start_day": 1.0, "chill_a": 0.0, "chill_b": 0.0, "chill_c": 5.0, "chill": 10.0,
    ...        "slope": 1.0, "half": 5.0, "force": 4.0}
    >>> unichill({name: np.array([value]) for name, value in one.items()}, mild)  # 20 halves, then 8
    array([[27.]])
    """
    return crossing(days, bell_sums(parameters, days)["forcing_days"], of_draws(parameters, "force"))


def unichill_threshold(parameters: Parameters, days: DailyMeans) -> FloatArray:
    """Days colder than `chill_base` up to `chill`, then sigmoid forcing up to `force`.

    Parameters
    ----------
    parameters : mapping
        `start_day` (day index), `chill_base` (degrees C), `chill` (days), `slope` (per degree C), `half`
        (degrees C), `force` (days).
    days : DailyMeans
        Daily means.

    Returns
    -------
    (members, draws) float
        Day index, NaN where never reached. The day that completes the chill is the first that forces.

    Raises
    ------
    MissingFieldError
        If the weather starts after `start_day`.

    Source
    ------
    gauzere2017 (threshold in place of the bell); chuine2000.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> mild = daily_means(np.full((1, 60), 5.0), first_index=1, year=GrowingYear(2013))
    >>> one = {"start_day": 1.0, "chill_base": 6.0, "chill": 10.0, "slope": 1.0, "half": 5.0, "force": 4.0}
    >>> unichill_threshold({name: np.array([value]) for name, value in one.items()}, mild)
    array([[17.]])
    """
    return crossing(days, threshold_sums(parameters, days)["forcing_days"], of_draws(parameters, "force"))


def bell_sums(parameters: Parameters, days: DailyMeans) -> dict[str, FloatArray]:
    """Chill by the bell, and the forcing that follows it, summed day by day.

    Parameters
    ----------
    parameters : mapping
        As in `unichill`.
    days : DailyMeans
        Daily means.

    Returns
    -------
    dict of str to (draws, members, days) float
        Under "chill_days" and "forcing_days".

    Source
    ------
    chuine2000.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> mild = daily_means(np.full((1, 3), 5.0), first_index=1, year=GrowingYear(2013))
    >>> one = {"start_day": 1.0, "chill_a": 0.0, "chill_b": 0.0, "chill_c": 5.0, "chill": 1.0,
    ...        "slope": 1.0, "half": 5.0, "force": 4.0}
    >>> bell_sums({name: np.array([value]) for name, value in one.items()}, mild)["chill_days"].tolist()
    [[[0.5, 1.0, 1.5]]]
    """
    beyond = days.tmean_degC - of_draws(parameters, "chill_c")
    rate = sigmoid(of_draws(parameters, "chill_a") * beyond**2 + of_draws(parameters, "chill_b") * beyond)
    return _then_forced(parameters, days, rate)


def threshold_sums(parameters: Parameters, days: DailyMeans) -> dict[str, FloatArray]:
    """Days below the threshold, and the forcing that follows them, summed day by day.

    Parameters
    ----------
    parameters : mapping
        As in `unichill_threshold`.
    days : DailyMeans
        Daily means.

    Returns
    -------
    dict of str to (draws, members, days) float
        Under "chill_days" and "forcing_days".

    Source
    ------
    gauzere2017.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> mild = daily_means(np.full((1, 3), 5.0), first_index=1, year=GrowingYear(2013))
    >>> one = {"start_day": 1.0, "chill_base": 6.0, "chill": 2.0, "slope": 1.0, "half": 5.0, "force": 4.0}
    >>> sums = threshold_sums({name: np.array([value]) for name, value in one.items()}, mild)
    >>> sums["forcing_days"].tolist()
    [[[0.0, 0.5, 1.0]]]
    """
    cold = days.tmean_degC < of_draws(parameters, "chill_base")
    return _then_forced(parameters, days, days_where(days, cold))


def _then_forced(parameters: Parameters, days: DailyMeans, chill_rate: FloatArray) -> dict[str, FloatArray]:
    start = of_draws(parameters, "start_day")
    chill = summed(days, chill_rate, start)
    rate = sigmoid(of_draws(parameters, "slope") * (of_draws(parameters, "half") - days.tmean_degC))
    # A missing day makes the chill missing from then on, which is never enough.
    forcing = summed(days, np.where(chill >= of_draws(parameters, "chill"), rate, 0.0), start)
    return {"chill_days": chill, "forcing_days": forcing}


_FORCING = ("slope", "half", "force")
UNICHILL_MODELS: dict[str, ModelForm] = {
    "unichill": ModelForm(
        unichill,
        ("start_day", "chill_a", "chill_b", "chill_c", "chill", *_FORCING),
        ("force",),
        need="force",
        instead="unichill_threshold",
        sums=bell_sums,
    ),
    "unichill_threshold": ModelForm(
        unichill_threshold,
        ("start_day", "chill_base", "chill", *_FORCING),
        ("force",),
        need="force",
        sums=threshold_sums,
    ),
}
