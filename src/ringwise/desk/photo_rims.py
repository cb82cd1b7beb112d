"""How wide the pot on a photo is: the measure from which a photo takes its scale."""

from __future__ import annotations

from typing import Any

from ringwise.desk.workspace import Workspace
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _
from ringwise.records.model import Entry, Pot
from ringwise.records.observations import TYPED

_NARROW_SIDES = ("left", "right")  # from there a pot shows its width


def set_rim_width(workspace: Workspace, entry: Entry, data: dict[str, Any], width: str | None) -> None:
    """Set the width between the marks on the rim: as typed, else that of the pot the tree then stood in.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    entry : Entry
        Of the photo, on the day that holds now.
    data : dict
        What the photo will say; its key rim_mm is set here, and what was typed for it.
    width : str or None
        As typed; blank asks the pot, None keeps what was typed before.

    Raises
    ------
    InputError
        If the width does not read.
    MissingFieldError
        If the pot is asked and not known.
    """
    kept = dict(data.get(TYPED) or {})
    if data.get("rim") is None or width is not None:
        kept.pop("rim_mm", None)
    if width and width.strip():
        data["rim_mm"] = parse_quantity(width, "length", field=_("width of the rim"), default_unit="cm")
        kept["rim_mm"] = width.strip()
    elif "rim_mm" not in kept:
        data["rim_mm"] = (
            None if data.get("rim") is None else _pot_width_mm(workspace, entry, str(data["view"]))
        )
        if width is not None and data["rim_mm"] is None:
            raise MissingFieldError(
                _("the pot of that day is not known; write the width of its rim, such as 24 cm.")
            )
    data[TYPED] = kept or None


def _pot_width_mm(workspace: Workspace, entry: Entry, view: str) -> float | None:
    """How wide the pot of that day looks from a side; None where a later repotting hides which it was."""
    pot = _pot_then(workspace, entry)
    if pot is None or view == "detail":
        return None
    return pot.width_mm if view in _NARROW_SIDES else pot.length_mm


def _pot_then(workspace: Workspace, entry: Entry) -> Pot | None:
    pots = {pot.id: pot for pot in workspace.pots}
    moves = [work for work in workspace.store.entries(tree=entry.tree, kind="work") if work.data.get("pot")]
    day = entry.on.by
    if moves and day is None:
        return None
    before = [work for work in moves if work.on.by is None or (day is not None and work.on.by <= day)]
    if before:
        return pots.get(str(before[-1].data["pot"]))
    return None if moves else next((pot for pot in pots.values() if pot.tree == entry.tree), None)
