"""From what is known of a tree to the potting arithmetic: its destination pot, its mix, its numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringwise.desk.mix_typed import typed_recipe
from ringwise.desk.own_components import own_components
from ringwise.desk.pots import find_pot
from ringwise.desk.tree_load import tree_load
from ringwise.kit.errors import MissingFieldError, UnknownNameError, out_of_range
from ringwise.kit.tables import load_table
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _
from ringwise.records.taxa import lookup_keys

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry, Pot
    from ringwise.rootzone.mix import Recipe
    from ringwise.rootzone.pot import PotShape
    from ringwise.rootzone.potting import PotJob


@dataclass(frozen=True)
class PottingWish:
    """What was asked for: pot, recipe and root share where they differ from the plan; scoop in cm3."""

    pot: str | None = None
    recipe: str | None = None
    root_removed_frac: float | None = None
    scoop_cm3: float | None = None


def planned_work(facts: TreeFacts, operation: str) -> Entry | None:
    """The latest plan of an operation on a tree, if there is one.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    operation : str
        Key of the operation.

    Returns
    -------
    Entry or None
        The plan.
    """
    plans = [e for e in facts.planned if e.data.get("operation") == operation]
    return plans[-1] if plans else None


def root_share(text: str | None) -> float | None:
    """A share of the roots as typed.

    Parameters
    ----------
    text : str or None
        Such as "30%".

    Returns
    -------
    float or None
        As a fraction.

    Raises
    ------
    RangeError
        Outside 0 to 100 %.

    Examples
    --------
    >>> root_share("30%"), root_share(None)
    (0.3, None)
    """
    if text is None:
        return None
    share = parse_quantity(text, "fraction", field="--root-removed", default_unit="")
    if not 0 <= share <= 1:
        bare = "%" not in text
        hint = _("Did you mean {text} %?").format(text=text) if bare and 1 < share <= 100 else ""
        raise out_of_range("--root-removed", text, _("0 to 100 %"), way_out=hint)
    return share


def destination_pot(workspace: Workspace, facts: TreeFacts, asked: str | None, plan: Entry | None) -> Pot:
    """The pot that a tree goes into: the one asked for, the planned one, or its own.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    asked : str or None
        Pot asked for.
    plan : Entry or None
        The planned work.

    Returns
    -------
    Pot
        With known measures.

    Raises
    ------
    MissingFieldError
        If no pot is known or its measures are not.
    """
    name = asked or (str(plan.data["pot"]) if plan is not None and plan.data.get("pot") else None)
    pot = find_pot(workspace, name) if name else facts.pot
    if pot is None or pot.shape == "ground":
        raise MissingFieldError(
            _("no pot is known for it; name one with --pot, or add it: ringwise pot add"), where=facts.tree.id
        )
    if pot.length_mm is None or pot.depth_mm is None:
        raise MissingFieldError(
            _("pot {pot} has no inside measures; add it again with --size").format(pot=pot.id),
            where=facts.tree.id,
        )
    return pot


def shape_of(pot: Pot) -> PotShape:
    """A stored pot as geometry.

    Parameters
    ----------
    pot : Pot
        With known measures.

    Returns
    -------
    PotShape
        Its inside.
    """
    from ringwise.rootzone.pot import PotLengths, pot_shape

    width_mm = None if pot.shape in {"round", "hexagon", "octagon"} else pot.width_mm
    return pot_shape(pot.shape, PotLengths(pot.length_mm, width_mm, pot.depth_mm))


def recipe_of(workspace: Workspace, facts: TreeFacts, asked: str | None, plan: Entry | None) -> Recipe:
    """The mix of a tree: the one asked for, the planned one, or the species' usual one.

    Parameters
    ----------
    workspace : Workspace
        The grower's own mixes count before the trade's.
    facts : TreeFacts
        Of the tree.
    asked : str or None
        Code or parts asked for.
    plan : Entry or None
        The planned work.

    Returns
    -------
    Recipe
        With its parts.
    """
    code = asked or (str(plan.data["mix"]) if plan is not None and plan.data.get("mix") else None)
    if code is None:
        table = load_table("ringwise.rootzone", "species")
        code = table.first(lookup_keys(facts.tree.species), "mix_codes").items[0]
    return typed_recipe(workspace, code)


def pot_job(
    workspace: Workspace, facts: TreeFacts, wish: PottingWish, plan: Entry | None, *, tied: bool = False
) -> PotJob:
    """What the potting arithmetic is handed for a tree.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    wish : PottingWish
        What was asked for.
    plan : Entry or None
        The planned work.
    tied : bool
        Whether to reckon the wind load for its ties; a tree with a tape takes a moment longer.

    Returns
    -------
    PotJob
        Ready for `rootzone.potting.potting`.
    """
    from ringwise.rootzone.dome import RootBase
    from ringwise.rootzone.litres import MixOrder
    from ringwise.rootzone.potting import PotJob

    pot = destination_pot(workspace, facts, wish.pot, plan)
    mix = recipe_of(workspace, facts, wish.recipe, plan)
    worked = _planned_share(plan, "worked_frac")
    removed = wish.root_removed_frac
    if removed is None:
        removed = _planned_share(plan, "root_removed_frac")
    return PotJob(
        pot=shape_of(pot),
        mix=MixOrder(
            mix,
            kept_frac=_bare_kept_frac(plan),
            worked_frac=1.0 if worked is None else worked,
            scoop_cm3=wish.scoop_cm3,
            root_removed_frac=removed,
            yield_frac=_own_yield(workspace, mix),
        ),
        holes=pot.holes,
        base=RootBase(trunk_mm=facts.trunk_mm),
        tree_height_mm=facts.height_mm,
        pot_material=pot.material,
        load=tree_load(workspace, facts) if tied else None,
    )


def _own_yield(workspace: Workspace, mix: Recipe) -> float:
    """What mixing keeps of a mix with parts of the grower's own; 1 where the rooms below know all parts."""
    from ringwise.rootzone.blend import blend
    from ringwise.rootzone.litres import LEAST_YIELD

    own = own_components(workspace)
    if not any(key in own for key, _share in mix.parts):
        return 1.0
    try:
        kept = float(blend(mix, own=own).yield_frac)
    except UnknownNameError:  # a part that nobody measured: the planning figures stand
        return 1.0
    return min(1.0, max(LEAST_YIELD, kept))


def _planned_share(plan: Entry | None, key: str) -> float | None:
    value = None if plan is None else plan.data.get(key)
    return None if value is None else float(str(value))


def _bare_kept_frac(plan: Entry | None) -> float | None:
    """What is kept of the ball where all soil comes off; None where a share of the roots decides."""
    if plan is None or plan.data.get("operation") != "bare_root":
        return None
    return load_table("ringwise.rootzone", "potting").get("ordinary_roots", "bare_kept_frac").number
