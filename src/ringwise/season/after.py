"""What follows a work once it is done: the risks of the days after, carrying in, and the one that is told."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ringwise.kit.trace import Trace
from ringwise.season.carry import CarryIn, carry_in, frost_not_told
from ringwise.season.risk import Risk, work_risks
from ringwise.season.risk_words import risk_trace, told_risk

if TYPE_CHECKING:
    from datetime import date

    from ringwise.operations.base import Operation
    from ringwise.season.risk import Stand


@dataclass(frozen=True)
class After:
    """Risks after a work on a day; `words` is empty where none belongs into the window's sentence."""

    work_on: date | None = None
    risks: tuple[Risk, ...] = ()
    carry: CarryIn | None = None
    words: str = ""
    stand: Stand | None = field(default=None, repr=False, compare=False)

    @property
    def carry_words(self) -> str:
        """What the nights after it ask for, or why that cannot be told; empty where nothing is to be done."""
        if self.carry is not None:
            return self.carry.words
        if self.stand is None or self.work_on is None:
            return ""
        return frost_not_told(self.stand, self.work_on)

    def risk(self, kind: str) -> Risk | None:
        """The risk of a kind, where it could be told."""
        return next((each for each in self.risks if each.kind == kind), None)

    def why(self, kind: str) -> Trace | None:
        """The chain behind the risk of a kind; None where it was not told."""
        found = self.risk(kind)
        return None if found is None or self.stand is None else risk_trace(found, self.stand)


NOTHING_AFTER = After()


def after_work(stand: Stand, day: date | None, operation: Operation, near: bool) -> After:
    """What follows a work on a day.

    Parameters
    ----------
    stand : Stand
        The tree where it stands.
    day : date or None
        Of the work; None where it is not to be done.
    operation : Operation
        From the registry.
    near : bool
        Whether the window is open or near, so that a risk is told.

    Returns
    -------
    After
        Without risks where there is no day.

    Source
    ------
    practice, as `risk` and `carry`.

    Examples
    --------
    >>> NOTHING_AFTER.risks
    ()
    """
    if day is None:
        return After(stand=stand)
    risks = work_risks(stand, day)
    words = told_risk(risks, root_work=operation.root_work) if near else ""
    return After(day, risks, carry_in(stand, day), words, stand)
