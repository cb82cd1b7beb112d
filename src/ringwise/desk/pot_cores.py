"""Where a tree stands as its risks need it: weather of its place, its pot's core over all weather years."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from weakref import ref

from ringwise.desk.pots import find_pot
from ringwise.desk.potting import planned_work
from ringwise.desk.tree_facts_told import inside
from ringwise.kit.errors import RingwiseError
from ringwise.kit.tables import load_table
from ringwise.kit.words import _
from ringwise.records.taxa import lookup_keys

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.desk.yard_forecast import YardForecast
    from ringwise.kit.types import FloatArray
    from ringwise.operations.base import Operation
    from ringwise.records.facts import TreeFacts
    from ringwise.rootzone.core import CoreDays, PotCore
    from ringwise.season.risk import Stand
    from ringwise.weather.years import WeatherMembers


@dataclass
class _Book:
    """Hours of one place's weather years, and cores by their lag: pots of about one lag share theirs."""

    weather: ref[WeatherMembers]
    air_degC: FloatArray
    cores: dict[str, CoreDays] = field(default_factory=dict)


_books: dict[tuple[int, float], _Book] = {}


def _book(weather: WeatherMembers, latitude_deg: float) -> _Book:
    from ringwise.rootzone.core import bench_hours

    key = (id(weather), latitude_deg)
    kept = _books.get(key)
    if kept is not None and kept.weather() is weather:
        return kept
    air_degC = bench_hours(
        weather.tmin_degC, weather.tmax_degC, first=weather.first, latitude_deg=latitude_deg
    )
    made = _books[key] = _Book(ref(weather, lambda _gone: _books.pop(key, None)), air_degC)
    return made


def latitude_of(workspace: Workspace) -> float:
    """The yard's latitude, else the one that hours are made with where it is not set.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    float
        North positive, in degrees.
    """
    known = workspace.settings.latitude_deg
    return (
        load_table("ringwise.season", "risks").get("hours", "latitude_deg").number if known is None else known
    )


def core_over_years(workspace: Workspace, weather: WeatherMembers, core: PotCore) -> CoreDays:
    """Lowest and highest of a pot's core on each day of each weather year.

    Parameters
    ----------
    workspace : Workspace
        The collection, for its latitude.
    weather : WeatherMembers
        Of the place where the pot stands.
    core : PotCore
        From `rootzone.core.pot_core`.

    Returns
    -------
    CoreDays
        Made once for pots whose lag is the same to two digits.
    """
    from ringwise.rootzone.core import core_days

    book = _book(weather, latitude_of(workspace))
    key = f"{core.lag_min:.2g}"
    if key not in book.cores:
        book.cores[key] = core_days(book.air_degC, core)
    return book.cores[key]


def tree_core(workspace: Workspace, facts: TreeFacts, operation: str = "") -> PotCore | None:
    """The core of the pot that a tree stands in, or goes into by a planned work.

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
    PotCore or None
        None where the pot has no measures, or the tree stands in the ground.
    """
    from ringwise.rootzone.core import pot_core
    from ringwise.rootzone.pot import practice_fill

    plan = planned_work(facts, operation) if operation else None
    pot = facts.pot
    try:
        if plan is not None and plan.data.get("pot"):
            pot = find_pot(workspace, str(plan.data["pot"]))
        shape = inside(pot)
        return None if shape is None else pot_core(shape.filled(practice_fill(shape)))
    except RingwiseError:  # a pot that is gone, or too shallow to hold anything above its floor
        return None


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
    from ringwise.desk.microsites import microsite_kind
    from ringwise.rootzone.core import core_trace
    from ringwise.season.carry import in_ground, roots_cut
    from ringwise.season.risk import Stand

    if facts.taxon is None:
        return None
    weather, forecast = yard.members_at(facts), yard.of(facts)
    stated = "" if facts.place is None else microsite_kind(workspace, facts.place.place)
    if in_ground(facts, operation, stated=stated):  # no pot whose core could freeze, and nothing to carry
        return Stand(weather, forecast, lookup_keys(facts.taxon.key), core=None, cut=False)
    core = tree_core(workspace, facts, "" if operation is None else operation.key)
    will_cut = operation is not None and operation.root_work
    return Stand(
        weather=weather,
        forecast=forecast,
        keys=lookup_keys(facts.taxon.key),
        core=None if core is None else core_over_years(workspace, weather, core),
        cut=will_cut or roots_cut(facts, workspace.today, forecast),
        lag=None if core is None else core_trace(core),
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
