"""What a potted tree weighs when wet, and how many people lift it by the revised lifting equation."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from ringwise.kit.show import mass, mass_span
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _
from ringwise.rootzone.carry import carry, limit_kg, usual_posture
from ringwise.rootzone.pot import MM3_PER_CM3, PotShape

ROOM = "rootzone.lifting"
G_PER_KG = 1000.0  # exact
CM3_PER_L = 1000.0  # exact


@dataclass(frozen=True)
class WetMix:
    """Mass of a litre of substrate that holds all it can, with the ends of its range and its chain."""

    kg_per_l_ratio: float
    low: float
    high: float
    trace: Trace


@dataclass(frozen=True)
class LiftMass:
    """Wet mass with a band, who lifts, and whether it was weighed or is only reckoned.

    `limit_g` is what one person may lift of a pot so wide, from a low bench.
    """

    mass_g: float
    low_g: float
    high_g: float
    people: int
    weighed: bool
    trace: Trace
    trolley: bool = False
    near_limit: bool = False  # one person by the middle of the band, two by its upper end
    limit_g: float = math.inf

    @property
    def words(self) -> str:
        """The mass as people say it."""
        if self.weighed:
            return _("{mass}, weighed").format(mass=mass(self.mass_g, 2))
        return _("{mass} ({span}), reckoned").format(
            mass=mass(self.mass_g, 2), span=mass_span(self.low_g, self.high_g)
        )

    @property
    def who(self) -> str:
        """Why more than one: the limit for one person; empty where one can lift it."""
        limit = mass(self.limit_g, 2)
        if self.trolley:
            return _("one person's limit {limit}: two with a trolley").format(limit=limit)
        if self.people > 1:
            return _("one person's limit {limit}").format(limit=limit)
        return (
            _("weigh it, it may need two: one person's limit {limit}").format(limit=limit) * self.near_limit
        )


@dataclass(frozen=True)
class _Part:
    """One share of the mass in kg, with the ends of its range and its rows."""

    label: str
    kg: float
    low_kg: float
    high_kg: float
    rows: tuple[Parameter, ...]
    chain: tuple[Trace, ...] = ()

    @property
    def trace(self) -> Trace:
        below = (*(trace_parameter(row) for row in self.rows), *self.chain)
        return Trace(self.label, mass(self.kg * G_PER_KG, 2), ROOM, "", "own", "assumed", below)


def lift_mass(
    pot: PotShape,
    *,
    material: str = "",
    trunk_mm: float | None = None,
    height_mm: float | None = None,
    weighed_g: float | None = None,
    wet: WetMix | None = None,
) -> LiftMass:
    """Wet mass of substrate, pot and tree together, and who lifts it.

    Parameters
    ----------
    pot : PotShape
        The pot as filled.
    material : str
        The pot's material in the grower's words; fired clay where none is known.
    trunk_mm, height_mm : float, optional
        Trunk diameter at the base and height of the tree, in mm; without them its wood is left out.
    weighed_g : float, optional
        A mass from the scale, in g; it replaces the reckoning.
    wet : WetMix, optional
        Mass of a litre of this mix at capacity; without it the planning figure.

    Returns
    -------
    LiftMass
        Each person lifts no more than the limit for a pot so wide.

    Source
    ------
    waters1993_handbook: limit for one person. own: substrate by its mix, else 1.15 kg per litre wet, shell of
    the pot from its walls, trunk as half a cylinder; planning figures.

    Examples
    --------
    >>> from ringwise.rootzone.pot import Fill, PotLengths, pot_shape
    >>> pot = pot_shape("rect", PotLengths(600, 420, 110), Fill(5, 5, 0.92))
    >>> lift_mass(pot, trunk_mm=165, height_mm=720).people
    2
    """
    if weighed_g is not None:
        who = carry(weighed_g, usual_posture(pot.shorter_side_mm))
        shown = mass(weighed_g, 2)
        trace = Trace(_("lifting mass"), shown, "record", _("weighed"), "", "measured", (who.trace,))
        limit_g = who.limit_kg * G_PER_KG
        return LiftMass(weighed_g, weighed_g, weighed_g, who.crew, True, trace, who.trolley, limit_g=limit_g)
    parts = [_substrate(pot, wet), _shell(pot, material)]
    if trunk_mm is not None and height_mm is not None:
        parts.append(_wood(trunk_mm, height_mm))
    return _together(parts, pot)


def _together(parts: list[_Part], pot: PotShape) -> LiftMass:
    kg = sum(part.kg for part in parts)
    # independent estimates: their half-widths add as squares
    below = math.sqrt(sum((part.kg - part.low_kg) ** 2 for part in parts))
    above = math.sqrt(sum((part.high_kg - part.kg) ** 2 for part in parts))
    posture = usual_posture(pot.shorter_side_mm)
    who = carry(kg * G_PER_KG, posture)
    trace = Trace(
        _("lifting mass"),
        mass(kg * G_PER_KG, 2),
        ROOM,
        _("substrate + pot + wood"),
        "own",
        "assumed",
        (*(part.trace for part in parts), who.trace),
    )
    low_g, high_g = (kg - below) * G_PER_KG, (kg + above) * G_PER_KG
    limit = limit_kg(posture)
    near = who.people == 1 and kg + above > limit
    limit_g = limit * G_PER_KG
    return LiftMass(kg * G_PER_KG, low_g, high_g, who.crew, False, trace, who.trolley, near, limit_g)


def _product(label: str, factor: float, *rows: Parameter) -> _Part:
    values = [math.prod(each) * factor for each in zip(*(_three(row) for row in rows), strict=True)]
    return _Part(label, values[0], values[1], values[2], rows)


def _three(row: Parameter) -> tuple[float, float, float]:
    low = row.number if row.low is None else row.low
    high = row.number if row.high is None else row.high
    return row.number, low, high


def _substrate(pot: PotShape, wet: WetMix | None) -> _Part:
    fill_l = pot.volume_cm3 / CM3_PER_L
    if wet is None:
        row = load_table("ringwise.rootzone", "potting").get("mass", "wet_kg_per_l")
        return _product(_("wet substrate"), fill_l, row)
    low, high = wet.low * fill_l, wet.high * fill_l
    return _Part(_("wet substrate"), wet.kg_per_l_ratio * fill_l, low, high, (), (wet.trace,))


def _shell(pot: PotShape, material: str) -> _Part:
    table = load_table("ringwise.rootzone", "potting")
    key = _wall_key(material)
    wall, density = table.get(key, "wall_mm"), table.get(key, "density_kg_per_l")
    values = [
        _shell_cm3(pot, wall_mm) / CM3_PER_L * kg_per_l
        for wall_mm, kg_per_l in zip(_three(wall), _three(density), strict=True)
    ]
    return _Part(_("pot"), values[0], values[1], values[2], (wall, density))


def wall_mm(material: str) -> float:
    """How thick the walls of a pot are likely to be.

    Parameters
    ----------
    material : str
        In the grower's words; fired clay where none is known.

    Returns
    -------
    float
        Thickness, in mm.

    Source
    ------
    own: planning figures, `data/potting.csv`.

    Examples
    --------
    >>> wall_mm("stoneware"), wall_mm("plastic basket")
    (12.0, 3.0)
    """
    return load_table("ringwise.rootzone", "potting").get(_wall_key(material), "wall_mm").number


def _wall_key(material: str) -> str:
    table = load_table("ringwise.rootzone", "potting")
    folded = material.casefold()
    for key in ("wall_plastic", "wall_wood", "wall_clay"):
        if any(word in folded for word in table.get(key, "words").items):
            return key
    return "wall_clay"


def _shell_cm3(pot: PotShape, wall_mm: float) -> float:
    """Volume of walls and floor: the pot with its walls less its inside, both straight-walled."""
    inside = replace(
        pot, rim_drop_mm=0.0, base_drop_mm=0.0, taper_frac=1.0, bottom_length_mm=None, bottom_width_mm=None
    )
    outside_mm3 = (
        inside.area_mm2
        / (inside.length_mm * inside.width_mm)
        * (inside.length_mm + 2 * wall_mm)
        * (inside.width_mm + 2 * wall_mm)
        * (inside.depth_mm + wall_mm)
    )
    return outside_mm3 / MM3_PER_CM3 - inside.volume_cm3


def wood_g(trunk_mm: float, height_mm: float) -> float:
    """Mass of a tree reckoned from its trunk and height.

    Parameters
    ----------
    trunk_mm, height_mm : float
        Trunk diameter at the base and height of the tree, in mm.

    Returns
    -------
    float
        Mass, in g.

    Source
    ------
    own: trunk as half a cylinder; planning figures.

    Examples
    --------
    >>> round(wood_g(84.0, 620.0))
    1718
    """
    return _wood(trunk_mm, height_mm).kg * G_PER_KG


def _wood(trunk_mm: float, height_mm: float) -> _Part:
    table = load_table("ringwise.rootzone", "potting")
    cylinder_l = math.pi / 4 * trunk_mm**2 * height_mm / MM3_PER_CM3 / CM3_PER_L
    return _product(
        _("tree"), cylinder_l, table.get("mass", "tree_form_factor"), table.get("mass", "wood_kg_per_l")
    )
