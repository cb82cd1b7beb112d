"""Whether a tree with cut roots is carried in: the coldest tenth of the weather years against two limits."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from ringwise.kit import show
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace
from ringwise.kit.words import _
from ringwise.operations.base import ROOTS_ACTIVE
from ringwise.operations.registry import OPERATIONS
from ringwise.season.frost_limits import cut_root_limits
from ringwise.season.limit_words import limit_trace
from ringwise.season.risk import nights_after

if TYPE_CHECKING:
    from ringwise.records.facts import TreeFacts
    from ringwise.season.risk import Stand

NONE, CARRY, ALARM = "none", "carry", "alarm"


@dataclass(frozen=True)
class CarryIn:
    """What the cold of the nights to come asks for: `state` is none, carry or alarm.

    `coldest_degC` is what the coldest tenth of the weather years reaches, in the pot's core, or at the bench
    where `by_core` is false.
    """

    state: str
    coldest_degC: float
    by_core: bool
    of_years: int
    lag: Trace | None = field(default=None, repr=False, compare=False)

    @property
    def words(self) -> str:
        """In one line; empty where nothing is to be done."""
        cold = show.temperature(self.coldest_degC)
        place = _("pot core") if self.by_core else _("bench air, the pot's core is not known")
        if self.state == ALARM:
            return _("carry in, hard frost for cut roots: {cold} ({place}) in one year of ten").format(
                cold=cold, place=place
            )
        if self.state == CARRY:
            return _("carry in when frost threatens: {cold} ({place}) in one year of ten").format(
                cold=cold, place=place
            )
        return ""

    def why(self) -> Trace:
        """The chain behind it."""
        rows = [row for limit in cut_root_limits() for row in limit.rows]
        rows += [_share(), load_table("ringwise.season", "cues").get("frost", "nights")]
        return Trace(
            label=_("carry in, coldest of the nights after"),
            value=show.temperature(self.coldest_degC),
            room="season.carry",
            formula=_(
                "lowest of the {n} nights after the work, coldest tenth of {years} weather years"
            ).format(n=nights_after(), years=self.of_years),
            source="practice",
            basis="practice",
            inputs=(*((self.lag,) if self.lag else ()), *(limit_trace(row) for row in rows)),
        )


def _share() -> Parameter:
    return load_table("ringwise.season", "risks").get("carry", "share_pct")


def carry_in(stand: Stand, work: date) -> CarryIn | None:
    """Whether a tree whose roots are cut on a day, or were before, is carried in during the nights after it.

    Parameters
    ----------
    stand : Stand
        The tree where it stands.
    work : date
        The day of the work; today where the work was done.

    Returns
    -------
    CarryIn or None
        None where its roots are not cut or the weather years do not tell.

    Source
    ------
    practice: 10th percentile of the core's lowest over 14 nights, below 0 carry in, below -2 alarm; bench
    air where the core is not known.

    Examples
    --------
    >>> CarryIn(NONE, 2.0, True, 20).words
    ''
    """
    if not stand.cut:
        return None
    lows = stand.weather.tmin_degC if stand.core is None else stand.core.low_degC
    begin = stand.weather.column(work) + 1
    part = lows[:, max(begin, 0) : begin + nights_after()]
    if begin < 0 or part.shape[1] < nights_after():
        return None
    part = part[~np.isnan(part).any(axis=1)]
    if part.shape[0] == 0:
        return None
    coldest = float(np.percentile(part.min(axis=1), _share().number))
    carry, alarm = cut_root_limits()
    state = ALARM if coldest < alarm.value else CARRY if coldest < carry.value else NONE
    return CarryIn(state, coldest, stand.core is not None, int(part.shape[0]), stand.lag)


def roots_cut(facts: TreeFacts, today: date) -> bool:
    """Whether a tree's roots were cut and are not active yet.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    today : date
        The day of asking.

    Returns
    -------
    bool
        Active roots as noted end it, else so many days as the row says.

    Source
    ------
    practice: roots active as seen; own assumption for trees on which nobody noted it.

    Examples
    --------
    >>> from ringwise.records.facts import tree_facts
    >>> from ringwise.records.model import Tree
    >>> bare = Tree("T1", "Oak", "quercus_robur")
    >>> oak = tree_facts(bare, entries=(), pots=(), places=(), on=date(2027, 3, 7))
    >>> roots_cut(oak, date(2027, 3, 7))
    False
    """
    cuts = [
        entry.on.by
        for entry in facts.works
        if entry.on.by is not None and _cuts_roots(str(entry.data.get("operation")))
    ]
    if not cuts:
        return False
    last = max(cuts)
    active = [
        entry.on.by
        for entry in facts.entries
        if entry.kind == "stage" and entry.data.get("code") == ROOTS_ACTIVE and entry.on.by is not None
    ]
    if any(seen >= last for seen in active):
        return False
    row = load_table("ringwise.season", "risks").get("roots", "active_after_days")
    return (today - last).days <= row.number


def _cuts_roots(operation: str) -> bool:
    return operation in OPERATIONS and OPERATIONS[operation].root_work
