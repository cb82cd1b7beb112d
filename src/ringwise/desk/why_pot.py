"""Why the numbers of a pot at rest are what they are: its measures, its soil, the height above the hole."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.own_facts import own_facts
from ringwise.desk.pot_cut import cut_now, known_pot
from ringwise.desk.pot_section import figures_of, state_of
from ringwise.desk.pot_soil import soil_in
from ringwise.kit.errors import unknown_name
from ringwise.kit.trace import Trace
from ringwise.kit.words import _
from ringwise.rootzone.litres import volume_trace

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace

ROOM = "rootzone.container"


def pot_trace(workspace: Workspace, tree: str, figure: str) -> Trace:
    """Why a number of the pot room is what it is.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    figure : str
        Of the pot, such as "water" or "air_bottom".

    Returns
    -------
    Trace
        Its chain: measures of the pot, soil, formula.

    Raises
    ------
    UnknownNameError
        If there is no such figure.
    """
    facts = own_facts(workspace, tree)
    known_pot(facts)
    cut = cut_now(workspace, facts)
    found = {each["key"]: each for each in figures_of(state_of(cut), cut.why)}
    if figure not in found:
        raise unknown_name(_("figure"), figure, found)
    volume = volume_trace(cut.pot)
    if figure == "volume":
        return volume
    each = found[figure]
    shown = each["told"]["shown"]
    value = f"{shown} ({each['span']})" if each["span"] else shown
    below = (volume, soil_in(workspace, facts).trace)
    return Trace(each["label"], value, ROOM, _formula(figure), "milks1989", "assumed", below)


def _formula(figure: str) -> str:
    said = {
        "water": _("water held at a suction equal to the height above the hole, over all heights"),
        "available": _("water at rest less what the mix holds at 50 cm of suction"),
        "air": _("pores less water at rest"),
        "air_bottom": _("pores less water at rest, over the lowest 2 cm"),
        "standard": _("water at 10 cm of suction less water at 50 cm; a shallow pot never drains so far"),
    }
    return said[figure]
