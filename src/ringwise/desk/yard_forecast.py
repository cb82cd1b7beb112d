"""Forecasts of all trees of a yard: its weather, what was seen on each tree, and where it stood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ringwise.desk.days_to_come import days_to_come
from ringwise.desk.weather_under import WEATHER_YEARS as WEATHER_YEARS
from ringwise.desk.weather_under import teaching_series, yard_series
from ringwise.kit.days import GrowingYear, growing_year

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from ringwise.desk.workspace import Workspace
    from ringwise.kit.types import FloatArray
    from ringwise.phenology.forecast import StageForecast
    from ringwise.phenology.seen import SeenStage
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry
    from ringwise.weather.series import WeatherSeries
    from ringwise.weather.years import WeatherMembers

PARAMETER_DRAWS = 20  # per kind of tree; with 20 weather years 400 samples, a quantile's error under a day


@dataclass(frozen=True)
class YardForecast:
    """Forecasts of all trees of a yard, with the weather they stand on.

    `members` are the weather years of the yard's own place, `at` those of each tree where it stands.
    """

    trees: Mapping[str, StageForecast]
    members: WeatherMembers
    at: Mapping[str, WeatherMembers]
    series: WeatherSeries
    beside: dict[int, YardForecast]  # of the growing years after and before, made when a window needs them

    def next_year(self, workspace: Workspace) -> YardForecast:
        """The forecast of the growing year after this one."""
        if 1 not in self.beside:
            self.beside[1] = yard_forecast(workspace, years_on=1)
        return self.beside[1]

    def year_before(self, workspace: Workspace) -> YardForecast | None:
        """The forecast of the growing year before; None once its autumn is past."""
        from ringwise.kit.errors import MissingFieldError
        from ringwise.weather.years import TAIL_DAYS

        if (workspace.today - workspace.year.start).days >= TAIL_DAYS:
            return None
        if -1 not in self.beside:
            try:
                self.beside[-1] = yard_forecast(workspace, years_on=-1)
            except MissingFieldError:  # it is itself the only past year
                self.beside[-1] = self._laid_back(workspace)
        return self.beside[-1]

    def _laid_back(self, workspace: Workspace) -> YardForecast:
        """This year's stages laid over the year before and held to what was seen in it."""
        year = GrowingYear(workspace.year.label - 1, workspace.year.south)
        trees = {
            tree: replace(each, year=year, days=_held(each, year, workspace.facts[tree], workspace.today))
            for tree, each in self.trees.items()
        }
        return replace(self, trees=trees, beside={})

    def of(self, facts: TreeFacts) -> StageForecast:
        """The forecast of one tree."""
        return self.trees[facts.tree.id]

    def members_at(self, facts: TreeFacts) -> WeatherMembers:
        """The weather years where one tree stands."""
        return self.at.get(facts.tree.id, self.members)


def _held(forecast: StageForecast, year: GrowingYear, facts: TreeFacts, today: date) -> FloatArray:
    """Samples of stages in which what was seen in a year has come by its day, and what follows has not."""
    import numpy as np

    from ringwise.phenology.seen import known_by

    days = forecast.days.copy()
    for each in known_by(seen_stages(facts, south=year.south), today):
        if each.year == year and each.teaches and each.latest is not None and each.code in forecast.codes:
            after, day = forecast.codes.index(each.code) + 1, float(year.day_index(each.latest))
            days[:, :after] = np.minimum(days[:, :after], day)
            days[:, after:] = np.maximum(days[:, after:], day)
    return days


def _weak_on(vigours: Sequence[Entry], when: date) -> bool:
    """Whether the tree was weak when a stage was seen, by the nearest note of its vigour up to a year off."""
    from ringwise.operations.conflicts import limit

    near = [
        (abs((e.on.middle - when).days), int(str(e.data["score"])))
        for e in vigours
        if e.on.middle is not None
    ]
    return bool(near) and min(near)[0] <= 366 and min(near)[1] <= limit("weak", "vigour_score")


