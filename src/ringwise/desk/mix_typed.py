"""A mix as typed: the code of a recipe, the name of an own one, or parts such as pumice=2,lava=1."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.mix_parts import typed_parts
from ringwise.desk.own_components import own_components
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.rootzone.mix import Recipe


def typed_recipe(workspace: Workspace, text: str) -> Recipe:
    """A mix as typed.

    Parameters
    ----------
    workspace : Workspace
        The collection, for own mixes and own components.
    text : str
        Such as "D", "D+lava" for one part more, or "pumice=2,lava=1".

    Returns
    -------
    Recipe
        With its parts.

    Raises
    ------
    UnknownNameError
        If there is no such recipe or component; near names are offered.
    InputError
        If a part does not read, or nothing is above zero.
    """
    from ringwise.rootzone.components import component
    from ringwise.rootzone.mix import own_recipe, recipe, recipe_codes
    from ringwise.rootzone.purpose import purpose_row, with_more

    if "=" in text:
        return own_recipe(text.replace(" ", ""), typed_parts(text, own_components(workspace)))
    if "+" in text:
        base, _mark, more = text.partition("+")
        part = component(more, own_components(workspace)).key
        return with_more(typed_recipe(workspace, base), part, purpose_row("modifier", "more_parts").number)
    own = next((m for m in workspace.mixes if m.id.casefold() == text.strip().casefold()), None)
    if own is not None and own.id not in recipe_codes():
        return own_recipe(own.id, dict(own.parts))
    return recipe(text)


def typed_recipes(workspace: Workspace, text: str) -> list[Recipe]:
    """Several mixes as typed.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    text : str
        Codes divided by commas, or mixes divided by semicolons: "D,V" or "D; pumice=2,lava=1".

    Returns
    -------
    list of Recipe
        Each once.

    Raises
    ------
    InputError
        If one does not read.
    """
    mark = ";" if ";" in text or "=" in text else ","
    items = [item.strip() for item in text.split(mark) if item.strip()]
    if not items:
        raise MissingFieldError(_("name mixes to compare, such as D,V or D;pumice=2,lava=1"))
    return list(dict.fromkeys(typed_recipe(workspace, item) for item in items))
