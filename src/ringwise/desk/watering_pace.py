"""A tree's own pace of drying: days to dry that were measured, held against the balance for the same days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TYPE_CHECKING

from ringwise.desk.pot_skins import latitude_of
from ringwise.desk.watering_run import Drawn, pots_demand
from ringwise.rootzone.due import OwnPace, due_days, own_pace, watering_row

if TYPE_CHECKING:
    from ringwise.desk.watering_pots import DryingTree
    from ringwise.desk.workspace import Workspace
    from ringwise.desk.yard_forecast import YardForecast
    from ringwise.kit.types import FloatArray
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry

_MOST = 5  # readings that are held against the balance, the newest


@dataclass(frozen=True)
class Reading:
    """Days to dry as measured, and as the balance has them for the same days."""

    entry: str
    on: str
    measured_days: float
    reckoned_days: float


@dataclass(frozen=True)
class Pace:
    """A tree's own pace with the readings that taught it."""

    own: OwnPace
    readings: tuple[Reading, ...] = field(default=())

    @property
    def ratio(self) -> float:
        """Measured over reckoned days, the mean in logarithms; 1 without a reading."""
        import math

        logs = [math.log(each.measured_days / each.reckoned_days) for each in self.readings]
        return math.exp(sum(logs) / len(logs)) if logs else 1.0

    @staticmethod
    def unknown() -> Pace:
        """Of a tree that nobody measured."""
        return Pace(own_pace([]))

    def drawn(self, tree: DryingTree, leaf_frac: FloatArray) -> Drawn:
        """A tree with its draws: the spread of its leaf, unless measured days say how it dries.

        Days measured in leaf say nothing of a bare tree.
        """
        import numpy as np

        n = tree.water.pots
        bare = float(np.max(leaf_frac)) < watering_row("rest", "leaf_frac").number
        if self.own.readings and not bare:
            return Drawn(tree, leaf_frac, np.full(n, tree.leaf.full_m2), self.own.draws_factor(n))
        leaf_m2 = tree.leaf.full_m2 * OwnPace(0.0, tree.leaf.sd_log).draws_factor(n)
        return Drawn(tree, leaf_frac, leaf_m2, np.ones(n))


def _readings(facts: TreeFacts) -> list[Entry]:
    """The measured days to dry since the last repotting, the newest last."""
    repot = None if facts.last_repot is None else facts.last_repot.by
    found = [
        entry
        for entry in facts.entries
        if entry.kind == "days_dry" and entry.on.by is not None and (repot is None or entry.on.by >= repot)
    ]
    return found[-_MOST:]


def paces(workspace: Workspace, yard: YardForecast, trees: Sequence[DryingTree]) -> dict[str, Pace]:
    """The own pace of each tree.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    yard : YardForecast
        For weather and stages.
    trees : sequence of DryingTree
        Of the collection.

    Returns
    -------
    dict of str to Pace
        By tree id; `Pace.unknown()` where no days to dry were measured since the last repotting.
    """
    by_tree = {tree.facts.tree.id: _readings(tree.facts) for tree in trees}
    if not any(by_tree.values()):
        return {key: Pace.unknown() for key in by_tree}
    air = _UsualAir(workspace, yard)
    return {tree.facts.tree.id: _pace(tree, by_tree[tree.facts.tree.id], yard, air) for tree in trees}


class _UsualAir:
    """Evapotranspiration of the yard around a day, in its own year where that was measured, else in all."""

    def __init__(self, workspace: Workspace, yard: YardForecast) -> None:
        from ringwise.weather.et0_routes import days_of_year, et0_series

        series = yard.series
        self._first = series.first
        self._et0 = et0_series(series, latitude_of(workspace), workspace.settings.elevation_m).et0_mm_day
        self._of_year = days_of_year(series)
        self.south = workspace.settings.south

    def mm_day(self, first: date, last: date) -> float:
        """The mean of some days; NaN where no year tells them."""
        import numpy as np

        low, high = (first - self._first).days, (last - self._first).days + 1
        own = self._et0[max(low, 0) : max(high, 0)]
        if own.size and not np.isnan(own).all():
            return float(np.nanmean(own))
        middle = (first + (last - first) / 2).timetuple().tm_yday
        apart = np.abs(self._of_year - middle)
        near = self._et0[np.minimum(apart, 365 - apart) <= watering_row("own", "near_days").number]
        return float("nan") if not near.size or np.isnan(near).all() else float(np.nanmean(near))


def _pace(tree: DryingTree, entries: Sequence[Entry], yard: YardForecast, air: _UsualAir) -> Pace:
    readings = []
    for entry in entries:
        days = float(str(entry.data["days"]))
        reckoned = _reckoned_days(tree, entry, days, yard, air)
        if reckoned is not None:
            readings.append(Reading(entry.id, entry.on.typed, days, reckoned))
    if not readings:
        return Pace.unknown()
    prior = max(tree.leaf.sd_log, watering_row("own", "prior_sd_log").number)
    ratios = [each.measured_days / each.reckoned_days for each in readings]
    return Pace(own_pace(ratios, prior_sd_log=prior), tuple(readings))


def _reckoned_days(
    tree: DryingTree, entry: Entry, days: float, yard: YardForecast, air: _UsualAir
) -> float | None:
    """What the balance says of the days in which a pot was seen to dry: without rain, in their usual air."""
    import numpy as np

    from ringwise.desk.watering_pots import leaf_share
    from ringwise.rootzone.balance import DailyForcing, run

    last = entry.on.by
    assert last is not None  # chosen so
    first = (entry.on.earliest or last) - timedelta(days=round(days))
    et0 = air.mm_day(first, last)
    if np.isnan(et0) or et0 <= 0:
        return None
    forecast = yard.trees.get(tree.facts.tree.id)
    when = last
    if forecast is not None:  # the same day of this growing year tells how much leaf there was
        from ringwise.kit.days import growing_year

        middle = first + (last - first) / 2
        when = forecast.year.day_at(float(growing_year(middle, south=air.south).day_index(middle)))
    span = round(watering_row("due", "horizon_days").number)
    share = leaf_share(tree, forecast, when, 1)
    plain = Pace(OwnPace(0.0, 0.0, 1)).drawn(tree, np.repeat(share, span))
    forcing = DailyForcing(np.full((1, span), et0), np.zeros((1, span)), float(when.toordinal()))
    found = float(np.median(due_days(run(pots_demand([plain], et0), forcing))))
    return found if np.isfinite(found) and found > 0 else None
