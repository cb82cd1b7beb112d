"""Weights that cannot be: refused before they are stored, each in one line with the way out."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from ringwise.desk.pot_mixes import pot_mix
from ringwise.desk.tree_facts_told import inside
from ringwise.kit import show
from ringwise.kit.errors import ConflictError, out_of_range
from ringwise.kit.words import _
from ringwise.records.observations import DRAINED_LEVEL, DRAINED_TILTED, POT_EMPTY

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ringwise.desk.pot_curves import PotCurve
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry, Tree

TEN_MINUTES, DAY_LATER, BEFORE = "after_10_min", "after_24_h", "before_watering"
FULL = (DRAINED_LEVEL, TEN_MINUTES)
_LOW = 10  # percentile
_SLIP_RATIO = 0.5  # of its dry soil: a pot lighter than this is a slip of the unit
_MOST_G_CM3 = 10.0  # of the fill: no pot, stone or tree on it makes a pot so heavy
_MOST_TREES_RATIO = 3.0  # over the reckoned mass of the tree
_LIGHT_RATIO = 0.75  # of soil and water: lighter than this is told


def refuse_weights(workspace: Workspace, tree: Tree, entries: Sequence[Entry]) -> None:
    """Refuse weights that cannot be: of another unit, or of the wrong moment.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : Tree
        Whose pot was weighed; of a retired one nothing is known to compare with.
    entries : sequence of Entry
        About to be stored; those that are no weights are passed over.

    Raises
    ------
    RangeError, ConflictError
        For the first that cannot be.
    """
    weights = [each for each in entries if each.kind == "weight"]
    if not weights or tree.retired is not None:
        return
    facts = workspace.facts_of(tree.id)
    _refuse_slips(workspace, facts, weights)
    _refuse_gains(facts, weights)


def _refuse_slips(workspace: Workspace, facts: TreeFacts, weights: Sequence[Entry]) -> None:
    """Grams for kilograms and the like: by what the soil of this pot weighs dry."""
    if inside(facts.pot) is None:
        return
    from ringwise.rootzone.lifting import wood_g

    mix = pot_mix(workspace, facts)
    soil_g = float(np.percentile(mix.blend.bulk_kg_l, _LOW)) * mix.pot.volume_cm3
    tree_g = 0.0
    if facts.trunk_mm is not None and facts.height_mm is not None:
        tree_g = wood_g(facts.trunk_mm, facts.height_mm)
    most_g = _MOST_G_CM3 * mix.pot.volume_cm3 + _MOST_TREES_RATIO * tree_g
    for each in weights:
        least_g = 0.0 if each.data["moment"] in {POT_EMPTY, "other"} else _SLIP_RATIO * soil_g
        if not least_g <= _mass_g(each) <= most_g:
            raise out_of_range(
                _("weight"),
                show.mass(_mass_g(each)),
                _("{low} to {high}").format(low=show.mass(least_g), high=show.mass(most_g)),
                reason=_("for a pot that holds {litres}").format(litres=show.litres(mix.pot.volume_cm3)),
                way_out=_("Check the unit, g or kg, and the measures of the pot."),
            )


def _refuse_gains(facts: TreeFacts, weights: Sequence[Entry]) -> None:
    """Tilting, standing and drying only ever take water away, and no pot is lighter than when empty."""
    known = [each for each in facts.entries if each.kind == "weight"]
    on = weights[0].on.by
    same_day = [each for each in known if each.on == weights[0].on]
    mass_g = {str(each.data["moment"]): _mass_g(each) for each in (*same_day, *weights)}
    eve = {str(each.data["moment"]): _mass_g(each) for each in known if _days_before(each, on) == 1}
    own = None if facts.pot is None else facts.pot.id
    empties = [e for e in known if e.data["moment"] == POT_EMPTY and e.data.get("pot") == own]
    if empties:
        mass_g.setdefault(POT_EMPTY, _mass_g(empties[-1]))
    for more, less, words in _never_less():
        full_g = eve.get(more, mass_g.get(more)) if less == DAY_LATER else mass_g.get(more)
        less_g = mass_g.get(less)
        if full_g is not None and less_g is not None and less_g > full_g:
            raise ConflictError(
                words.format(
                    more=show.mass(full_g),
                    less=show.mass(less_g),
                    tree=facts.tree.id,
                    typed=show.mass(less_g).replace(" ", ""),
                )
            )


def _days_before(entry: Entry, on: date | None) -> int | None:
    return None if on is None or entry.on.by is None else (on - entry.on.by).days


def _mass_g(entry: Entry) -> float:
    return float(str(entry.data["mass_g"]))


def _never_less() -> list[tuple[str, str, str]]:
    tilted = _(
        "tilted the pot weighs {less}, level {more}: tilting adds no water. Check which weight is which."
    )
    later = _(
        "a day after watering the pot weighs {less}, more than the {more} before: rain or watering came "
        "between. Log it with: ringwise log {tree} weight {typed} --when other"
    )
    dry = _("before watering the pot weighs {less}, full {more}: check which weight is which.")
    empty = _("the empty pot weighs {less}, with tree and soil {more}: check which weight is which.")
    return [
        *((each, DRAINED_TILTED, tilted) for each in FULL),
        *((each, DAY_LATER, later) for each in FULL),
        *((each, BEFORE, dry) for each in FULL),
        *((each, POT_EMPTY, empty) for each in (*FULL, DRAINED_TILTED, DAY_LATER, BEFORE)),
    ]


def too_light(curve: PotCurve) -> str:
    """What is told where a full pot weighs less than its soil and water are reckoned to; blank elsewhere.

    Parameters
    ----------
    curve : PotCurve
        With the weighings of its pot.

    Returns
    -------
    str
        One sentence.
    """
    full_g = [_mass_g(each) for each in curve.record.weighings if each.data["moment"] in FULL]
    if not full_g:
        return ""
    held_g = curve.blend.bulk_kg_l * curve.pot.volume_cm3 + curve.state.water_cm3
    least_g = float(np.percentile(held_g, _LOW))
    if full_g[-1] >= _LIGHT_RATIO * least_g:
        return ""
    return _(
        "The full pot weighs {mass}, yet its soil and water alone are reckoned at {least} or more: check "
        "the unit, the measures of the pot and its mix."
    ).format(mass=show.mass(full_g[-1]), least=show.mass(least_g))
