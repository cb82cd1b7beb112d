"""Whether a wait between two works is kept by their dates, their growing years and their own timing."""

from __future__ import annotations

from ringwise.operations.conflicts import limit
from ringwise.operations.gaps import Gap
from ringwise.records.taxa import lookup_keys
from ringwise.season.jobs import Job

DAYS_PER_WEEK = 7  # exact
HARDENED_OPENINGS = frozenset({"H1", "91", "92", "93", "95", "97"})  # spans that open on hard leaves or later


def apart_days(first: Job, second: Job) -> int | None:
    """The fewest days that can lie between two works.

    Parameters
    ----------
    first, second : Job
        In the order in which they are done.

    Returns
    -------
    int or None
        From the latest day of the first to the earliest of the second; None where a date is open.

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> from types import SimpleNamespace as Some
    >>> from datetime import date
    >>> apart_days(Some(last=date(2027, 3, 9)), Some(first=date(2027, 3, 11)))
    2
    """
    if first.last is None or second.first is None:
        return None
    return (second.first - first.last).days


def certainly_before(first: Job, second: Job) -> bool:
    """Whether one work is done before another whatever day of its dates is true.

    Parameters
    ----------
    first, second : Job
        Two works on one tree.

    Returns
    -------
    bool
        True for a work done against a work planned.

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> from types import SimpleNamespace as Some
    >>> certainly_before(Some(done=True), Some(done=False))
    True
    """
    if first.done != second.done:
        return first.done
    days = apart_days(first, second)
    return days is not None and days > 0


def _sign_weeks(sign: str) -> float:
    return {"H1": limit("hardened", "weeks"), "11": limit("refoliated", "weeks")}.get(sign, 0.0)


def _opens_on_hard_leaves(job: Job, species: str) -> bool:
    """Whether the work's own timing waits for hard leaves, so that its planned day will too."""
    for key in lookup_keys(species) if species else ():
        listed = job.operation.spans.get(key)
        if listed:
            done = [span for span in listed if span.done]
            return bool(done) and all(span.opens in HARDENED_OPENINGS for span in done)
    return False


def kept(gap: Gap, first: Job, second: Job, *, species: str = "") -> bool:
    """Whether a wait is kept between two works.

    Parameters
    ----------
    gap : Gap
        The least wait.
    first, second : Job
        In the order in which they are done.
    species : str
        The tree's taxon key; with it a work that waits for hard leaves by its own timing keeps that wait.

    Returns
    -------
    bool
        A wait of weeks needs dates; where they are open it is not kept.

    Source
    ------
    practice: conflict table; own reasoning for open dates.

    Examples
    --------
    >>> from types import SimpleNamespace as Some
    >>> from ringwise.operations.gaps import parse_gap
    >>> kept(parse_gap("N"), Some(year_label=2027), Some(year_label=2028))
    True
    """
    if gap.free or not gap.meaningful:
        return True
    if gap.seasons:
        return second.year_label - first.year_label >= gap.seasons
    days = apart_days(first, second)
    if days is not None and days >= DAYS_PER_WEEK * max(gap.weeks, _sign_weeks(gap.sign)):
        return True
    if gap.sign == "H1" and _opens_on_hard_leaves(second, species):
        weeks_kept = days is None or days >= DAYS_PER_WEEK * gap.weeks
        return weeks_kept and not _opens_on_hard_leaves(first, species)
    return False
