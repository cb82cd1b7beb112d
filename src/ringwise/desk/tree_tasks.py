"""Open tasks of one tree: planned work, open questions, what is due, aftercare that still runs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from ringwise.desk.entry_words import entry_words, operation_words
from ringwise.desk.shapes import Shape
from ringwise.kit.words import _, from_data
from ringwise.operations.registry import aftercare
from ringwise.records.date_shown import date_shown
from ringwise.season.conflicts import find_conflicts
from ringwise.season.jobs import Job, jobs_of
from ringwise.season.worksheet_last_time import ties_to_remove

if TYPE_CHECKING:
    from ringwise.desk.almanac import TreeTold, WindowTold
    from ringwise.operations.base import Aftercare
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry
    from ringwise.season.findings import Finding

DECIDE = "decide"
TIES = "ties"  # removed a season after the roots are active: named from then on, not before


def _task(**more: Any) -> Shape:
    base: Shape = {"entry": None, "when": "", "state": "", "reasons": [], "conflicts": [], "why": None}
    return base | more


def _window(told: TreeTold | None, operation: str) -> WindowTold | None:
    return None if told is None else told.window(operation)


def tree_findings(facts: TreeFacts, told: TreeTold | None, *, today: date, south: bool) -> list[Finding]:
    """The conflicts among the plans of one tree.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    told : TreeTold or None
        What the almanac says of it.
    today : date
        The day of asking.
    south : bool
        Whether the yard lies south of the equator.

    Returns
    -------
    list of Finding
        As for the whole yard.
    """
    opens: dict[str, date] = {}
    for plan in facts.planned:
        window = _window(told, str(plan.data["operation"]))
        if window is not None and window.opens is not None:
            opens[plan.id] = window.opens.median
    return find_conflicts([facts], today=today, south=south, opens=opens)


def finding_words(finding: Finding) -> str:
    """A conflict in one line, with its grade and, where there is one, the grower's own reason."""
    line = f"{finding.explanation} {finding.way_out}".strip() + f" [{finding.grade}]"
    if not finding.silenced:
        return line
    return line + " " + _('(your reason: "{reason}")').format(reason=finding.override_reason)


def _planned(job: Job, tree: str, told: TreeTold | None, findings: Sequence[Finding]) -> Shape:
    window = _window(told, job.operation.key)
    mine = [f for f in findings if job.entry.id in {f.earlier_id, f.later_id}]
    plan = date_shown(job.entry.on)
    when = _("planned for {date}").format(date=plan) if job.entry.on.known else _("planned")
    reason = str(job.entry.data.get("reason") or "")
    return _task(
        entry=job.entry.id,
        kind="planned",
        words=entry_words(job.entry),
        when=when,
        state="" if window is None else window.state,
        reasons=[
            *([] if window is None else [window.sentence]),
            *([_("why: {reason}").format(reason=reason)] if reason else []),
        ],
        conflicts=[finding_words(each) for each in mine],
        why=None if window is None or window.opens is None else f"{tree}:{job.operation.key}:opens",
    )


def _due(row: Mapping[str, Any]) -> Shape:
    known = row["state"] is not None and row["when"]
    return _task(
        kind="due",
        words=operation_words(str(row["operation"])),
        when=str(row["when"]),
        state=str(row["state"] or ""),
        reasons=[text for text in (row["cue"], *row["reasons"]) if text != row["when"]],
        why=f"{row['tree']}:{row['operation']}:opens" if known else None,
    )


def _review(row: Mapping[str, Any]) -> Shape:
    """A decision whose day has come to be looked at again."""
    return _task(
        entry=row["entry"], kind="question", words=str(row["cue"]), state="open", reasons=list(row["reasons"])
    )


def _care(job: Job, today: date) -> list[Shape]:
    """Duties after a work whose span, as far as it is given in days, is not over."""
    done = job.last
    if done is None or done > today:
        return []
    found = []
    for duty in aftercare(job.operation, job.root_removed_frac):
        days = max([duty.most_days or 0.0, *map(float, duty.look_days)])
        gone = (today - done).days
        if not days or gone > days or (duty.care == TIES and gone < (duty.least_days or 0.0)):
            continue
        looks = [day for day in duty.look_days if day >= gone]
        when = _("day {n} after {work}, to day {last}").format(n=gone, work=job.words, last=round(days))
        found.append(
            _task(
                entry=job.entry.id,
                kind="due",
                words=_duty_words(duty, job.entry),
                when=when,
                state="open",
                reasons=[_("look on day {n}").format(n=looks[0])] if looks else [],
            )
        )
    return found


def _duty_words(duty: Aftercare, work: Entry) -> str:
    """What is to be done, with the ties that were written down."""
    ties = ties_to_remove(work) if duty.care == TIES else ""
    return from_data(duty.do) + (f" {ties}." if ties else "")


def tree_tasks(
    facts: TreeFacts,
    told: TreeTold | None,
    due: Sequence[Mapping[str, Any]],
    *,
    today: date,
    south: bool,
) -> list[Shape]:
    """The open tasks of a tree.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    told : TreeTold or None
        What the almanac says of it.
    due : sequence of mapping
        Its rows of today's page.
    today : date
        The day of asking.
    south : bool
        Whether the yard lies south of the equator.

    Returns
    -------
    list of dict
        Planned works first, then questions and decisions to be looked at again, due work that nobody
        planned, and aftercare.
    """
    jobs = jobs_of(facts, today=today, south=south)
    findings = tree_findings(facts, told, today=today, south=south)
    tree = facts.tree.id
    tasks = [_planned(job, tree, told, findings) for job in jobs if not job.done]
    for entry in facts.open_questions:
        pressing = [row for row in due if row["operation"] == DECIDE and row["entry"] == entry.id]
        tasks.append(
            _task(
                entry=entry.id,
                kind="question",
                words=entry_words(entry),
                when=_("asked {date}").format(date=date_shown(entry.on)),
                state="open" if pressing else "",
                reasons=[text for row in pressing for text in row["reasons"]],
                why=f"{tree}:futures" if entry.data.get("courses") else None,
            )
        )
    decided = {entry.id for entry in facts.decisions}
    tasks += [_review(row) for row in due if row["entry"] in decided]
    tasks += [_due(row) for row in due if row["entry"] is None]
    tasks += [care for job in jobs if job.done for care in _care(job, today)]
    return tasks
