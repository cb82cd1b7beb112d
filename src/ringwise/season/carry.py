"""Whether a tree with cut roots is carried in: the coldest tenth of the weather years against two limits."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np

from ringwise.kit import show
from ringwise.kit.days import GrowingYear, growing_year
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace
from ringwise.kit.words import _
from ringwise.operations.base import ROOTS_ACTIVE
from ringwise.operations.registry import OPERATIONS
from ringwise.phenology.stages import SPRING
from ringwise.season.frost_limits import cut_root_limits
from ringwise.season.limit_words import limit_trace
from ringwise.season.risk import FIRST_LEAF, nights_after

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ringwise.kit.types import FloatArray
    from ringwise.operations.base import Operation
    from ringwise.phenology.forecast import StageForecast
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry
    from ringwise.season.risk import Stand

NONE, CARRY, ALARM = "none", "carry", "alarm"
GROUND = "ground"  # as shape of a pot and as kind of a place
CUT_IN_GROUND = "root_prune_in_ground"
LEAVES_GROUND = frozenset({"lift", "first_pot"})
ROOT_WORK = frozenset(key for key, operation in OPERATIONS.items() if operation.root_work)
_IN_LEAF = frozenset(SPRING[SPRING.index(FIRST_LEAF) :])  # seen, each says that the first leaf is open


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
    by_core = stand.core is not None
    part = None if stand.core is None else _nights(stand, stand.core.low_degC, work)
    if part is None or part.shape[0] == 0:  # a core needs the days' highest too; the bench air stands in
        by_core = False
        part = _nights(stand, stand.weather.tmin_degC, work)
    if part is None or part.shape[0] == 0:
        return None
    coldest = float(np.percentile(part.min(axis=1), _share().number))
    carry, alarm = cut_root_limits()
    state = ALARM if coldest < alarm.value else CARRY if coldest < carry.value else NONE
    return CarryIn(state, coldest, by_core, int(part.shape[0]), stand.lag if by_core else None)


def _nights(stand: Stand, lows_degC: FloatArray, work: date) -> FloatArray | None:
    """The nights after a work in the weather years without a gap; None where these do not reach over them."""
    begin = stand.weather.column(work) + 1
    part = lows_degC[:, max(begin, 0) : begin + nights_after()]
    if begin < 0 or part.shape[1] < nights_after():
        return None
    whole: FloatArray = part[~np.isnan(part).any(axis=1)]
    return whole


def frost_not_told(stand: Stand, work: date) -> str:
    """Why nothing can be said of frost on cut roots, in words.

    Parameters
    ----------
    stand : Stand
        The tree where it stands.
    work : date
        The day of the work; today where the work was done.

    Returns
    -------
    str
        Empty where its roots are not cut, where it can be told, or beyond the weather years.

    Source
    ------
    own: silence would read as "no frost".

    Examples
    --------
    >>> from ringwise.season.risk import Stand
    >>> frost_not_told(Stand(None, None, (), core=None, cut=False), date(2027, 3, 7))
    ''
    """
    if not stand.cut or carry_in(stand, work) is not None:
        return ""
    part = _nights(stand, stand.weather.tmin_degC, work)
    if part is None or part.shape[0]:
        return ""
    return _("frost on cut roots cannot be told: no daily minima")


def in_ground(facts: TreeFacts, operation: Operation | None = None, *, stated: str = "") -> bool:
    """Whether a tree's roots are in open ground, after a work where one is named: nothing to carry in.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    operation : Operation, optional
        The work that is asked about; without one the tree as it is now.
    stated : str
        The kind of its place as the grower stated it for the weather there.

    Returns
    -------
    bool
        By its pot, its place, or its last root work; a work that lifts it or pots it ends it.

    Source
    ------
    own: the ground keeps the frost from roots far longer than a pot does.

    Examples
    --------
    >>> from ringwise.records.facts import tree_facts
    >>> from ringwise.records.model import Pot, Tree
    >>> field, row = Tree("T1", "Oak", "quercus_robur"), Pot("P1", "ground", None, None, None, tree="T1")
    >>> oak = tree_facts(field, entries=(), pots=[row], places=(), on=date(2027, 3, 7))
    >>> in_ground(oak), in_ground(oak, OPERATIONS["lift"])
    (True, False)
    """
    key = "" if operation is None else operation.key
    if key in LEAVES_GROUND or key == CUT_IN_GROUND:
        return key == CUT_IN_GROUND
    if facts.pot is not None and facts.pot.shape == GROUND:
        return True
    lifted = _days(facts.works, LEAVES_GROUND)
    if facts.place is not None and GROUND in (facts.place.kind, stated):
        since = facts.place.since.by
        return not lifted or (since is not None and since > max(lifted))
    if operation is not None and operation.root_work:  # a work on the pot that it stands in
        return False
    cut = _days(facts.works, frozenset({CUT_IN_GROUND}))
    since_then = _days(facts.works, (ROOT_WORK | LEAVES_GROUND) - {CUT_IN_GROUND})
    return bool(cut) and max(cut) > max(since_then, default=date.min)


def roots_cut(
    facts: TreeFacts, today: date, forecast: StageForecast | None = None, *, south: bool = False
) -> bool:
    """Whether a tree's roots were cut and are not active yet.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    today : date
        The day of asking.
    forecast : StageForecast, optional
        Of its leaves; without one of today's growing year, a day of the calendar stands in.
    south : bool
        Whether the tree stands south of the equator; a forecast knows it already.

    Returns
    -------
    bool
        Active roots as noted end it, else so many days as the row says, counted within one growing year
        from its first leaf on: rest does not count.

    Source
    ------
    practice: roots active as seen, no timer before the first leaf is open; own assumption for trees on which
    nobody noted it.

    Examples
    --------
    >>> from ringwise.records.facts import tree_facts
    >>> from ringwise.records.model import Tree
    >>> bare = Tree("T1", "Oak", "quercus_robur")
    >>> oak = tree_facts(bare, entries=(), pots=(), places=(), on=date(2027, 3, 7))
    >>> roots_cut(oak, date(2027, 3, 7))
    False
    """
    cuts = _days(facts.works, ROOT_WORK)
    if not cuts:
        return False
    last = max(cuts)
    if any(seen >= last for seen in _seen(facts, frozenset({ROOTS_ACTIVE}))):
        return False
    wait = timedelta(days=load_table("ringwise.season", "risks").get("roots", "active_after_days").number)
    in_south = south if forecast is None else forecast.year.south
    first, now = growing_year(last, south=in_south), growing_year(today, south=in_south)
    for label in range(first.label, now.label + 1):
        year = GrowingYear(label, in_south)
        over = max(last, _leaf_open(facts, year, forecast)) + wait
        if over < today and over <= year.end:
            return False
    return True


def _leaf_open(facts: TreeFacts, year: GrowingYear, forecast: StageForecast | None) -> date:
    """The day by which the first leaf is open in a growing year: seen, else at 9 in 10, else assumed."""
    seen = [day for day in _seen(facts, _IN_LEAF) if year.start <= day <= year.end]
    if seen:
        return min(seen)
    if forecast is not None and forecast.year == year and FIRST_LEAF in forecast.codes:
        return forecast.band(FIRST_LEAF).high
    row = load_table("ringwise.season", "risks").get("roots", "warm_after_days")
    return year.year_start + timedelta(days=row.number)


def _seen(facts: TreeFacts, codes: frozenset[str]) -> set[date]:
    """The days on which a state was seen."""
    return {
        entry.on.by
        for entry in facts.entries
        if entry.kind == "stage" and entry.data.get("code") in codes and entry.on.by is not None
    }


def _days(works: Sequence[Entry], operations: frozenset[str]) -> set[date]:
    """The days on which any of some works was done."""
    return {
        entry.on.by
        for entry in works
        if entry.on.by is not None and str(entry.data.get("operation")) in operations
    }
