"""Heat and frost of pots as they are told: one pot on a hot day and in a frost night, all in these days."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from ringwise.desk.pot_cores import latitude_of, place_kind, recorded_heat, tree_core
from ringwise.kit import show
from ringwise.kit.tables import load_table
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.desk.yard_forecast import YardForecast
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Pot
    from ringwise.rootzone.heat import PlaceHeat
    from ringwise.rootzone.heat_days import ColdNight, HotDay

_LEAD_DAYS = 2  # after two days nothing is left of how a core began
_MOST_NAMED = 3


def pot_heat_told(workspace: Workspace, pot: Pot) -> tuple[Shape | None, list[str]]:
    """What a pot reaches on a hot clear day and in a clear frost night where it stands.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    pot : Pot
        Of the record.

    Returns
    -------
    (dict or None, list of str)
        Its values and its lines; nothing where the pot was not measured.
    """
    from ringwise.rootzone.heat_days import cold_night, hot_day
    from ringwise.rootzone.skin import COVERS, covered

    heat = recorded_heat(pot)
    if heat is None:
        return None, []
    facts = workspace.facts.get(pot.tree or "")
    kind = "open_bench" if facts is None else place_kind(workspace, facts)
    placed = facts is not None and facts.place is not None
    latitude_deg = latitude_of(workspace)
    hot = hot_day(heat, kind=kind, latitude_deg=latitude_deg)
    cold = cold_night(heat, kind=kind, latitude_deg=latitude_deg)
    covers = {key: hot_day(covered(heat, key), kind=kind, latitude_deg=latitude_deg) for key in COVERS}
    shape: Shape = {
        "tone": heat.skin.tone,
        "tone_told": heat.skin.told,
        "place_kind": kind,
        "place_told": placed,
        "hot_day": {
            "air_degC": hot.air_degC,
            "core_degC": round(hot.core_degC, 1),
            "wall_degC": round(hot.wall_degC, 1),
            "wall_low_degC": round(hot.wall_low_degC, 1),
            "wall_high_degC": round(hot.wall_high_degC, 1),
            "long_h": hot.long_h,
            "level": hot.level,
            "covers": [{"cover": key, "wall_degC": round(each.wall_degC, 1)} for key, each in covers.items()],
        },
        "frost_night": {
            "air_degC": cold.air_degC,
            "core_degC": round(cold.core_degC, 1),
            "held_degC": round(cold.held_degC, 1),
            "frozen_frac": round(cold.frozen_frac, 3),
        },
    }
    return shape, [
        _hot_line(heat.skin.tone, hot, covers),
        *_assumed(heat.skin.told, placed),
        _cold_line(cold),
    ]


def _hot_line(tone: str, hot: HotDay, covers: dict[str, HotDay]) -> str:
    from ringwise.rootzone.heat_words import heat_advice, side_words
    from ringwise.rootzone.skin import tone_words

    line = _(
        "hot clear day of {air} (pot {tone}): core {core}, sunny wall {wall} ({low} to {high}), "
        "hottest in the {side}"
    ).format(
        air=show.temperature(hot.air_degC),
        tone=tone_words(tone),
        core=show.temperature(hot.core_degC),
        wall=show.temperature(hot.wall_degC),
        low=show.temperature(hot.wall_low_degC),
        high=show.temperature(hot.wall_high_degC),
        side=side_words(hot.side_deg),
    )
    if not hot.level:
        return line + "."
    told = _("With shade cloth {cloth}, behind a board {board}, among other pots {huddle}.").format(
        **{key: show.temperature(each.wall_degC) for key, each in covers.items()}
    )
    return f"{line}. {told} {heat_advice(hot.level)}"


def _assumed(tone_told: bool, placed: bool) -> list[str]:
    parts = [] if tone_told else [_("the pot's colour")]
    parts += [] if placed else [_("its place (an open bench)")]
    parts += [_("water in the mix, the crown's shade and the wind's share")]
    return [_("assumed: {what}").format(what=", ".join(parts))]


def _cold_line(cold: ColdNight) -> str:
    return _(
        "clear frost night of {air}: the core is judged at {core}; its freezing water would hold it at "
        "{held}, with {ice} of it ice by morning, and the rim freezes first"
    ).format(
        air=show.temperature(cold.air_degC),
        core=show.temperature(cold.core_degC),
        held=show.temperature(cold.held_degC),
        ice=show.percent(cold.frozen_frac),
    )


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
