"""Pots that will not be dry enough for root work that is near: from when they go under a roof."""

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import TYPE_CHECKING

from ringwise.desk.watering_words import moment_words
from ringwise.kit import show
from ringwise.kit.words import _
from ringwise.rootzone.due import stays_wet, watering_row

if TYPE_CHECKING:
    from ringwise.desk.watering import TreeWater, YardWater
    from ringwise.desk.workspace import Workspace
    from ringwise.rootzone.balance import BalanceDays


def _work_near(water: TreeWater, today: date) -> date | None:
    """The day of the next planned root work within the row's days."""
    from ringwise.season.carry import ROOT_WORK

    near = []
    for plan in water.facts.planned:
        key, on = str(plan.data.get("operation")), plan.on.earliest or plan.on.by
        if key in ROOT_WORK and on is not None:
            ahead = (on - today).days
            if 0 < ahead <= watering_row("wet", "plan_days").number:
                near.append(on)
    return min(near, default=None)


def _dry_days(balance: BalanceDays) -> float:
    """The median of days until a pot is no longer wet; infinite where it stays so."""
    import numpy as np

    wet = stays_wet(balance, watering_row("wet", "full_frac").number)
    dry = ~wet
    days = np.where(dry.any(axis=-1), np.argmax(dry, axis=-1) + 1.0, np.inf)
    return float(np.median(days))


def roof_lines(workspace: Workspace, made: YardWater) -> list[str]:
    """Trees whose soil will be wet on the day of planned root work, and from when a roof dries it.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    made : YardWater
        Of the yard.

    Returns
    -------
    list of str
        A planning cue, one line a day on which pots go under a roof, never a block; one more for those that
        stay wet whatever is done. None for what stands under a roof already.
    """
    under: dict[date, list[str]] = {}
    wet: list[str] = []
    for water in made.trees.values():
        told = _roofed(workspace, made, water)
        if told is None:
            continue
        start, work = told
        name = _("{tree} {name} ({day})").format(
            tree=water.facts.tree.id, name=water.facts.tree.name, day=show.day(work)
        )
        (wet if start is None else under.setdefault(start, [])).append(name)
    today = workspace.today
    lines = [
        _("Under a roof from {day}, wet before root work: {trees}").format(
            day=moment_words(float((start - today).days) + 0.1, today, 1.0), trees=", ".join(under[start])
        )
        for start in sorted(under)
        if (start - today).days <= watering_row("due", "soon_days").number  # a later day tells it in time
    ]
    if wet:
        lines.append(
            _(
                "Wet on the day of root work even under a roof from today: {trees}; comb gently, drop loose "
                "wet soil, take a drier mix"
            ).format(trees=", ".join(wet))
        )
    return lines


def _roofed(workspace: Workspace, made: YardWater, water: TreeWater) -> tuple[date | None, date] | None:
    """When a pot goes under a roof (None: that is no longer in time) and the day of its root work."""
    from ringwise.desk.watering import drawn_from
    from ringwise.desk.watering_run import pots_demand
    from ringwise.rootzone.balance import DailyForcing, run

    today = workspace.today
    work = None if water.tree is None else _work_near(water, today)
    if work is None or water.tree is None or water.tree.place.rain_frac == 0.0:
        return None
    weather = made.weather_at(water.facts)
    ahead = (work - today).days
    usual = weather.usual_et0_mm_day(weather.first, weather.last)
    demand = pots_demand([drawn_from(workspace, made, water, today, ahead)], usual)
    open_sky = weather.between(today, ahead)
    wet = stays_wet(run(demand, open_sky), watering_row("wet", "full_frac").number)
    if float(wet[..., -1].mean()) < 0.5:
        return None
    roofed = DailyForcing(open_sky.et0_mm_day, open_sky.rain_mm * 0.0, open_sky.first_days)
    needed = _dry_days(run(demand, roofed))
    if math.isinf(needed):
        return None, work
    return max(work - timedelta(days=math.ceil(needed)), today), work
