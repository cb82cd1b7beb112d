"""What enough own seasons of a kind teach its clocks: what each model needs, and how far each is trusted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ringwise.kit import show
from ringwise.kit.tables import Parameter
from ringwise.kit.types import FloatArray, IntArray
from ringwise.kit.words import _, counted
from ringwise.phenology.choice import Choice, Luck
from ringwise.phenology.mixture import LeftOut, Member
from ringwise.phenology.models import model
from ringwise.phenology.need import Curves, fitted_need, levels, mean_error
from ringwise.phenology.seen import spread_of
from ringwise.phenology.skill import MEAN, weights
from ringwise.phenology.species import Clock, SpeciesDays, YardWeather, retimed


@dataclass(frozen=True)
class OwnDay:
    """One past season of one tree: its growing year, where the tree stood, the stage and the middle day."""

    label: int
    site: str
    code: str
    index: float


def taught_kind(
    places: Mapping[str, SpeciesDays], spring: Sequence[OwnDay], autumn: Sequence[OwnDay], luck: Luck
) -> dict[str, SpeciesDays]:
    """A kind's clocks after what all its trees in the yard have shown.

    Parameters
    ----------
    places : mapping of str to SpeciesDays
        The kind in each place, untaught.
    spring, autumn : sequence of OwnDay
        The best sighting of each tree and season, of spring and of autumn stages.
    luck : Luck
        As before.

    Returns
    -------
    dict of str to SpeciesDays
        From the row any.refit_seasons on, the needs of the spring models are fitted and the draws shared out
        by errors on seasons left out. Autumn follows its own mean from the first season on.

    Source
    ------
    own reasoning; rows of variation.csv.

    Examples
    --------
    >>> taught_kind({}, [], [], Luck(7, 4))
    {}
    """
    early = spring_members(places, spring)
    late = autumn_members(places, autumn)
    return {
        site: replace(
            each,
            spring=_retaught(each.spring, early, each.weather, luck),
            autumn=None if each.autumn is None else _retaught(each.autumn, late, each.weather, luck),
        )
        for site, each in places.items()
    }


@dataclass(frozen=True)
class Taught:
    """Members as own seasons leave them, and how many seasons those were; none where they are too few."""

    members: tuple[Member, ...] = ()
    seasons: int = 0


def _retaught(clock: Clock, taught: Taught, weather: YardWeather, luck: Luck) -> Clock:
    if not taught.members:
        return clock
    # A mean that has not earned one whole draw gets none: one would be more than its due.
    idle = [each for each in taught.members if each.choice is None and each.weight_frac * luck.draws < 1.0]
    drawn = [each for each in taught.members if each not in idle]
    moved = retimed(clock, drawn, weather, luck, taught=taught.seasons)
    return replace(moved, left_out=(*moved.left_out, *(_idle(each) for each in idle)))


def _idle(mean: Member) -> LeftOut:
    days = show.number(mean.error_days or 0.0, 2)
    why = _("{days} days of error on own seasons left out: too many for a share of the draws")
    return LeftOut(_("own mean day"), why.format(days=days))


def spring_members(places: Mapping[str, SpeciesDays], own: Sequence[OwnDay]) -> Taught:
    """The spring members of a kind, fitted and weighed.

    Parameters
    ----------
    places : mapping of str to SpeciesDays
        The kind in each place.
    own : sequence of OwnDay
        One a tree and season.

    Returns
    -------
    Taught
        None with fewer seasons than the row any.refit_seasons, or where the weather of too few is known.

    Source
    ------
    own reasoning: only the need is fitted, never a base or a start day (Hannerz 1999: one year tells the
    heat a tree asks for).

    Examples
    --------
    >>> spring_members({}, []).seasons
    0
    """
    least = int(spread_of("refit_seasons"))
    if len({each.label for each in own}) < least:
        return Taught()
    clock = next(iter(places.values())).spring
    models = [each for each in clock.members if each.choice is not None]
    curves = [_curves(each, each.choice, places, own) for each in models if each.choice is not None]
    usable = np.all([each.usable for each in curves], axis=0)
    labels = np.array([each.label for each in own])[usable]
    seasons = int(np.unique(labels).size)
    if seasons < least:
        return Taught()
    needs = [
        fitted_need(each.label, _kept(curve, usable)) for each, curve in zip(models, curves, strict=True)
    ]
    common = curves[0].seen_index[usable]
    usual_error = mean_error(common, labels)
    shares = weights(
        {each.label: need.skill.rmse_days for each, need in zip(models, needs, strict=True)},
        mean_rmse_days=usual_error,
        seasons=seasons,
    )
    fitted = [
        replace(
            each,
            choice=_with_need(each.choice, need.value, seasons),
            weight_frac=shares[each.label],
            spread_days=0.0,
            error_days=need.skill.rmse_days,
        )
        for each, need in zip(models, needs, strict=True)
        if each.choice is not None
    ]
    mean = _mean_member(models[0].code, common, labels, usual_error, shares[MEAN], "season_sd")
    return Taught((*fitted, mean), seasons)


def autumn_members(places: Mapping[str, SpeciesDays], own: Sequence[OwnDay]) -> Taught:
    """The autumn members of a kind: its own mean first, the rules beside it moved onto that mean.

    Parameters
    ----------
    places : mapping of str to SpeciesDays
        The kind in each place.
    own : sequence of OwnDay
        One a tree and season.

    Returns
    -------
    Taught
        With fewer seasons than the row any.refit_seasons each rule has the row any.beaten_weight; from then
        on what errors on seasons left out give it.

    Source
    ------
    own reasoning: no rule of autumn is known to beat the own mean (meier_bigler2025, estrella_menzel2006).

    Examples
    --------
    >>> autumn_members({}, []).members
    ()
    """
    clock = next((each.autumn for each in places.values()), None)
    if clock is None or not own:
        return Taught()
    labels = np.array([each.label for each in own])
    seasons = int(np.unique(labels).size)
    stage = clock.members[0].code
    common = np.array([_on(clock, 0, each) for each in own])
    lags = [common - _past_days(k, places, own) for k in range(len(clock.members))]
    shares = {each.label: spread_of("beaten_weight") for each in clock.members}
    shares[MEAN] = 1.0 - sum(shares.values())
    errors: dict[str, float] = {}
    usual_error = None
    if seasons >= spread_of("refit_seasons"):
        usual_error = mean_error(common, labels)
        errors = {each.label: mean_error(lag, labels) for each, lag in zip(clock.members, lags, strict=True)}
        shares = weights(errors, mean_rmse_days=usual_error, seasons=seasons)
    moved = [
        replace(
            each,
            weight_frac=shares[each.label],
            shift_days=_season_mean(lag, labels),
            error_days=errors.get(each.label),
        )
        for each, lag in zip(clock.members, lags, strict=True)
    ]
    mean = _mean_member(stage, common, labels, usual_error, shares[MEAN], "autumn_season_sd")
    return Taught((mean, *moved), seasons)


def _on(clock: Clock, member: int, day: OwnDay) -> float:
    """A sighting moved to the stage that a member times, by the mean days between."""
    draw = int(np.flatnonzero(clock.member_of == member)[0])
    return day.index - float(clock.gap_days[draw, clock.column(day.code)])


def _past_days(member: int, places: Mapping[str, SpeciesDays], own: Sequence[OwnDay]) -> FloatArray:
    """A member's day of each season in the place where the tree stood; its draws are alike in autumn."""
    found = []
    for each in own:
        clock = places[each.site].autumn
        found.append(np.nan if clock is None else clock.past[each.label][clock.member_of == member][0])
    return np.array(found)


