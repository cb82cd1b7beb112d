"""What needs whom now: plans, cues, graft checks, decisions, by what closes first; quiet otherwise."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TypeAlias

from ringwise.kit import show
from ringwise.kit.days import growing_year
from ringwise.kit.tables import load_table
from ringwise.kit.words import _, from_data
from ringwise.operations.registry import OPERATIONS
from ringwise.records.date_shown import date_shown
from ringwise.records.facts import TreeFacts
from ringwise.season.cues import CAN_WAIT, SHOULD_NOT_WAIT, URGENCIES, Cue, root_cues, urgency_of
from ringwise.season.findings import TOLD_BY_WINDOW, Finding
from ringwise.season.jobs import Job, jobs_of, text_of
from ringwise.season.standing import GRAFTS
from ringwise.season.window import AHEAD, BLOCKED, CLOSED, OPEN, Window

WindowOf: TypeAlias = Callable[[TreeFacts, str], Window | None]
DECIDE = "decide"  # the operation of a line that asks for a decision, not for work
ROOT_WORK = frozenset({"repot", "bare_root", "lift", "root_rescue"})


@dataclass(frozen=True)
class Due:
    """One line of the due list. `cue` is why it is due, `reasons` are the facts behind it in words.

    A line that is `struck` out stays listed with its reason: weak, quarantined, not done on this kind.
    `entry_id` is the plan, question or decision behind it, empty where only cues speak.
    """

    tree: str
    name: str
    operation: str
    window: Window | None
    urgency: str
    cue: str
    reasons: tuple[str, ...]
    struck: str = ""
    entry_id: str = ""
    closes: date | None = field(default=None)

    @property
    def line(self) -> str:
        """The reason line."""
        return "; ".join((self.cue, *self.reasons))


@dataclass(frozen=True)
class _Now:
    """What every line of one list is judged by."""

    today: date
    south: bool
    horizon_days: float
    window_of: WindowOf
    findings: Sequence[Finding]

    def soon(self, when: date | None) -> bool:
        """Whether a day lies within the horizon; an open day does not."""
        return when is not None and when <= self.today + timedelta(days=self.horizon_days)

    def in_sight(self, window: Window | None) -> bool:
        """Whether a window is open or opens within the horizon."""
        if window is None or window.state in {CLOSED, BLOCKED}:
            return False
        return window.state != AHEAD or (window.opens is not None and self.soon(window.opens.median))


def _conflict_words(now: _Now, entry_id: str) -> tuple[str, ...]:
    told = [
        finding
        for finding in now.findings
        if entry_id and entry_id in {finding.earlier_id, finding.later_id} and not finding.silenced
    ]
    pairs = [finding for finding in told if finding.rule not in TOLD_BY_WINDOW]
    return tuple(_("conflict: {what}").format(what=finding.explanation) for finding in pairs)


def _closes(window: Window | None) -> date | None:
    return window.closes.median if window is not None and window.closes is not None else None


def _struck(window: Window | None) -> str:
    if window is None or window.state != BLOCKED:
        return ""
    return "; ".join(window.blocked_by)


def _rescue_hint(facts: TreeFacts, cues: Sequence[Cue], struck: str) -> tuple[str, ...]:
    if not struck or not any(cue.kind == "drain" for cue in cues) or not struck.startswith(_("weak")):
        return ()
    return (_("a root rescue stays possible: test with a skewer first"),)


def _planned_in_sight(now: _Now, job: Job, window: Window | None) -> bool:
    """Whether a plan is worth a line now: its window or its own day is near, struck out or not."""
    if job.year_label != growing_year(now.today, south=now.south).label:
        return False
    if window is not None and window.state == BLOCKED:
        return window.opens is None or now.soon(window.opens.median) or now.soon(job.first)
    return now.in_sight(window) or (window is not None and window.state == CLOSED) or now.soon(job.first)


def _planned_due(facts: TreeFacts, job: Job, now: _Now) -> Due | None:
    window = now.window_of(facts, job.operation.key)
    if job.operation.conflict_class == "none" or not _planned_in_sight(now, job, window):
        return None
    cues = root_cues(facts, today=now.today) if job.operation.key in ROOT_WORK else ()
    struck = "" if job.override_reason else _struck(window)
    reasons = [cue.words for cue in cues]
    if window is not None and not struck:
        reasons.append(window.sentence())
    if job.override_reason:
        reasons.append(_("your reason: {reason}").format(reason=job.override_reason))
    reasons += [*_rescue_hint(facts, cues, struck), *_conflict_words(now, job.entry.id)]
    return Due(
        tree=facts.tree.id,
        name=facts.tree.name,
        operation=job.operation.key,
        window=window,
        urgency=urgency_of(cues),
        cue=_("planned for {date}").format(date=date_shown(job.entry.on))
        if job.entry.on.known
        else _("planned"),
        reasons=tuple(reasons),
        struck=struck,
        entry_id=job.entry.id,
        closes=_closes(window),
    )


def _cue_due(facts: TreeFacts, jobs: Sequence[Job], now: _Now) -> Due | None:
    """A repot that nobody has planned but the roots ask for."""
    year = growing_year(now.today, south=now.south).label
    if any(job.operation.key in ROOT_WORK and job.year_label == year for job in jobs):
        return None
    cues = root_cues(facts, today=now.today)
    resting = any(not job.done and job.operation.key == "leave" and job.year_label == year for job in jobs)
    if not cues or (resting and not any(cue.pressing for cue in cues)):
        return None
    window = now.window_of(facts, "repot")
    struck = _struck(window)
    near = window is not None and window.opens is not None and now.soon(window.opens.median)
    if not now.in_sight(window) and not (struck and near):
        return None
    shown = () if window is None or struck else (window.sentence(),)
    return Due(
        tree=facts.tree.id,
        name=facts.tree.name,
        operation="repot",
        window=window,
        urgency=urgency_of(cues),
        cue=cues[0].words,
        reasons=(*(cue.words for cue in cues[1:]), *shown, *_rescue_hint(facts, cues, struck)),
        struck=struck,
        closes=_closes(window),
    )


def _pending_graft(facts: TreeFacts, now: _Now) -> Job | None:
    """The newest graft that was not severed, set within the time in which a union is still judged."""
    reach = load_table("ringwise.season", "cues").get("aftercare", "look_back_days").number
    jobs = [job for job in jobs_of(facts, today=now.today, south=now.south) if job.done]
    set_grafts = [job for job in jobs if job.operation.key in GRAFTS]
    severed = [job for job in jobs if job.operation.key == "sever_graft"]
    for job in reversed(set_grafts[len(severed) :]):
        if job.last is not None and (now.today - job.last).days <= reach:
            return job
    return None


def _graft_due(facts: TreeFacts, now: _Now) -> Due | None:
    graft = _pending_graft(facts, now)
    if graft is None or graft.last is None:
        return None
    rows = load_table("ringwise.season", "cues")
    checks = [
        entry
        for entry in facts.entries
        if entry.kind == "graft_check" and entry.on.by is not None and entry.on.by >= graft.last
    ]
    seen = max((entry.on.by for entry in checks if entry.on.by), default=None)
    wait = rows.get("graft", "check_weeks" if seen else "first_check_weeks").number
    window = now.window_of(facts, "sever_graft")
    growing = window is not None and window.state == OPEN
    if not growing or now.today < (seen or graft.last) + timedelta(weeks=wait):
        return None
    last = checks[-1] if checks else None
    told = _("last check {date}").format(date=date_shown(last.on)) if last else _("not checked yet")
    return Due(
        tree=facts.tree.id,
        name=facts.tree.name,
        operation="sever_graft",
        window=window,
        urgency=CAN_WAIT,
        cue=_("look at the graft: {graft}").format(graft=graft.words),
        reasons=(told, _("measure before and after the joint, look at the ties")),
        entry_id=graft.entry.id,
        closes=_closes(window),
    )


def _question_dues(facts: TreeFacts, jobs: Sequence[Job], due: Sequence[Due], now: _Now) -> list[Due]:
    """Decisions that work in sight waits for; a question that presses on nothing stays quiet."""
    found = []
    for entry in facts.open_questions:
        courses = entry.data.get("courses")
        keys = [str(key) for key in courses] if isinstance(courses, Sequence) else []
        windows = [now.window_of(facts, key) for key in keys if key in OPERATIONS]
        if _pending_graft(facts, now) is not None:
            windows.append(now.window_of(facts, "approach_graft"))
        pressing = [each for each in due if not each.struck and each.operation != DECIDE]
        if not pressing and not any(now.in_sight(window) for window in windows):
            continue
        dates = [each.closes for each in pressing if each.closes is not None]
        dates += [closes for window in windows if now.in_sight(window) and (closes := _closes(window))]
        found.append(
            Due(
                tree=facts.tree.id,
                name=facts.tree.name,
                operation=DECIDE,
                window=None,
                urgency=SHOULD_NOT_WAIT,
                cue=_("open question: {title}").format(title=text_of(entry, "title") or entry.note),
                reasons=(_("decide first: other work on this tree waits for it"),),
                entry_id=entry.id,
                closes=min(dates, default=None),
            )
        )
    return found


def _review_dues(facts: TreeFacts, now: _Now) -> list[Due]:
    """The newest decision, once the day has come on which it was to be looked at again."""
    if not facts.decisions:
        return []
    entry = facts.decisions[-1]
    typed = entry.data.get("review_on")
    day = date.fromisoformat(str(typed)) if typed else None
    if day is None or day > now.today:
        return []
    return [
        Due(
            tree=facts.tree.id,
            name=facts.tree.name,
            operation=DECIDE,
            window=None,
            urgency=CAN_WAIT,
            cue=_("look again at what was decided: {title}").format(title=from_data(text_of(entry, "title"))),
            reasons=(_("set for {day} when it was decided").format(day=show.day(day, year=True)),),
            entry_id=entry.id,
        )
    ]


def _tree_dues(facts: TreeFacts, now: _Now) -> list[Due]:
    jobs = jobs_of(facts, today=now.today, south=now.south)
    due = [line for job in jobs if not job.done and (line := _planned_due(facts, job, now)) is not None]
    due += [line for line in (_cue_due(facts, jobs, now), _graft_due(facts, now)) if line is not None]
    return [*due, *_question_dues(facts, jobs, due, now), *_review_dues(facts, now)]


def _order(due: Due) -> tuple[bool, date, int, bool, str, str, str]:
    return (
        bool(due.struck),
        due.closes or date.max,
        URGENCIES.index(due.urgency),
        due.operation != DECIDE,
        due.tree,
        due.operation,
        due.entry_id,
    )


def due_list(
    facts: Sequence[TreeFacts],
    window_of: WindowOf,
    *,
    today: date,
    south: bool = False,
    findings: Sequence[Finding] = (),
) -> list[Due]:
    """What needs the grower now, over all trees.

    Parameters
    ----------
    facts : sequence of TreeFacts
        All trees.
    window_of : callable
        Gives the window of an operation on a tree, or None where none can be told.
    today : date
        The day of asking.
    south : bool
        Whether the place lies south of the equator.
    findings : sequence of Finding
        Conflicts of the plan, named beside the works they touch.

    Returns
    -------
    list of Due
        By what closes first, then by what a year's wait would cost; struck-out lines last, with their
        reason. Empty where nothing is due.

    Raises
    ------
    UnknownNameError
        If an entry names an operation that is not in the catalogue.

    Source
    ------
    practice: cues before dates; own reasoning for the order.

    Examples
    --------
    >>> due_list([], lambda facts, operation: None, today=date(2027, 3, 7))
    []
    """
    horizon_days = load_table("ringwise.season", "cues").get("horizon", "days").number
    now = _Now(today, south, horizon_days, window_of, findings)
    lines = [line for each in facts if each.tree.retired is None for line in _tree_dues(each, now)]
    return sorted(lines, key=_order)
