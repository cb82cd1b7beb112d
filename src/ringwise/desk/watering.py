"""When each tree's pot wants water: its balance in each weather year from its last full day on, as a band.

Every tree meets all weather years with several draws of its pot's curve, of its leaf and of its own pace.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from ringwise.desk.own_components import own_components
from ringwise.desk.watering_pace import Pace, paces
from ringwise.desk.watering_pots import DryingTree, drying_tree, leaf_share, place_kinds
from ringwise.desk.watering_run import Drawn, pots_demand, tree_balance
from ringwise.desk.watering_start import FullDay, full_day
from ringwise.desk.watering_weather import DryingWeather, drying_weather
from ringwise.desk.yard_forecast import yard_forecast
from ringwise.rootzone.due import due_days, watering_row

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.desk.yard_forecast import YardForecast
    from ringwise.kit.types import FloatArray
    from ringwise.records.facts import TreeFacts
    from ringwise.weather.years import WeatherMembers

_BATCH = 40  # trees in one run: their books stay small enough for a small server
_LOOK_BACK_DAYS = 40  # weather before today that a balance may begin in


@dataclass(frozen=True)
class Band:
    """One in ten, the median and nine in ten; infinite where the balance ends before."""

    low_days: float
    median_days: float
    high_days: float


@dataclass(frozen=True)
class TreeWater:
    """When a tree wants water: `due` in days after the beginning of today, `lasts` in days from full.

    `tree` is None where its pot was never measured, or it stands in the ground; the rest then says nothing.
    """

    facts: TreeFacts
    tree: DryingTree | None
    full: FullDay
    pace: Pace
    due: Band
    lasts: Band
    leaf_frac: float
    frost: bool

    @property
    def measured(self) -> bool:
        """Whether anything of this tree's drying was measured: days to dry, or weights."""
        return self.pace.own.readings > 0 or (self.tree is not None and self.tree.held.weighed)

    @property
    def leafless(self) -> bool:
        """Whether it bears next to no leaf."""
        return self.leaf_frac < watering_row("rest", "leaf_frac").number

    @property
    def twice(self) -> bool:
        """Whether it is looked at morning and evening."""
        return self.tree is not None and self.lasts.median_days <= watering_row("due", "twice_days").number


@dataclass(frozen=True)
class YardWater:
    """All trees of a yard, and what their balances stand on."""

    trees: Mapping[str, TreeWater]
    yard: YardForecast
    weather: Mapping[int, DryingWeather]  # by the identity of a tree's weather years

    def weather_at(self, facts: TreeFacts) -> DryingWeather:
        """The weather that dries one tree."""
        return self.weather[id(self.yard.members_at(facts))]


def yard_water(workspace: Workspace, yard: YardForecast | None = None) -> YardWater:
    """When every tree of the collection wants water.

    Parameters
    ----------
    workspace : Workspace
        The collection, with weather.
    yard : YardForecast, optional
        Made before; else made here.

    Returns
    -------
    YardWater
        By tree id.

    Raises
    ------
    MissingFieldError
        If there is no weather, or none that tells evaporation.
    """
    return workspace.once("yard_water", lambda: _made(workspace, yard or yard_forecast(workspace)))


def horizon_days() -> int:
    """How many days ahead the balance is told."""
    return round(watering_row("due", "horizon_days").number)


def _made(workspace: Workspace, yard: YardForecast) -> YardWater:
    today = workspace.today
    last = today + timedelta(days=horizon_days())
    first = today - timedelta(days=_LOOK_BACK_DAYS)
    weather = {
        id(members): drying_weather(workspace, yard, members, first, last) for members in _distinct(yard)
    }
    kinds = place_kinds(workspace)
    draws = round(watering_row("own", "draws").number)

    def kind_of(facts: TreeFacts) -> str:
        return "bench" if facts.place is None else kinds[facts.place.place]

    stands_on = hash((workspace.mixes, tuple(own_components(workspace).values()), tuple(kinds.items())))
    made = workspace.made_of(
        f"drying tree {stands_on}",
        lambda facts: drying_tree(
            workspace, facts, yard.trees.get(facts.tree.id), kind=kind_of(facts), draws=draws
        ),
    )
    before = yard.year_before(workspace)
    ready: list[_Ready] = []
    bare: dict[str, TreeWater] = {}
    for key, facts in workspace.facts.items():
        tree, there = made[key], weather[id(yard.members_at(facts))]
        full = _full(facts, tree, there, today)
        if tree is None:
            nothing = Band(float("inf"), float("inf"), float("inf"))
            bare[key] = TreeWater(facts, None, full, Pace.unknown(), nothing, nothing, 0.0, frost=False)
            continue
        forecast = yard.trees.get(key)
        of_before = None if before is None else before.trees.get(key)
        leaf = leaf_share(tree, forecast, full.day, (last - full.day).days + 1, of_before)
        ready.append(_Ready(tree, full, leaf, there))
    pace = paces(workspace, yard, [each.tree for each in ready])
    found = bare | {
        each.tree.facts.tree.id: _told(each, pace[each.tree.facts.tree.id], due, today)
        for each, due in _all_due(ready, pace)
    }
    return YardWater({key: found[key] for key in workspace.facts}, yard, weather)


