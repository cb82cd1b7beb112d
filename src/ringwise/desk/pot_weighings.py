"""What was measured on a tree's pot since it was filled: weighings by session, drain tests, days to dry."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from ringwise.records.observations import DRAINED_LEVEL, DRAINED_TILTED, POT_EMPTY
from ringwise.season.cues import DAYS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry
    from ringwise.rootzone.calibrate import DryMass, Measured, Weighing
    from ringwise.rootzone.drain_trend import DrainTrend

DAY_LATER = "after_24_h"
_QUARTERS = 4  # of a year: pots of about one age share their draws
_MOMENTS = {
    DRAINED_LEVEL: "level",
    DRAINED_TILTED: "tilted",
    "after_10_min": "ten_min",
    DAY_LATER: "day",
    "before_watering": "dry",
}


@dataclass(frozen=True)
class PotRecord:
    """What speaks for a pot's soil: `years` since it was filled, `years_then` at its first drain test.

    `measured` is None where nothing was measured that tells of it.
    """

    years: float | None
    years_then: float | None
    weighings: tuple[Entry, ...]
    drains: tuple[Entry, ...]
    trend: DrainTrend | None
    measured: Measured | None


def pot_record(facts: TreeFacts, today: date) -> PotRecord:
    """What was measured on the pot of a tree since it was filled.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    today : date
        The day of asking.

    Returns
    -------
    PotRecord
        Weighings of unknown day, of an earlier filling or of long ago say nothing of the soil of today.
    """
    from ringwise.rootzone.calibrate import Measured, calibrate_row

    filled = None if facts.last_repot is None else facts.last_repot.middle or facts.last_repot.by
    since = None if facts.last_repot is None else facts.last_repot.by
    oldest_days = calibrate_row("session", "most_years").number * DAYS_PER_YEAR
    weighings = _of_one_season(
        each
        for each in _of_filling(facts, "weight", since)
        if each.data.get("moment") in _MOMENTS
        and (today - _day(each)).days <= oldest_days
        and _in_its_pot(each, facts)
    )
    trend, used = _trend(_of_filling(facts, "drain", since))
    days = _of_filling(facts, "days_dry", since)
    measured = None
    if len(weighings) > 1 or trend is not None or (weighings and _empty_g(facts) is not None):
        measured = Measured(
            weighings=_weighings(weighings),
            dry_days=_dry_days(days, weighings),
            dry_mass=_dry_mass(facts),
            drain_ratio=None if trend is None else trend.ratio,
        )
    years = None if filled is None else max(0.0, (today - filled).days / DAYS_PER_YEAR)
    then = None if filled is None or not used else max(0.0, (_day(used[0]) - filled).days / DAYS_PER_YEAR)
    return PotRecord(_quarters(years), _quarters(then), tuple(weighings), used, trend, measured)


def _in_its_pot(entry: Entry, facts: TreeFacts) -> bool:
    """Whether a weight is of the pot that the tree stands in, as far as the entry names one."""
    named = entry.data.get("pot")
    return named is None or facts.pot is None or named == facts.pot.id


def _of_one_season(entries: Iterable[Entry]) -> list[Entry]:
    """All but weights of a day later from another season: a day in March takes a tenth of one in July."""
    given = list(entries)
    days = [_day(each) for each in given if each.data["moment"] == DAY_LATER]
    return [each for each in given if each.data["moment"] != DAY_LATER or _same_season(_day(each), days[-1])]


def _same_season(one: date, other: date) -> bool:
    """Whether two days of any years lie near each other in the year."""
    from ringwise.rootzone.calibrate import calibrate_row

    apart = abs((one - other).days) % DAYS_PER_YEAR
    return min(apart, DAYS_PER_YEAR - apart) <= calibrate_row("day", "season_days").number


def _dry_days(tests: Sequence[Entry], weighings: Sequence[Entry]) -> float | None:
    """Days from full to watering, the newest of the season in which the pot was weighed a day later."""
    later = [_day(each) for each in weighings if each.data["moment"] == DAY_LATER]
    if not later:
        return None
    of_season = [each for each in tests if _same_season(_day(each), later[-1])]
    return float(str(of_season[-1].data["days"])) if of_season else None


def _quarters(years: float | None) -> float | None:
    return None if years is None else round(years * _QUARTERS) / _QUARTERS


def _day(entry: Entry) -> date:
    return entry.on.by or date.min


def _of_filling(facts: TreeFacts, kind: str, since: date | None) -> list[Entry]:
    """Entries of a kind with a known day since the pot was filled, oldest first."""
    return [
        each
        for each in facts.entries
        if each.kind == kind and each.on.by is not None and (since is None or each.on.by >= since)
    ]


def _weighings(entries: Sequence[Entry]) -> tuple[Weighing, ...]:
    from ringwise.rootzone.calibrate import Weighing, calibrate_row

    apart = calibrate_row("session", "days").number
    found: list[Weighing] = []
    session, begun = 0, None
    for each in entries:
        day = _day(each)
        if begun is None or (day - begun).days > apart:
            session, begun = session + 1, day
        tilt = each.data.get("tilt_deg")
        found.append(
            Weighing(
                _MOMENTS[str(each.data["moment"])],
                float(str(each.data["mass_g"])),
                0.0 if tilt is None else float(str(tilt)),
                session,
            )
        )
    return tuple(found)


def _empty_g(facts: TreeFacts) -> float | None:
    """What the pot that the tree stands in weighs empty, where it was weighed."""
    own = None if facts.pot is None else facts.pot.id
    for each in reversed(facts.entries):
        if each.kind == "weight" and each.data.get("moment") == POT_EMPTY and each.data.get("pot") == own:
            return float(str(each.data["mass_g"]))
    return None


def _dry_mass(facts: TreeFacts) -> DryMass | None:
    """Pot and tree without soil; None where the pot was not weighed or the tree not measured."""
    from ringwise.rootzone.calibrate import DryMass, calibrate_row
    from ringwise.rootzone.lifting import wood_g

    empty_g = _empty_g(facts)
    if empty_g is None or facts.trunk_mm is None or facts.height_mm is None:
        return None
    tree_g = wood_g(facts.trunk_mm, facts.height_mm)
    sd_g = tree_g * calibrate_row("tree", "mass_sd_log").number + calibrate_row("scale", "mass_g").number
    return DryMass(empty_g + tree_g, sd_g)


def _trend(drains: Sequence[Entry]) -> tuple[DrainTrend | None, tuple[Entry, ...]]:
    """The newest drain test against the oldest of about as much water, and both; never other pots."""
    from ringwise.rootzone.drain_trend import alike, drain_trend

    newest = drains[-1] if drains else None
    for first in drains[:-1]:
        if newest is None or _day(first) == _day(newest) or not alike(_water_cm3(first), _water_cm3(newest)):
            continue
        found = drain_trend(
            float(str(first.data["seconds"])),
            float(str(newest.data["seconds"])),
            first_cm3=_water_cm3(first),
            now_cm3=_water_cm3(newest),
        )
        return found, (first, newest)
    return None, ()


def _water_cm3(test: Entry) -> float | None:
    given = test.data.get("water_cm3")
    return None if given is None else float(str(given))
