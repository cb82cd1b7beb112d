"""Values that cannot be weather are taken out of a file of a service one by one, never the whole file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.kit.words import _
from ringwise.weather.file_units import judged
from ringwise.weather.series import LARGEST_JUMP_DEGC, ORDERED_PAIRS, PLAUSIBLE

_JUMPING = ("tmin_degC", "tmax_degC", "tmean_degC")


@dataclass(frozen=True)
class Drop:
    """A value that was taken out: its place in the series, its column and why."""

    place: int
    ours: str
    reason: str


def sift(values: Mapping[str, FloatArray]) -> tuple[dict[str, FloatArray], tuple[Drop, ...]]:
    """The columns without values that cannot be, and what was taken out.

    Parameters
    ----------
    values : mapping of str to (n,) float
        Daily values by our column, NaN where missing.

    Returns
    -------
    values, drops : dict, tuple of Drop
        New columns that pass `series.first_fault`; where the minimum is above the maximum nobody knows
        which is wrong, so both go.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> kept, drops = sift({"tmin_degC": np.array([2.0, 9.0]), "tmax_degC": np.array([8.0, 5.0])})
    >>> kept["tmin_degC"].tolist(), [drop.ours for drop in drops]
    ([2.0, nan], ['tmax_degC', 'tmin_degC'])
    """
    kept = {name: column.copy() for name, column in values.items()}
    drops: list[Drop] = []
    for name, column in kept.items():
        low, high, unit = PLAUSIBLE[name]
        wrong = (column < low) | (column > high) | np.isinf(column)
        reason = _("outside {low:g} to {high:g} {unit}").format(low=low, high=high, unit=unit)
        drops += _taken(kept, name, wrong, reason)
    for low_name, high_name in ORDERED_PAIRS:
        if low_name in kept and high_name in kept:
            crossed = kept[high_name] < kept[low_name]
            reason = _("the minimum is above the maximum")
            drops += [*_taken(kept, low_name, crossed, reason), *_taken(kept, high_name, crossed, reason)]
    for name in _JUMPING:
        if name in kept:
            reason = _("jumps by more than {most:g} degC from the day before").format(most=LARGEST_JUMP_DEGC)
            drops += _taken(kept, name, _jumping(kept[name]), reason)
    return kept, tuple(sorted(drops, key=lambda drop: (drop.place, drop.ours)))


def _taken(kept: dict[str, FloatArray], name: str, wrong: BoolArray, reason: str) -> list[Drop]:
    drops = [Drop(int(place), name, reason) for place in np.flatnonzero(wrong)]
    kept[name] = np.where(wrong, np.nan, kept[name])
    return drops


def _jumping(column: FloatArray) -> BoolArray:
    """Each value against the day before it, as far as that one was kept."""
    wrong = np.zeros(column.size, dtype=np.bool_)
    steps = np.abs(np.diff(column))
    for place in np.flatnonzero(steps > LARGEST_JUMP_DEGC) + 1:
        wrong[place] = not wrong[place - 1]
    return wrong


def wrong_unit(column: FloatArray, drops: tuple[Drop, ...], ours: str) -> bool:
    """Whether so many values of a column fall out that its unit must be another.

    Parameters
    ----------
    column : (n,) float
        As read.
    drops : tuple of Drop
        From `sift`.
    ours : str
        Our name of the column.

    Returns
    -------
    bool
        True beyond the share that slips can explain, or where nothing is left.

    Source
    ------
    rows `few_wrong` and `most_wrong_share` of formats.csv.

    Examples
    --------
    >>> wrong_unit(np.array([70.0, 71.0]), (Drop(0, "tmax_degC", ""), Drop(1, "tmax_degC", "")), "tmax_degC")
    True
    """
    wrong = sum(drop.ours == ours for drop in drops)
    given = int(np.count_nonzero(~np.isnan(column)))
    return 0 < given <= wrong or wrong > max(judged("few_wrong"), judged("most_wrong_share") * given)
