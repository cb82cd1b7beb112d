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


def _work_near(water: TreeWater, today: date) -> tuple[date, str] | None:
    """The next planned root work within the row's days."""
    from ringwise.season.carry import ROOT_WORK

    near = []
    for plan in water.facts.planned:
        key, on = str(plan.data.get("operation")), plan.on.earliest or plan.on.by
        if key in ROOT_WORK and on is not None:
            ahead = (on - today).days
            if 0 < ahead <= watering_row("wet", "plan_days").number:
                near.append((on, key))
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
        A planning cue, one line a tree, never a block; none for what stands under a roof already.
    """
    from ringwise.desk.entry_words import operation_words
    from ringwise.desk.watering import drawn_from
    from ringwise.desk.watering_run import pots_demand
    from ringwise.rootzone.balance import DailyForcing, run

    today, lines = workspace.today, []
    for water in made.trees.values():
        work = None if water.tree is None else _work_near(water, today)
        if work is None or water.tree is None or water.tree.place.rain_frac == 0.0:
            continue
        weather = made.weather_at(water.facts)
        ahead = (work[0] - today).days
        usual = weather.usual_et0_mm_day(weather.first, weather.last)
        demand = pots_demand([drawn_from(workspace, made, water, today, ahead)], usual)
        open_sky = weather.between(today, ahead)
        wet = stays_wet(run(demand, open_sky), watering_row("wet", "full_frac").number)
        if float(wet[..., -1].mean()) < 0.5:
            continue
        roofed = DailyForcing(open_sky.et0_mm_day, open_sky.rain_mm * 0.0, open_sky.first_days)
        needed = _dry_days(run(demand, roofed))
        name = _("{tree} {name}").format(tree=water.facts.tree.id, name=water.facts.tree.name)
        what = operation_words(work[1])
        if math.isinf(needed):
            lines.append(
                _("{name}: will still be wet for {work} on {day}, even under a roof from today").format(
                    name=name, work=what, day=show.day(work[0])
                )
            )
            continue
        start = max(work[0] - timedelta(days=math.ceil(needed)), today)
        when = moment_words(float((start - today).days) + 0.1, today, 1.0)
        lines.append(
            _("{name}: put it under a roof from {day}; it is wet, and {work} is planned for {on}").format(
                name=name, day=when, work=what, on=show.day(work[0])
            )
        )
    return lines
