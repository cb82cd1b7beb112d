"""What a run of futures starts from: a tree's record as equally likely trees and their state."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ringwise.desk.measuring import tape_of, tree_of_tape
from ringwise.desk.potting import shape_of
from ringwise.desk.structures import structure_entry, structure_of
from ringwise.records.model import Entry

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ringwise.desk.workspace import Workspace
    from ringwise.futures.start import Aim, GraftNow, Start
    from ringwise.growth.start import Condition
    from ringwise.records.facts import TreeFacts
    from ringwise.structure.measures import BranchMeasure
    from ringwise.structure.table import SegmentTable
    from ringwise.structure.tape import Tape, TapeBranch

LIKELY_TREES = 4  # equally likely shapes behind one tape; more change the bands by less than their error
STEADY_VIGOUR = 3  # taken where nobody noted any
_YEAR_DAYS = 365.25
_UNKNOWN_REPOT_YEARS = 3.0  # middle of the usual interval, where the last repot is not known
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
    grafts = [e for e in facts.works if e.data.get("operation") == "approach_graft"]
    severed = [e for e in facts.works if e.data.get("operation") == "sever_graft"]
    return grafts[-1] if len(grafts) > len(severed) else None


def graft_now(
    workspace: Workspace, facts: TreeFacts, branches: Sequence[TapeBranch | BranchMeasure]
) -> GraftNow | None:
    """The approach graft that is on a tree, with the thickness pairs of its checks.

    Parameters
    ----------
    workspace : Workspace
        For today.
    facts : TreeFacts
        Of the tree.
    branches : sequence of TapeBranch or BranchMeasure
        The one nearest in thickness to the last reading beyond the joint is the grafted one.

    Returns
    -------
    GraftNow or None
        None where no graft is on the tree or no branch was measured.
    """
    from ringwise.futures.start import GraftNow

    made = _graft_set(facts)
    checks = [e for e in facts.entries if e.kind == "graft_check"]
    if made is None or not branches:
        return None
    before = tuple(float(str(e.data["before_mm"])) for e in checks)
    after = tuple(float(str(e.data["after_mm"])) for e in checks)
    beyond_mm = after[-1] if after else min(_base_mm(b) for b in branches)
    branch = min(branches, key=lambda b: abs(_base_mm(b) - beyond_mm))
    set_on = made.on.middle
    years = 1.0 if set_on is None else max(0.0, (workspace.today - set_on).days / _YEAR_DAYS)
    # The first pair was read on the day of setting: it says nothing of the union yet.
    return GraftNow(branch.height_mm, branch.clock, years, before[1:], after[1:])


def _base_mm(branch: TapeBranch | BranchMeasure) -> float:
    found = getattr(branch, "diameter_mm", None)
    return float(branch.base_diameter_mm if found is None else found)  # type: ignore[union-attr]


def _without_donor(tape: Tape, graft: GraftNow | None) -> Tape:
    """The tape without the grafted branch: until it is severed it lives on the donor's roots."""
    if graft is None:
        return tape
    kept = tuple(b for b in tape.branches if (b.height_mm, b.clock) != (graft.height_mm, graft.clock))
    return replace(tape, branches=kept)


def _from_shape(workspace: Workspace, facts: TreeFacts) -> tuple[tuple[SegmentTable, ...], GraftNow | None]:
    """Equally likely trees of a kept shape, without a branch that lives on its donor's roots yet."""
    from ringwise.structure.measures import branch_list
    from ringwise.structure.surgery import remove_subtree

    trees = tuple(structure_of(workspace, facts, which).table for which in range(LIKELY_TREES))
    branches = branch_list(trees[0])
    graft = graft_now(workspace, facts, branches)
    if graft is None:
        return trees, None
    row = next(b.row for b in branches if (b.height_mm, b.clock) == (graft.height_mm, graft.clock))
    return tuple(remove_subtree(each, row) for each in trees), graft


def _sectors_of(facts: TreeFacts) -> tuple[bool, ...] | None:
    """Which sectors held a root when somebody last looked with a tape in hand."""
    seen = [e.data["root_sectors"] for e in facts.entries if e.kind == "tape" and e.data.get("root_sectors")]
    return tuple(bool(each) for each in seen[-1]) if seen else None  # type: ignore[union-attr]


def start_of(workspace: Workspace, facts: TreeFacts) -> Start:
    """The start of a run of futures for a tree.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    Start
        Several equally likely trees with pot, vigour, roots, aim and graft.

    Raises
    ------
    MissingFieldError
        If neither a structure nor trunk and height are known.
    """
    from ringwise.futures.start import Start

    entry = structure_entry(facts)
    if entry is not None and entry.kind == "shape":
        tables, graft = _from_shape(workspace, facts)
        sectors = _sectors_of(facts)
    else:
        tape = tape_of(facts)
        graft = graft_now(workspace, facts, tape.branches)
        own = _without_donor(tape, graft)
        tables = tuple(tree_of_tape(workspace, facts, own, which) for which in range(LIKELY_TREES))
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
    )
