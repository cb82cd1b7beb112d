"""The wish for today's page: what needs me, what is left alone and why, planned works that collide."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from ringwise.desk.entry_words import operation_words
from ringwise.desk.hot_pots import heat_notes
from ringwise.desk.outlook import tree_window
from ringwise.desk.pot_cores import carry_in_notes
from ringwise.desk.shapes import Shape
from ringwise.desk.weather_under import weather_notes
from ringwise.desk.wet_pots import wet_notes
from ringwise.desk.yard_forecast import YardForecast, yard_forecast
from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from datetime import date

    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.season.findings import Finding
    from ringwise.season.need import Due
    from ringwise.season.window import Window

WindowOf = Callable[["TreeFacts", str], "Window | None"]


def yard_or_reason(workspace: Workspace) -> tuple[YardForecast | None, str]:
    """The yard's forecast, or why there is none: a page without weather is still of use.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    (YardForecast or None, str)
        One of the two says nothing.
    """
    try:
        return yard_forecast(workspace), ""
    except MissingFieldError as missing:
        return None, _("No windows can be told: {why}").format(why=missing)


def windows_of(workspace: Workspace, yard: YardForecast | None) -> WindowOf:
    """The window of an operation on a tree, each computed once.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    yard : YardForecast or None
        None where there is no weather.

    Returns
    -------
    callable
        Of facts and operation.
    """
    made: dict[tuple[str, str], Window] = {}

    def window(facts: TreeFacts, operation: str) -> Window | None:
        if yard is None or facts.tree.id not in yard.trees:
            return None
        key = (facts.tree.id, operation)
        if key not in made:
            made[key] = tree_window(workspace, facts.tree.id, operation, yard)
        return made[key]

    return window


def plan_findings(workspace: Workspace, window_of: WindowOf) -> list[Finding]:
    """The conflicts of the plan over the whole collection.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    window_of : callable
        From `windows_of`.

    Returns
    -------
    list of Finding
        By tree, hard ones first.
    """
    from ringwise.season.conflicts import find_conflicts

    opens: dict[str, date] = {}
    for facts in workspace.facts.values():
        for plan in facts.planned:
            window = window_of(facts, str(plan.data["operation"]))
            if window is not None and window.opens is not None:
                opens[plan.id] = window.opens.median
    return find_conflicts(
        list(workspace.facts.values()),
        today=workspace.today,
        south=workspace.settings.south,
        opens=opens,
    )


def today_page(workspace: Workspace) -> Shape:
    """What needs the grower now, and what the plan collides with.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    dict
        Keys today, heading, water, due, left_alone, conflicts, notes.
    """
    yard, missing = yard_or_reason(workspace)
    return page_of(workspace, yard, missing, windows_of(workspace, yard))


def page_of(workspace: Workspace, yard: YardForecast | None, missing: str, window_of: WindowOf) -> Shape:
    """Today's page from a forecast that is there already.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    yard : YardForecast or None
        None where there is no weather.
    missing : str
        Then why.
    window_of : callable
        From `windows_of`.

    Returns
    -------
    dict
        As `today_page`.
    """
    from ringwise.season.need import ROOT_WORK, due_list

    findings = plan_findings(workspace, window_of)
    dues = due_list(
        list(workspace.facts.values()),
        window_of,
        today=workspace.today,
        south=workspace.settings.south,
        findings=findings,
    )
    wet = wet_notes(workspace)
    dues = [_with_wet(due, wet) for due in dues]
    told = {due.tree for due in dues if due.operation in ROOT_WORK}
    wanted = [_due_shape(due) for due in dues if not due.struck]
    return {
        "today": workspace.today.isoformat(),
        "heading": _("{yard}, {day}: {things}").format(
            yard=workspace.settings.name or _("Your trees"),
            day=show.day(workspace.today, year=True),
            things=counted("{n} thing ahead", "{n} things ahead", len(wanted)),
        ),
        "water": _water(workspace, yard),
        "due": wanted,
        "left_alone": _left_alone(dues),
        "conflicts": [finding_shape(f) for f in findings if not f.silenced],
        "overridden": [finding_shape(f) for f in findings if f.silenced],
        "notes": [*_notes(workspace, yard, missing), *_wet_lines(workspace, wet, told)],
    }


def _with_wet(due: Due, wet: dict[str, str]) -> Due:
    """A line on root work with what the pot's weights say of its soil, beside the other cues of its roots."""
    from ringwise.season.need import ROOT_WORK

    if due.operation not in ROOT_WORK or due.tree not in wet:
        return due
    return replace(due, reasons=(*due.reasons, wet[due.tree]))


