"""Where a tree stands as its risks need it: weather of its place, its pot's core over all weather years."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from weakref import ref

from ringwise.desk.pot_skins import latitude_of, place_kind, recorded_heat
from ringwise.desk.pots import find_pot
from ringwise.desk.potting import planned_work
from ringwise.kit.errors import RingwiseError
from ringwise.kit.words import _
from ringwise.records.taxa import lookup_keys

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.desk.yard_forecast import YardForecast
    from ringwise.operations.base import Operation
    from ringwise.records.facts import TreeFacts
    from ringwise.rootzone.core import CoreDays
    from ringwise.rootzone.heat import PlaceHeat
    from ringwise.rootzone.skin import PotHeat
    from ringwise.season.risk import Stand
    from ringwise.weather.sun_years import SunYears
    from ringwise.weather.years import WeatherMembers


@dataclass
class _Book:
    """Air, sun and sky of one place's weather years, and cores of pots that are alike: they share theirs."""

    weather: ref[WeatherMembers]
    heat: PlaceHeat
    cores: dict[str, CoreDays] = field(default_factory=dict)


_books: dict[tuple[int, float, str], _Book] = {}
_suns: dict[tuple[int, float], tuple[ref[WeatherMembers], SunYears]] = {}


def _sun(yard: YardForecast, latitude_deg: float) -> SunYears:
    """Sun and sky of the yard's station, once for all places."""
    from ringwise.weather.sun_years import sun_years

    station = yard.members
    key = (id(station), latitude_deg)
    kept = _suns.get(key)
    if kept is None or kept[0]() is not station:
        made = sun_years(station, yard.series, latitude_deg=latitude_deg)
        kept = _suns[key] = (ref(station, lambda _gone: _suns.pop(key, None)), made)
    return kept[1]


def _book(yard: YardForecast, weather: WeatherMembers, latitude_deg: float, kind: str) -> _Book:
    from ringwise.rootzone.core import bench_hours
    from ringwise.rootzone.heat import place_heat

    key = (id(weather), latitude_deg, kind)
    kept = _books.get(key)
    if kept is not None and kept.weather() is weather:
        return kept
    air_degC = bench_hours(
        weather.tmin_degC, weather.tmax_degC, first=weather.first, latitude_deg=latitude_deg
    )
    sun = _sun(yard, latitude_deg)
    heat = place_heat(air_degC, sun.sun, kind=kind, sky_w_m2=sun.sky_w_m2, wind_2m_m_s=weather.wind_2m_m_s)
    made = _books[key] = _Book(ref(weather, lambda _gone: _books.pop(key, None)), heat)
    return made


def core_over_years(
    workspace: Workspace, yard: YardForecast, facts: TreeFacts, pot: PotHeat, *, kind: str = ""
) -> CoreDays:
    """Lowest and highest of a pot's core on each day of each weather year, with sun, sky and wind.

    Parameters
    ----------
    workspace : Workspace
        The collection, for its latitude.
    yard : YardForecast
        Of the growing year.
    facts : TreeFacts
        Of the tree, for its place.
    pot : PotHeat
        From `rootzone.skin.pot_heat`.
    kind : str
        Of its place; by default as `place_kind` tells.

    Returns
    -------
    CoreDays
        Made once for pots whose lag and skin are the same to two digits.
    """
    from ringwise.rootzone.heat import pot_days

    book = _book(yard, yard.members_at(facts), latitude_of(workspace), kind or place_kind(workspace, facts))
    key = f"{pot.lag_min:.2g} {pot.skin.taken_frac:.2g} {pot.skin.open_walls_m2 / pot.surface_m2:.1g}"
    if key not in book.cores:
        book.cores[key] = pot_days(book.heat, pot)
    return book.cores[key]


def tree_core(workspace: Workspace, facts: TreeFacts, operation: str = "") -> PotHeat | None:
    """The heat of the pot that a tree stands in, or goes into by a planned work.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    operation : str
        A work whose plan may name another pot.

    Returns
    -------
    PotHeat or None
        None where the pot has no measures, or the tree stands in the ground.
    """
    plan = planned_work(facts, operation) if operation else None
    pot = facts.pot
    try:
        if plan is not None and plan.data.get("pot"):
            pot = find_pot(workspace, str(plan.data["pot"]))
    except RingwiseError:  # a pot that is gone
        return None
    return recorded_heat(pot)


def stand_of(
    workspace: Workspace, facts: TreeFacts, yard: YardForecast, operation: Operation | None = None
) -> Stand | None:
    """The tree where it stands, for the risks after a work.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    yard : YardForecast
        Of the growing year.
    operation : Operation, optional
        The work; without one the tree as it is now.

    Returns
    -------
    Stand or None
        None where its kind is in no list.
    """
    from ringwise.rootzone.heat_words import heat_trace
    from ringwise.season.carry import in_ground, roots_cut
    from ringwise.season.risk import Stand

    if facts.taxon is None:
        return None
    weather, forecast = yard.members_at(facts), yard.of(facts)
    kind = place_kind(workspace, facts)
    if in_ground(
        facts, operation, stated="" if facts.place is None else kind
    ):  # no pot whose core could freeze, and nothing to carry
        return Stand(weather, forecast, lookup_keys(facts.taxon.key), core=None, cut=False)
    core = tree_core(workspace, facts, "" if operation is None else operation.key)
    will_cut = operation is not None and operation.root_work
    return Stand(
        weather=weather,
        forecast=forecast,
        keys=lookup_keys(facts.taxon.key),
        core=None if core is None else core_over_years(workspace, yard, facts, core, kind=kind),
        cut=will_cut or roots_cut(facts, workspace.today, forecast),
        lag=None if core is None else heat_trace(core, kind),
    )


def carry_in_notes(workspace: Workspace, yard: YardForecast) -> list[str]:
    """Trees whose roots were cut and are not active yet, where the nights to come ask to carry them in.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    yard : YardForecast
        Of this growing year.

    Returns
    -------
    list of str
        One sentence a tree; also where frost on cut roots cannot be told.
    """
    from ringwise.season.carry import carry_in, frost_not_told, roots_cut

    notes = []
    for facts in workspace.facts.values():
        if facts.tree.id not in yard.trees or not roots_cut(facts, workspace.today, yard.of(facts)):
            continue
        stand = stand_of(workspace, facts, yard)
        if stand is None:
            continue
        told = carry_in(stand, workspace.today)
        what = frost_not_told(stand, workspace.today) if told is None else told.words
        if what:
            notes.append(
                _("{tree} {name}, roots cut and not active yet: {what}").format(
                    tree=facts.tree.id, name=facts.tree.name, what=what
                )
            )
    return notes
