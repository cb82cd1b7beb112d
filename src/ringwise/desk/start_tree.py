"""What a run of futures starts from: a tree's record as equally likely trees and their state."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from ringwise.desk.measure_sheet import wounds_of
from ringwise.desk.measuring import tape_of, tree_of_tape
from ringwise.desk.own_growth import own_growth
from ringwise.desk.own_tries import learned_of
from ringwise.desk.potting import shape_of
from ringwise.desk.roots_seen import seen_roots
from ringwise.desk.structures import structure_entry, structure_of
from ringwise.records.model import Entry

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ringwise.desk.workspace import Workspace
    from ringwise.futures.start import Aim, GraftNow, OpenWound, Start
    from ringwise.growth.start import Condition
    from ringwise.records.facts import TreeFacts
    from ringwise.structure.table import SegmentTable
    from ringwise.structure.tape import Tape

LIKELY_TREES = 4  # equally likely shapes behind one tape; more change the bands by less than their error
STEADY_VIGOUR = 3  # taken where nobody noted any
_YEAR_DAYS = 365.25
_FRONT_CLOCK = 6.0  # taken for a graft whose side nobody noted
_UNKNOWN_REPOT_YEARS = 3.0  # middle of the usual interval, where the last repot is not known
_GRAFTS = frozenset({"approach_graft", "thread_graft"})
_HELD_STAGES = frozenset({"S6", "S7", "S8", "S9"})  # from here on an outline is held by cutting back


def _volume_l(workspace: Workspace, facts: TreeFacts) -> float:
    from ringwise.growth.start import litres_of_ground
    from ringwise.rootzone.pot import practice_fill

    if facts.pot is None or facts.pot.shape == "ground" or facts.pot.length_mm is None:
        return litres_of_ground()
    shape = shape_of(facts.pot)
    return shape.filled(practice_fill(shape)).volume_cm3 / 1000.0


def _since_repot_years(workspace: Workspace, facts: TreeFacts) -> float:
    middle = None if facts.last_repot is None else facts.last_repot.middle
    if middle is None:
        return _UNKNOWN_REPOT_YEARS
    return max(0.0, (workspace.today - middle).days / _YEAR_DAYS)


def _condition(workspace: Workspace, facts: TreeFacts, sectors: tuple[bool, ...] | None) -> Condition:
    from ringwise.growth.start import Condition

    return Condition(
        volume_l=_volume_l(workspace, facts),
        vigour=STEADY_VIGOUR if facts.vigour is None else facts.vigour,
        since_repot_years=_since_repot_years(workspace, facts),
        sectors=sectors or (True,) * 12,
    )


def _aim(facts: TreeFacts, table: SegmentTable) -> Aim:
    from ringwise.futures.start import Aim
    from ringwise.structure.measures import measures

    if facts.tree.stage not in _HELD_STAGES:
        return Aim()
    size = measures(table)
    return Aim(size.height_mm, size.spread_mm)


def _graft_set(facts: TreeFacts) -> Entry | None:
    """The last graft that is on the tree: neither severed since it was set nor told to have failed."""
    on: list[Entry] = []
    for entry in facts.entries:
        operation = entry.data.get("operation")
        failed = entry.kind == "result" and operation in _GRAFTS and not entry.data.get("came_off")
        if entry.kind == "work" and operation in _GRAFTS:
            on.append(entry)
        elif on and (failed or (entry.kind == "work" and operation == "sever_graft")):
            on.pop(0)
    return on[-1] if on else None


@dataclass(frozen=True)
class Limb:
    """A measured branch as far as a graft's is told by it; None was not measured."""

    height_mm: float
    clock: float | None
    diameter_mm: float | None


def graft_now(workspace: Workspace, facts: TreeFacts, limbs: Sequence[Limb]) -> tuple[GraftNow, int] | None:
    """The graft that is on a tree, with the thickness pairs of its checks.

    Parameters
    ----------
    workspace : Workspace
        For today.
    facts : TreeFacts
        Of the tree.
    limbs : sequence of Limb
        The one nearest in thickness to the last reading beyond the joint is the grafted one.

    Returns
    -------
    (GraftNow, int) or None
        With the place of the grafted branch; None where no graft is on the tree or no branch was measured.
    """
    from ringwise.futures.start import GraftNow
    from ringwise.growth.odds import odds_table

    made = _graft_set(facts)
    set_on = None if made is None else made.on.middle
    checks = [e for e in facts.entries if e.kind == "graft_check" and _days_on(e, set_on) >= 0]
    thick = {place: each.diameter_mm for place, each in enumerate(limbs) if each.diameter_mm is not None}
    if made is None or not thick:
        return None
    after = tuple(float(str(e.data["after_mm"])) for e in checks)
    beyond_mm = after[-1] if after else min(thick.values())
    place = min(thick, key=lambda each: abs(thick[each] - beyond_mm))
    years = 1.0 if set_on is None else max(0.0, (workspace.today - set_on).days / _YEAR_DAYS)
    clock = limbs[place].clock
    # A pair that was read about the day of setting says nothing of the union yet.
    told = [e for e in checks if _days_on(e, set_on) > odds_table().get("any", "sign_from").number]
    pairs = [[float(str(e.data[name])) for e in told] for name in ("before_mm", "after_mm")]
    clock_h = _FRONT_CLOCK if clock is None else clock
    return GraftNow(limbs[place].height_mm, clock_h, years, tuple(pairs[0]), tuple(pairs[1])), place


