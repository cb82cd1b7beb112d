"""Where each tree stood day by day, and the weather of the station moved to it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from ringwise.desk.microsites import known_microsites, line_words, place_offsets
from ringwise.kit.words import _
from ringwise.phenology.yard import OPEN
from ringwise.weather.microsite import MicrositeOffset, microsite_prior, moved_by_day
from ringwise.weather.years import LEAD_DAYS, TAIL_DAYS

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.kit.days import GrowingYear
    from ringwise.kit.types import BoolArray, IntArray
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Place
    from ringwise.weather.series import WeatherSeries
    from ringwise.weather.years import WeatherMembers


@dataclass(frozen=True)
class Sites:
    """The histories of places that trees of a yard have: of each tree its key, of each key its days.

    Trees that stood alike share a key; one that always stood as the station does has `OPEN`. `stood` holds
    for each day from `first` on which of `offsets` counts.
    """

    first: date
    last: date
    offsets: tuple[MicrositeOffset, ...]
    stood: Mapping[str, IntArray]
    of_tree: Mapping[str, str]

    def series(self, site: str, weather: WeatherSeries) -> WeatherSeries:
        """The yard's series as a tree of this history had it."""
        return moved_by_day(weather, self.offsets, self._days(site, weather.first, weather.n))

    def members(self, site: str, weather: WeatherMembers) -> WeatherMembers:
        """Weather years as a tree of this history had and will have them."""
        days = weather.tmean_degC.shape[1]
        return moved_by_day(weather, self.offsets, self._days(site, weather.first, days))

    def by_year(self, tree: str) -> dict[int, str]:
        """A tree's key under the label of each growing year; none where it is the yard's own place."""
        site = self.of_tree.get(tree, OPEN)
        if site == OPEN:
            return {}
        return dict.fromkeys(range(self.first.year, self.last.year + 2), site)

    def _days(self, site: str, first: date, n_days: int) -> IntArray:
        import numpy as np

        stood = self.stood[site]
        at = np.clip(np.arange(n_days) + (first - self.first).days, 0, stood.size - 1)
        days: IntArray = stood[at]
        return days


def tree_sites(
    workspace: Workspace, first: date, last: date, taught: Mapping[str, Iterable[GrowingYear]]
) -> Sites:
    """Where every tree of the collection stood in the years that matter, from the first day to the last.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    first, last : date
        The days of the weather.
    taught : mapping of str to iterable of GrowingYear
        The growing years of each tree in which a stage was seen. Where it stood in others decides nothing:
        they count as if it had stood where it stands today, so that more trees share a history.

    Returns
    -------
    Sites
        A day of which nobody wrote down a place counts as the yard's own place; after today a tree stays
        where it stands, unless the record ends its stay.
    """
    import numpy as np

    known = place_offsets(workspace)
    offsets: list[MicrositeOffset] = [microsite_prior("open_bench")]
    number: dict[str, int] = {}
    for place, offset in known.items():
        if offset.is_none:
            number[place] = 0
        else:
            if offset not in offsets:
                offsets.append(offset)
            number[place] = offsets.index(offset)
    stood: dict[str, IntArray] = {OPEN: _nowhere(first, last)}
    of_tree: dict[str, str] = {}
    today = min(max((workspace.today - first).days, 0), (last - first).days)
    for tree, facts in workspace.facts.items():
        days = _stood(facts.stays, number, first, last)
        matters = _matters(first, days.size, (*taught.get(tree, ()), workspace.year))
        matters[today:] = True
        days = np.where(matters, days, days[today])
        site = _key(days)
        stood.setdefault(site, days)
        of_tree[tree] = site
    return Sites(first, last, tuple(offsets), stood, of_tree)


def _nowhere(first: date, last: date) -> IntArray:
    import numpy as np

    return np.zeros((last - first).days + 1, dtype=np.int64)


def _stood(stays: Sequence[Place], number: Mapping[str, int], first: date, last: date) -> IntArray:
    """For each day which offset counts; of two stays on one day the one that began later."""
    days = _nowhere(first, last)
    for stay in sorted(stays, key=lambda each: (each.since.by or date.min, len(each.id), each.id)):
        begun = stay.since.earliest or stay.since.latest or first
        ended = last if stay.until is None or stay.until.by is None else stay.until.by
        low, high = (begun - first).days, (ended - first).days + 1
        if high > 0:
            days[max(low, 0) : high] = number.get(stay.place, 0)
    return days


def _matters(first: date, n_days: int, years: Iterable[GrowingYear]) -> BoolArray:
    """The days of some growing years, with those before and after them that models and frosts look at."""
    import numpy as np

    matters = np.zeros(n_days, dtype=np.bool_)
    for year in years:
        low = (year.start - first).days - LEAD_DAYS
        high = (year.end - first).days + 1 + TAIL_DAYS
        if high > 0:
            matters[max(low, 0) : high] = True
    return matters


def _key(days: IntArray) -> str:
    """A name for a history: its runs of days away from the yard's own place."""
    import numpy as np

    if not days.any():
        return OPEN
    starts = np.flatnonzero(np.diff(days, prepend=-1))
    return " ".join(f"{start}:{days[start]}" for start in starts)


def place_notes(workspace: Workspace, trees: Iterable[TreeFacts]) -> list[str]:
    """What a reader of windows must know of where their trees stand today.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    trees : iterable of TreeFacts
        Of the windows.

    Returns
    -------
    list of str
        A sentence for each place whose weather is not that of the station.
    """
    standing = {facts.place.place for facts in trees if facts.place is not None}
    return [
        _("{place}: {nights}; {days}.").format(
            place=each.place,
            nights=line_words(each.offset.nights, "nights"),
            days=line_words(each.offset.days, "days"),
        )
        for each in known_microsites(workspace)
        if each.place in standing and not each.offset.is_none
    ]
