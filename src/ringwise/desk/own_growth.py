"""What a tree's own girths say of its growth: its record laid out in seasons, and the particles it leaves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

from ringwise.desk.dial import time_years
from ringwise.desk.results import kept, result_key
from ringwise.desk.structures import structure_entry, structure_of
from ringwise.kit.errors import RangeError
from ringwise.records.facts import REPOTTING
from ringwise.records.girths import girths_of_one_line

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.futures.start import Start
    from ringwise.growth.particles import Particles
    from ringwise.growth.seen_growth import SeenGrowth
    from ringwise.records.facts import TreeFacts
    from ringwise.structure.table import SegmentTable

KIND = "particles"
KEPT = 200  # results that are kept: a yard of a few seasons
TABLES = tuple(("ringwise.growth", name) for name in ("species", "parameters", "odds", "wounds"))
_WINDOW_SEASONS = 6.0  # older girths tell of another pot and another crown
_NEAR_SEASONS = 0.3  # readings nearer than this are one
_YEAR_DAYS = 365.25


def seen_growth(
    workspace: Workspace, facts: TreeFacts, *, until: date | None = None
) -> tuple[SeenGrowth, tuple[date, ...]] | None:
    """The girths and heights of a tree by growing seasons, from the first that counts.

    Parameters
    ----------
    workspace : Workspace
        For the hemisphere.
    facts : TreeFacts
        Of the tree.
    until : date, optional
        Leaves out what was read later.

    Returns
    -------
    (SeenGrowth, tuple of date) or None
        With the day of each girth; None where no two girths lie apart.
    """
    from ringwise.growth.seen_growth import SeenGrowth

    reads = [each for each in girths_of_one_line(facts.entries) if until is None or each.on <= until]
    girths = _together([(season_of(workspace, each.on), each.girth_mm, each.on) for each in reads])
    if not girths:
        return None
    last = girths[-1][0]
    girths = [each for each in girths if each[0] >= last - _WINDOW_SEASONS - _NEAR_SEASONS]
    if len(girths) < 2:
        return None
    began = girths[0][0]
    heights = _together(
        [
            (season_of(workspace, each.on.middle), float(str(each.data["height_mm"])), each.on.middle)
            for each in facts.entries
            if each.kind == "height"
            and each.on.middle is not None
            and (until is None or each.on.middle <= until)
        ]
    )
    later = [each for each in heights if began + _NEAR_SEASONS < each[0] <= last]
    seen = SeenGrowth(
        seasons=tuple(season - began for season, _girth, _day in girths),
        girths_mm=tuple(girth for _season_, girth, _day in girths),
        height_seasons=tuple(season - began for season, _height, _day in later),
        heights_mm=tuple(height for _season_, height, _day in later),
    )
    return seen, tuple(day for _season, _girth, day in girths)


def season_of(workspace: Workspace, when: date) -> float:
    """Growing seasons lived by a day, as a label of years and the share of growth gone by.

    Parameters
    ----------
    workspace : Workspace
        For the hemisphere.
    when : date
        The day.

    Returns
    -------
    float
        Such as 2027.4.
    """
    from ringwise.growth.girth_line import grown_seasons, growth_curve

    return float(grown_seasons(time_years(when, south=workspace.settings.south), growth_curve()))


def _together(reads: Sequence[tuple[float, float, date]]) -> list[tuple[float, float, date]]:
    """Readings of one season's rest taken as one, in order."""
    out: list[list[tuple[float, float, date]]] = []
    for each in sorted(reads):
        if out and each[0] - out[-1][0][0] < _NEAR_SEASONS:
            out[-1].append(each)
        else:
            out.append([each])
    return [(group[0][0], sum(g for _s, g, _d in group) / len(group), group[0][2]) for group in out]


def starts_then(
    workspace: Workspace, facts: TreeFacts, now: Start, seen: SeenGrowth, days: Sequence[date]
) -> tuple[Start, ...]:
    """The tree as it may have stood at each girth that growth is counted from.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    now : Start
        As it stands.
    seen : SeenGrowth
        Its record.
    days : sequence of date
        Of its girths.

    Returns
    -------
    tuple of Start
        The first one first.
    """
    from ringwise.growth.seen_growth import over_seasons

    kept = over_seasons(seen).seasons[:-1]
    places = [place for place, season in enumerate(seen.seasons) if season in kept]
    return tuple(start_then(workspace, facts, now, (seen, place), days[place]) for place in places)


