"""The newest almanac of a workspace, where it has one; a command opens a collection without."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.almanac import AlmanacView
from ringwise.kit.reading import current_reading

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace


def almanac_of(workspace: Workspace) -> AlmanacView:
    """The almanac that a living workspace carries.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    AlmanacView
        State "none" where it carries none.
    """
    yard = getattr(workspace, "yard", None)
    if yard is None:
        return AlmanacView("none")
    view: AlmanacView = yard.almanac(current_reading())
    return view