def seen_stages(facts: TreeFacts, *, south: bool) -> tuple[SeenStage, ...]:
    """The stages seen on a tree, as the forecast takes them.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    south : bool
        Whether the yard lies south of the equator.

    Returns
    -------
    tuple of SeenStage
        In the order of the entries; entries without a known day are left out.
    """
    from datetime import date, timedelta

    from ringwise.phenology.seen import SeenStage
    from ringwise.records.observations import ROOTS_ACTIVE

    vigours = [e for e in facts.entries if e.kind == "vigour"]
    found = []
    for entry in facts.entries:
        if entry.kind != "stage" or entry.on.latest is None or entry.on.earliest is None:
            continue
        if entry.data["code"] == ROOTS_ACTIVE:  # no stage of the leaves
            continue
        before = entry.data.get("last_seen_before")
        earliest = date.fromisoformat(str(before)) if before else None
        if earliest is None and entry.on.precision != "day":
            earliest = entry.on.earliest - timedelta(days=1)
        found.append(
            SeenStage(
                code=str(entry.data["code"]),
                year=growing_year(entry.on.latest, south=south),
                latest=entry.on.latest,
                earliest=earliest,
                extent=str(entry.data.get("extent") or "first"),
                weak=_weak_on(vigours, entry.on.latest),
            )
        )
    return tuple(found)


def yard_forecast(workspace: Workspace, *, years_on: int = 0) -> YardForecast:
    """Stage forecasts of every tree of the collection, as seen today.

    Parameters
    ----------
    workspace : Workspace
        The collection, with weather.
    years_on : int
        0 for the growing year of today, 1 for the next one, -1 for the one before.

    Returns
    -------
    YardForecast
        By tree id.

    Raises
    ------
    MissingFieldError
        If there is no weather, or none of a past year.
    """
    return workspace.once(("yard_forecast", years_on), lambda: _made(workspace, years_on))


def _made(workspace: Workspace, years_on: int) -> YardForecast:
    from ringwise.desk.tree_sites import tree_sites
    from ringwise.phenology.choice import Luck
    from ringwise.phenology.seen import TreeRecord
    from ringwise.phenology.species import yard_weather
    from ringwise.phenology.yard import yard_forecast as forecast_all
    from ringwise.weather.years import members

    series = yard_series(workspace)
    year = GrowingYear(workspace.year.label + years_on, workspace.year.south)
    to_come = days_to_come(workspace)
    ahead = members(series, issue=workspace.today, year=year, most=WEATHER_YEARS, to_come=to_come)
    known = [f for f in workspace.facts.values() if f.taxon is not None]
    seen = {f.tree.id: seen_stages(f, south=workspace.settings.south) for f in known}
    years = {tree: {year, *(each.year for each in stages)} for tree, stages in seen.items()}
    sites = tree_sites(workspace, min(series.first, ahead.first), ahead.last, years)
    there = {site: sites.members(site, ahead) for site in sites.stood}
    taught, latitude_deg = teaching_series(series), workspace.settings.latitude_deg
    records = [
        TreeRecord(tree_number(f.tree.id), f.taxon, seen[f.tree.id], sites=sites.by_year(f.tree.id))
        for f in known
        if f.taxon is not None
    ]
    made = forecast_all(
        records,
        {
            site: yard_weather(sites.series(site, taught), weather, latitude_deg=latitude_deg)
            for site, weather in there.items()
        },
        today=workspace.today,
        luck=Luck(workspace.seed, PARAMETER_DRAWS),
    )
    return YardForecast(
        {f.tree.id: made[tree_number(f.tree.id)] for f in known},
        ahead,
        {tree: there[site] for tree, site in sites.of_tree.items()},
        series,
        {},
    )


def tree_number(tree: str) -> int:
    """A tree's own number in keyed chance; the same whatever other trees there are."""
    import hashlib

    return int.from_bytes(hashlib.sha256(tree.encode()).digest()[:6], "big")
