"""From when a pot's water is reckoned: its last full day as written down, a soaking rain, else yesterday."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from ringwise.kit import show
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry

LOGGED, WEIGHED, RAIN, ASSUMED = "logged", "weighed", "rain", "assumed"
FULL_MOMENTS = frozenset({"drained_level", "drained_tilted", "after_10_min"})


@dataclass(frozen=True)
class PartWatering:
    """Water given to a pot that did not run through: on the morning of a day."""

    day: date
    water_cm3: float


@dataclass(frozen=True)
class FullDay:
    """The morning on which a pot counts as full, how that is known, and waterings since then."""

    day: date
    how: str
    since: tuple[PartWatering, ...] = ()
    entry: str = ""

    @property
    def words(self) -> str:
        """In one clause."""
        day = show.day(self.day)
        if self.how == LOGGED:
            return _("watered until it ran through on {day}").format(day=show.day(self.day))
        if self.how == WEIGHED:
            return _("weighed full and drained on {day}").format(day=day)
        if self.how == RAIN:
            return _("soaked by the rain of {day}; no watering that ran through is written down").format(
                day=day
            )
        return _("assumed full on the morning of {day}; no watering that ran through is written down").format(
            day=day
        )


def _morning(entry: Entry) -> date | None:
    """The morning that an entry tells of; the next one where it was written down that evening."""
    on = entry.on.by
    if on is None or entry.on.precision != "day":
        return None
    from ringwise.rootzone.due import watering_row

    written, evening_h = entry.recorded_at, watering_row("start", "evening_h").number
    if written is not None and written.date() == on and written.hour >= evening_h:
        return on + timedelta(days=1)
    return on


def _fills(entry: Entry) -> str:
    """Whether an entry says that the pot was full: by its kind of knowledge, blank where it does not."""
    if entry.kind == "watered" and entry.data.get("water_cm3") is None:
        return LOGGED
    if entry.kind == "weight" and entry.data.get("moment") in FULL_MOMENTS:
        return WEIGHED
    return ""


def full_day(
    facts: TreeFacts,
    today: date,
    *,
    rains: Sequence[tuple[date, float]],
    trusted_days: float,
    soak_mm: float,
) -> FullDay:
    """The morning from which a pot's water is reckoned.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    today : date
        The day of asking.
    rains : sequence of (date, float)
        Measured rain of the days before today that came down to the pot, in mm; the newest last.
    trusted_days : float
        How long a written watering counts.
    soak_mm : float
        Rain that soaks a pot.

    Returns
    -------
    FullDay
        The newest watering that ran through or weighing of a full pot, within the trusted days; else the
        morning after the newest soaking rain; else yesterday morning.
    """
    oldest = today - timedelta(days=round(trusted_days))
    newest: FullDay | None = None
    given: list[PartWatering] = []
    for entry in facts.entries:
        how, day = _fills(entry), _morning(entry)
        if day is None or day < oldest:
            continue
        if how and (newest is None or day >= newest.day):
            newest = FullDay(day, how, entry=entry.id)
        elif entry.kind == "watered" and not how:
            given.append(PartWatering(day, float(str(entry.data["water_cm3"]))))
    if newest is None:
        soaked = [day for day, mm in rains if mm >= soak_mm]
        if soaked:
            newest = FullDay(max(soaked) + timedelta(days=1), RAIN)
        else:
            newest = FullDay(today - timedelta(days=1), ASSUMED)
    since = tuple(sorted((g for g in given if g.day >= newest.day), key=lambda each: each.day))
    return FullDay(newest.day, newest.how, since, newest.entry)