def _days_on(check: Entry, set_on: date | None) -> float:
    """How long a graft had been on at a check, in days; without end where a day is not known."""
    if set_on is None or check.on.middle is None:
        return math.inf
    return float((check.on.middle - set_on).days)


def _from_tape(
    workspace: Workspace, facts: TreeFacts, tape: Tape
) -> tuple[tuple[SegmentTable, ...], GraftNow | None]:
    """Equally likely trees of a tape, without a branch that lives on its donor's roots yet."""
    limbs = [Limb(b.height_mm, b.clock, b.diameter_mm) for b in tape.branches]
    graft = graft_now(workspace, facts, limbs)
    if graft is not None:
        kept = tuple(b for place, b in enumerate(tape.branches) if place != graft[1])
        tape = replace(tape, branches=kept)
    tables = tuple(tree_of_tape(workspace, facts, tape, which) for which in range(LIKELY_TREES))
    return tables, None if graft is None else graft[0]


def _from_shape(workspace: Workspace, facts: TreeFacts) -> tuple[tuple[SegmentTable, ...], GraftNow | None]:
    """Equally likely trees of a kept shape, without a branch that lives on its donor's roots yet."""
    from ringwise.structure.branching import branches
    from ringwise.structure.measured import cut

    trees = [structure_of(workspace, facts, which) for which in range(LIKELY_TREES)]
    mains = branches(trees[0], most_order=1)
    graft = graft_now(workspace, facts, [Limb(b.height_mm, b.clock, b.base_diameter_mm) for b in mains])
    if graft is not None:
        row = mains[graft[1]].row
        trees = [cut(each, row) for each in trees]
    return tuple(each.table for each in trees), None if graft is None else graft[0]


def _open_wounds(workspace: Workspace, facts: TreeFacts) -> tuple[OpenWound, ...]:
    """Wounds that showed wood when last read; how long they are open counts from their first reading."""
    from ringwise.futures.start import OpenWound

    found = []
    for wound in wounds_of(facts):
        since = wound.readings[0].on
        years = 0.0 if since is None else max(0.0, (workspace.today - since).days / _YEAR_DAYS)
        if wound.is_open:
            found.append(OpenWound(wound.latest.at_mm, wound.latest.width_mm, years))
    return tuple(found)


def start_of(workspace: Workspace, facts: TreeFacts) -> Start:
    """The start of a run of futures for a tree, with what its own girths and the grower's tries say.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    Start
        Several equally likely trees with pot, vigour, roots, aim, graft, learned odds and growth.

    Raises
    ------
    MissingFieldError
        If neither a structure nor trunk and height are known.
    """
    start = plain_start(workspace, facts)
    particles = own_growth(workspace, facts, start)
    if particles is not None:
        start = replace(start, particles=particles, vigour=particles.vigour)
    return replace(start, aim=_aim_from_ground(start.tables[0])) if _grown_on(start) else start


def _grown_on(start: Start) -> bool:
    """Whether it grows on in the ground: no outline is held, but its leader is headed from time to time."""
    return math.isinf(start.condition.volume_l) and start.aim.height_mm <= 0


def _aim_from_ground(table: SegmentTable) -> Aim:
    """The height to which a tree from the ground is built, by the trunk it has, and as wide."""
    from ringwise.futures.start import Aim
    from ringwise.kit.tables import load_table
    from ringwise.structure.measures import measures

    row = load_table("ringwise.structure", "proportions").get("height_to_base", "ratio")
    height_mm = (row.number if row.high is None else row.high) * measures(table).base_diameter_mm
    return Aim(height_mm, height_mm)


def plain_start(workspace: Workspace, facts: TreeFacts) -> Start:
    """The start of a tree as it stands, growing as its kind does.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    Start
        Several equally likely trees with pot, vigour, roots, aim, graft and open wounds.

    Raises
    ------
    MissingFieldError
        If neither a structure nor trunk and height are known.
    """
    from ringwise.futures.start import Start

    entry = structure_entry(facts)
    if entry is not None and entry.kind == "shape":
        tables, graft = _from_shape(workspace, facts)
        sectors = seen_roots(facts.entries)
    else:
        tape = tape_of(facts)
        tables, graft = _from_tape(workspace, facts, tape)
        sectors = tape.root_sectors
    group = facts.taxon.group if facts.taxon is not None else ""
    return Start(
        tables=tables,
        condition=_condition(workspace, facts, sectors),
        first_year=workspace.year.label,
        size_class=facts.tree.size_class or "M",
        aim=_aim(facts, tables[0]),
        graft=graft,
        conifer=group in {"G5", "G6"},
        learned=learned_of(workspace, facts),
        wounds=_open_wounds(workspace, facts),
    )
