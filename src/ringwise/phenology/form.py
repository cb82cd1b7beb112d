"""What every phenology model is made of: its form, sums for each parameter draw, the day a need is met.

Arrays run (draws, members, days); an axis of draws of length 1 stands for all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from ringwise.kit.errors import MissingFieldError
from ringwise.kit.types import BoolArray, FloatArray
from ringwise.kit.words import _
from ringwise.phenology.sums import DailyMeans

LARGEST_EXPONENT = 700.0  # exp overflows float64 beyond 709

Parameters = Mapping[str, FloatArray]
Model = Callable[[Parameters, DailyMeans], FloatArray]
Sums = Callable[[Parameters, DailyMeans], dict[str, FloatArray]]


@dataclass(frozen=True)
class ModelForm:
    """A model: its function, its parameters, which of them differ between draws in a forecast.

    `need` is the parameter that puts the day later when it grows (`falls`: earlier). `daylength` names the
    definition of daylength that the model was fitted with, None where it takes none. `instead` is another
    form of the same model, for keys whose rows are of that form. `sums` gives the running sums that explain
    a day as (draws, members, days), such as "chill_days" and "forcing_days"; "needed" where the need is no
    constant. `hourly` says that it reads hours, made
    from the extremes of the days.
    """

    run: Model
    needs: tuple[str, ...]
    drawn: tuple[str, ...]
    need: str
    falls: bool = False
    daylength: str | None = None
    instead: str | None = None
    sums: Sums | None = None
    hourly: bool = False

    @property
    def counts_from_start_day(self) -> bool:
        """Whether it counts from its own start day, not from the start of the growing year."""
        return "start_day" in self.needs


def of_draws(parameters: Parameters, name: str) -> FloatArray:
    """A parameter as (draws, 1, 1), ready to meet (members, days).

    Parameters
    ----------
    parameters : mapping
        By name; one value, or one a draw.
    name : str
        Which.

    Returns
    -------
    (draws, 1, 1) float
        The values.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> of_draws({"heat": np.array([1.0, 2.0])}, "heat").shape
    (2, 1, 1)
    """
    return np.atleast_1d(np.asarray(parameters[name], dtype=np.float64))[:, None, None]


def since(days: DailyMeans, from_index: FloatArray) -> BoolArray:
    """Which days lie on a day index or after it.

    Parameters
    ----------
    days : DailyMeans
        The days.
    from_index : (draws, 1, 1) float
        Day index of the first day that counts.

    Returns
    -------
    (draws, 1, days) bool
        True where they count.

    Raises
    ------
    MissingFieldError
        If the first column lies after the earliest of `from_index`.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> days = daily_means(np.zeros(3), first_index=1, year=GrowingYear(2013))
    >>> since(days, np.array([[[2.0]]])).tolist()
    [[[False, True, True]]]
    """
    earliest = float(from_index.min())
    if days.first_index > earliest:
        raise MissingFieldError(
            _(
                "the weather starts {n} days after the day from which the model counts. Import earlier days."
            ).format(n=round(days.first_index - earliest))
        )
    return days.days_index >= from_index


def summed(days: DailyMeans, each_day: FloatArray, from_index: FloatArray) -> FloatArray:
    """Running sums from a day that may differ by draw; a missing day leaves all later sums missing.

    Parameters
    ----------
    days : DailyMeans
        The days.
    each_day : (draws, members, days) float
        What each day adds.
    from_index : (draws, 1, 1) float
        Day index of the first day counted.

    Returns
    -------
    (draws, members, days) float
        The sums.

    Raises
    ------
    MissingFieldError
        If the first column lies after the earliest of `from_index`.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> days = daily_means(np.zeros(3), first_index=1, year=GrowingYear(2013))
    >>> summed(days, np.ones((1, 1, 3)), np.array([[[2.0]], [[3.0]]])).tolist()
    [[[0.0, 1.0, 2.0]], [[0.0, 0.0, 1.0]]]
    """
    counted = np.where(since(days, from_index), each_day, 0.0)
    return np.cumsum(counted, axis=-1, out=counted)


def heat_above(days: DailyMeans, base_degC: FloatArray, from_index: FloatArray) -> FloatArray:
    """Running sums of degrees above a base.

    Parameters
    ----------
    days : DailyMeans
        Daily means.
    base_degC : (draws, 1, 1) float
        Only what lies above it counts.
    from_index : (draws, 1, 1) float
        Day index of the first day counted.

    Returns
    -------
    (draws, members, days) float
        S(d) = sum of max(T - base, 0), in degree days.

    Raises
    ------
    MissingFieldError
        If the first column lies after the earliest of `from_index`.

    Source
    ------
    kalvans2015 (form).

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> days = daily_means(np.array([3.0, 7.0]), first_index=1, year=GrowingYear(2013))
    >>> heat_above(days, np.array([[[5.0]]]), np.array([[[1.0]]])).tolist()
    [[[0.0, 2.0]]]
    """
    return summed(days, np.maximum(days.tmean_degC - base_degC, 0.0), from_index)


def days_where(days: DailyMeans, is_so: BoolArray) -> FloatArray:
    """Days counted by a condition on their mean; a missing day is neither.

    Parameters
    ----------
    days : DailyMeans
        The days.
    is_so : (draws, members, days) bool
        Whether the condition holds.

    Returns
    -------
    (draws, members, days) float
        1 or 0, NaN where the mean is missing.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> days = daily_means(np.array([3.0, np.nan, 9.0]), first_index=1, year=GrowingYear(2013))
    >>> days_where(days, days.tmean_degC[None] < 5.0).tolist()
    [[[1.0, nan, 0.0]]]
    """
    counted = is_so.astype(np.float64)
    counted[:, np.isnan(days.tmean_degC)] = np.nan
    return counted


def sigmoid(exponent: FloatArray) -> FloatArray:
    """The logistic 1 / (1 + exp(exponent)), held where exp would overflow.

    Parameters
    ----------
    exponent : float array
        Any shape.

    Returns
    -------
    float array
        Between 0 and 1.

    Source
    ------
    chuine2000 (form).

    Examples
    --------
    >>> sigmoid(np.array([0.0, 1e9])).round(3).tolist()
    [0.5, 0.0]
    """
    held = np.clip(exponent, -LARGEST_EXPONENT, LARGEST_EXPONENT)
    np.exp(held, out=held)
    held += 1.0
    return np.divide(1.0, held, out=held)


def first_day(days: DailyMeans, reached: BoolArray) -> FloatArray:
    """The first day on which each member and draw has reached its need.

    Parameters
    ----------
    days : DailyMeans
        The days.
    reached : (draws, members, days) bool
        Whether the need is met on a day.

    Returns
    -------
    (members, draws) float
        Day index, NaN where never.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> days = daily_means(np.zeros(3), first_index=1, year=GrowingYear(2013))
    >>> first_day(days, np.array([[[False, True, False]], [[False, False, False]]])).tolist()
    [[2.0, nan]]
    """
    first = reached.argmax(axis=-1)
    met = np.take_along_axis(reached, first[:, :, None], axis=-1)[:, :, 0]
    return np.where(met, days.days_index[first], np.nan).T


def crossing(days: DailyMeans, total: FloatArray, need: FloatArray) -> FloatArray:
    """The first day on which a running sum reaches the need of each draw.

    Parameters
    ----------
    days : DailyMeans
        The days.
    total : (draws or 1, members, days) float
        Sums that never fall; missing from the first missing day on.
    need : (draws or 1, 1, 1) float
        What must be reached.

    Returns
    -------
    (members, draws) float
        Day index, NaN where never reached.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> days = daily_means(np.zeros(3), first_index=1, year=GrowingYear(2013))
    >>> crossing(days, np.array([[[1.0, 2.0, 3.0]]]), np.array([2.0, 9.0])[:, None, None]).tolist()
    [[2.0, nan]]
    """
    if total.shape[0] > 1:
        return first_day(days, total >= need)
    # One sum for all draws: find each need in it instead of laying out the sum for every draw.
    needs = need[:, 0, 0]
    place = np.stack([np.searchsorted(row, needs, side="left") for row in total[0]])
    inside = np.minimum(place, total.shape[-1] - 1)
    reached = np.take_along_axis(total[0], inside, axis=1) >= needs
    return np.where(reached, days.days_index[inside], np.nan)
