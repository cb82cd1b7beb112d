"""What a run of futures starts from: a tree's record as equally likely trees and their state."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ringwise.desk.measuring import tape_of, tree_of_tape
from ringwise.desk.potting import shape_of
from ringwise.records.model import Entry

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.futures.start import Aim, GraftNow, Start
    from ringwise.growth.start import Condition
    from ringwise.records.facts import TreeFacts
    from ringwise.structure.table import SegmentTable
    from ringwise.structure.tape import Tape

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


def _condition(workspace: Workspace, facts: TreeFacts, tape: Tape) -> Condition:
    from ringwise.growth.start import Condition

    return Condition(
        volume_l=_volume_l(workspace, facts),
        vigour=STEADY_VIGOUR if facts.vigour is None else facts.vigour,
        since_repot_years=_since_repot_years(workspace, facts),
        sectors=tape.root_sectors or (True,) * 12,
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


def graft_now(workspace: Workspace, facts: TreeFacts, tape: Tape) -> GraftNow | None:
    """The approach graft that is on a tree, with the thickness pairs of its checks.

    Parameters
    ----------
    workspace : Workspace
        For today.
    facts : TreeFacts
        Of the tree.
    tape : Tape
        Its branch nearest in thickness to the last reading beyond the joint is the grafted one.

    Returns
    -------
    GraftNow or None
        None where no graft is on the tree or the tape shows no branch.
    """
    from ringwise.futures.start import GraftNow

    made = _graft_set(facts)
    checks = [e for e in facts.entries if e.kind == "graft_check"]
    if made is None or not tape.branches:
        return None
    before = tuple(float(str(e.data["before_mm"])) for e in checks)
    after = tuple(float(str(e.data["after_mm"])) for e in checks)
    beyond_mm = after[-1] if after else min(b.diameter_mm for b in tape.branches)
    branch = min(tape.branches, key=lambda b: abs(b.diameter_mm - beyond_mm))
    set_on = made.on.middle
    years = 1.0 if set_on is None else max(0.0, (workspace.today - set_on).days / _YEAR_DAYS)
    # The first pair was read on the day of setting: it says nothing of the union yet.
    return GraftNow(branch.height_mm, branch.clock, years, before[1:], after[1:])


def _without_donor(tape: Tape, graft: GraftNow | None) -> Tape:
    """The tape without the grafted branch: until it is severed it lives on the donor's roots."""
    if graft is None:
        return tape
    kept = tuple(b for b in tape.branches if (b.height_mm, b.clock) != (graft.height_mm, graft.clock))
    return replace(tape, branches=kept)


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
        If neither a tape nor trunk and height are known.
    """
    from ringwise.futures.start import Start

    tape = tape_of(facts)
    graft = graft_now(workspace, facts, tape)
    own = _without_donor(tape, graft)
    tables = tuple(tree_of_tape(workspace, facts, own, which) for which in range(LIKELY_TREES))
    group = facts.taxon.group if facts.taxon is not None else ""
    return Start(
        tables=tables,
        condition=_condition(workspace, facts, tape),
        first_year=workspace.year.label,
        size_class=facts.tree.size_class or "M",
        aim=_aim(facts, tables[0]),
        graft=graft,
        conifer=group in {"G5", "G6"},
    )
