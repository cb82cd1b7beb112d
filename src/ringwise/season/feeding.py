"""Whether a tree may be fed: the weak and those freshly cut at the root get nothing of any kind.

A hold ends by something seen, never by a date alone. The amount is arithmetic (`rootzone.feed`); here it is
only said who is left out, why, and what would let the tree back in.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ringwise.kit.tables import load_table
from ringwise.kit.words import _
from ringwise.operations.registry import aftercare, operation
from ringwise.phenology.stages import CONIFER_GROUPS, ORDER
from ringwise.records.facts import TreeFacts
from ringwise.records.model import Entry
from ringwise.season.jobs import Job, jobs_of, text_of

FEED = "feed"
HARD = "H1"
ROOTS_ACTIVE = "RA"
GROWTH_STAGES = ("15", "19", HARD)  # growth that extends or hardens
NEW_SHOOTS = "11"
EVERGREEN_HABITS = frozenset({"E", "EC"})
DAYS_A_WEEK = 7


@dataclass(frozen=True)
class Hold:
    """One reason why a tree gets no feed, and what ends it."""

    reason: str
    until: str
    is_weakness: bool = False

    @property
    def words(self) -> str:
        """Both in one line."""
        return _("{reason}; again when {until}").format(reason=self.reason, until=self.until)


def feed_holds(facts: TreeFacts, *, today: date) -> tuple[Hold, ...]:
    """All that keeps feed from a tree.

    Parameters
    ----------
    facts : TreeFacts
        What is known of the tree.
    today : date
        The day of asking.

    Returns
    -------
    tuple of Hold
        Empty where nothing does; the label's dose then still is the upper bound.

    Source
    ------
    practice: no feed at vigour 2 and below; after root work none for four weeks and until leaves are hard,
    the later; evergreens and conifers until roots are active and growth hardens or extends.

    Examples
    --------
    >>> from types import SimpleNamespace as Some
    >>> feed_holds(Some(vigour=2, works=(), planned=(), entries=()), today=date(2027, 5, 25))[0].until
    'vigour 3 is logged'
    """
    holds = []
    if _is_weak(facts):
        holds.append(
            Hold(_("vigour {n}: a sick tree is not hungry").format(n=facts.vigour), _after_weakness(), True)
        )
    for job in jobs_of(facts, today=today):
        held = _held_by(facts, job, today) if job.done else None
        if held is not None:
            holds.append(held)
    return tuple(dict.fromkeys(holds))


def _is_weak(facts: TreeFacts) -> bool:
    """The rule of the catalogue: feed waits at vigour 2 and below."""
    return facts.vigour is not None and facts.vigour < _vigour_for_feed()


def _vigour_for_feed() -> int:
    return operation(FEED).vigour_min


def _after_weakness() -> str:
    return _("vigour {n} is logged").format(n=_vigour_for_feed())


def _held_by(facts: TreeFacts, job: Job, today: date) -> Hold | None:
    """The hold of one work done, or None where it is over or never held."""
    done = job.last
    if done is None or done > today or (today - done).days > _counts_days():
        return None
    duties = [duty for duty in aftercare(job.operation, job.root_removed_frac) if duty.care == FEED]
    waits: list[str] = []
    for duty in duties:
        least = duty.least_days or 0.0
        if (today - done).days < least:
            waits.append(_("{n} weeks have passed").format(n=round(least / DAYS_A_WEEK)))
        waits += _unseen(facts, job, done, duty.ends)
    if not waits:
        return None
    return Hold(_("after {work}").format(work=job.words), _(" and ").join(dict.fromkeys(waits)))


def _counts_days() -> float:
    return load_table("ringwise.season", "cues").get(FEED, "counts_days").number


def _unseen(facts: TreeFacts, job: Job, done: date, ends: tuple[str, ...]) -> list[str]:
    """The signs that were not logged since the work."""
    if job.operation.root_work and _keeps_leaves(facts):
        waits = [] if _seen(facts, done, (ROOTS_ACTIVE,)) else [_("active roots are logged")]
        return waits + ([] if _seen(facts, done, GROWTH_STAGES) else [_("growth extends or hardens")])
    waits = []
    for sign in ends:
        if sign == HARD and not _hardened(facts, done):
            waits.append(_("most leaves are hard (log stage H1)"))
        elif sign != HARD and not _seen(facts, done, _from(NEW_SHOOTS)):
            waits.append(_("new leaves are open (log stage 11)"))
    return waits


def _keeps_leaves(facts: TreeFacts) -> bool:
    taxon = facts.taxon
    return taxon is not None and (taxon.group in CONIFER_GROUPS or taxon.leaf_habit in EVERGREEN_HABITS)


def _from(code: str) -> tuple[str, ...]:
    """The stages from one on."""
    return ORDER[ORDER.index(code) :]


def _hardened(facts: TreeFacts, done: date) -> bool:
    """Whether most of the leaves were seen hard after a work, or the leaves of that year already turning."""
    later = tuple(code for code in _from(HARD) if code != HARD)
    return any(
        _is_after(entry, done)
        and (_code(entry) in later or (_code(entry) == HARD and text_of(entry, "extent") == "most"))
        for entry in facts.entries
    )


def _seen(facts: TreeFacts, done: date, codes: tuple[str, ...]) -> bool:
    return any(_is_after(entry, done) and _code(entry) in codes for entry in facts.entries)


def _code(entry: Entry) -> str:
    return text_of(entry, "code") if entry.kind == "stage" else ""


def _is_after(entry: Entry, done: date) -> bool:
    return entry.on.earliest is not None and entry.on.earliest > done
