"""Models that read the length of the day: chill and daylength for spring, shortening days for autumn."""

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

GAUZERE, FAO56 = "gauzere", "fao56"  # the definition of daylength that a model was fitted with
_HALF_DAY_H = 12.0


def photoperiod_chill(parameters: Parameters, days: DailyMeans) -> FloatArray:
    """Sigmoid forcing, held back by short days as long as chill is missing, up to `force`.

    Parameters
    ----------
    parameters : mapping
        `start_day` (day index); `chill_base` (degrees C), `chill_half` (days), `chill_slope` (per day);
        `day_reach` (hours from 12), `day_slope` (per hour); `slope` (per degree C), `half` (degrees C),
        `force` (days).
    days : DailyMeans
        Daily means with a latitude.

    Returns
    -------
    (members, draws) float
        Day index, NaN where never reached.

    Raises
    ------
    MissingFieldError
        If the weather starts after `start_day`, or has no latitude.

    Source
    ------
    gauzere2017.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> mild = daily_means(np.full((1, 60), 5.0), first_index=1, year=GrowingYear(2013), latitude_deg=45.0)
    >>> one = {"start_day": 1.0, "chill_base": 6.0, "chill_half": 20.0, "chill_slope": -1.0,
    ...        "day_reach": 0.0, "day_slope": 0.0, "slope": 1.0, "half": 5.0, "force": 4.0}
    >>> photoperiod_chill({name: np.array([value]) for name, value in one.items()}, mild)  # 16 quarters
    array([[16.]])
    """
    return crossing(days, photoperiod_sums(parameters, days)["forcing_days"], of_draws(parameters, "force"))


def photoperiod_sums(parameters: Parameters, days: DailyMeans) -> dict[str, FloatArray]:
    """Chill days, and forcing as far as daylength and chill let it count, summed day by day.

    Parameters
    ----------
    parameters : mapping
        As in `photoperiod_chill`.
    days : DailyMeans
        Daily means with a latitude.

    Returns
    -------
    dict of str to (draws, members, days) float
        Under "chill_days" and "forcing_days".

    Raises
    ------
    MissingFieldError
        If the weather starts after `start_day`, or has no latitude.

    Source
    ------
    gauzere2017.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> mild = daily_means(np.full((1, 3), 5.0), first_index=1, year=GrowingYear(2013), latitude_deg=45.0)
    >>> one = {"start_day": 1.0, "chill_base": 6.0, "chill_half": 20.0, "chill_slope": -1.0,
    ...        "day_reach": 0.0, "day_slope": 0.0, "slope": 1.0, "half": 5.0, "force": 4.0}
    >>> photoperiod_sums({name: np.array([each]) for name, each in one.items()}, mild)["chill_days"].tolist()
    [[[1.0, 2.0, 3.0]]]
    """
    start = of_draws(parameters, "start_day")
    cold = days.tmean_degC < of_draws(parameters, "chill_base")
    chill = summed(days, days_where(days, cold), start)
    reach = of_draws(parameters, "day_reach")
    late = sigmoid(of_draws(parameters, "chill_slope") * (of_draws(parameters, "chill_half") - chill))
    day_half_h = _HALF_DAY_H - reach + 2.0 * reach * late
    open_frac = sigmoid(of_draws(parameters, "day_slope") * (day_half_h - days.daylength_h(GAUZERE)))
    warm = sigmoid(of_draws(parameters, "slope") * (of_draws(parameters, "half") - days.tmean_degC))
    return {"chill_days": chill, "forcing_days": summed(days, open_frac * warm, start)}


def delpierre(parameters: Parameters, days: DailyMeans) -> FloatArray:
    """Autumn: the day on which the sum of (base - T)^x (L / day_start)^y on short days is `cold_need`.

    Parameters
    ----------
    parameters : mapping
        `start_day` (day index, the longest day), `day_start` (hours: only shorter days count), `base`
        (degrees C: only colder days count), `warm_power` x, `day_power` y, `cold_need` (the sum).
    days : DailyMeans
        Daily means with a latitude.

    Returns
    -------
    (members, draws) float
        Day index, NaN where never reached.

    Raises
    ------
    MissingFieldError
        If the weather starts after `start_day`, or has no latitude.

    Source
    ------
    delpierre2009; medfate_manual (form with L / day_start).

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> cool = daily_means(np.full((1, 60), 18.0), first_index=201, year=GrowingYear(2013), latitude_deg=45.0)
    >>> one = {"start_day": 201.0, "day_start": 24.0, "base": 20.0, "warm_power": 2.0, "day_power": 0.0,
    ...        "cold_need": 40.0}
    >>> delpierre({name: np.array([value]) for name, value in one.items()}, cool)  # 4 a day
    array([[210.]])
    """
    total = autumn_sums(parameters, days)["cold_sum"]
    return crossing(days, total, of_draws(parameters, "cold_need"))


def autumn_sums(parameters: Parameters, days: DailyMeans) -> dict[str, FloatArray]:
    """Cold that counts towards autumn on short days, summed day by day.

    Parameters
    ----------
    parameters : mapping
        As in `delpierre`.
    days : DailyMeans
        Daily means with a latitude.

    Returns
    -------
    dict of str to (draws, members, days) float
        Under "cold_sum", in square degrees and days where x is 2.

    Raises
    ------
    MissingFieldError
        If the weather starts after `start_day`, or has no latitude.

    Source
    ------
    delpierre2009; medfate_manual.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> cool = daily_means(np.full((1, 2), 18.0), first_index=201, year=GrowingYear(2013), latitude_deg=45.0)
    >>> one = {"start_day": 201.0, "day_start": 24.0, "base": 20.0, "warm_power": 2.0, "day_power": 0.0}
    >>> sums = autumn_sums({name: np.array([value]) for name, value in one.items()}, cool)
    >>> sums["cold_sum"].tolist()
    [[[4.0, 8.0]]]
    """
    day_h, begin_h = days.daylength_h(FAO56), of_draws(parameters, "day_start")
    colder = np.maximum(of_draws(parameters, "base") - days.tmean_degC, 0.0)
    rate = colder ** of_draws(parameters, "warm_power")
    rate = np.where(colder > 0.0, rate, 0.0 * colder)  # a power of 0 must not count warm days
    shrunk = (day_h / begin_h) ** of_draws(parameters, "day_power")
    short = np.where(day_h < begin_h, shrunk, 0.0)
    total = summed(days, rate * short, of_draws(parameters, "start_day"))
    return {"cold_sum": total}


DAYLENGTH_MODELS: dict[str, ModelForm] = {
    "photoperiod_chill": ModelForm(
        photoperiod_chill,
        (
            "start_day",
            "chill_base",
            "chill_half",
            "chill_slope",
            "day_reach",
            "day_slope",
            "slope",
            "half",
            "force",
        ),
        ("force",),
        need="force",
        daylength=GAUZERE,
        sums=photoperiod_sums,
    ),
    "delpierre": ModelForm(
        delpierre,
        ("start_day", "day_start", "base", "warm_power", "day_power", "cold_need"),
        ("cold_need",),
        need="cold_need",
        daylength=FAO56,
        sums=autumn_sums,
    ),
}
