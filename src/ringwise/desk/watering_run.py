"""Trees in a run of the daily balance: their draws side by side, and one tree in parts between waterings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ringwise.rootzone.due import due_days

if TYPE_CHECKING:
    from ringwise.desk.watering_pots import DryingTree
    from ringwise.desk.watering_start import FullDay
    from ringwise.desk.watering_weather import DryingWeather
    from ringwise.kit.types import FloatArray
    from ringwise.rootzone.balance import BalanceDays, PotDemand, RootWork


@dataclass(frozen=True)
class Drawn:
    """A tree with its draws: full leaf (draws,), its share by day (days,), how slowly it dries (draws,)."""

    tree: DryingTree
    leaf_frac: FloatArray
    leaf_m2: FloatArray
    slow_factor: FloatArray


def pots_demand(trees: Sequence[Drawn], usual_mm_day: float) -> PotDemand:
    """Several trees as one run of the balance takes them: each with its draws, one after the other.

    Parameters
    ----------
    trees : sequence of Drawn
        With the same number of draws each.
    usual_mm_day : float
        Reference evapotranspiration of a usual day, by which the use before root work is told.

    Returns
    -------
    PotDemand
        Pots are trees times draws.
    """
    import numpy as np

    from ringwise.rootzone.balance import PotDemand, PotWater
    from ringwise.rootzone.evaporation import Cover
    from ringwise.rootzone.water_checks import most

    n = trees[0].tree.water.pots
    water = PotWater(
        *(
            np.concatenate([getattr(t.tree.water, name) for t in trees])
            for name in PotWater.__dataclass_fields__
        )
    )
    leaf_m2 = np.stack([each.leaf_m2 for each in trees])  # (trees, n)
    by_day = leaf_m2[:, :, None] * np.stack([each.leaf_frac for each in trees])[:, None, :]

    def each_pot(values: Sequence[float]) -> FloatArray:
        return np.repeat(np.asarray(values, dtype=np.float64), n)

    slow = np.concatenate([each.slow_factor for each in trees])
    power = each_pot([t.tree.place.et0_factor for t in trees]) / slow
    largest = most("power_factor")  # what a quick tree needs beyond it goes to its leaves
    air = np.minimum(power, largest)
    exposed = each_pot([t.tree.place.exposure_factor for t in trees]) * power / air
    exposure = np.minimum(exposed, largest)
    tops = [t.tree.top for t in trees]
    return PotDemand(
        water=water,
        leaf_m2=by_day.reshape(len(trees) * n, 1, -1),
        crown_m2=each_pot([t.tree.crown_m2 for t in trees]),
        exposure_factor=exposure,
        et0_factor=air,
        rain_frac=each_pot([t.tree.place.rain_frac for t in trees]),
        top=Cover(
            *(each_pot([float(getattr(top, name)) for top in tops]) for name in Cover.__dataclass_fields__)
        ),
        roots=_root_work(trees, usual_mm_day * air, leaf_m2.reshape(-1), exposure),
    )


def _root_work(
    trees: Sequence[Drawn], usual: FloatArray, leaf_m2: FloatArray, exposure: FloatArray
) -> RootWork | None:
    """Roots that were cut, of those trees where they still limit; None where of none."""
    import numpy as np

    from ringwise.rootzone.balance import RootWork
    from ringwise.rootzone.transpiration import demand_cm3

    roots = [each.tree.roots for each in trees]
    if not any(roots):
        return None

    def each_pot(values: Sequence[float]) -> FloatArray:
        return np.repeat(np.asarray(values, dtype=np.float64), trees[0].tree.water.pots)

    return RootWork(
        kept_frac=each_pot([1.0 if r is None else r.kept_frac for r in roots]),
        normal_day_cm3=demand_cm3(usual, leaf_m2, exposure),
        cut_days=each_pot([0.0 if r is None else r.cut.toordinal() for r in roots]),
        growing_days=each_pot([0.0 if r is None else r.growing.toordinal() for r in roots]),
    )


@dataclass(frozen=True)
class TreeBalance:
    """The balance of one tree in parts, cut where water was given that did not run through."""

    parts: tuple[BalanceDays, ...]
    due: FloatArray


def tree_balance(drawn: Drawn, full: FullDay, weather: DryingWeather) -> TreeBalance:
    """The days of one tree from its last full day on.

    Parameters
    ----------
    drawn : Drawn
        The tree, with its leaf from that day on.
    full : FullDay
        Where it begins, with what was given since.
    weather : DryingWeather
        Where it stands.

    Returns
    -------
    TreeBalance
        `due` counts from the last full morning; after water was given, from then on it is sought anew.
    """
    import numpy as np

    from ringwise.rootzone.balance import PotStart, run
    from ringwise.rootzone.pot_water import CM3_PER_L

    cuts = sorted({given.day for given in full.since})
    begins = [full.day, *(day for day in cuts if day > full.day)]
    usual = weather.usual_et0_mm_day(weather.first, weather.last)
    start = PotStart()
    parts: list[BalanceDays] = []
    at = 0
    for k, begin in enumerate(begins):
        at = (begin - full.day).days
        end = (begins[k + 1] - full.day).days if k + 1 < len(begins) else len(drawn.leaf_frac)
        demand = pots_demand([replace(drawn, leaf_frac=drawn.leaf_frac[at:end])], usual)
        if k > 0:
            before = parts[-1]
            given = sum(each.water_cm3 for each in full.since if each.day == begin)
            capacity = drawn.tree.water.capacity_cm3[:, None]
            per_mm = drawn.tree.water.area_m2[:, None] * CM3_PER_L
            start = PotStart(
                np.minimum(before.water_cm3[..., -1] + given, capacity),
                np.maximum(before.lost_mm[..., -1] - given / per_mm, 0.0),
                before.dressing_cm3[..., -1] / per_mm,
            )
        parts.append(run(demand, weather.between(begin, end - at), None, start))
    return TreeBalance(tuple(parts), at + due_days(parts[-1]))
