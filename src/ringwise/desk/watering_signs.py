"""Where the surface, the calendar or the reckoning itself would mislead: wet below, frost, a pace far off."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.pot_curves import pot_curve
from ringwise.desk.wet_pots import wet_pot
from ringwise.kit import show
from ringwise.kit.words import _, counted
from ringwise.rootzone.due import watering_row

if TYPE_CHECKING:
    from ringwise.desk.watering import TreeWater
    from ringwise.desk.watering_run import TreeBalance
    from ringwise.desk.workspace import Workspace


def water_warnings(workspace: Workspace, water: TreeWater, balance: TreeBalance | None) -> list[str]:
    """Signs that the surface or the calendar would mislead.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    water : TreeWater
        Of the tree.
    balance : TreeBalance or None
        Of its days; None where its pot was never measured.

    Returns
    -------
    list of str
        A line each; most trees have none.
    """
    if water.tree is None or balance is None:
        return []
    found = []
    wet = wet_pot(water.facts, pot_curve(workspace, water.facts))
    if wet.wet:
        found.append(
            _(
                "wet below: {air}; water by a skewer to the bottom, not by the day (ringwise weigh {tree})"
            ).format(air=wet.sentence, tree=water.facts.tree.id)
        )
    if (wet.wet or not water.leafless) and _dry_above(water, balance):
        found.append(
            _("dry above, wet below for days: a dry surface says nothing; check with a skewer to the bottom")
        )
    if water.frost:
        found.append(_("frost tonight or tomorrow: water only on a mild morning, and never a frozen pot"))
    return found


def _dry_above(water: TreeWater, balance: TreeBalance) -> bool:
    """Whether in most draws and weathers the top is dry for days while the lowest layer lacks air.

    A bare tree is asked about only where it shows trouble: its pot dries from the top alone, and it is
    watered seldom anyway.
    """
    import numpy as np

    from ringwise.rootzone.wet_below import drying_profile, evaporated_since_soaked_mm, lasts, wet_below

    assert water.tree is not None  # asked only of trees in measured pots
    profile = drying_profile(water.tree.held.shape, water.tree.held.curve)
    days = [
        wet_below(profile, part.water_cm3, evaporated_since_soaked_mm(part)).warns for part in balance.parts
    ]
    return float(lasts(np.concatenate(days, axis=-1)).mean()) >= 0.5


def far_off(water: TreeWater) -> bool:
    """Whether days to dry as measured and as reckoned differ by more than the row's factor.

    Parameters
    ----------
    water : TreeWater
        Of the tree.

    Returns
    -------
    bool
        False where nothing was measured.
    """
    most = watering_row("own", "apart_factor").number
    return bool(water.pace.readings) and not 1.0 / most <= water.pace.ratio <= most


def pace_words(water: TreeWater) -> str:
    """What measured days to dry say, beside the balance.

    Parameters
    ----------
    water : TreeWater
        Of the tree.

    Returns
    -------
    str
        Where the two lie far apart it says so first.
    """
    readings, ratio = water.pace.readings, water.pace.ratio
    if not readings:
        return _(
            "its days to dry were never measured since it was last repotted: ringwise log {tree} dry 1.5"
        ).format(tree=water.facts.tree.id)
    last = readings[-1]
    known = counted(
        "{n} reading of days from full to watering: {{measured}} ({{when}}), {{reckoned}} reckoned",
        "{n} readings of days from full to watering, the last {{measured}} ({{when}}), {{reckoned}} reckoned",
        len(readings),
    ).format(measured=show.number(last.measured_days), when=last.on, reckoned=show.number(last.reckoned_days))
    if not far_off(water):
        return known
    if ratio < 1.0:
        pace = _("dries {n} times as quickly as reckoned").format(n=show.number(1.0 / ratio))
    else:
        pace = _("dries {n} times as slowly as reckoned").format(n=show.number(ratio))
    return _("{pace}: {known}. Leaf, pot or weather of that reading differ; weigh it").format(
        pace=pace, known=known
    )
