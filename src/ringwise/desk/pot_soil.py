"""What a tree's pot is filled with, as it is and as it would be; and few draws of its curve for many."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ringwise.desk.mix_typed import typed_recipe
from ringwise.kit import show
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.kit.trace import Trace
    from ringwise.records.facts import TreeFacts
    from ringwise.rootzone.mix import Grain, Recipe
    from ringwise.rootzone.retention import RetentionCurve

DRAWS = 40  # of a pot that is tilted; a slider does not wait for more
RANKED_AT_CM = 3.0  # suction at which draws are told dry from wet: the middle of a usual pot


@dataclass(frozen=True)
class Tried:
    """What is changed of a pot: inside depth, tilt, mix (a code, or parts such as "pumice=2,lava=1")."""

    depth_mm: float | None = None
    tilt_deg: float = 0.0
    mix: str = ""


@dataclass(frozen=True)
class Soil:
    """What a pot is filled with: the mix, its grain, its curve with spread, and what is known of that."""

    recipe: Recipe
    grain: Grain
    curve: RetentionCurve
    trace: Trace
    assumed: tuple[str, ...] = ()
    measured: tuple[str, ...] = ()


def soil_in(workspace: Workspace, facts: TreeFacts) -> Soil:
    """What the pot of a tree is filled with.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of a tree with a measured pot.

    Returns
    -------
    Soil
        By the last repotting and the weighings since; else what its kind usually gets, and it says so.
    """
    from ringwise.desk.pot_curves import pot_curve

    found = pot_curve(workspace, facts)
    mix, age, *measured = found.words
    sure, open_ones = ([mix], [age]) if found.known else ([], [mix, age])
    return Soil(
        found.recipe,
        found.grain,
        found.curve,
        found.trace,
        assumed=tuple(open_ones if found.weighed else [*open_ones, *measured]),
        measured=tuple([*sure, *measured] if found.weighed else sure),
    )


def thinned(curve: RetentionCurve) -> RetentionCurve:
    """Few draws for many: from the driest to the wettest, evenly, so that middle and ends stay what they are.

    Parameters
    ----------
    curve : RetentionCurve
        With any number of draws.

    Returns
    -------
    RetentionCurve
        With `DRAWS` of them at most.
    """
    from ringwise.rootzone.retention import RetentionCurve

    if curve.draws <= DRAWS:
        return curve
    order = np.argsort(curve.theta_v(RANKED_AT_CM))
    picked = order[((np.arange(DRAWS) + 0.5) * curve.draws / DRAWS).astype(int)]
    return RetentionCurve(
        curve.residual_v[picked],
        curve.saturated_v[picked],
        curve.shares[picked],
        curve.alphas_per_cm[picked],
        curve.ns[picked],
    )


def soil_tried(workspace: Workspace, facts: TreeFacts, tried: Tried, height_mm: float, *, now: Soil) -> Soil:
    """What a pot would be filled with: the mix in it, or another with the grain for its depth.

    Parameters
    ----------
    workspace : Workspace
        The collection, for own mixes.
    facts : TreeFacts
        Of the tree.
    tried : Tried
        What was changed.
    height_mm : float
        Height of the fill.
    now : Soil
        What is in the pot.

    Returns
    -------
    Soil
        As it is where the mix is the same.
    """
    from ringwise.desk.own_components import own_components
    from ringwise.desk.pot_mixes import blended
    from ringwise.rootzone.mix import grain_for

    if not tried.mix or tried.mix.casefold() == now.recipe.code.casefold():
        return now
    recipe = typed_recipe(workspace, tried.mix)
    grain = grain_for(height_mm, recipe.code)
    words = _("Mix {code}, fresh, grains of {low} to {high}, reckoned from its parts.").format(
        code=recipe.code, low=show.fine(grain.from_mm), high=show.fine(grain.to_mm)
    )
    mixed = blended(recipe, grain, workspace.seed, own_components(workspace))
    return Soil(recipe, grain, mixed.curve, mixed.trace, assumed=(words,))
