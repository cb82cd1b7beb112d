"""Cues that roots give: slow drainage, quick drying, years since the last repot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ringwise.kit import show
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.words import _
from ringwise.records.date_shown import date_shown
from ringwise.records.facts import TreeFacts
from ringwise.records.taxa import lookup_keys
from ringwise.season.jobs import share_of

ROOM = "ringwise.season"
DAYS_PER_YEAR = 365.25  # mean year of the calendar
YOUNG_STAGES = frozenset({"S1", "S2", "S3", "S4", "S5", "S6"})  # still being built; later stages are old
CANNOT_WAIT, SHOULD_NOT_WAIT, CAN_WAIT = "cannot wait", "should not wait", "can wait"
URGENCIES = (CANNOT_WAIT, SHOULD_NOT_WAIT, CAN_WAIT)


@dataclass(frozen=True)
class Cue:
    """One sign that a work is wanted: its kind, the words for it, and whether it alone cannot wait."""

    kind: str
    words: str
    pressing: bool = False


def _cue(key: str, parameter: str) -> float:
    return load_table(ROOM, "cues").get(key, parameter).number


def _since_repot(facts: TreeFacts, kind: str, key: str) -> list[float]:
    """The measures of a kind since the last root work, in order of their dates."""
    repot = facts.last_repot.by if facts.last_repot is not None else None
    found = []
    for entry in facts.entries:
        amount = share_of(entry, key) if entry.kind == kind else None
        seen = entry.on.by
        if amount is not None and (repot is None or seen is None or seen >= repot):
            found.append(amount)
    return found


def drain_cue(facts: TreeFacts) -> Cue | None:
    """A slow drain against the pot's own past; the trade's limit only where there is no past to compare.

    Parameters
    ----------
    facts : TreeFacts
        What is known of the tree.

    Returns
    -------
    Cue or None
        None where it was never tested, or drains as it did.

    Source
    ------
    practice: a drain test is compared with the pot's own past alone.

    Examples
    --------
    >>> from types import SimpleNamespace as Some
    >>> drain_cue(Some(drain_seconds=20.0, entries=(), last_repot=None)) is None
    True
    """
    seconds = facts.drain_seconds
    if seconds is None:
        return None
    pressing = seconds >= _cue("drain", "cannot_wait_s")
    tests = _since_repot(facts, "drain", "seconds")
    if len(tests) > 1:
        if seconds < _cue("drain", "grown_ratio") * tests[0]:
            return None
        words = _("drain time has grown from {first} to {now} s since the last repot").format(
            first=show.number(tests[0], 3), now=show.number(seconds, 3)
        )
        return Cue("drain", words, pressing)
    slow_s = _cue("drain", "slow_s")
    if seconds < slow_s:
        return None
    words = _("water stands {seconds} s before soaking in (slow from {slow} s)").format(
        seconds=show.number(seconds, 3), slow=show.number(slow_s)
    )
    return Cue("drain", words, pressing)


def _dry_cue(facts: TreeFacts) -> Cue | None:
    days = _since_repot(facts, "days_dry", "days")
    if len(days) < 2 or days[-1] > _cue("dry", "shrunk_ratio") * max(days):
        return None
    words = _("dries in {now} days, where it took {most} (compare the weather)").format(
        now=show.number(days[-1]), most=show.number(max(days))
    )
    return Cue("dry", words)


def usual_years(facts: TreeFacts) -> Parameter | None:
    """The usual years between repots for a tree's species and stage of training.

    Parameters
    ----------
    facts : TreeFacts
        What is known of the tree.

    Returns
    -------
    Parameter or None
        The row of the species table; None where the species is not in it. An unknown stage counts as old.

    Source
    ------
    trade_table: years between repots, young and old.

    Examples
    --------
    >>> from types import SimpleNamespace as Some
    >>> from ringwise.records.taxa import taxon
    >>> usual_years(Some(taxon=taxon("zelkova_serrata"), tree=Some(stage="S9"))).number
    3.0
    """
    if facts.taxon is None:
        return None
    table = load_table("ringwise.operations", "species")
    name = "repot_years_young" if facts.tree.stage in YOUNG_STAGES else "repot_years_old"
    for key in lookup_keys(facts.taxon.key):
        if table.has(key, name):
            return table.get(key, name)
    return None


def _years_cue(facts: TreeFacts, today: date) -> Cue | None:
    usual = usual_years(facts)
    last = facts.last_repot.by if facts.last_repot is not None else None
    if usual is None or last is None or facts.last_repot is None:
        return None
    years = (today - last).days / DAYS_PER_YEAR
    if years <= (usual.number if usual.high is None else usual.high):
        return None
    words = _("last repot {when}, usual for this kind and stage every {years} years").format(
        when=date_shown(facts.last_repot), years=_years_words(usual)
    )
    return Cue("years", words)


def _years_words(usual: Parameter) -> str:
    if usual.range_kind != "minmax" or usual.low is None or usual.high is None or usual.low == usual.high:
        return show.number(usual.number)
    return _("{low} to {high}").format(low=show.number(usual.low), high=show.number(usual.high))


def root_cues(facts: TreeFacts, *, today: date) -> tuple[Cue, ...]:
    """What a tree's roots say, as far as it was measured.

    Parameters
    ----------
    facts : TreeFacts
        What is known of the tree.
    today : date
        The day of asking.

    Returns
    -------
    tuple of Cue
        Empty where nothing was measured or nothing speaks; what was not measured says nothing.

    Source
    ------
    practice: cues to repot.

    Examples
    --------
    >>> from types import SimpleNamespace as Some
    >>> slow = Some(drain_seconds=140.0, entries=(), last_repot=None, taxon=None)
    >>> [cue.pressing for cue in root_cues(slow, today=date(2027, 3, 7))]
    [True]
    """
    found = (drain_cue(facts), _dry_cue(facts), _years_cue(facts, today))
    return tuple(cue for cue in found if cue is not None)


def urgency_of(cues: Sequence[Cue]) -> str:
    """What a year's wait would cost, from the cues.

    Parameters
    ----------
    cues : sequence of Cue
        From `root_cues`.

    Returns
    -------
    str
        "cannot wait" for a pressing cue or a measured cue on a tree past its usual years; "should not wait"
        for a measured cue; else "can wait".

    Source
    ------
    own: own reasoning on the trade's question "what happens if it waits a year?".

    Examples
    --------
    >>> urgency_of([Cue("years", "five years")]), urgency_of([Cue("drain", "140 s", True)])
    ('can wait', 'cannot wait')
    """
    kinds = {cue.kind for cue in cues}
    measured = kinds & {"drain", "dry"}
    if any(cue.pressing for cue in cues) or (measured and "years" in kinds):
        return CANNOT_WAIT
    return SHOULD_NOT_WAIT if measured else CAN_WAIT


def urgency_words(urgency: str) -> str:
    """The urgency in the user's language.

    Parameters
    ----------
    urgency : str
        One of `URGENCIES`.

    Returns
    -------
    str
        Its words.

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> urgency_words("can wait")
    'can wait a year'
    """
    return {
        CANNOT_WAIT: _("cannot wait a year"),
        SHOULD_NOT_WAIT: _("should not wait a year"),
        CAN_WAIT: _("can wait a year"),
    }[urgency]
