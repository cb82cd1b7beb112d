"""The wish for one tree's water: its balance day by day, its band, what it stands on, and warnings."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.desk.watering import TreeWater, YardWater, drawn_from, horizon_days, yard_water
from ringwise.desk.watering_run import tree_balance
from ringwise.desk.watering_signs import pace_words, water_warnings
from ringwise.desk.watering_told import row_of, water_notes, water_words
from ringwise.desk.watering_words import days_words
from ringwise.kit import show
from ringwise.kit.words import _
from ringwise.rootzone.due import watering_row

if TYPE_CHECKING:
    import numpy as np

    from ringwise.desk.watering_run import TreeBalance
    from ringwise.desk.workspace import Workspace
    from ringwise.kit.types import FloatArray

_SHOWN_DAYS = 7  # ahead of today
_TERMS = ("rain", "watered", "drained", "transpired", "evaporated")


def tree_water(workspace: Workspace, name: str) -> Shape:
    """When one tree wants water, and its balance for the days ahead.

    Parameters
    ----------
    workspace : Workspace
        The collection, with weather.
    name : str
        Id or name of the tree.

    Returns
    -------
    dict
        The keys of a row of the order, and days, leaf, pot, pace, warnings and notes.

    Raises
    ------
    MissingFieldError
        If there is no weather that tells evaporation.
    """
    facts = workspace.facts_of(name)
    made = yard_water(workspace)
    water = made.trees[facts.tree.id]
    balance = None if water.tree is None else balance_of(workspace, made, water)
    shape = row_of(water, workspace.today) | {
        "today": workspace.today.isoformat(),
        "heading": _("{tree} {name}: {words}").format(
            tree=facts.tree.id, name=facts.tree.name, words=water_words(water, workspace.today)
        ),
        "days": _days(made, water, balance),
        "stands_on": _stands_on(water),
        "warnings": water_warnings(workspace, water, balance),
        "notes": water_notes(workspace, made, [water], one=True),
    }
    return shape


def balance_of(workspace: Workspace, made: YardWater, water: TreeWater) -> TreeBalance:
    """The balance of one tree from its last full day to the end of the days that are shown.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    made : YardWater
        Of the yard.
    water : TreeWater
        Of the tree; its pot is known.

    Returns
    -------
    TreeBalance
        In all weather years.
    """
    since = (workspace.today - water.full.day).days
    drawn = drawn_from(workspace, made, water, water.full.day, since + _SHOWN_DAYS)
    return tree_balance(drawn, water.full, made.weather_at(water.facts))


def _days(made: YardWater, water: TreeWater, balance: TreeBalance | None) -> list[Shape]:
    if balance is None:
        return []
    weather = made.weather_at(water.facts)
    told = []
    day = water.full.day
    for part in balance.parts:
        capacity = part.water.capacity_cm3[:, None]
        span = part.water.available_cm3[:, None]
        for k in range(part.water_cm3.shape[-1]):
            left = (part.water_cm3[..., k] - (capacity - span)) / span
            low, median, high = _percentiles(left)
            et0 = weather.et0_mm_day[:, weather.column(day)]
            told.append(
                {
                    "day": day.isoformat(),
                    "day_shown": show.day(day),
                    "measured": weather.measured[weather.column(day)],
                    "et0_mm_day": round(float(et0.mean()), 2),
                    **{f"{name}_cm3": round(float(part.term(name)[..., k].mean()), 1) for name in _TERMS},
                    "left_low_frac": round(low, 3),
                    "left_median_frac": round(median, 3),
                    "left_high_frac": round(high, 3),
                }
            )
            day += timedelta(days=1)
    return told


def _percentiles(values: FloatArray | np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> list[float]:
    import numpy as np

    ends = [100 * watering_row("due", name).number for name in ("low_prob", "high_prob")]
    return [float(each) for each in np.percentile(values, [ends[0], 50.0, ends[1]])]


def _stands_on(water: TreeWater) -> list[str]:
    """What the band stands on, in the fewest lines; the rest is in `why`."""
    if water.tree is None:
        return []
    import numpy as np

    tree = water.tree
    lines = [
        _("{full}; a full pot lasts {lasts}, {water} until time to check").format(
            full=water.full.words,
            lasts=days_words(
                water.lasts.low_days,
                water.lasts.median_days,
                water.lasts.high_days,
                horizon_days=horizon_days(),
            ),
            water=show.litres(float(np.median(tree.water.available_cm3))),
        )
    ]
    if tree.place.rain_frac == 0.0:
        lines.append(_("no rain where it stands"))
    if tree.roots is not None:
        lines.append(
            _("roots were cut on {day}: {share} kept, so it drinks less until they have grown").format(
                day=show.day(tree.roots.cut), share=show.percent(tree.roots.kept_frac)
            )
        )
    return [*lines, pace_words(water), _("More: ringwise why {figure}").format(figure=_figure(water))]


def _figure(water: TreeWater) -> str:
    return f"{water.facts.tree.id}:water:due"
