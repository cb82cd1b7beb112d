"""The pots of the yard whose sunny wall gets too hot on the days to come."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from ringwise.desk.pot_cores import tree_core
from ringwise.desk.pot_skins import latitude_of, place_kind
from ringwise.kit import show
from ringwise.kit.tables import load_table
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.desk.yard_forecast import YardForecast
    from ringwise.records.facts import TreeFacts
    from ringwise.rootzone.heat import PlaceHeat

_LEAD_DAYS = 2  # after two days nothing is left of how a core began
_MOST_NAMED = 3


def heat_notes(workspace: Workspace, yard: YardForecast) -> list[str]:
    """Pots whose sunny wall gets too hot on the days to come in at least half of the weather years.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    yard : YardForecast
        Of this growing year.

    Returns
    -------
    list of str
        One sentence for all of them, the hottest named; none where no wall passes the limit to act.
    """
    from ringwise.rootzone.heat import ACT, ALARM, heat_level
    from ringwise.rootzone.heat_words import heat_advice

    hottest = _hottest(workspace, yard)
    hot = sorted(((each, tree) for tree, each in hottest.items()), reverse=True)
    hot = [(each, tree) for each, tree in hot if heat_level(each) in {ACT, ALARM}]
    if not hot:
        return []
    names = ", ".join(tree for _each, tree in hot[:_MOST_NAMED])
    days = round(load_table("ringwise.season", "risks").get("heat", "days").number)
    words = (
        _(
            "Heat at the sunny pot wall within {days} days: {n} pots pass {limit} "
            "({trees} first, {worst}). {advice}"
        )
        if len(hot) > 1
        else _("Heat at the sunny pot wall within {days} days: {trees} passes {limit} ({worst}). {advice}")
    )
    limit = load_table("ringwise.rootzone", "core").get("any", "act_degC").number
    return [
        words.format(
            days=days,
            n=len(hot),
            limit=show.temperature(limit),
            trees=names,
            worst=show.temperature(hot[0][0]),
            advice=heat_advice(heat_level(hot[0][0])),
        )
    ]


def _hottest(workspace: Workspace, yard: YardForecast) -> dict[str, float]:
    """By tree the highest behind its sunny wall on the days to come, in the middle one of the years."""
    import numpy as np

    from ringwise.rootzone.heat import pot_days
    from ringwise.rootzone.skin import heat_row
    from ringwise.season.carry import in_ground

    station = yard.members
    begin = station.column(workspace.today) + 1
    end = begin + round(load_table("ringwise.season", "risks").get("heat", "days").number)
    days = slice(begin - _LEAD_DAYS, end)
    if days.start < 0 or end > station.tmax_degC.shape[1]:
        return {}
    if not bool((station.tmax_degC[:, begin:end] > heat_row("wall", "look_degC").number).any()):
        return {}
    places: dict[tuple[int, str], PlaceHeat] = {}
    found: dict[str, float] = {}
    for tree, facts in workspace.facts.items():
        kind = place_kind(workspace, facts)
        heat = tree_core(workspace, facts)
        if heat is None or in_ground(facts, None, stated="" if facts.place is None else kind):
            continue
        key = (id(yard.members_at(facts)), kind)
        if key not in places:
            places[key] = _ahead(workspace, yard, facts, kind, days)
        wall = pot_days(places[key], heat).wall_high_degC[:, _LEAD_DAYS:].max(axis=1)
        known = wall[~np.isnan(wall)]
        if known.size:
            found[tree] = float(np.median(known))
    return found


def _ahead(workspace: Workspace, yard: YardForecast, facts: TreeFacts, kind: str, days: slice) -> PlaceHeat:
    """Air, sun and sky of some days where a tree stands."""
    from ringwise.rootzone.core import bench_hours
    from ringwise.rootzone.heat import place_heat
    from ringwise.weather.sun_years import sun_years

    latitude_deg, weather = latitude_of(workspace), yard.members_at(facts)
    air = bench_hours(
        weather.tmin_degC[:, days],
        weather.tmax_degC[:, days],
        first=weather.first + timedelta(days=days.start),
        latitude_deg=latitude_deg,
    )
    sun = sun_years(yard.members, yard.series, latitude_deg=latitude_deg, days=days)
    return place_heat(
        air, sun.sun, kind=kind, sky_w_m2=sun.sky_w_m2, wind_2m_m_s=weather.wind_2m_m_s[:, days]
    )
