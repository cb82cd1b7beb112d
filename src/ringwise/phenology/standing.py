"""Days of the models that stand side by side, and which of them can stand under a weather at all."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ringwise.kit.errors import MissingFieldError
from ringwise.kit.types import BoolArray, FloatArray
from ringwise.kit.words import _
from ringwise.phenology.choice import Luck, drawn_parameters, mirrored
from ringwise.phenology.mixture import LeftOut, Member, weighed
from ringwise.phenology.models import model
from ringwise.phenology.skill import MEAN
from ringwise.phenology.sums import DailyMeans

Kept = dict[tuple[object, ...], FloatArray]  # days of models with undrawn rows, by model and values


def member_days(member: Member, days: DailyMeans, luck: Luck, kept: Kept | None = None) -> FloatArray:
    """Days of the stage that a member times, in each weather year and for each of its draws.

    Parameters
    ----------
    member : Member
        With its number of draws.
    days : DailyMeans
        Weather years, a row each.
    luck : Luck
        The run's seed.
    kept : dict, optional
        Days found before under the same weather.

    Returns
    -------
    (weather years, draws) float
        Day indices, NaN where never reached.

    Raises
    ------
    MissingFieldError
        If the weather lacks what the model reads.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> own = Member(None, "11", 1.0, draws=2, mean_index=99.0)
    >>> member_days(own, daily_means(np.zeros((1, 3)), first_index=1, year=GrowingYear(2013)), Luck(7, 2))
    array([[99., 99.]])
    """
    own = Luck(luck.seed, member.draws)
    extra: FloatArray = np.full(member.draws, member.shift_days)
    if member.spread_days > 0:
        key = MEAN if member.choice is None else member.choice.key
        extra = extra + member.spread_days * mirrored(own, f"lent.{key}")
    if member.choice is not None:
        drawn = drawn_parameters(member.choice, own)
        if any(values.size > 1 for values in drawn.values()):
            return model(member.choice.model).run(drawn, days) + extra
    return _plain_days(member, days, kept) + extra


def _plain_days(member: Member, days: DailyMeans, kept: Kept | None) -> FloatArray:
    """A member's day by the middle of its rows, (weather years, 1), run once for all that share the rows."""
    choice = member.choice
    if choice is None:
        return np.full((days.tmean_degC.shape[0], 1), member.mean_index)
    key = (choice.model, tuple((name, row.value) for name, row in choice.rows.items()))
    if kept is None or key not in kept:
        values = {name: np.array([row.number]) for name, row in choice.rows.items()}
        found = model(choice.model).run(values, days)
        if kept is None:
            return found
        kept[key] = found
    return kept[key]


def standing(
    members: Sequence[Member], days: DailyMeans, kept: Kept | None = None
) -> tuple[tuple[Member, ...], tuple[LeftOut, ...]]:
    """Which members can time a clock under the weather years to come.

    Parameters
    ----------
    members : sequence of Member
        Side by side.
    days : DailyMeans
        The weather years.
    kept : dict, optional
        Days found before under the same weather.

    Returns
    -------
    tuple of Member, tuple of LeftOut
        Those that stand; those left out: the weather lacks what the model reads, or the model does not come
        to its stage in a weather year in which the best of the others does. None stands where all lack.

    Source
    ------
    own reasoning: a model that cannot say a day must not take the day from those that can.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> cool = daily_means(np.full((1, 400), 8.0), first_index=-60, year=GrowingYear(2013))
    >>> from ringwise.phenology.mixture import autumn_members
    >>> kept, out = standing(autumn_members(), cool)
    >>> [each.name for each in kept], [each.label for each in out]
    (['cool_run'], ['delpierre.half_fall'])
    """
    able: list[tuple[Member, BoolArray]] = []
    out: list[LeftOut] = []
    for each in members:
        try:
            able.append((each, ~np.isnan(_middle_days(each, days, kept))))
        except MissingFieldError as lacks:
            out.append(LeftOut(each.label, str(lacks)))
    hosts = [reached for each, reached in able if not each.is_guest]
    if not hosts:
        return (), tuple(out)
    best = max(hosts, key=lambda reached: int(reached.sum()))
    stand = [each for each, reached in able if not (best & ~reached).any()]
    out += [seldom(each) for each, reached in able if (best & ~reached).any()]
    return weighed(stand), tuple(out)


def seldom(member: Member) -> LeftOut:
    """A member left out because it does not come to its stage in every weather year.

    Parameters
    ----------
    member : Member
        The one.

    Returns
    -------
    LeftOut
        With the reason in the user's language.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> seldom(Member(None, "11", 1.0)).label
    'mean'
    """
    return LeftOut(member.label, _("it does not come to its stage in every weather year"))


def always_reached(members: Sequence[Member], days: DailyMeans, kept: Kept | None = None) -> bool:
    """Whether members that stand come to their stage in every weather year.

    Parameters
    ----------
    members : sequence of Member
        From `standing`, so that none lags behind the best of them.
    days : DailyMeans
        The weather years.
    kept : dict, optional
        Days found before under the same weather.

    Returns
    -------
    bool
        True where they do.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.sums import daily_means
    >>> days = daily_means(np.zeros((1, 3)), first_index=1, year=GrowingYear(2013))
    >>> always_reached([Member(None, "11", 1.0, mean_index=99.0)], days)
    True
    """
    return not any(bool(np.isnan(_middle_days(each, days, kept)).any()) for each in members)


def _middle_days(member: Member, days: DailyMeans, kept: Kept | None) -> FloatArray:
    """A member's day by the middle of its rows, in each weather year."""
    middle: FloatArray = _plain_days(member, days, kept)[:, 0]
    return middle


def filled(past: FloatArray, offset_days: FloatArray) -> FloatArray:
    """Past days with the gaps of single members filled: a season they cannot time says nothing of them.

    Parameters
    ----------
    past : (seasons, draws) float
        Days of each draw's own stage, NaN where its member has none.
    offset_days : (draws,) float
        Mean days from each draw's stage to one stage that all share.

    Returns
    -------
    (seasons, draws) float
        Where some draws have a day, the others have the mean of those; seasons without any stay NaN.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> filled(np.array([[90.0, np.nan], [np.nan, np.nan]]), np.array([10.0, 0.0])).tolist()
    [[90.0, 100.0], [nan, nan]]
    """
    common = past + offset_days
    known: BoolArray = ~np.isnan(common)
    count = known.sum(axis=1)
    mean = np.where(known, common, 0.0).sum(axis=1) / np.maximum(count, 1)
    patched = np.where(known | (count == 0)[:, None], past, mean[:, None] - offset_days)
    return np.asarray(patched)