def _curves(
    member: Member, choice: Choice, places: Mapping[str, SpeciesDays], own: Sequence[OwnDay]
) -> Curves:
    values = {name: np.array([row.number]) for name, row in choice.rows.items()}
    by_site = {
        site: levels(model(choice.model), values, places[site].weather.past)
        for site in {each.site for each in own}
    }
    rows = [by_site[each.site][places[each.site].weather.labels.index(each.label)] for each in own]
    width = min(row.size for row in rows)
    first = next(iter(places.values()))
    place = first.spring.members.index(member)
    seen = np.array([_on(first.spring, place, each) for each in own])
    level = np.stack([row[:width] for row in rows])
    return Curves(level, first.weather.past.first_index, np.array([each.label for each in own]), seen)


def _kept(curves: Curves, usable: IntArray) -> Curves:
    return replace(
        curves,
        level=np.where(np.isnan(curves.level), np.inf, curves.level)[usable],
        seasons=curves.seasons[usable],
        seen_index=curves.seen_index[usable],
    )


def _with_need(choice: Choice, value: float, seasons: int) -> Choice:
    name = model(choice.model).need
    return replace(choice, rows=choice.rows | {name: _own_row(choice.rows[name], value, seasons)})


def _own_row(row: Parameter, value: float, seasons: int) -> Parameter:
    return replace(
        row,
        value=repr(round(value, 3)),
        low=None,
        high=None,
        range_kind="none",
        spread="fixed",
        basis="fitted",
        source="own",
        locator=counted("{n} own season", "{n} own seasons", seasons),
        read=False,
    )


def _mean_member(
    code: str, days: FloatArray, labels: IntArray, error_days: float | None, weight_frac: float, sd_row: str
) -> Member:
    """The own mean day; seasons scatter around it by more than around a model, so its draws spread."""
    more = max((error_days or 0.0) ** 2 - spread_of(sd_row) ** 2, 0.0) ** 0.5
    usual = _season_mean(days, labels)
    return Member(None, code, weight_frac, mean_index=usual, spread_days=more, error_days=error_days)


def _season_mean(values: FloatArray, labels: IntArray) -> float:
    means = [float(values[labels == label].mean()) for label in np.unique(labels)]
    return sum(means) / len(means)
