"""The grower's own components of mixes: measured once by weighing, kept in the collection."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ringwise.kit.errors import ConflictError, InputError, RingwiseError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.model import JsonValue
    from ringwise.rootzone.components import Component
    from ringwise.rootzone.measured import BedWeighings

SETTING = "component:"  # begins the key of the setting that keeps the weighings of an own component


def own_components(workspace: Workspace) -> dict[str, Component]:
    """The components that the grower measured.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    dict of str to Component
        By key, each made anew from its weighings.
    """
    return workspace.once("own_components", lambda: _read(workspace))


def _read(workspace: Workspace) -> dict[str, Component]:
    from ringwise.rootzone.measured import measured_component

    found = {}
    for key, value in sorted(workspace.store.settings().items()):
        if not key.startswith(SETTING) or not isinstance(value, Mapping):
            continue
        name = key.removeprefix(SETTING)
        try:
            found[name] = measured_component(name, weighings_of(value))
        except (RingwiseError, TypeError, ValueError):  # written by another version: not ours to guess
            continue
    return found


def weighings_of(value: Mapping[str, JsonValue]) -> BedWeighings:
    """Weighings as kept."""
    from ringwise.rootzone.measured import BedWeighings

    return BedWeighings(**{key: float(str(number)) for key, number in value.items()})


def checked_own_key(word: str) -> str:
    """The key of a new own component.

    Parameters
    ----------
    word : str
        Its name as typed.

    Returns
    -------
    str
        Small letters, digits and underscores.

    Raises
    ------
    ConflictError
        If the package has a component of that name.
    InputError
        If nothing is left to name it by.

    Examples
    --------
    >>> checked_own_key("Sharp grit 2-4")
    'sharp_grit_2_4'
    """
    from ringwise.rootzone.components import component_key, component_keys

    key = component_key(word)
    if key in component_keys():
        raise ConflictError(
            _(
                '"{name}" is a component that comes with Ringwise. Give yours another name, such as {own}.'
            ).format(name=word, own=f"my_{key}")
        )
    if not key.replace("_", "").isalnum() or len(key) > 40:
        raise InputError(
            _('component name is "{name}"; use letters, digits and hyphens, 40 at most.').format(name=word)
        )
    return key
