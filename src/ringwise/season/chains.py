"""Pots that come free only when another tree moves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from ringwise.kit import show
from ringwise.kit.words import _, from_data
from ringwise.operations.conflicts import cross_rules
from ringwise.records.facts import TreeFacts
from ringwise.season.findings import Finding, rule_trace
from ringwise.season.jobs import Job, text_of


@dataclass(frozen=True)
class PotLink:
    """`waits` needs the pot in which `frees` stands; `frees_job` is None where no move is planned."""

    waits: TreeFacts
    waits_job: Job
    frees: TreeFacts
    frees_job: Job | None
    pot: str


def pot_links(planned: Mapping[str, Sequence[Job]], trees: Mapping[str, TreeFacts]) -> list[PotLink]:
    """Every plan that needs a pot in which another tree stands.

    Parameters
    ----------
    planned : mapping of str to sequence of Job
        Works by tree.
    trees : mapping of str to TreeFacts
        Trees by id.

    Returns
    -------
    list of PotLink
        In order of the waiting trees.

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> pot_links({}, {})
    []
    """
    holder = {facts.pot.id: facts for facts in trees.values() if facts.pot is not None}
    links = []
    for tree in sorted(planned):
        for job in planned[tree]:
            pot = text_of(job.entry, "pot")
            if job.done or pot not in holder or holder[pot].tree.id == tree:
                continue
            frees = holder[pot]
            moves = [each for each in planned.get(frees.tree.id, ()) if _moves_out(each, pot)]
            links.append(PotLink(trees[tree], job, frees, moves[0] if moves else None, pot))
    return links


def _moves_out(job: Job, pot: str) -> bool:
    other = text_of(job.entry, "pot")
    return not job.done and bool(other) and other != pot


def _opening(tree: str, job: Job | None, opens: Mapping[str, date]) -> date | None:
    """The day on which a plan's window opens: its own where given, else its tree's."""
    own = opens.get(job.entry.id) if job is not None else None
    return own or opens.get(tree)


def _late_words(link: PotLink, opens: Mapping[str, date]) -> str:
    """Why the pot comes late; empty where it comes in time or nothing is known."""
    mine = _opening(link.waits.tree.id, link.waits_job, opens)
    theirs = _opening(link.frees.tree.id, link.frees_job, opens)
    if mine is not None and theirs is not None and theirs > mine:
        return _("its window opens {days} days before that of {tree}").format(
            days=(theirs - mine).days, tree=link.frees.tree.id
        )
    job = link.frees_job
    if job is None or job.first is None or link.waits_job.last is None:
        return ""
    if job.first > link.waits_job.last:
        return _("it is planned for {mine}, {tree} only for {theirs}").format(
            mine=show.day(link.waits_job.last), tree=link.frees.tree.id, theirs=show.day(job.first)
        )
    return ""


def chain_findings(links: Sequence[PotLink], opens: Mapping[str, date]) -> list[Finding]:
    """Plans whose pot is not free in time.

    Parameters
    ----------
    links : sequence of PotLink
        From `pot_links`.
    opens : mapping of str to date
        Median day on which a window opens, by the id of the planned entry or else of the tree, where
        known; without it the planned days count.

    Returns
    -------
    list of Finding
        Advisory; a pot whose tree does not move is told as well.

    Source
    ------
    practice: a pot is free only after the tree in it has moved.

    Examples
    --------
    >>> chain_findings([], {})
    []
    """
    return [finding for link in links if (finding := _link_finding(link, opens)) is not None]


def _link_finding(link: PotLink, opens: Mapping[str, date]) -> Finding | None:
    row = cross_rules()["pot_chain"]
    waits, frees = link.waits.tree, link.frees.tree
    if link.frees_job is None:
        why = _("no move of {tree} is planned").format(tree=frees.id)
        way_out = _("Plan a pot for {tree}, or another pot for {waits}.").format(
            tree=frees.id, waits=waits.id
        )
    else:
        why = _late_words(link, opens)
        way_out = _(
            "Do {frees} first and {waits} after it while its window is open, or use another pot."
        ).format(frees=frees.id, waits=waits.id)
    if not why:
        return None
    explanation = _("{work} waits for pot {pot}, in which {tree} {name} stands: {why}. {rule}").format(
        work=link.waits_job.words[:1].upper() + link.waits_job.words[1:],
        pot=link.pot,
        tree=frees.id,
        name=frees.name,
        why=why,
        rule=from_data(row["text"]),
    )
    freed = link.frees_job.words if link.frees_job else _("no planned move")
    return Finding(
        tree=waits.id,
        name=waits.name,
        rule="pot_chain",
        earlier=_("{tree}: {work}").format(tree=frees.id, work=freed),
        later=_("{tree}: {work}").format(tree=waits.id, work=link.waits_job.words),
        earlier_id=link.frees_job.entry.id if link.frees_job else "",
        later_id=link.waits_job.entry.id,
        hard=row["hard"] == "yes",
        evidence=row["basis"],
        explanation=explanation,
        way_out=way_out,
        override_reason=link.waits_job.override_reason,
        source=row["source"],
        trace=rule_trace("pot_chain"),
    )
