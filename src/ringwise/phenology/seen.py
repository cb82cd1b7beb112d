"""What was seen on a tree: a stage between two visits, as an interval of day indices."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from ringwise.kit.days import GrowingYear
from ringwise.kit.tables import Table, load_table
from ringwise.phenology.choice import ROOM
from ringwise.phenology.stages import AUTUMN, ORDER, SPRING, place
from ringwise.records.taxa import Taxon

LATE_BRANCH = "late_branch"
MOST = "most"
HALF_DAY = 0.5  # a stage dated to a day came by that day's end; model days are whole days


@dataclass(frozen=True)
class SeenStage:
    """A stage seen at `latest` and not yet at `earliest`; without `latest` it was not yet seen at `earliest`.

    `extent` is first (a tenth of the buds), most (half of them) or late_branch; `weak` marks a tree of
    vigour 2 or less, whose dates do not teach the clock of a healthy one.
    """

    code: str
    year: GrowingYear
    latest: date | None
    earliest: date | None = None
    extent: str = "first"
    weak: bool = False

    @property
    def teaches(self) -> bool:
        """Whether it may move the tree's own clock."""
        return self.latest is not None and not self.weak and self.extent != LATE_BRANCH

    @property
    def newest(self) -> date | None:
        """The last day it speaks of."""
        return self.latest or self.earliest


@dataclass(frozen=True)
class TreeRecord:
    """One tree as the forecast sees it: its number in keyed chance, its kind, all stages seen in any year.

    `sites` tells where it stood, by the label of the growing year: a key of the weather that the forecast is
    given. A year that is not named, or a key without weather, is the yard's own place (`yard.OPEN`).
    """

    tree: int
    taxon: Taxon
    seen: tuple[SeenStage, ...] = ()
    sites: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Interval:
    """A stage of first buds came after `low_index` and by `high_index` (infinite where open)."""

    code: str
    low_index: float
    high_index: float

    @property
    def middle_index(self) -> float:
        """Its middle."""
        return (self.low_index + self.high_index) / 2.0

    @property
    def variance(self) -> float:
        """Variance of a day that may lie anywhere in it, in square days."""
        return (self.high_index - self.low_index) ** 2 / 12.0  # of a uniform distribution, exact


def variation() -> Table:
    """The table of spreads: place, tree, season, and how observations are read.

    Returns
    -------
    Table
        All rows under "any".

    Source
    ------
    own reasoning (layout); each row names its own.

    Examples
    --------
    >>> variation().get("any", "tree_sd").number
    2.8
    """
    return load_table(ROOM, "variation")


def spread_of(name: str) -> float:
    """A value of the table of spreads.

    Parameters
    ----------
    name : str
        Its parameter name.

    Returns
    -------
    float
        In days.

    Source
    ------
    own reasoning; the row names its own.

    Examples
    --------
    >>> spread_of("group_sd")
    1.5
    """
    return variation().get("any", name).number


def interval(seen: SeenStage) -> Interval:
    """The interval in which a stage of first buds came.

    Parameters
    ----------
    seen : SeenStage
        Without an earlier visit the stage may have come some days before it was seen; half of the
        buds follow the first by a lag.

    Returns
    -------
    Interval
        In day indices of its growing year.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> year = GrowingYear(2027)
    >>> interval(SeenStage("07", year, date(2027, 3, 14), date(2027, 3, 10))).middle_index
    71.5
    """
    if seen.latest is None:
        low = -math.inf if seen.earliest is None else seen.year.day_index(seen.earliest) + HALF_DAY
        return Interval(seen.code, low, math.inf)
    high = seen.year.day_index(seen.latest) + HALF_DAY
    low = high - spread_of("inspection_gap")
    if seen.earliest is not None:
        low = min(seen.year.day_index(seen.earliest) + HALF_DAY, high - 2 * HALF_DAY)
    if seen.extent == MOST:
        low -= 2 * spread_of("most_lag")
    return Interval(seen.code, low, high)


def known_by(seen: Iterable[SeenStage], today: date) -> tuple[SeenStage, ...]:
    """What was seen up to a day.

    Parameters
    ----------
    seen : iterable of SeenStage
        Of one tree.
    today : date
        The day.

    Returns
    -------
    tuple of SeenStage
        Without later ones. Shoots that end, colour and leaf fall noted before the heat of a growing year
        begins are the end of the one before.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> known_by([SeenStage("07", GrowingYear(2027), date(2027, 3, 14))], date(2027, 3, 7))
    ()
    """
    return tuple(_settled(each) for each in seen if each.newest is not None and each.newest <= today)


def _settled(seen: SeenStage) -> SeenStage:
    ends_a_year = seen.code in (SPRING[-1], *AUTUMN)
    if ends_a_year and seen.newest is not None and seen.newest < seen.year.heat_start:
        return replace(seen, year=GrowingYear(seen.year.label - 1, seen.year.south))
    return seen


def conditions(seen: Iterable[SeenStage], codes: tuple[str, ...]) -> tuple[Interval, ...]:
    """What this year's sightings say of each stage, with "the next stage is not there yet" from the newest.

    Parameters
    ----------
    seen : iterable of SeenStage
        Of one growing year; a branch out of step says nothing of the tree.
    codes : tuple of str
        The stages of the clock in question, in order.

    Returns
    -------
    tuple of Interval
        The newest sighting first.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> told = conditions([SeenStage("03", GrowingYear(2027), date(2027, 3, 5))], ("01", "03", "07"))
    >>> [(each.code, each.low_index) for each in told]
    [('03', 60.5), ('07', 64.5)]
    """
    usable = [each for each in seen if each.code in codes and each.extent != LATE_BRANCH]
    usable.sort(key=lambda each: (each.newest or date.min, place(each.code)), reverse=True)
    found = [interval(each) for each in usable]
    reached = [each for each in usable if each.latest is not None]
    if reached and reached[0].code != codes[-1]:
        newest = max(reached, key=lambda each: place(each.code))
        after = ORDER[place(newest.code) + 1]
        if after in codes and newest.latest is not None:
            found.insert(1, Interval(after, newest.year.day_index(newest.latest) + HALF_DAY, math.inf))
    return tuple(found)
