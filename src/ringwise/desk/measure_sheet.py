"""A tree on a day with its measures and their spreads, before anything is put into words."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from ringwise.desk.own_facts import own_facts
from ringwise.desk.roots_seen import seen_roots, traced_roots
from ringwise.desk.structures import source_of, structure_entry, structure_of
from ringwise.records.facts import tree_facts

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry
    from ringwise.structure.branching import Branch
    from ringwise.structure.faults import Fault
    from ringwise.structure.measured import MeasuredTree
    from ringwise.structure.measures import Measures
    from ringwise.structure.standing import Standing
    from ringwise.structure.wound_list import Wound, WoundReading


@dataclass(frozen=True)
class Sheet:
    """A tree with what its measures stand on."""

    measured: MeasuredTree
    found: Measures
    sd: Mapping[str, float]
    source: str
    entry: Entry | None

    @cached_property
    def branches(self) -> tuple[Branch, ...]:
        """Its branches, those of the trunk from the lowest up, each followed by its own."""
        from ringwise.structure.branching import branches

        return branches(self.measured)

    @cached_property
    def named(self) -> tuple[Branch, ...]:
        """The branches of the trunk that were measured; those that a tape leaves out are reckoned."""
        from ringwise.structure.measured import How

        mains = tuple(each for each in self.branches if each.order == 1)
        if self.lines_seen:
            return mains
        return tuple(each for each in mains if self.measured.how[each.row] == How.CALLIPER)

    @property
    def lines_seen(self) -> bool:
        """Whether the way that trunk and branches take was seen; a tape knows only where they begin."""
        return self.source not in ("tape", "basics")


def facts_on(workspace: Workspace, tree: str, on: date) -> TreeFacts:
    """What is known of a tree as of a day.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name; a retired tree too.
    on : date
        The day; what was written down later of an earlier day counts.

    Returns
    -------
    TreeFacts
        Of that day.
    """
    facts = own_facts(workspace, tree)
    if on == workspace.today:
        return facts
    return tree_facts(facts.tree, entries=facts.entries, pots=workspace.pots, places=workspace.places, on=on)


def sheet_of(workspace: Workspace, facts: TreeFacts, which: int = 0, on: date | None = None) -> Sheet:
    """A tree's measures with their spread.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree on a day.
    which : int
        Which of the equally likely trees; 0 is the one that is shown first.
    on : date, optional
        As of which day; all that is known by default.

    Returns
    -------
    Sheet
        From its structure; where it stands on a tape, the equally likely trees widen the spread.
    """
    from ringwise.desk.measuring import tree_seed
    from ringwise.structure.measures import measures
    from ringwise.structure.measuring_data import measuring
    from ringwise.structure.spread import spreads

    entry = structure_entry(facts, on)
    measured = structure_of(workspace, facts, which, on)
    others: list[MeasuredTree] = []
    if entry is None or entry.kind == "tape":
        trees = range(int(measuring("spread", "likely_trees")))
        others = [structure_of(workspace, facts, each, on) for each in trees if each != which]
    return Sheet(
        measured,
        measures(measured.table, root_sectors=seen_roots(facts.entries)),
        spreads(measured, others, seed=tree_seed(workspace, facts.tree.id, 0)),
        "basics" if entry is None else source_of(entry),
        entry,
    )


def faults_of(facts: TreeFacts, sheet: Sheet) -> tuple[Fault, ...]:
    """The faults of a tree by rule; what was not measured is not judged.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    sheet : Sheet
        Its measures.

    Returns
    -------
    tuple of Fault
        From the lowest up.
    """
    from ringwise.structure.faults import Seen, faults
    from ringwise.structure.movement import movement

    moves, sectors = movement(sheet.measured.table), seen_roots(facts.entries)
    height_mm, wounds = sheet.found.height_mm, wounds_of(facts)
    roots = traced_roots(facts.entries)
    return faults(
        Seen(sheet.measured, sheet.named, moves, height_mm, wounds, sectors, sheet.lines_seen, roots)
    )


def standings_of(facts: TreeFacts, sheet: Sheet) -> tuple[Standing, ...]:
    """A tree beside the trade's proportions; what was not measured is left out.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    sheet : Sheet
        Its measures.

    Returns
    -------
    tuple of Standing
        In the order of the table.
    """
    from ringwise.structure.standing import standings

    named, m = sheet.named, sheet.found
    found = standings(m, named, _pot_ratios(facts, m), branches_seen=bool(named), lines_seen=sheet.lines_seen)
    if sheet.source != "basics":
        return found
    return tuple(each for each in found if each.key != "taper.half_to_base_ratio")


def _pot_ratios(facts: TreeFacts, m: Measures) -> dict[str, float]:
    pot = facts.pot
    if pot is None or pot.shape == "ground":
        return {}
    ratios = {}
    if pot.length_mm is not None:
        ratios["pot.length_to_height_ratio"] = pot.length_mm / max(m.height_mm, m.spread_front_mm)
    if pot.depth_mm is not None:
        ratios["pot.depth_to_base_ratio"] = pot.depth_mm / m.base_diameter_mm
    return ratios


def wounds_of(facts: TreeFacts) -> tuple[Wound, ...]:
    """The wounds of a tree by its entries.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    tuple of Wound
        From the lowest up, closed ones too.
    """
    from ringwise.structure.wound_list import wounds

    return wounds(wound_reading(each) for each in facts.entries if each.kind == "wound")


def wound_reading(entry: Entry) -> WoundReading:
    """An entry of a wound as a reading.

    Parameters
    ----------
    entry : Entry
        Of kind "wound".

    Returns
    -------
    WoundReading
        Its day, place and width.
    """
    from ringwise.structure.wound_list import WoundReading

    clock = None if entry.data.get("clock") is None else _number(entry, "clock")
    return WoundReading(entry.on.by, _number(entry, "at_mm"), clock, _number(entry, "width_mm"))


def _number(entry: Entry, key: str) -> float:
    return float(str(entry.data[key]))
