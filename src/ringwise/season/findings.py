"""What a check of the plan found: two entries, the rule between them, and a way out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from ringwise.kit.trace import Trace
from ringwise.kit.words import _, from_data
from ringwise.operations.conflicts import cross_rules

TOLD_BY_WINDOW = frozenset({"weak", "feed_weak", "quarantine"})  # rules that block a window by themselves


@dataclass(frozen=True)
class Finding:
    """One conflict of the plan. `rule` is its key, `evidence` its grade, `explanation` and `way_out` words.

    `earlier` and `later` name the two entries in words, with their ids where they are entries. A hard
    one asks for a typed reason; once it is there the finding is `silenced`: kept, marked, asked no more.
    """

    tree: str
    name: str
    rule: str
    earlier: str
    later: str
    earlier_id: str
    later_id: str
    hard: bool
    evidence: str
    explanation: str
    way_out: str
    override_reason: str = ""
    source: str = "practice"
    trace: Trace | None = field(default=None, repr=False, compare=False)

    @property
    def silenced(self) -> bool:
        """Whether the grower has typed a reason against it."""
        return bool(self.override_reason)

    @property
    def grade(self) -> str:
        """Hard or advisory, with the grade of evidence, in words."""
        kind = _("hard stop") if self.hard else _("advice")
        basis = _("common practice") if self.evidence == "practice" else from_data(self.evidence)
        return _("{kind}, {basis}").format(kind=kind, basis=basis)

    @property
    def line(self) -> str:
        """The finding in one line."""
        return f"{self.tree} {self.name}: {self.explanation} {self.way_out}".strip()


def blocking(findings: Sequence[Finding], tree: str, entry_id: str = "") -> tuple[str, ...]:
    """The hard conflicts that stand in the way of a work, for its window.

    Parameters
    ----------
    findings : sequence of Finding
        From `find_conflicts`.
    tree : str
        The tree's id.
    entry_id : str
        The planned entry; empty for any plan of the tree.

    Returns
    -------
    tuple of str
        In words. Left out: those with a typed reason, and weakness and quarantine, which a window tells
        itself.

    Source
    ------
    practice: hard stops ask for a typed reason.

    Examples
    --------
    >>> blocking([], "T13")
    ()
    """
    return tuple(
        finding.explanation
        for finding in findings
        if finding.hard
        and not finding.silenced
        and finding.tree == tree
        and finding.rule not in TOLD_BY_WINDOW
        and (not entry_id or entry_id in {finding.earlier_id, finding.later_id})
    )


def rule_trace(key: str) -> Trace:
    """A cross-rule as a link of the "why" chain.

    Parameters
    ----------
    key : str
        Its key.

    Returns
    -------
    Trace
        With table row, basis and source.

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> rule_trace("weak").room
    'row weak of cross_rules'
    """
    row = cross_rules()[key]
    return Trace(
        label=_("rule"),
        value=from_data(row["text"]),
        room=f"row {key} of cross_rules",
        source=row["source"],
        basis=row["basis"],
    )
