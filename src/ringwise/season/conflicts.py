"""Conflicts of the plan: works that one season cannot hold on one tree, each with a way out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from functools import lru_cache
from itertools import combinations

from ringwise.kit.tables import load_rows
from ringwise.kit.words import _, from_data
from ringwise.operations.conflicts import ConflictRule, Setting, rule
from ringwise.records.facts import TreeFacts
from ringwise.season.chains import chain_findings, pot_links
from ringwise.season.findings import Finding
from ringwise.season.jobs import Job, jobs_of
from ringwise.season.standing import paired_plans, pending_grafts, quarantined_plans, weak_plans
from ringwise.season.waits import certainly_before, kept

_FAMILY = {
    "RP_HEAVY": "ROOTS",
    "RP_LIGHT": "ROOTS",
    "BARE": "ROOTS",
    "LIFT": "ROOTS",
    "APPROACH_SET": "APPROACH",
    "DEADWOOD_LARGE": "DEADWOOD",
}


@lru_cache(maxsize=1)
def _splits() -> dict[frozenset[str], tuple[str, str]]:
    rows = load_rows("ringwise.season", "splits")
    return {frozenset((row["one"], row["two"])): (row["first"], row["why"]) for row in rows}


def _family(job: Job) -> str:
    name = job.later_class or job.earlier_class
    return _FAMILY.get(name, name)


def _setting(facts: TreeFacts, first: Job, second: Job) -> Setting:
    return Setting(
        species=facts.taxon.key if facts.taxon else "",
        in_ground=facts.tree.size_class == "F",
        crown_removed_frac=first.crown_removed_frac,
        root_graft=second.operation.key == "root_graft",
        found_at_bench=first.found_at_bench or second.found_at_bench,
    )


def _rule_for(facts: TreeFacts, first: Job, second: Job) -> ConflictRule | None:
    if not first.earlier_class or not second.later_class:
        return None
    return rule(
        first.earlier_class,
        second.later_class,
        group=facts.taxon.group if facts.taxon else "",
        vigour=facts.vigour,
        setting=_setting(facts, first, second),
    )


def _orders(first: Job, second: Job) -> list[tuple[Job, Job]]:
    """The orders in which a pair can be done; only one where the dates settle it."""
    if certainly_before(first, second):
        return [(first, second)]
    if certainly_before(second, first):
        return [(second, first)]
    return [(first, second), (second, first)]


def _broken(facts: TreeFacts, first: Job, second: Job) -> tuple[Job, Job, ConflictRule] | None:
    """The gravest rule that a pair breaks; None where one order keeps its wait or no rule is known."""
    species = facts.taxon.key if facts.taxon else ""
    known = [(a, b, found) for a, b in _orders(first, second) if (found := _rule_for(facts, a, b))]
    if any(kept(found.gap, a, b, species=species) and not found.tell for a, b, found in known):
        return None
    if not known:
        return None
    return max(known, key=lambda each: (each[2].hard, each[2].gap.rank))


def _split(facts: TreeFacts, first: Job, second: Job) -> str:
    """Which of two works goes first, why, and how long the other waits."""
    if first.done:
        wait = _rule_for(facts, first, second)
        return _("Move the {later}: {wait}.").format(
            later=second.noun, wait=wait.gap.words if wait else _("wait for the next growing season")
        )
    leads, why = _splits().get(frozenset((_family(first), _family(second))), ("", ""))
    lead, follow = (second, first) if leads and _family(second) == leads else (first, second)
    wait = _rule_for(facts, lead, follow)
    words = wait.gap.words if wait and not wait.gap.free else _("wait for the next growing season")
    text = (
        _("Split it over two seasons: first the {lead}, then the {follow} ({wait}).")
        if wait is None or wait.gap.seasons or wait.gap.free
        else _("Split it within the season: first the {lead}, then the {follow} in its own window ({wait}).")
    )
    reason = _(" Why: {why}.").format(why=from_data(why)) if why else ""
    return text.format(lead=lead.noun, follow=follow.noun, wait=words) + reason


def _explained(first: Job, second: Job, found: ConflictRule) -> str:
    pair = _("{earlier} and {later}").format(earlier=first.words, later=second.words)
    pair = pair[:1].upper() + pair[1:]
    if found.tell and not found.hard:
        return _("{pair}: {note}.").format(pair=pair, note=found.note)
    text = _("{pair}: after {earlier}, {gap} before {later}.").format(
        pair=pair, earlier=first.noun, gap=found.gap.words, later=second.noun
    )
    return f"{text} {found.note[:1].upper()}{found.note[1:]}." if found.note else text


def _pair_finding(facts: TreeFacts, first: Job, second: Job) -> Finding | None:
    broken = _broken(facts, first, second)
    if broken is None:
        return None
    earlier, later, found = broken
    return Finding(
        tree=facts.tree.id,
        name=facts.tree.name,
        rule=f"{found.earlier}.{found.later}",
        earlier=earlier.words,
        later=later.words,
        earlier_id=earlier.entry.id,
        later_id=later.entry.id,
        hard=found.hard,
        evidence=found.evidence,
        explanation=_explained(earlier, later, found),
        way_out=_split(facts, earlier, later),
        override_reason=later.override_reason or ("" if earlier.done else earlier.override_reason),
        source=found.source,
        trace=found.trace,
    )


def _tree_findings(facts: TreeFacts, jobs: Sequence[Job], *, today: date) -> list[Finding]:
    findings = [
        *weak_plans(facts, jobs),
        *quarantined_plans(facts, jobs, today=today),
        *pending_grafts(facts, jobs),
    ]
    for first, second in combinations(jobs, 2):
        if first.done and second.done:
            continue
        found = _pair_finding(facts, first, second)
        if found is not None:
            findings.append(found)
        elif not _free_by_table(facts, first, second):
            group = facts.taxon.group if facts.taxon else ""
            findings.extend(paired_plans(facts, first, second, group=group))
    return findings


def _free_by_table(facts: TreeFacts, first: Job, second: Job) -> bool:
    """Whether the table says of some order of the pair that one session is fine; rescue is always free."""
    if "rescue" in {first.operation.conflict_class, second.operation.conflict_class}:
        return True
    rules = [_rule_for(facts, a, b) for a, b in _orders(first, second)]
    return any(found is not None and found.gap.free for found in rules)


def _order(finding: Finding) -> tuple[str, bool, str, str, str]:
    return (finding.tree, not finding.hard, finding.rule, finding.earlier_id, finding.later_id)


def find_conflicts(
    facts: Sequence[TreeFacts],
    *,
    today: date,
    south: bool = False,
    opens: Mapping[str, date] | None = None,
) -> list[Finding]:
    """Every conflict of the plan, over planned works and those done in the last two growing years.

    Parameters
    ----------
    facts : sequence of TreeFacts
        All trees, so that pots that wait for another tree are seen.
    today : date
        The day of asking.
    south : bool
        Whether the place lies south of the equator.
    opens : mapping of str to date, optional
        Median day on which a planned window opens, by the id of the planned entry or else of the tree;
        sharpens the findings on pots.

    Returns
    -------
    list of Finding
        By tree, hard ones first. Findings against which a reason was typed are kept and marked.

    Raises
    ------
    UnknownNameError
        If an entry names an operation that is not in the catalogue.

    Source
    ------
    practice: conflict table and its cross-rules.

    Examples
    --------
    >>> find_conflicts([], today=date(2027, 3, 7))
    []
    """
    trees = {each.tree.id: each for each in facts}
    jobs = {tree: jobs_of(each, today=today, south=south) for tree, each in trees.items()}
    findings = [
        finding for tree, each in trees.items() for finding in _tree_findings(each, jobs[tree], today=today)
    ]
    findings += chain_findings(pot_links(jobs, trees), opens or {})
    return sorted(findings, key=_order)
