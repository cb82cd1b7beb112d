"""Plans that a tree's own state forbids: weakness, quarantine, a pending graft, too much in one season."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from ringwise.kit import show
from ringwise.kit.words import _, from_data
from ringwise.operations.conflicts import cross_rules, limit
from ringwise.records.date_shown import date_shown
from ringwise.records.facts import TreeFacts
from ringwise.records.model import Entry
from ringwise.season.findings import Finding, rule_trace
from ringwise.season.jobs import Job
from ringwise.season.waits import apart_days

GRAFTS = frozenset({"approach_graft", "thread_graft", "root_graft", "scion_graft"})
LAYERS = frozenset({"air_layer", "ground_layer"})
DAYS_PER_MONTH = 365.25 / 12  # mean month of the calendar


def _newest(facts: TreeFacts, kind: str) -> Entry | None:
    return next((entry for entry in reversed(facts.entries) if entry.kind == kind), None)


def _finding(
    facts: TreeFacts, key: str, jobs: tuple[str, str, str, str], told: tuple[str, str, str]
) -> Finding:
    row = cross_rules()[key]
    explanation, way_out, override = told
    return Finding(
        tree=facts.tree.id,
        name=facts.tree.name,
        rule=key,
        earlier=jobs[0],
        later=jobs[1],
        earlier_id=jobs[2],
        later_id=jobs[3],
        hard=row["hard"] == "yes",
        evidence=row["basis"],
        explanation=explanation,
        way_out=way_out,
        override_reason=override,
        source=row["source"],
        trace=rule_trace(key),
    )


def _roots_told(facts: TreeFacts) -> str:
    if facts.drain_seconds is None:
        return _("its drain time is not known")
    return _("its last drain test took {seconds} s").format(seconds=show.number(facts.drain_seconds, 3))


def _weak_way_out(facts: TreeFacts, key: str) -> str:
    if key == "feed":
        return from_data(cross_rules()["feed_weak"]["way_out"])
    return _(
        "Two answers. Leave it: water by weight, light and shelter, nothing else until vigour 3. Or a root "
        "rescue at swelling buds: dead roots and sour soil only, no healthy root cut, a more open mix. The "
        "test that tells them apart: a skewer to the bottom at three places. A sour smell, brown roots that "
        "slip, or wet below and dry above: rescue. Sweet and evenly moist, roots firm and pale: leave it "
        "({roots})."
    ).format(roots=_roots_told(facts))


def weak_plans(facts: TreeFacts, jobs: Sequence[Job]) -> list[Finding]:
    """Elective work planned on a weak tree.

    Parameters
    ----------
    facts : TreeFacts
        What is known of the tree.
    jobs : sequence of Job
        Its works.

    Returns
    -------
    list of Finding
        One a plan; rescue and rest are never among them. Both answers are shown with their test.

    Source
    ------
    practice: vigour 2 and below blocks elective work and never blocks rescue.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> weak_plans(SimpleNamespace(vigour=None), [])
    []
    """
    if facts.vigour is None or facts.vigour > limit("weak", "vigour_score"):
        return []
    seen = _newest(facts, "vigour")
    score = _("vigour {vigour}").format(vigour=facts.vigour)
    seen_words = _("{score} (seen {date})").format(score=score, date=date_shown(seen.on)) if seen else score
    found = []
    for job in jobs:
        if job.done or not job.operation.elective:
            continue
        key = "feed_weak" if job.operation.key == "feed" else "weak"
        explanation = _("{work} is planned on a weak tree: {seen}. {rule}").format(
            work=_capital(job.words), seen=seen_words, rule=from_data(cross_rules()[key]["text"])
        )
        told = (explanation, _weak_way_out(facts, job.operation.key), job.override_reason)
        names = (seen_words, job.words, seen.id if seen else "", job.entry.id)
        found.append(_finding(facts, key, names, told))
    return found


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def quarantined_plans(facts: TreeFacts, jobs: Sequence[Job], *, today: date) -> list[Finding]:
    """Root work planned before a quarantine ends.

    Parameters
    ----------
    facts : TreeFacts
        What is known of the tree.
    jobs : sequence of Job
        Its works.
    today : date
        A plan without a date is taken for this day.

    Returns
    -------
    list of Finding
        One a plan.

    Source
    ------
    practice: no root work before the quarantine ends.

    Examples
    --------
    >>> from types import SimpleNamespace as Some
    >>> quarantined_plans(Some(tree=Some(quarantine_until=None)), [], today=date(2027, 3, 7))
    []
    """
    until = facts.tree.quarantine_until
    if until is None:
        return []
    found = []
    for job in jobs:
        if job.done or not job.operation.root_work or (job.first or today) > until:
            continue
        ends = _("quarantine until {day}").format(day=show.day(until, year=True))
        explanation = _("{work} is planned in quarantine, which ends {day}. {rule}").format(
            work=_capital(job.words),
            day=show.day(until, year=True),
            rule=from_data(cross_rules()["quarantine"]["text"]),
        )
        told = (explanation, from_data(cross_rules()["quarantine"]["way_out"]), job.override_reason)
        found.append(_finding(facts, "quarantine", (ends, job.words, "", job.entry.id), told))
    return found


def pending_grafts(facts: TreeFacts, jobs: Sequence[Job]) -> list[Finding]:
    """A layer planned while a graft on the tree has not been severed.

    Parameters
    ----------
    facts : TreeFacts
        What is known of the tree.
    jobs : sequence of Job
        Its works, done ones of the last two growing years among them.

    Returns
    -------
    list of Finding
        Advisory.

    Source
    ------
    practice: a pending graft decides where a ring can sit.

    Examples
    --------
    >>> pending_grafts(None, [])
    []
    """
    set_grafts = [job for job in jobs if job.done and job.operation.key in GRAFTS]
    severed = [job for job in jobs if job.done and job.operation.key == "sever_graft"]
    pending = set_grafts[len(severed) :]
    found = []
    for job in jobs:
        if job.done or job.operation.key not in LAYERS or not pending:
            continue
        graft = pending[-1]
        row = cross_rules()["graft_pending"]
        explanation = _("{layer} is planned while a graft is pending: {graft}. {rule}").format(
            layer=_capital(job.words), graft=graft.words, rule=from_data(row["text"])
        )
        told = (explanation, from_data(row["way_out"]), job.override_reason)
        names = (graft.words, job.words, graft.entry.id, job.entry.id)
        found.append(_finding(facts, "graft_pending", names, told))
    return found


def _pair_rule(first: Job, second: Job, group: str) -> str:
    """The cross-rule that a pair breaks beside the conflict table; empty for none."""
    days = apart_days(first, second)
    same_year = first.year_label == second.year_label
    least_days = limit("two_heavy_roots", "months") * DAYS_PER_MONTH
    if first.heavy_roots and second.heavy_roots and days is not None and days < least_days:
        return "two_heavy_roots"
    if not same_year:
        return ""
    keys = {first.operation.key, second.operation.key}
    if group == "G3" and keys == {"root_prune_in_ground", "chop"}:
        return "ground_roots_and_chop"
    crowns = [job.crown_removed_frac for job in (first, second) if job.crown_removed_frac is not None]
    heavy = first.heavy_roots or second.heavy_roots
    if heavy and crowns and max(crowns) > limit("heavy", "crown_removed_frac"):
        return "crown_and_root"
    return "one_big_event" if first.takes_years and second.takes_years else ""


def paired_plans(facts: TreeFacts, first: Job, second: Job, *, group: str) -> list[Finding]:
    """What the cross-rules say of two works, where the conflict table itself has nothing against them.

    Parameters
    ----------
    facts : TreeFacts
        What is known of the tree.
    first, second : Job
        In order of their dates.
    group : str
        The tree's group; empty where the species is not known.

    Returns
    -------
    list of Finding
        At most one.

    Source
    ------
    practice: cross-rules beside the conflict table.

    Examples
    --------
    >>> cross_rules()["two_heavy_roots"]["hard"]
    'no'
    """
    key = _pair_rule(first, second, group)
    if not key:
        return []
    row = cross_rules()[key]
    explanation = _("{one} and {two}. {rule}").format(
        one=_capital(first.words), two=second.words, rule=from_data(row["text"])
    )
    told = (explanation, from_data(row["way_out"]), first.override_reason or second.override_reason)
    names = (first.words, second.words, first.entry.id, second.entry.id)
    return [_finding(facts, key, names, told)]
