"""What the record says of a pot in sun and frost: measures, colour, material, its place, the latitude."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.tree_facts_told import inside
from ringwise.kit.errors import RingwiseError
from ringwise.kit.tables import load_table

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Pot
    from ringwise.rootzone.skin import PotHeat


def latitude_of(workspace: Workspace) -> float:
    """The yard's latitude, else the one that hours are made with where it is not set.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    float
        North positive, in degrees.
    """
    known = workspace.settings.latitude_deg
    return (
        load_table("ringwise.season", "risks").get("hours", "latitude_deg").number if known is None else known
    )


def place_kind(workspace: Workspace, facts: TreeFacts) -> str:
    """The kind of place that sun, sky and wind reach a tree's pot in.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    str
        Of `weather.microsite.KINDS`; an open bench where no place is written down.
    """
    from ringwise.desk.microsites import microsite_kind

    return "open_bench" if facts.place is None else microsite_kind(workspace, facts.place.place)


def recorded_heat(pot: Pot | None) -> PotHeat | None:
    """A pot of the record as sun, wind and frost find it, filled as is usual.

    Parameters
    ----------
    pot : Pot or None
        As recorded, with its colour and material.

    Returns
    -------
    PotHeat or None
        None where its measures are not known or it holds nothing above its floor.
    """
    from ringwise.rootzone.pot import practice_fill
    from ringwise.rootzone.skin import pot_heat

    try:
        shape = inside(pot)
        if pot is None or shape is None:
            return None
        return pot_heat(shape.filled(practice_fill(shape)), colour=pot.colour, material=pot.material)
    except RingwiseError:  # too shallow
        return None
