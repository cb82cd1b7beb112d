"""The wish for a worksheet: all that one operation on one tree needs, from stored data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ringwise.desk.outlook import tree_window
from ringwise.desk.potting import PottingWish, destination_pot, planned_work, pot_job, root_share
from ringwise.desk.shapes import Shape, pot_words
from ringwise.kit.errors import MissingFieldError, unknown_name
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry
    from ringwise.rootzone.potting import Potting
    from ringwise.season.worksheet_content import Worksheet

_POTTED = frozenset(
    {"repot", "bare_root", "lift", "root_rescue", "separate_layer"}
)  # work that ends in a pot


@dataclass(frozen=True)
class SheetWish:
    """What was typed for `ringwise worksheet TREE OPERATION`."""

    tree: str
    operation: str
    pot: str | None = None
    recipe: str | None = None
    root_removed: str | None = None


@dataclass(frozen=True)
class SheetAnswer:
    """The sheet's content for the document, its documented keys, and its lines for the terminal."""

    sheet: Worksheet
    data: Shape
    lines: tuple[str, ...]


def worksheet_answer(workspace: Workspace, wish: SheetWish) -> SheetAnswer:
    """The worksheet of one operation on one tree.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : SheetWish
        What was typed.

    Returns
    -------
    SheetAnswer
        Content, keys and lines.

    Raises
    ------
    UnknownNameError
        If the operation is not in the catalogue; near names are offered.
    """
    from ringwise.operations.registry import OPERATIONS
    from ringwise.season.worksheet import SheetPlan, worksheet

    key = wish.operation.strip().lower().replace("-", "_").replace(" ", "_")
    if key not in OPERATIONS:
        raise unknown_name(_("operation"), wish.operation, OPERATIONS)
    facts = workspace.facts_of(wish.tree)
    plan = planned_work(facts, key)
    share = root_share(wish.root_removed)
    if share is None and plan is not None and plan.data.get("root_removed_frac") is not None:
        share = float(str(plan.data["root_removed_frac"]))
    ready = _potting(workspace, facts, wish, plan, key)
    sheet = worksheet(
        facts,
        OPERATIONS[key],
        _window(workspace, facts, key),
        ready,
        SheetPlan(
            made_on=workspace.today,
            pot_name=_pot_name(workspace, facts, wish, plan, key),
            root_removed_frac=share,
            reason=_reason(workspace, facts, plan, key),
            size_class=facts.tree.size_class or "",
        ),
    )
    return SheetAnswer(sheet, sheet_shape(sheet), tuple(sheet_lines(sheet)))


def _reason(workspace: Workspace, facts: TreeFacts, plan: Entry | None, key: str) -> str:
    """Why it is due: the reason written with the plan, then what the roots say."""
    from ringwise.season.cues import root_cues

    written = str(plan.data.get("reason") or plan.note) if plan is not None else ""
    cues = [c.words for c in root_cues(facts, today=workspace.today)] if key in _POTTED else []
    return "; ".join(part for part in (written, *cues) if part)


def _potting(
    workspace: Workspace, facts: TreeFacts, wish: SheetWish, plan: Entry | None, key: str
) -> Potting | None:
    from ringwise.rootzone.potting import potting

    if key not in _POTTED:
        return None
    asked = PottingWish(wish.pot, wish.recipe, root_share(wish.root_removed))
    return potting(pot_job(workspace, facts, asked, plan, tied=True))


def _pot_name(workspace: Workspace, facts: TreeFacts, wish: SheetWish, plan: Entry | None, key: str) -> str:
    if key not in _POTTED:
        return pot_words(facts.pot)
    return destination_pot(workspace, facts, wish.pot, plan).id


def _window(workspace: Workspace, facts: TreeFacts, key: str) -> Any:
    try:
        return tree_window(workspace, facts.tree.id, key)
    except MissingFieldError:  # no weather yet: the sheet is still of use, and says that no window is known
        return None


def sheet_shape(sheet: Worksheet) -> Shape:
    """A worksheet's documented keys.

    Parameters
    ----------
    sheet : Worksheet
        Its content.

    Returns
    -------
    dict
        As documented for `ringwise worksheet`.
    """
    return {
        "tree": sheet.tree,
        "name": sheet.name,
        "species": sheet.species,
        "operation": sheet.operation,
        "made_on": sheet.made_on.isoformat(),
        "facts": list(sheet.facts),
        "window": {
            "state": sheet.why_now.state,
            "reason": sheet.why_now.reason,
            "headline": sheet.why_now.headline,
            "lines": list(sheet.why_now.lines),
            "blocked_by": list(sheet.why_now.blocked_by),
        },
        **_ready_shape(sheet),
        "tools_roots": list(sheet.tools_roots),
        "tools_branches": list(sheet.tools_branches),
        "materials": list(sheet.materials),
        "position": list(sheet.position),
        "last_time": list(sheet.last_time),
        "steps": [{"text": s.text, "critical": s.critical} for s in sheet.steps],
        "found": [{"what": f.what, "do": list(f.do)} for f in sheet.found],
        "closes": [{"question": c.question, "effects": list(c.effects)} for c in sheet.closes],
        "cautions": [
            {"text": h.text, "to_whom": h.to_whom, "authority": h.authority} for h in sheet.cautions
        ],
        "lifting": sheet.lifting,
        "lift_note": sheet.lift_note,
        "people": sheet.people,
        "checks": list(sheet.checks),
        "aftercare": [
            {"title": p.title, "duties": [{"do": d.do, "ends": d.ends} for d in p.duties]}
            for p in sheet.aftercare
        ],
        "judge": sheet.judge,
        "record": list(sheet.record),
    }


