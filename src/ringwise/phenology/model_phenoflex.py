"""Chill by the Dynamic Model, then heat by the hour: for cherries, plums, apples and their kin."""

from __future__ import annotations

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.phenology.chill import constant
from ringwise.phenology.form import ModelForm, Parameters, crossing, of_draws, since
from ringwise.phenology.sums import DailyMeans

DAYLENGTH = "spencer"  # the definition by which hours are made from days
_COLD = ("energy_0", "energy_1", "factor_0", "factor_1", "slope", "freeze")
_WAKING = ("waking", "chill")
_CARDINAL = ("base", "best", "most")


def phenoflex(parameters: Parameters, days: DailyMeans) -> FloatArray:
    """The day on which hours of warmth, weighed by how far chill has gone, reach `heat`.

    Parameters
    ----------
    parameters : mapping
        Of chill: `energy_0`, `energy_1` (K), `factor_0`, `factor_1` (per hour), `slope` (a ratio), `freeze`
        (degrees C). Of waking: `waking` (steepness) and `chill` (portions at which heat counts half). Of
        heat: `base`, `best`, `most` (degrees C) and `heat` (hours at the best temperature).
    days : DailyMeans
        With the extremes of each day and a latitude; both sums start with the growing year.

    Returns
    -------
    (members, draws) float
        Day index, NaN where never reached.

    Raises
    ------
    MissingFieldError
        If the weather starts after the growing year, or lacks extremes or latitude.

    Source
    ------
    luedeling2021, in the form of chillr077.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.choice import rows_for
    >>> from ringwise.phenology.sums import daily_means
    >>> means = np.where(np.arange(200) < 120, 6.0, 15.0)[None, :]
    >>> spring = daily_means(means, first_index=-60, year=GrowingYear(2013), latitude_deg=50.0,
    ...                      tmin_degC=means - 4, tmax_degC=means + 4)
    >>> rows = rows_for("prunus", "phenoflex", "flowering")
    >>> day = phenoflex({name: np.array([row.number]) for name, row in rows.items()}, spring)[0, 0]
    >>> bool(60 < day < 60 + 190 / 24 / 0.5)  # an hour at 15 degrees counts a little over a half
    True
    """
    return crossing(days, phenoflex_sums(parameters, days)["warm_hours"], of_draws(parameters, "heat"))


def phenoflex_sums(parameters: Parameters, days: DailyMeans) -> dict[str, FloatArray]:
    """Weighed hours of warmth and portions of chill, as they stand at the last hour of each day.

    Parameters
    ----------
    parameters : mapping
        As in `phenoflex`.
    days : DailyMeans
        As in `phenoflex`.

    Returns
    -------
    dict of str to (draws, members, days) float
        Under "warm_hours" and "chill_portions"; nothing before the growing year, NaN after a missing day.
        An hour is booked at the next one, as in the portions of `chill`.

    Raises
    ------
    MissingFieldError
        If the weather starts after the growing year, or lacks extremes or latitude.

    Source
    ------
    luedeling2021, in the form of chillr077.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.choice import rows_for
    >>> from ringwise.phenology.sums import daily_means
    >>> means = np.full((1, 90), 6.0)
    >>> winter = daily_means(means, first_index=-60, year=GrowingYear(2013), latitude_deg=50.0,
    ...                      tmin_degC=means, tmax_degC=means)
    >>> rows = rows_for("prunus", "phenoflex", "flowering")
    >>> sums = phenoflex_sums({name: np.array([row.number]) for name, row in rows.items()}, winter)
    >>> bool(30 < sums["chill_portions"][0, 0, -1] < 90)
    True
    """
    from ringwise.phenology import chill_kernels

    counted = since(days, np.full((1, 1, 1), float(days.start_index)))[0, 0]
    hours = days.hours_degC()[:, counted]
    rows = np.ascontiguousarray(hours.reshape(len(hours), -1))
    drawn = [_columns(parameters, names) for names in (_COLD, _WAKING, _CARDINAL)]
    count = max(len(each) for each in drawn)
    warm, chill = (np.zeros((count, len(hours), counted.size)) for _ in range(2))
    zero_K = constant("dynamic", "kelvin")  # here `freeze` is in degrees C
    for draw in range(count):
        cold, waking, cardinal = (each[draw % len(each)].copy() for each in drawn)
        cold[_COLD.index("freeze")] += zero_K
        cold = np.append(cold, zero_K)
        portions, grown = np.empty_like(rows), np.empty_like(rows)
        chill_kernels.chill_then_heat(rows, cold, waking, cardinal, portions, grown)
        chill[draw][:, counted] = portions.reshape(hours.shape)[..., -1]
        warm[draw][:, counted] = grown.reshape(hours.shape)[..., -1]
    return {"warm_hours": warm, "chill_portions": chill}


def _columns(parameters: Parameters, names: tuple[str, ...]) -> FloatArray:
    """Parameters as (draws, names); one row where no parameter differs between draws."""
    values = [np.atleast_1d(np.asarray(parameters[name], dtype=np.float64)) for name in names]
    if all((each == each[0]).all() for each in values):
        return np.array([[each[0] for each in values]])
    return np.stack(np.broadcast_arrays(*values), axis=1)


PHENOFLEX_MODELS: dict[str, ModelForm] = {
    "phenoflex": ModelForm(
        phenoflex,
        (*_COLD, *_WAKING, *_CARDINAL, "heat"),
        ("heat",),
        need="heat",
        daylength=DAYLENGTH,
        sums=phenoflex_sums,
        hourly=True,
    ),
}