def start_then(
    workspace: Workspace, facts: TreeFacts, now: Start, read: tuple[SeenGrowth, int], day: date
) -> Start:
    """The tree as it may have stood at one girth of its record.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    now : Start
        As it stands.
    read : (SeenGrowth, int)
        Its record, and which girth of it.
    day : date
        Of that girth.

    Returns
    -------
    Start
        From what was measured by then, else the tree of today drawn smaller.
    """
    from ringwise.futures.hindcast import tree_then

    seen, place = read
    repots = [
        each.on.middle
        for each in facts.works
        if each.data.get("operation") in REPOTTING and each.on.middle is not None and each.on.middle <= day
    ]
    since = (day - max(repots)).days / _YEAR_DAYS if repots else 1.0
    tables: tuple[SegmentTable, ...]
    if structure_entry(facts, day) is not None:
        tables = tuple(structure_of(workspace, facts, which, day).table for which in range(len(now.tables)))
    else:
        width = min(
            1.0, seen.girths_mm[place] / max(each.girth_mm for each in girths_of_one_line(facts.entries))
        )
        # A tree whose outline is held was as high then; one that grows rises with its thickness.
        length = 1.0 if now.aim.height_mm > 0 else width ** (2.0 / 3.0)
        tables = tuple(tree_then(each, width, length) for each in now.tables)
    years = round(seen.seasons[-1] - seen.seasons[place])
    return replace(
        now,
        tables=tables,
        condition=replace(now.condition, since_repot_years=since),
        first_year=now.first_year - years,
        graft=None,
        vigour=None,
        particles=None,
        learned=None,
    )


def _with_twigs(workspace: Workspace, facts: TreeFacts, seen: SeenGrowth, day: date) -> SeenGrowth:
    """Tips and order of a measured shape, where the tree at the beginning was measured as well."""
    from ringwise.structure.branching import ramification

    old, new = structure_entry(facts, day), structure_entry(facts)
    if old is None or new is None or new.kind != "shape" or old.id == new.id:
        return seen
    twigs = ramification(structure_of(workspace, facts).table)
    return replace(seen, tips_n=float(twigs.tips), order_n=float(len(twigs.strahler_counts)))


def own_growth(workspace: Workspace, facts: TreeFacts, now: Start) -> Particles | None:
    """What a tree's own record leaves of the uncertain numbers of its growth, made once and kept.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    now : Start
        As it stands.

    Returns
    -------
    Particles or None
        None where no two girths of it lie apart, or no life agrees with them.
    """
    found = seen_growth(workspace, facts)
    if found is None:
        return None
    seen = _with_twigs(workspace, facts, found[0], found[1][0])
    then = starts_then(workspace, facts, now, seen, found[1])
    try:
        return particles_of(workspace, facts, then, seen)
    except RangeError:  # no life from there agrees with the record: the tree is taken as its kind
        return None


def particles_of(
    workspace: Workspace, facts: TreeFacts, then: tuple[Start, ...], seen: SeenGrowth
) -> Particles:
    """The particles of a record from past starts, made once and kept.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        For the species.
    then : tuple of Start
        From `starts_then`.
    seen : SeenGrowth
        Its record.

    Returns
    -------
    Particles
        Of equal weight.
    """
    import numpy as np

    from ringwise.growth.particles import Particles

    def made() -> dict[str, Any]:
        from ringwise.desk.compiling import ensure_compiled
        from ringwise.futures.hindcast import calibrated
        from ringwise.growth.biology import biology
        from ringwise.records.taxa import lookup_keys

        ensure_compiled()
        life = biology(lookup_keys(facts.tree.species if facts.taxon is None else facts.taxon.key))
        told = calibrated(then, life, seen, seed=workspace.seed)
        return {
            "values": told.values.tolist(),
            "increments": told.increments_n,
            "effective": told.effective_n,
            "sharpness": told.sharpness_frac,
        }

    key = result_key(KIND, {"then": then, "seen": seen, "kind": facts.tree.species}, TABLES, workspace.seed)
    known = workspace.store.result_get(key) is not None
    plain = kept(workspace, KIND, key, made)
    if not known:
        workspace.store.results_keep(KIND, KEPT)
    return Particles(np.array(plain["values"]), plain["increments"], plain["effective"], plain["sharpness"])
