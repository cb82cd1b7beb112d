"""Where the finished surface ends, and the dressing on it."""

from __future__ import annotations

from dataclasses import dataclass

from ringwise.kit.show import area as shown_area
from ringwise.kit.show import length_span, litres
from ringwise.kit.tables import load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _
from ringwise.rootzone.pot import MM3_PER_CM3, PotShape

ROOM = "rootzone.surface"


@dataclass(frozen=True)
class Surface:
    """Substrate below the lowest rim, then the dressing on it; both together make the finished height."""

    substrate_low_mm: float
    substrate_high_mm: float
    dressing_mm: float
    dressing_cm3: float
    trace: Trace

    @property
    def finished_low_mm(self) -> float:
        """Least distance of the finished surface below the lowest rim."""
        return max(0.0, self.substrate_low_mm - self.dressing_mm)

    @property
    def finished_high_mm(self) -> float:
        """Most distance of the finished surface below the lowest rim."""
        return max(0.0, self.substrate_high_mm - self.dressing_mm)


def top_dressing_cm3(area_mm2: float, thickness_mm: float) -> float:
    """Dressing over a surface.

    Parameters
    ----------
    area_mm2 : float
        Plan area, in mm2.
    thickness_mm : float
        Thickness, in mm.

    Returns
    -------
    float
        Volume, in cm3.

    Source
    ------
    practice: area times half a centimetre.

    Examples
    --------
    >>> top_dressing_cm3(145_299.0, 5.0)
    726.495
    """
    return area_mm2 * thickness_mm / MM3_PER_CM3


def surface_of(pot: PotShape, *, dressed: bool = True) -> Surface:
    """The finished surface of a pot.

    Parameters
    ----------
    pot : PotShape
        The pot as filled.
    dressed : bool
        Whether it gets a top-dressing; it is an option, not for pots that stay wet or rotting bases.

    Returns
    -------
    Surface
        Heights below the lowest rim and the volume of dressing.

    Source
    ------
    practice: substrate 5 to 8 mm below the lowest rim, so that the dressed surface ends at or just under it.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> tray = surface_of(pot_shape("oval", PotLengths(500, 370, 80)))
    >>> tray.finished_low_mm, tray.finished_high_mm, round(tray.dressing_cm3)
    (0.0, 3.0, 726)
    """
    table = load_table("ringwise.rootzone", "potting")
    drop, layer = table.get("fill", "rim_drop_mm"), table.get("fill", "dressing_mm")
    thickness = layer.number if dressed else 0.0
    volume = top_dressing_cm3(pot.area_mm2, thickness)
    area = Trace(_("surface at the rim"), shown_area(pot.area_mm2), "rootzone.pot", _("plan area"))
    trace = Trace(
        _("top-dressing"),
        litres(volume) if dressed else _("none"),
        ROOM,
        _("surface x thickness"),
        layer.source,
        layer.basis,
        (area, trace_parameter(layer, _("thickness")), trace_parameter(drop, _("substrate below the rim"))),
    )
    low, high = drop.low or drop.number, drop.high or drop.number
    return Surface(low, high, thickness, volume, trace)


def surface_words(surface: Surface) -> str:
    """The finished height in one line for a sheet.

    Parameters
    ----------
    surface : Surface
        The surface.

    Returns
    -------
    str
        Such as "substrate 5 to 8 mm below the lowest rim; dressed surface 0 to 3 mm below it".

    Source
    ------
    practice: finished height is substrate and dressing together.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> surface_words(surface_of(pot_shape("oval", PotLengths(500, 370, 80)), dressed=False))
    'substrate 5 to 8 mm below the lowest rim'
    """
    below = length_span(surface.substrate_low_mm, surface.substrate_high_mm)
    ground = _("substrate {span} below the lowest rim").format(span=below)
    if surface.dressing_mm == 0:
        return ground
    finished = length_span(surface.finished_low_mm, surface.finished_high_mm)
    top = _("dressed surface {span} below it").format(span=finished)
    return f"{ground}; {top}"
