"""The wish to see one pot: measures, holes, the cut through it, its tree, its soil, its heat and frost."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.pot_curves import pot_curve
from ringwise.desk.pot_drawing import pot_drawn
from ringwise.desk.pot_heat import pot_heat_told
from ringwise.desk.pots import find_pot
from ringwise.desk.shapes import Shape, pot_shape_of, pot_words
from ringwise.desk.soil_told import soil_lines
from ringwise.desk.wet_pots import wet_pot
from ringwise.kit import show
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.model import Pot


def show_pot(workspace: Workspace, name: str) -> Shape:
    """One pot: measures, volume, holes, who stands in it, its soil, its heat and frost."""
    from ringwise.rootzone.pot import PotLengths, pot_shape

    pot = find_pot(workspace, name)
    lines = [pot_words(pot) + (f", {pot.material}" if pot.material else "")]
    answer: Shape = {"pot": pot_shape_of(pot), "volume_cm3": None, "area_mm2": None}
    if pot.length_mm is not None and pot.depth_mm is not None and pot.shape != "ground":
        lengths = PotLengths(pot.length_mm, None if pot.shape == "round" else pot.width_mm, pot.depth_mm)
        shape = pot_shape(pot.shape, lengths)
        answer |= {"volume_cm3": shape.volume_cm3, "area_mm2": shape.area_mm2}
        lines.append(
            _("inside volume {volume}, surface {area}").format(
                volume=show.litres(shape.volume_cm3), area=show.area(shape.area_mm2)
            )
        )
    holes = [show.length(h.diameter_mm) for h in pot.holes]
    lines.append(_("holes: {holes}").format(holes=", ".join(holes) if holes else _("not measured")))
    lines.append(_("tree: {tree}").format(tree=pot.tree or _("empty")))
    drawn, drawing = pot_drawn(workspace, pot)
    answer |= drawn
    answer["soil"] = _soil_in(workspace, pot)
    answer["heat"], told = pot_heat_told(workspace, pot)
    return answer | {"lines": [*lines, *drawing, *answer["soil"], *told]}


def _soil_in(workspace: Workspace, pot: Pot) -> list[str]:
    """The soil of a measured pot in which a tree stands, in lines; nothing of any other."""
    facts = workspace.facts.get(pot.tree or "")
    if facts is None or facts.pot != pot or pot.depth_mm is None or pot.shape == "ground":
        return []
    curve = pot_curve(workspace, facts)
    return [*soil_lines(curve), *wet_pot(facts, curve).lines[1:]]  # its depth is among the numbers