def _wet_lines(workspace: Workspace, wet: dict[str, str], told: set[str]) -> list[str]:
    """Wet pots of trees that no line on root work tells of."""
    return [
        _("{tree} {name}: {what}").format(tree=tree, name=workspace.facts[tree].tree.name, what=what)
        for tree, what in wet.items()
        if tree not in told
    ]


def _water(workspace: Workspace, yard: YardForecast | None) -> Shape:
    """What wants water within two days; nothing where the weather does not tell: the command says why."""
    from ringwise.desk.watering import yard_water
    from ringwise.desk.watering_block import water_block

    if yard is None:
        return {"rows": [], "roof": []}
    try:
        return water_block(workspace, yard_water(workspace, yard))
    except MissingFieldError:
        return {"rows": [], "roof": []}


def _notes(workspace: Workspace, yard: YardForecast | None, missing: str) -> list[str]:
    notes = [missing] if missing else []
    if yard is None:
        return notes
    notes += [*carry_in_notes(workspace, yard), *heat_notes(workspace, yard)]
    return [*notes, *weather_notes(workspace, yard.series)]


def _due_shape(due: Due) -> Shape:
    from ringwise.season.cues import urgency_words
    from ringwise.season.need import DECIDE

    window = due.window
    words = _("Decide") if due.operation == DECIDE else operation_words(due.operation)
    sentence = window.sentence() if window is not None else ""
    reasons = [
        r for r in due.reasons if r != sentence and not r.startswith(_("conflict: {what}").split("{")[0])
    ]
    return {
        "tree": due.tree,
        "name": due.name,
        "operation": due.operation,
        "operation_words": words,
        "state": window.state if window is not None else None,
        "when": sentence,
        "closes": due.closes.isoformat() if due.closes else None,
        "urgency": due.urgency,
        "urgency_words": urgency_words(due.urgency),
        "reason": "; ".join([due.cue, *reasons]),
        "cue": due.cue,
        "reasons": list(due.reasons),
        "entry": due.entry_id or None,
    }


def _left_alone(dues: Sequence[Due]) -> list[Shape]:
    return [
        {
            "tree": due.tree,
            "name": due.name,
            "operation": due.operation,
            "because": due.struck,
            "reasons": list(due.reasons),
            "line": _("{tree} {name}, {work}: {why}").format(
                tree=due.tree,
                name=due.name,
                work=operation_words(due.operation),
                why="; ".join([due.struck, *due.reasons]),
            ),
        }
        for due in dues
        if due.struck
    ]


def finding_shape(finding: Finding) -> Shape:
    """The documented keys of a conflict.

    Parameters
    ----------
    finding : Finding
        Of the plan.

    Returns
    -------
    dict
        As documented for `ringwise today`.
    """
    return {
        "tree": finding.tree,
        "name": finding.name,
        "rule": finding.rule,
        "earlier": finding.earlier,
        "later": finding.later,
        "hard": finding.hard,
        "evidence": finding.evidence,
        "grade": finding.grade,
        "explanation": finding.explanation,
        "way_out": finding.way_out,
        "override_reason": finding.override_reason,
        "source": finding.source,
        "line": _("{tree} {name}: {earlier}, {later} [{grade}]").format(
            tree=finding.tree,
            name=finding.name,
            earlier=finding.earlier,
            later=finding.later,
            grade=finding.grade,
        )
        if finding.later
        else f"{finding.tree} {finding.name}: {finding.earlier} [{finding.grade}]",
        "full_line": f"{finding.line} [{finding.grade}]",
    }
