"""Works done and planned on one tree, ready to be set against each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ringwise.kit.days import growing_year
from ringwise.kit.errors import RingwiseError
from ringwise.kit.words import _, from_data
from ringwise.operations.base import Operation
from ringwise.operations.conflicts import classes_of, is_heavy
from ringwise.operations.registry import operation
from ringwise.records.date_shown import date_shown
from ringwise.records.facts import TreeFacts
from ringwise.records.model import Entry

YEARS_BACK = 2  # the longest gap of the conflict table is two growing seasons


@dataclass(frozen=True)
class Job:
    """One work, done or planned; `year_label` is the growing year it falls in."""

    entry: Entry
    operation: Operation
    earlier_class: str
    later_class: str
    done: bool
    year_label: int

    @property
    def first(self) -> date | None:
        """The earliest day it can lie on."""
        return self.entry.on.earliest

    @property
    def last(self) -> date | None:
        """The latest day it can lie on."""
        return self.entry.on.latest

    @property
    def root_removed_frac(self) -> float | None:
        """Share of roots removed, where written."""
        return share_of(self.entry, "root_removed_frac")

    @property
    def crown_removed_frac(self) -> float | None:
        """Share of the crown removed, where written."""
        return share_of(self.entry, "crown_removed_frac")

    @property
    def heavy_roots(self) -> bool:
        """Whether it is heavy root work; an unwritten amount counts as heavy."""
        return self.earlier_class in {"RP_HEAVY", "BARE", "LIFT"}

    @property
    def takes_years(self) -> bool:
        """Whether it sets the tree back for years; wire lasts only by its scars and takes no strength."""
        if self.operation.conflict_class == "wire":
            return False
        return self.operation.reversibility in {"R2", "R3"} or self.heavy_roots

    @property
    def override_reason(self) -> str:
        """The reason typed against a warning; empty for none."""
        return text_of(self.entry, "override_reason").strip()

    @property
    def found_at_bench(self) -> bool:
        """Whether it was met while the roots were out."""
        return self.entry.data.get("found_at_bench") is True

    @property
    def noun(self) -> str:
        """Its name in a sentence, heavy or light where the amount was written."""
        noun = from_data(self.operation.noun)
        if self.operation.key != "repot" or self.root_removed_frac is None:
            return noun
        heavy = is_heavy(self.root_removed_frac)
        return (_("heavy {noun}") if heavy else _("light {noun}")).format(noun=noun)

    @property
    def words(self) -> str:
        """Its name with its date, for a line of text."""
        on = self.entry.on
        if not on.known:
            return self.noun
        return _("{work} ({date})").format(work=self.noun, date=date_shown(on))


def share_of(entry: Entry, key: str) -> float | None:
    """A number among an entry's data.

    Parameters
    ----------
    entry : Entry
        Any.
    key : str
        Its key.

    Returns
    -------
    float or None
        None where it was not written.

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> from ringwise.records.dates import UNKNOWN
    >>> share_of(Entry("", "T01", "work", UNKNOWN, {"root_removed_frac": 0.3}), "root_removed_frac")
    0.3
    """
    value = entry.data.get(key)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value)


def text_of(entry: Entry, key: str) -> str:
    """A text among an entry's data.

    Parameters
    ----------
    entry : Entry
        Any.
    key : str
        Its key.

    Returns
    -------
    str
        Empty where it was not written.

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> from ringwise.records.dates import UNKNOWN
    >>> text_of(Entry("", "T01", "planned", UNKNOWN, {"operation": "chop"}), "operation")
    'chop'
    """
    value = entry.data.get(key)
    return value if isinstance(value, str) else ""


def _job(entry: Entry, *, done: bool, today: date, south: bool) -> Job:
    try:
        work = operation(text_of(entry, "operation"))
    except RingwiseError as wrong:
        wrong.where = wrong.where or entry.tree
        raise
    earlier, later = classes_of(
        work, root_removed_frac=share_of(entry, "root_removed_frac"), amount=text_of(entry, "amount")
    )
    when = entry.on.middle or entry.on.by or today
    return Job(entry, work, earlier, later, done, growing_year(when, south=south).label)


def jobs_of(facts: TreeFacts, *, today: date, south: bool = False) -> list[Job]:
    """The works planned on a tree and those done lately, in order of their dates.

    Parameters
    ----------
    facts : TreeFacts
        What is known of the tree.
    today : date
        A plan without a date is taken for the growing year of this day.
    south : bool
        Whether the place lies south of the equator.

    Returns
    -------
    list of Job
        Done works reach back two growing years; a done work without a date is left out, and so are
        plans of past growing years and plans that were carried out.

    Raises
    ------
    UnknownNameError
        If an entry names an operation that is not in the catalogue.

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> jobs_of(SimpleNamespace(works=(), planned=()), today=date(2027, 3, 7))
    []
    """
    this_year = growing_year(today, south=south).label
    dated: Sequence[Entry] = [entry for entry in facts.works if entry.on.known]
    done = [_job(entry, done=True, today=today, south=south) for entry in dated if _named(entry)]
    planned = [_job(entry, done=False, today=today, south=south) for entry in facts.planned]
    recent = [job for job in done if job.year_label >= this_year - YEARS_BACK]
    current = [job for job in planned if job.year_label >= this_year]
    return sorted([*recent, *_unfulfilled(current, recent)], key=_order)


def _unfulfilled(planned: Sequence[Job], done: Sequence[Job]) -> list[Job]:
    """Plans that were not carried out by the same work, in the same growing year, after the planning."""
    left = list(done)
    still = []
    for plan in sorted(planned, key=_order):
        hit = next((job for job in left if _fulfils(job, plan)), None)
        if hit is None:
            still.append(plan)
        else:
            left.remove(hit)
    return still


def _fulfils(job: Job, plan: Job) -> bool:
    same = (job.operation.key, job.year_label) == (plan.operation.key, plan.year_label)
    planned_on = plan.entry.recorded_at
    done_by = job.entry.on.by
    return same and (planned_on is None or done_by is None or planned_on.date() <= done_by)


def _named(entry: Entry) -> bool:
    return bool(text_of(entry, "operation"))


def _order(job: Job) -> tuple[bool, date, str, str]:
    when = job.entry.on.middle or job.entry.on.by or date.max
    return (not job.done, when, job.operation.key, job.entry.id)
