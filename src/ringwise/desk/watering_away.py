"""The wish for water while the grower is away: which trees dry out, from when, how often to water."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.desk.watering import Band, TreeWater, YardWater, band_of, drawn_from, yard_water
from ringwise.desk.watering_told import UNKNOWN, state_of
from ringwise.kit import show
from ringwise.kit.errors import DateError, InputError, RangeError
from ringwise.kit.words import _, counted
from ringwise.records.dates import parse_fuzzy_date
from ringwise.rootzone.due import due_days, watering_row

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace

_SHORT = re.compile(r"\s*(\d{1,2})\s*[-–]\s*(\d{1,2})\s+(\D+?)\s*(\d{4})?\s*")  # 8-15 Aug 2027
_PARTED = re.compile(r"\s*(.+?)\s*(?:\.\.|\bto\b|[-–](?=\s*\d{1,2}\s+\D)|\s[-–]\s)\s*(.+?)\s*")
_MOST_DAYS = 60


@dataclass(frozen=True)
class _Gone:
    first: date
    last: date

    @property
    def days(self) -> int:
        return (self.last - self.first).days + 1


def parse_away(text: str, today: date, *, south: bool) -> tuple[date, date]:
    """The days of an absence as typed.

    Parameters
    ----------
    text : str
        "8-15 Aug", "28 Jul - 4 Aug" or "2027-08-08..2027-08-15"; without a year the next time it comes.
    today : date
        The day of asking.
    south : bool
        Whether the yard lies south of the equator.

    Returns
    -------
    (date, date)
        The first and the last day away.

    Raises
    ------
    DateError
        If it does not read, or ends before it begins.

    Examples
    --------
    >>> parse_away("8-15 Aug", date(2027, 7, 20), south=False)
    (datetime.date(2027, 8, 8), datetime.date(2027, 8, 15))
    """
    short, parted = _SHORT.fullmatch(text), _PARTED.fullmatch(text)
    if short:
        parts = (f"{short[1]} {short[3]}", f"{short[2]} {short[3]}", short[4] or "")
    elif parted:
        parts = (parted[1], parted[2], "")
    else:
        raise _unread(text)
    first, last = (_day(f"{part} {parts[2]}".strip(), today, south=south) for part in parts[:2])
    if last < first and not parts[2]:
        last = _next_year(last)
    if last < first or (last - first).days >= _MOST_DAYS:
        raise DateError(
            _('--away is "{text}"; accepted: up to {n} days, the first one first').format(
                text=text, n=_MOST_DAYS
            )
        )
    return first, last


def _unread(text: str) -> DateError:
    return DateError(
        _('--away is "{text}"; write the first and the last day, such as "8-15 Aug"').format(text=text)
    )


def _day(text: str, today: date, *, south: bool) -> date:
    has_year = re.search(r"\d{4}", text) is not None
    try:
        found = parse_fuzzy_date(text if has_year else f"{text} {today.year}", field="--away", south=south)
    except InputError as wrong:
        raise _unread(text) from wrong
    if found.precision != "day" or found.by is None:
        raise _unread(text)
    return found.by if has_year or found.by >= today else _next_year(found.by)


def _next_year(day: date) -> date:
    try:
        return day.replace(year=day.year + 1)
    except ValueError:  # 29 February
        return day.replace(year=day.year + 1, day=28)


def water_away(workspace: Workspace, text: str) -> Shape:
    """Which trees dry out while the grower is away, all watered on the first morning.

    Parameters
    ----------
    workspace : Workspace
        The collection, with weather.
    text : str
        The days, as typed.

    Returns
    -------
    dict
        Keys today, away_first, away_last, heading, trees (at risk first, not measured last) and notes.

    Raises
    ------
    DateError
        If the days do not read.
    RangeError
        If they lie beyond the weather years.
    """
    first, last = parse_away(text, workspace.today, south=workspace.settings.south)
    gone = _Gone(first, last)
    made = yard_water(workspace)
    end = made.yard.members.last
    if last > end:
        raise RangeError(
            _("--away ends on {last}; the weather years reach to {end}. Ask again nearer to it.").format(
                last=show.day(last, year=True), end=show.day(end, year=True)
            )
        )
    rows = [_row(workspace, made, each, gone) for each in made.trees.values() if each.tree is not None]
    rows.sort(key=_quickest_first)
    bare = [
        each.facts.tree.id for each in made.trees.values() if each.tree is None and state_of(each) == UNKNOWN
    ]
    risky = sum(1 for row in rows if row["dry_prob"] >= 0.5)
    return {
        "today": workspace.today.isoformat(),
        "away_first": first.isoformat(),
        "away_last": last.isoformat(),
        "heading": _("Away {first} to {last}: {trees}").format(
            first=show.day(first, year=True),
            last=show.day(last),
            trees=counted("{n} tree dries out", "{n} trees dry out", risky),
        ),
        "trees": rows,
        "notes": [
            _("All are taken as watered until it runs through on the first morning; then only rain."),
            *(
                [_("Cannot be told, the pot was never measured: {trees}").format(trees=", ".join(bare))]
                * bool(bare)
            ),
        ],
    }


def _quickest_first(row: Shape) -> tuple[bool, float, float, float, str]:
    """Measured trees by the days from full to dry; what was never measured stands last."""
    lasts = [math.inf if row[name] is None else row[name] for name in ("lasts_median_days", "lasts_low_days")]
    return (not row["measured"], lasts[0], lasts[1], -row["dry_prob"], row["tree"])


def _row(workspace: Workspace, made: YardWater, water: TreeWater, gone: _Gone) -> Shape:
    from ringwise.desk.watering_run import pots_demand
    from ringwise.desk.watering_weather import drying_weather
    from ringwise.rootzone.balance import run

    members = made.yard.members_at(water.facts)
    weather = workspace.once(
        ("water away", id(members), gone),
        lambda: drying_weather(workspace, made.yard, members, gone.first, gone.last),
    )
    usual = weather.usual_et0_mm_day(weather.first, weather.last)
    demand = pots_demand([drawn_from(workspace, made, water, gone.first, gone.days)], usual)
    balance = run(demand, weather.between(gone.first, gone.days))
    due = due_days(balance)
    band = band_of(due)
    below = balance.water_cm3 < balance.water.refill_cm3[:, None, None]
    dry_prob = float((due < gone.days).mean())
    dry = gone.first + timedelta(days=math.floor(band.low_days)) if not math.isinf(band.low_days) else None
    facts = water.facts
    words = away_words(band, gone.days)
    return {
        "tree": facts.tree.id,
        "name": facts.tree.name,
        "place": "" if facts.place is None else facts.place.place,
        "measured": water.measured,
        "dry_prob": round(dry_prob, 3),
        "dry_shown": show.odds(dry_prob),
        "dry_from": None if dry is None else dry.isoformat(),
        "dry_from_shown": "" if dry is None else show.day(dry),
        "days_at_risk": round(float(below.sum(axis=-1).mean()), 1),
        "lasts_low_days": None if math.isinf(band.low_days) else round(band.low_days, 2),
        "lasts_median_days": None if math.isinf(band.median_days) else round(band.median_days, 2),
        "words": words,
    }


def away_words(band: Band, days: int) -> str:
    """How often somebody else waters a tree, in a few words; by the quicker end of the band.

    Parameters
    ----------
    band : Band
        How long it lasts from full.
    days : int
        How long the grower is away.

    Returns
    -------
    str
        It asks to check first.

    Examples
    --------
    >>> away_words(Band(0.6, 0.7, 0.9), 8), away_words(Band(3.2, 4.0, 6.0), 8)
    ('check, water morning and evening', 'check, water every 3 days')
    """
    if band.low_days <= watering_row("due", "twice_days").number:
        return _("check, water morning and evening")
    if band.low_days >= days:
        return _("needs no water until then")
    every = math.floor(band.low_days)
    if every <= 1:
        return _("check, water every day")
    return _("check, water every {n} days").format(n=every)
