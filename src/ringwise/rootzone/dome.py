"""The hollow carved under the trunk and the dome of fresh mix that fills it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringwise.kit.errors import out_of_range
from ringwise.kit.show import length, length_span, litres, number
from ringwise.kit.tables import load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _
from ringwise.rootzone.pot import MM3_PER_CM3

ROOM = "rootzone.dome"


@dataclass(frozen=True)
class RootBase:
    """What is known of the base of the tree; None where nothing was measured."""

    trunk_mm: float | None = None
    flare_mm: float | None = None
    pad_mm: float | None = None
    hollow_radius_mm: float | None = None
    hollow_depth_mm: float | None = None


@dataclass(frozen=True)
class Dome:
    """A hollow and the dome for it; `assumed` where its size was not measured, `note` where there is none."""

    radius_mm: float
    depth_mm: float
    hollow_cm3: float
    dome_cm3: float
    assumed: bool
    note: str
    trace: Trace

    @property
    def is_due(self) -> bool:
        """Whether there is a hollow to fill."""
        return self.dome_cm3 > 0


def spherical_cap_cm3(radius_mm: float, height_mm: float) -> float:
    """Volume of a spherical cap.

    Parameters
    ----------
    radius_mm : float
        Radius of its base circle, in mm.
    height_mm : float
        Its height, in mm.

    Returns
    -------
    float
        Volume, in cm3: pi h (3 r^2 + h^2) / 6.

    Source
    ------
    own: solid geometry.

    Examples
    --------
    >>> round(spherical_cap_cm3(90.0, 25.0))
    326
    """
    return math.pi * height_mm / 6 * (3 * radius_mm**2 + height_mm**2) / MM3_PER_CM3


def dome_for(base: RootBase, fill_height_mm: float) -> Dome:
    """The hollow to expect, or the one measured, and the dome of mix for it.

    Parameters
    ----------
    base : RootBase
        What is known of the root base.
    fill_height_mm : float
        Height of substrate in the pot, in mm.

    Returns
    -------
    Dome
        Without volume where the pad is too thin to hollow or the trunk was never measured.

    Raises
    ------
    RangeError
        If a measured hollow is out of bounds.

    Source
    ------
    practice: hollow 0.6 to 0.8 of the flare's radius and a quarter to a third of the pad; dome 1.2 times it.

    Examples
    --------
    >>> round(dome_for(RootBase(hollow_radius_mm=90, hollow_depth_mm=25), 70).dome_cm3)
    392
    """
    rows = load_table("ringwise.rootzone", "potting").of("hollow")
    if base.hollow_radius_mm is not None and base.hollow_depth_mm is not None:
        radius = _bounded("hollow_radius_mm", base.hollow_radius_mm)
        depth = _bounded("hollow_depth_mm", base.hollow_depth_mm)
        return _dome(radius, depth, (), assumed=False)
    flare_mm = base.flare_mm
    if flare_mm is None and base.trunk_mm is not None:
        flare_mm = base.trunk_mm * rows["flare_per_trunk_ratio"].number
    if flare_mm is None:
        return no_dome(_("no dome reckoned: the trunk was never measured"))
    pad_mm = base.pad_mm if base.pad_mm is not None else fill_height_mm * rows["pad_per_fill_ratio"].number
    if pad_mm < rows["pad_min_mm"].number:
        return no_dome(
            _("no hollow and no dome: a root pad of {pad} is under {least}").format(
                pad=length(pad_mm), least=length(rows["pad_min_mm"].number)
            )
        )
    used = ("flare_per_trunk_ratio", "pad_per_fill_ratio", "radius_per_flare_ratio", "depth_per_pad_ratio")
    return _dome(
        flare_mm / 2 * rows["radius_per_flare_ratio"].number,
        pad_mm * rows["depth_per_pad_ratio"].number,
        tuple(trace_parameter(rows[name]) for name in used),
        assumed=True,
    )


def _bounded(parameter: str, value_mm: float) -> float:
    row = load_table("ringwise.rootzone", "potting").get("accepted", parameter)
    low, high = row.low or 0.0, row.high or math.inf
    if not low <= value_mm <= high:
        field = _("hollow radius") if parameter == "hollow_radius_mm" else _("hollow depth")
        raise out_of_range(field, length(value_mm), length_span(low, high))
    return value_mm


def _dome(radius_mm: float, depth_mm: float, inputs: tuple[Trace, ...], *, assumed: bool) -> Dome:
    row = load_table("ringwise.rootzone", "potting").get("hollow", "dome_factor")
    hollow_cm3 = spherical_cap_cm3(radius_mm, depth_mm)
    dome_cm3 = hollow_cm3 * row.number
    hollow = Trace(
        _("hollow under the trunk"),
        _("{volume}, radius {radius}, depth {depth}").format(
            volume=litres(hollow_cm3), radius=length(radius_mm), depth=length(depth_mm)
        ),
        ROOM,
        _("spherical cap, pi h (3 r^2 + h^2) / 6"),
        "own",
        "assumed" if assumed else "measured",
        inputs,
    )
    trace = Trace(
        _("dome"),
        litres(dome_cm3),
        ROOM,
        _("hollow x {factor}").format(factor=number(row.number, 3)),
        row.source,
        "assumed" if assumed else row.basis,
        (hollow, trace_parameter(row)),
    )
    return Dome(radius_mm, depth_mm, hollow_cm3, dome_cm3, assumed, "", trace)


def no_dome(note: str) -> Dome:
    """No hollow and no dome, and why.

    Parameters
    ----------
    note : str
        The reason in one line.

    Returns
    -------
    Dome
        Without volume.

    Source
    ------
    practice: hollow and dome are options with conditions, not a fixed ritual.

    Examples
    --------
    >>> no_dome("pad too thin").is_due
    False
    """
    trace = Trace(_("dome"), _("none"), ROOM, note, "practice", "practice")
    return Dome(0.0, 0.0, 0.0, 0.0, True, note, trace)
