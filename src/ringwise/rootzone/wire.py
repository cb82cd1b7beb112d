"""Aluminium and copper wire: what a leg may carry, the gauge that holds, and the capstan rule."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringwise.kit.errors import unknown_name
from ringwise.kit.show import number, wire_span
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _

ROOM = "rootzone.wire"
MATERIALS = ("aluminium", "copper")


@dataclass(frozen=True)
class WireChoice:
    """A wire that holds a tension: its working load, and the margin of that load over the tension.

    `margin_factor` is None where nothing pulls.
    """

    material: str
    diameter_mm: float
    working_n: float
    margin_factor: float | None
    trace: Trace

    @property
    def words(self) -> str:
        """Material and gauge as people say it."""
        gauge = wire_span(self.diameter_mm, self.diameter_mm)
        material = _("copper") if self.material == "copper" else _("aluminium")
        return _("{material} {gauge}").format(material=material, gauge=gauge)


def _row(key: str, parameter: str) -> Parameter:
    return load_table("ringwise.rootzone", "wire").get(key, parameter)


def checked_material(material: str) -> str:
    """A material of wire that the table knows.

    Parameters
    ----------
    material : str
        aluminium or copper.

    Returns
    -------
    str
        The same in lower case.

    Raises
    ------
    UnknownNameError
        If the table has no such wire.

    Source
    ------
    own: names of `data/wire.csv`.

    Examples
    --------
    >>> checked_material("Copper")
    'copper'
    """
    folded = material.strip().casefold()
    if folded not in MATERIALS:
        raise unknown_name(_("wire"), material, MATERIALS)
    return folded


def gauges_mm(material: str) -> tuple[float, ...]:
    """The gauges sold, thin to thick.

    Parameters
    ----------
    material : str
        aluminium or copper.

    Returns
    -------
    tuple of float
        Diameters, in mm.

    Source
    ------
    practice: gauges sold for tying.

    Examples
    --------
    >>> gauges_mm("aluminium")
    (1.0, 1.5, 2.0, 2.5, 3.0, 4.0)
    """
    return tuple(sorted(float(each) for each in _row(material, "diameters_mm").items))


def section_mm2(diameter_mm: float) -> float:
    """Cross-section of a round wire.

    Parameters
    ----------
    diameter_mm : float
        Diameter, in mm.

    Returns
    -------
    float
        Area, in mm2.

    Source
    ------
    own: pi d^2 / 4.

    Examples
    --------
    >>> round(section_mm2(2.0), 4)
    3.1416
    """
    return math.pi * diameter_mm**2 / 4


def yield_n(material: str, diameter_mm: float) -> float:
    """The pull at which a wire begins to stretch for good.

    Parameters
    ----------
    material : str
        aluminium or copper.
    diameter_mm : float
        Diameter, in mm.

    Returns
    -------
    float
        Force, in N; 1 MPa is 1 N on 1 mm2.

    Source
    ------
    own: yield strength times section; strengths in `data/wire.csv`.

    Examples
    --------
    >>> round(yield_n("aluminium", 3.0), 1), round(yield_n("copper", 2.0), 1)
    (141.4, 235.6)
    """
    return _row(checked_material(material), "yield_mpa").number * section_mm2(diameter_mm)


def ultimate_n(material: str, diameter_mm: float) -> float:
    """The pull at which a wire parts.

    Parameters
    ----------
    material : str
        aluminium or copper.
    diameter_mm : float
        Diameter, in mm.

    Returns
    -------
    float
        Force, in N.

    Source
    ------
    own: tensile strength times section; strengths in `data/wire.csv`.

    Examples
    --------
    >>> round(ultimate_n("aluminium", 3.0), 1)
    530.1
    """
    return _row(checked_material(material), "ultimate_mpa").number * section_mm2(diameter_mm)


def working_n(material: str, diameter_mm: float) -> float:
    """What one leg of a twisted tie may carry.

    Parameters
    ----------
    material : str
        aluminium or copper.
    diameter_mm : float
        Diameter, in mm.

    Returns
    -------
    float
        Force, in N: half of the yield load, since the twist and kinks take their share.

    Source
    ------
    own: the half is a judgement without print.

    Examples
    --------
    >>> round(working_n("aluminium", 2.5), 1), round(working_n("copper", 2.0), 1)
    (49.1, 117.8)
    """
    return _row("tie", "working_frac").number * yield_n(material, diameter_mm)


def wire_of(material: str, diameter_mm: float, tension_n: float) -> WireChoice:
    """A given wire under a tension, holding or not.

    Parameters
    ----------
    material : str
        aluminium or copper.
    diameter_mm : float
        Diameter, in mm.
    tension_n : float
        Pull on one leg, in N, with its safety factor.

    Returns
    -------
    WireChoice
        With a margin below 1 where it does not hold.

    Source
    ------
    own: margin = working load over tension.

    Examples
    --------
    >>> round(wire_of("aluminium", 3.0, 91.0).margin_factor, 2)
    0.78
    """
    material = checked_material(material)
    carries_n = working_n(material, diameter_mm)
    margin_factor = carries_n / tension_n if tension_n > 0 else None
    trace = Trace(
        _("working load of a leg"),
        _("{n} N").format(n=number(carries_n, 3)),
        ROOM,
        _("share of the yield load x pi d^2 / 4"),
        "own",
        "assumed",
        (trace_parameter(_row(material, "yield_mpa")), trace_parameter(_row("tie", "working_frac"))),
    )
    return WireChoice(material, diameter_mm, carries_n, margin_factor, trace)


def thinnest(material: str, tension_n: float, *, least_mm: float = 0.0) -> WireChoice | None:
    """The thinnest gauge that holds a tension.

    Parameters
    ----------
    material : str
        aluminium or copper.
    tension_n : float
        Pull on one leg, in N, with its safety factor.
    least_mm : float
        No gauge thinner than this, in mm.

    Returns
    -------
    WireChoice or None
        None where no gauge of this material holds.

    Source
    ------
    own: smallest gauge whose working load reaches the tension.

    Examples
    --------
    >>> thinnest("aluminium", 90.97).diameter_mm, thinnest("copper", 90.97).diameter_mm
    (4.0, 2.0)
    >>> thinnest("aluminium", 200.0) is None
    True
    """
    for diameter_mm in gauges_mm(checked_material(material)):
        choice = wire_of(material, diameter_mm, tension_n)
        if diameter_mm >= least_mm and choice.working_n >= tension_n:
            return choice
    return None


def capstan_ratio(angle_deg: float, friction_ratio: float | None = None) -> float:
    """How many times the pull at one end exceeds the pull that reaches the far end round a root or bar.

    Parameters
    ----------
    angle_deg : float
        How far the wire runs round it, in degrees.
    friction_ratio : float, optional
        Friction of wire on bark or bar; the row of `data/wire.csv` by default.

    Returns
    -------
    float
        exp(friction x angle).

    Source
    ------
    own: capstan equation; the friction is recalled.

    Examples
    --------
    >>> [round(capstan_ratio(turn), 2) for turn in (90, 180, 360)]
    [1.6, 2.57, 6.59]
    """
    grip = _row("tie", "grip_ratio").number if friction_ratio is None else friction_ratio
    return math.exp(grip * math.radians(angle_deg))