def drawn_from(workspace: Workspace, made: YardWater, water: TreeWater, first: date, days: int) -> Drawn:
    """A tree with its draws and its leaf from some day on.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    made : YardWater
        Of the yard.
    water : TreeWater
        Of the tree; its pot is known.
    first : date
        The first day.
    days : int
        How many.

    Returns
    -------
    Drawn
        For a run of the balance.
    """
    assert water.tree is not None  # asked only of trees in measured pots
    key = water.facts.tree.id
    before = made.yard.year_before(workspace)
    of_before = None if before is None else before.trees.get(key)
    leaf = leaf_share(water.tree, made.yard.trees.get(key), first, days, of_before)
    return water.pace.drawn(water.tree, leaf)


def _distinct(yard: YardForecast) -> list[WeatherMembers]:
    return list({id(each): each for each in (yard.members, *yard.at.values())}.values())


@dataclass(frozen=True)
class _Ready:
    """A tree with its beginning, its leaf by day from then on, and its weather."""

    tree: DryingTree
    full: FullDay
    leaf_frac: FloatArray
    weather: DryingWeather


def _full(facts: TreeFacts, tree: DryingTree | None, weather: DryingWeather, today: date) -> FullDay:
    """The last full day; rain counts only where the place lets it down and it was measured."""
    back = round(watering_row("start", "soak_back_days").number)
    rains = []
    for k in range(back, 0, -1):
        day = today - timedelta(days=k)
        column = weather.column(day)
        if 0 <= column < len(weather.measured) and weather.measured[column] and tree is not None:
            rains.append((day, float(weather.rain_mm[0, column]) * tree.place.rain_frac))
    return full_day(
        facts,
        today,
        rains=rains,
        trusted_days=watering_row("start", "trusted_days").number,
        soak_mm=watering_row("start", "soak_mm").number,
    )


def _all_due(ready: Sequence[_Ready], pace: Mapping[str, Pace]) -> list[tuple[_Ready, FloatArray]]:
    """Of each tree (draws, members): days from its last full morning until water is due."""
    from ringwise.rootzone.balance import run

    groups: dict[tuple[int, date], list[_Ready]] = {}
    told: list[tuple[_Ready, FloatArray]] = []
    for each in ready:
        if each.full.since:
            drawn = pace[each.tree.facts.tree.id].drawn(each.tree, each.leaf_frac)
            told.append((each, tree_balance(drawn, each.full, each.weather).due))
        else:
            groups.setdefault((id(each.weather), each.full.day), []).append(each)
    for (_weather, first), group in groups.items():
        for at in range(0, len(group), _BATCH):
            batch = group[at : at + _BATCH]
            weather, days = batch[0].weather, len(batch[0].leaf_frac)
            forcing = weather.between(first, days)
            drawn_all = [pace[each.tree.facts.tree.id].drawn(each.tree, each.leaf_frac) for each in batch]
            usual = weather.usual_et0_mm_day(weather.first, weather.last)
            due = due_days(run(pots_demand(drawn_all, usual), forcing)).reshape(
                len(batch), -1, forcing.members
            )
            told += list(zip(batch, due, strict=True))
    return told


def _told(each: _Ready, pace: Pace, due: FloatArray, today: date) -> TreeWater:
    since = (today - each.full.day).days
    column = each.weather.column(today)
    nights = each.weather.tmin_degC[:, column : column + 2]
    limit = watering_row("rest", "frost_degC").number
    return TreeWater(
        facts=each.tree.facts,
        tree=each.tree,
        full=each.full,
        pace=pace,
        due=band_of(due - since),
        lasts=band_of(due),
        leaf_frac=float(each.leaf_frac[max(since, 0)]),  # watered this evening: full tomorrow
        frost=bool((nights < limit).any(axis=1).mean() >= 0.5),
    )


def band_of(days: FloatArray) -> Band:
    """The band of samples of days, infinite ones among them.

    Parameters
    ----------
    days : array of float
        Samples.

    Returns
    -------
    Band
        Ends by rows of watering.csv.
    """
    import numpy as np

    ordered = np.sort(days.reshape(-1))
    probs = [watering_row("due", "low_prob").number, 0.5, watering_row("due", "high_prob").number]
    return Band(*(float(ordered[min(int(p * ordered.size), ordered.size - 1)]) for p in probs))
