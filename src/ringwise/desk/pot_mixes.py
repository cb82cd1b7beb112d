"""The mix in a tree's pot: that of its last repotting, else what its kind usually gets, and which it is."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from ringwise.desk.own_components import own_components
from ringwise.desk.potting import recipe_of
from ringwise.desk.tree_facts_told import inside
from ringwise.kit.errors import MissingFieldError, RingwiseError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.rootzone.blend import Blend
    from ringwise.rootzone.components import Component
    from ringwise.rootzone.mix import Grain, Recipe
    from ringwise.rootzone.pot import PotShape

DRAWS = 200  # enough that the ends of an 80 % band hold to about a tenth of its width
_KEPT = 64  # a yard has a handful of mixes by a handful of cuts


@dataclass(frozen=True)
class PotMix:
    """A pot as filled and what it is filled with; `known` says that the mix was written down."""

    pot: PotShape
    recipe: Recipe
    grain: Grain
    blend: Blend
    known: bool
    words: str


def pot_mix(workspace: Workspace, facts: TreeFacts) -> PotMix:
    """The mix in the pot that a tree stands in.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    PotMix
        With 200 draws of its curve; the same object for pots of one mix and one cut.

    Raises
    ------
    MissingFieldError
        If the tree stands in no measured pot.
    """
    shape = inside(facts.pot)
    if shape is None:
        raise MissingFieldError(
            _("no measured pot is known for it; add it: ringwise pot add"), where=facts.tree.id
        )
    from ringwise.rootzone.mix import grain_for
    from ringwise.rootzone.pot import practice_fill

    pot = shape.filled(practice_fill(shape))
    recipe, known, words = recipe_in_pot(workspace, facts)
    grain = grain_for(pot.fill_height_mm, recipe.code)
    own = own_parts(workspace, recipe)
    try:
        mixed = blended(recipe, grain, workspace.seed, own)
    except RingwiseError as unknown:  # a part that nobody measured
        usual = recipe_of(workspace, facts, None, None)
        words = _("{why} Reckoned with mix {code}, the usual one of its kind.").format(
            why=unknown.message, code=usual.code
        )
        recipe, known, grain = usual, False, grain_for(pot.fill_height_mm, usual.code)
        mixed = blended(usual, grain, workspace.seed)
    return PotMix(pot, recipe, grain, mixed, known, words)


def own_parts(workspace: Workspace, recipe: Recipe) -> dict[str, Component]:
    """The grower's own components that a recipe asks for; the collection is read only where there are any.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    recipe : Recipe
        The parts.

    Returns
    -------
    dict of str to Component
        Those that were measured.
    """
    from ringwise.rootzone.components import component_keys

    asked = {key for key, _share in recipe.parts} - set(component_keys())
    return {key: each for key, each in own_components(workspace).items() if key in asked} if asked else {}


def recipe_in_pot(workspace: Workspace, facts: TreeFacts) -> tuple[Recipe, bool, str]:
    """The recipe that a tree stands in.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    tuple
        The recipe, whether it was written down, and a sentence that says so.
    """
    for work in reversed(facts.works):
        code = work.data.get("mix")
        if not code:
            continue
        try:
            found = recipe_of(workspace, facts, str(code), None)
        except RingwiseError:  # written down under a name that is in no list today
            break
        year = "" if work.on.by is None else f" ({work.on.by.year})"
        return (
            found,
            True,
            _("Mix {code}, as written down at the last repotting{year}.").format(code=found.code, year=year),
        )
    usual = recipe_of(workspace, facts, None, None)
    return (
        usual,
        False,
        _("Its mix was not written down: {code}, the usual one of its kind, is assumed.").format(
            code=usual.code
        ),
    )


def blended(recipe: Recipe, grain: Grain, seed: int, own: dict[str, Component] | None = None) -> Blend:
    """A recipe in a cut, with the draws that all pots of it share.

    Parameters
    ----------
    recipe : Recipe
        The parts.
    grain : Grain
        The cut.
    seed : int
        Of the run.
    own : dict of str to Component, optional
        The grower's own components.

    Returns
    -------
    Blend
        Kept for the next pot of the same mix.
    """
    return _blended(recipe, grain, seed, tuple((own or {}).values()))


@lru_cache(maxsize=_KEPT)
def _blended(recipe: Recipe, grain: Grain, seed: int, own: tuple[Component, ...]) -> Blend:
    from ringwise.rootzone.blend import blend

    return blend(recipe, grain=grain, draws=DRAWS, seed=seed, own={each.key: each for each in own})