def _ready_shape(sheet: Worksheet) -> Shape:
    return {
        "pot": sheet.ready.pot,
        "figures": [
            {"key": f.key, "label": f.label, "value": f.value, "remark": f.remark} for f in sheet.figures
        ],
        "parts": [{"name": p.name, "value": p.value, "scoops": p.scoops} for p in sheet.ready.parts],
        "grain": sheet.ready.grain,
        "cuts": [
            {"count": c.count, "what": c.what, "size": c.size, "remark": c.remark} for c in sheet.ready.cuts
        ],
        "notes": list(sheet.ready.notes),
    }


def sheet_lines(sheet: Worksheet) -> list[str]:
    """A worksheet as lines for the terminal.

    Parameters
    ----------
    sheet : Worksheet
        Its content.

    Returns
    -------
    list of str
        In bench order.
    """
    lines = [
        f"{sheet.operation}: {sheet.tree} {sheet.name}, {sheet.species}",
        sheet.why_now.headline,
        *(f"  {line}" for line in sheet.why_now.lines),
        *([_("  Why: {reason}").format(reason=sheet.why_now.reason)] if sheet.why_now.reason else []),
        "",
        _("Before the tree comes out"),
        *_ready_lines(sheet),
        "",
        _("Steps (! runs against the clock)"),
        *(f"  {n}. {'! ' if s.critical else ''}{s.text}" for n, s in enumerate(sheet.steps, 1)),
        *_part(_("Check before it is put back"), sheet.checks),
    ]
    for found in sheet.found:
        lines += _part(_("If you find: {what}").format(what=found.what), found.do)
    for closed in sheet.closes:
        lines += _part(_("Open decision: {question}").format(question=closed.question), closed.effects)
    lines += _part(_("Take care"), [f"{h.text} ({_authority(h.authority)})" for h in sheet.cautions])
    for phase in sheet.aftercare:
        duties = [
            d.do + (" " + _("Until {sign}.").format(sign=d.ends) if d.ends else "") for d in phase.duties
        ]
        lines += _part(phase.title, duties)
    return lines


def _authority(key: str) -> str:
    return {"practice": _("common practice"), "own": _("reckoned")}.get(key, key)


def _part(title: str, texts: Sequence[str]) -> list[str]:
    return ["", title, *(f"  {text}" for text in texts)] if texts else []


def _ready_lines(sheet: Worksheet) -> list[str]:
    lines = [_("  pot: {pot}").format(pot=sheet.ready.pot)] if sheet.ready.pot else []
    lines += [f"  {f.label}: {f.value}" + (f" ({f.remark})" if f.remark else "") for f in sheet.ready.figures]
    lines += [
        _("  {part}: {value}, {n} × scoop").format(part=p.name, value=p.value, n=p.scoops)
        for p in sheet.ready.parts
    ]
    if sheet.ready.parts:
        lines.append(
            _("  scoop of {scoop}; {grain}").format(scoop=sheet.ready.scoop, grain=sheet.ready.grain)
        )
    lines += [
        f"  {c.count} × {c.what}: {c.size}" + (f" ({c.remark})" if c.remark else "") for c in sheet.ready.cuts
    ]
    lines += [f"  {note}" for note in sheet.ready.notes]
    for label, tools in (
        (_("tools for roots"), sheet.tools_roots),
        (_("tools for branches"), sheet.tools_branches),
        (_("materials"), sheet.materials),
    ):
        if tools:
            lines.append(f"  {label}: {', '.join(tools)}")
    lines.append(f"  {sheet.minutes.label}: {sheet.minutes.value}")
    if sheet.lifting:
        who = counted("{n} person", "{n} people", sheet.people)
        why = f" ({sheet.lift_note})" if sheet.lift_note else ""
        lines.append(_("  to lift: {mass}; {who}").format(mass=sheet.lifting, who=who + why))
    lines += [f"  {text}" for text in (*sheet.position, *sheet.last_time)]
    return lines
