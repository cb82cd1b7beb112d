"""The wish for one tree's water: its balance day by day, its band, what it stands on, and warnings."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.desk.watering import TreeWater, YardWater, drawn_from, yard_water
from ringwise.desk.watering_run import tree_balance
from ringwise.desk.watering_told import row_of, water_notes, water_words
from ringwise.kit import show
from ringwise.kit.words import _, counted
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
    shape = row_of(water, workspace.today) | {
        "today": workspace.today.isoformat(),
        "heading": _("{tree} {name}: {words}").format(
            tree=facts.tree.id, name=facts.tree.name, words=water_words(water, workspace.today)
        ),
        "days": _days(workspace, made, water),
        "stands_on": _stands_on(water),
        "warnings": _warnings(water),
        "notes": water_notes(workspace, made, [water]),
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


def _days(workspace: Workspace, made: YardWater, water: TreeWater) -> list[Shape]:
    if water.tree is None:
        return []
    weather = made.weather_at(water.facts)
    told = []
    day = water.full.day
    for part in balance_of(workspace, made, water).parts:
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
    """What the band stands on, a sentence each."""
    if water.tree is None:
        return []
    import numpy as np

    tree = water.tree
    lines = [water.full.words, *tree.held.words]
    lines.append(
        _("holds about {water} between drained and time to check").format(
            water=show.litres(float(np.median(tree.water.available_cm3)))
        )
    )
    lines.append(
        _("about {area} of leaf in full leaf ({low} to {high}), {share} of it at work today").format(
            area=_area(tree.leaf.full_m2),
            low=_area(tree.leaf.low_m2),
            high=_area(tree.leaf.high_m2),
            share=show.percent(water.leaf_frac),
        )
    )
    if tree.place.rain_frac == 0.0:
        lines.append(_("no rain where it stands"))
    if tree.roots is not None:
        lines.append(
            _("roots were cut on {day}: {share} kept, so it drinks less until they have grown").format(
                day=show.day(tree.roots.cut), share=show.percent(tree.roots.kept_frac)
            )
        )
    lines.append(_pace_words(water))
    return lines


def _area(value_m2: float) -> str:
    return show.area(value_m2 * 1e6)


def _pace_words(water: TreeWater) -> str:
    own, readings = water.pace.own, water.pace.readings
    if not readings:
        return _("its days to dry were never measured since it was last repotted")
    last = readings[-1]
    return _(
        "{measured} days from full to watering were measured ({when}), {reckoned} reckoned: {factor}"
    ).format(
        measured=show.number(last.measured_days),
        when=last.on,
        reckoned=show.number(last.reckoned_days),
        factor=counted(
            "days times {{factor}} from {n} reading", "days times {{factor}} from {n} readings", own.readings
        ).format(factor=show.number(own.factor)),
    )


def _warnings(water: TreeWater) -> list[str]:
    """Signs that the surface or the calendar would mislead."""
    import numpy as np

    if water.tree is None:
        return []
    found = []
    state = water.tree.held.state
    air = float(np.median(state.air_bottom_v))
    step = float(np.median(state.theta_bottom_v - state.theta_top_v))
    if air < watering_row("warn", "air_v").number:
        found.append(
            _(
                "wet below: only {air} air in the lowest 2 cm; do not water by the day, check at the bottom"
            ).format(air=show.percent(air))
        )
    if step > watering_row("warn", "step_v").number:
        found.append(
            _("dry above, wet below: {step} more water at the bottom; a dry surface says nothing").format(
                step=show.percent(step)
            )
        )
    if water.frost:
        found.append(_("frost tonight or tomorrow: water only on a mild morning, and never a frozen pot"))
    return found
