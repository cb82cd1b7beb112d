"""The worksheet: all that one operation on one tree needs. Content only; a face lays it out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from ringwise.kit.show import hours
from ringwise.kit.trace import Trace
from ringwise.kit.words import _
from ringwise.operations.base import ROOTS_ACTIVE, Aftercare, Hazard, Operation
from ringwise.operations.registry import aftercare, cautions
from ringwise.operations.spoken import spoken, spoken_hazard
from ringwise.records.taxa import lookup_keys
from ringwise.rootzone.components import is_mineral
from ringwise.season.worksheet_content import Figure, Phase, Ready, Worksheet
from ringwise.season.worksheet_decisions import decisions
from ringwise.season.worksheet_last_time import last_time
from ringwise.season.worksheet_ready import ready_for
from ringwise.season.worksheet_words import (
    amount_words,
    phases,
    position,
    tree_lines,
    why_now,
)

if TYPE_CHECKING:
    from ringwise.records.facts import TreeFacts
    from ringwise.rootzone.potting import Potting
    from ringwise.season.window import Window

ROOM = "season.worksheet"


@dataclass(frozen=True)
class SheetPlan:
    """What was decided for this work: day of the sheet, destination pot, how much root, why, size."""

    made_on: date
    pot_name: str = ""
    root_removed_frac: float | None = None
    reason: str = ""
    size_class: str = ""


def worksheet(
    facts: TreeFacts,
    operation: Operation,
    window: Window | None,
    potting: Potting | None,
    plan: SheetPlan,
) -> Worksheet:
    """The content of one worksheet.

    Parameters
    ----------
    facts : TreeFacts
        What is known of the tree.
    operation : Operation
        The work, from the registry.
    window : Window or None
        Its window; None where none was forecast.
    potting : Potting or None
        The potting arithmetic, for work that ends in a pot.
    plan : SheetPlan
        What was decided for this work.

    Returns
    -------
    Worksheet
        Every figure with its chain.

    Source
    ------
    practice: what a grower has at the bench before roots are exposed.

    Examples
    --------
    >>> from ringwise.operations.registry import OPERATIONS
    >>> from ringwise.records.facts import tree_facts
    >>> from ringwise.records.model import Tree
    >>> yew = Tree("T1", "Barrow", "Taxus baccata")
    >>> facts = tree_facts(yew, entries=[], pots=[], places=[], on=date(2027, 3, 7))
    >>> sheet = worksheet(facts, OPERATIONS["chop"], None, None, SheetPlan(date(2027, 3, 7), size_class="M"))
    >>> any(caution.text.startswith("Yew") for caution in sheet.cautions)
    True
    """
    group = facts.taxon.group if facts.taxon else ""
    ready = _ready(facts, potting, plan)
    said = spoken(operation)
    return Worksheet(
        tree=facts.tree.id,
        name=facts.tree.name,
        species=facts.taxon.botanical_name if facts.taxon else facts.tree.species,
        operation=said.name,
        code=operation.code,
        made_on=plan.made_on,
        facts=(*tree_lines(facts), *([amount_words(plan.root_removed_frac)] if operation.root_work else [])),
        why_now=why_now(operation, window, plan.reason),
        ready=ready,
        tools_roots=said.kit.roots,
        tools_branches=said.kit.branches,
        materials=said.kit.materials,
        last_time=last_time(facts, potting) if operation.root_work else (),
        position=position(facts, potting) if operation.root_work else (),
        steps=said.steps,
        found=said.found,
        closes=decisions(facts, operation, plan.root_removed_frac),
        cautions=_cautions(facts, operation, potting, plan),
        lifting="" if potting is None else potting.lift.words,
        people=1 if potting is None else potting.people,
        minutes=_minutes(operation, _size(facts, potting, plan)),
        checks=said.checks,
        aftercare=_aftercare(operation, potting, plan, group),
        judge=said.judge,
        record=said.record,
        lift_note="" if potting is None else potting.lift.who,
    )


def _aftercare(
    operation: Operation, potting: Potting | None, plan: SheetPlan, group: str
) -> tuple[Phase, ...]:
    duties = list(aftercare(operation, plan.root_removed_frac))
    if potting is not None and potting.top_dressing_cm3 > 0:
        duties.append(_water_under_dressing())
    return phases(duties, group=group)


def _water_under_dressing() -> Aftercare:
    """A dressed surface hides how wet the pot is."""
    return Aftercare(
        variant="any",
        phase="any",
        care="water",
        do=_("Check, then water: go by weight or a skewer at half depth, not by the colour of the dressing."),
        starts="work done",
        ends=(ROOTS_ACTIVE,),
        least_days=None,
        most_days=None,
        look_days=(),
        basis="practice",
        source="practice",
    )


def _ready(facts: TreeFacts, potting: Potting | None, plan: SheetPlan) -> Ready:
    if potting is None:
        return Ready(plan.pot_name)
    return ready_for(potting, pot_name=plan.pot_name, trunk_mm=facts.trunk_mm)


def _size(facts: TreeFacts, potting: Potting | None, plan: SheetPlan) -> str:
    if plan.size_class:
        return plan.size_class
    if potting is not None:
        return potting.size_class
    return facts.tree.size_class or "M"


def _minutes(operation: Operation, size: str) -> Figure:
    time = operation.minutes_of(size)
    value = _("{middle} ({low} to {high})").format(
        middle=hours(time.median), low=hours(time.low), high=hours(time.high)
    )
    remark = _("one skilled person, size {size}").format(size=size)
    trace = Trace(
        _("minutes"),
        value,
        ROOM,
        _("minutes_{size} of {operation}, with its 80 % band").format(size=size, operation=operation.key),
        "practice",
        time.basis,
    )
    return Figure("minutes", _("time"), value, remark, trace)


def materials_of(potting: Potting | None) -> tuple[str, ...]:
    """The materials that bring a caution with them.

    Parameters
    ----------
    potting : Potting or None
        The arithmetic, with its recipe and dressing.

    Returns
    -------
    tuple of str
        Names as the table of hazards knows them.

    Source
    ------
    practice: dust of mineral granules, sphagnum in the dressing.

    Examples
    --------
    >>> materials_of(None)
    ()
    """
    if potting is None:
        return ()
    found = []
    if any(is_mineral(component) for component in potting.parts_cm3):
        found.append("mineral_mix")
    if potting.top_dressing_cm3 > 0:
        found.append("sphagnum")
    return tuple(found)


def _cautions(
    facts: TreeFacts, operation: Operation, potting: Potting | None, plan: SheetPlan
) -> tuple[Hazard, ...]:
    keys = lookup_keys(facts.taxon.key) if facts.taxon else ()
    heavy = potting is not None and potting.people > 1
    listed = cautions(operation, keys, materials_of(potting), heavy=heavy)
    found = [spoken_hazard(each) for each in listed]
    until = facts.tree.quarantine_until
    if until is not None and until > plan.made_on:
        text = _("In quarantine to {day}: no root work, own can, no shared tools.").format(
            day=until.isoformat()
        )
        found.append(Hazard(text, "tree", "practice", "quarantine"))
    return tuple(found)
