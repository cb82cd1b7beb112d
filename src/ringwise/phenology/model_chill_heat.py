"""Chill against heat: the more cold days a winter had, the less heat the spring needs."""

from __future__ import annotations

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.phenology.form import ModelForm, Parameters, days_where, first_day, heat_above, of_draws, summed
from ringwise.phenology.sums import DailyMeans


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
    return _met(days, menzel_sums(parameters, days))


def menzel_sums(parameters: Parameters, days: DailyMeans) -> dict[str, FloatArray]:
    """Chill days, heat, and the heat needed after so much chill, day by day.

    Parameters
    ----------
    parameters : mapping
        As in `menzel`.
    days : DailyMeans
        Daily means from the start of the growing year.

    Returns
    -------
    dict of str to (draws, members, days) float
        Under "chill_days", "heat" and "needed".

    Source
    ------
    menzel1997; vegperiod040.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> days = daily_means(np.array([3.0, 7.0, 9.0]), first_index=-60, year=GrowingYear(2013))
    >>> drawn = {name: np.array([value]) for name, value in
    ...          {"chill_base": 7.0, "heat_base": 3.0, "a": 50.0, "b": -5.0}.items()}
    >>> menzel_sums(drawn, days)["chill_days"].tolist()
    [[[1.0, 2.0, 2.0]]]
    """
    chill = _chill(parameters, days)
    log_chill = np.log(np.maximum(chill, 1.0))
    need = of_draws(parameters, "a") + of_draws(parameters, "b") * log_chill
    return {"chill_days": chill, "heat": _spring_heat(parameters, days), "needed": need}


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
    return _met(days, exponential_sums(parameters, days))


def exponential_sums(parameters: Parameters, days: DailyMeans) -> dict[str, FloatArray]:
    """Chill days, heat, and the heat needed after so much chill, day by day.

    Parameters
    ----------
    parameters : mapping
        As in `chill_exponential`.
    days : DailyMeans
        Daily means from the start of the growing year.

    Returns
    -------
    dict of str to (draws, members, days) float
        Under "chill_days", "heat" and "needed".

    Source
    ------
    cannell_smith1983.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> days = daily_means(np.array([3.0, 9.0]), first_index=-60, year=GrowingYear(2013))
    >>> drawn = {name: np.array([value]) for name, value in
    ...          {"chill_base": 7.0, "heat_base": 3.0, "a": 10.0, "b": 50.0, "c": 0.0}.items()}
    >>> exponential_sums(drawn, days)["needed"].tolist()
    [[[60.0, 60.0]]]
    """
    chill = _chill(parameters, days)
    decay = np.exp(of_draws(parameters, "c") * chill)
    need = of_draws(parameters, "a") + of_draws(parameters, "b") * decay
    return {"chill_days": chill, "heat": _spring_heat(parameters, days), "needed": need}


def _chill(parameters: Parameters, days: DailyMeans) -> FloatArray:
    """Days at or below `chill_base` since the growing year began; missing after a missing day."""
    cold = days.tmean_degC <= of_draws(parameters, "chill_base")
    return summed(days, days_where(days, cold), np.full((1, 1, 1), float(days.start_index)))


def _spring_heat(parameters: Parameters, days: DailyMeans) -> FloatArray:
    return heat_above(days, of_draws(parameters, "heat_base"), np.full((1, 1, 1), float(days.heat_index)))


def _met(days: DailyMeans, sums: dict[str, FloatArray]) -> FloatArray:
    """First day from the heat start on which the heat meets a need that differs by day and draw."""
    return first_day(days, (sums["heat"] >= sums["needed"]) & days.since(days.heat_index))


_NEEDS = ("chill_base", "heat_base", "a", "b")
CHILL_HEAT_MODELS: dict[str, ModelForm] = {
    "menzel": ModelForm(menzel, _NEEDS, ("a", "b"), need="a", sums=menzel_sums),
    "chill_exponential": ModelForm(
        chill_exponential, (*_NEEDS, "c"), ("a", "b"), need="a", sums=exponential_sums
    ),
}
