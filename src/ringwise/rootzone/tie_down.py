"""What a gust does to a freshly potted tree: drag, moment, tipping, and the pull on each windward leg.

Every drag figure is carried over from trees larger than those in pots. A small trained crown is taken as
stiff, which is the safe side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringwise.kit.errors import MissingFieldError
from ringwise.kit.show import number
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _
from ringwise.rootzone.wind import bounded
from ringwise.rootzone.wire import WireChoice, thinnest

ROOM = "rootzone.tie_down"
G_M_S2 = 9.81  # as in hand arithmetic; the standard value is 9.80665
G_PER_KG = 1000.0  # exact
MM_PER_M = 1000.0  # exact


@dataclass(frozen=True)
class TieCase:
    """A tree to be tied: its outline, the gust, where the wind grips, its ball and its windward legs.

    `grip_mm` is the height of the wind's grip above the underside of the ball; `arms_mm` holds the distance
    of each leg in tension from the leeward edge of the ball, windward legs only.
    """

    area_m2: float
    gust_m_s: float
    grip_mm: float
    ball_g: float
    ball_width_mm: float
    arms_mm: tuple[float, ...]
    bare: bool = False
    drag_factor: float | None = None
    safety_factor: float | None = None


@dataclass(frozen=True)
class Stand:
    """A potted tree on its bench: mass, width of the foot along the wind, height of the wind's grip."""

    mass_g: float
    foot_mm: float
    grip_mm: float


@dataclass(frozen=True)
class StandLimits:
    """The gusts at which the whole pot tips over and slides, in m/s."""

    tip_m_s: float
    slide_m_s: float
    trace: Trace


@dataclass(frozen=True)
class TieDown:
    """Force, moments and the pull on each windward leg; `tension_n` carries the safety factor.

    `aluminium` and `copper` are the thinnest gauges that hold, None where none does.
    """

    case: TieCase
    force_n: float
    moment_nm: float
    held_nm: float
    net_nm: float
    bare_tension_n: float
    tension_n: float
    safety_factor: float
    drag_factor: float
    aluminium: WireChoice | None
    copper: WireChoice | None
    trace: Trace

    @property
    def legs(self) -> int:
        """How many legs are in tension."""
        return len(self.case.arms_mm)

    @property
    def is_held_by_weight(self) -> bool:
        """Whether the ball's own weight holds it."""
        return self.tension_n == 0.0


def _row(key: str, parameter: str) -> Parameter:
    return load_table("ringwise.rootzone", "wire").get(key, parameter)


def drag_row(*, bare: bool) -> Parameter:
    """The row of the drag coefficient, in leaf or bare.

    Parameters
    ----------
    bare : bool
        Whether the tree has no leaves.

    Returns
    -------
    Parameter
        On the filled outline in leaf; also the bare factor is meant on that outline.

    Source
    ------
    vollsinger2005, willow_robinia2011: carried over from larger trees.

    Examples
    --------
    >>> drag_row(bare=False).number, drag_row(bare=True).number
    (1.0, 0.5)
    """
    return _row("drag", "bare_factor" if bare else "leafy_factor")


def drag_n(area_m2: float, gust_m_s: float, drag_factor: float) -> float:
    """Push of the wind on an outline.

    Parameters
    ----------
    area_m2 : float
        Filled outline in still air, in m2.
    gust_m_s : float
        Gust, in m/s.
    drag_factor : float
        Drag coefficient on that outline.

    Returns
    -------
    float
        Force, in N: rho Cd A U^2 / 2.

    Source
    ------
    own: square law of drag; no easing as the crown bends.

    Examples
    --------
    >>> round(drag_n(0.35, 18.0, 1.0), 1)
    68.0
    """
    density = _row("air", "density_kg_m3").number
    return 0.5 * density * drag_factor * area_m2 * gust_m_s**2


def gust_for_n(force_n: float, area_m2: float, drag_factor: float) -> float:
    """The gust that pushes with a force.

    Parameters
    ----------
    force_n : float
        Force, in N.
    area_m2 : float
        Filled outline, in m2.
    drag_factor : float
        Drag coefficient on it.

    Returns
    -------
    float
        Gust, in m/s.

    Source
    ------
    own: the square law turned round.

    Examples
    --------
    >>> round(gust_for_n(drag_n(0.2, 15.0, 1.0), 0.2, 1.0), 9)
    15.0
    """
    return math.sqrt(force_n / drag_n(area_m2, 1.0, drag_factor))


def stand_limits(
    stand: Stand, area_m2: float, drag_factor: float, *, friction_ratio: float | None = None
) -> StandLimits:
    """At which gusts the whole pot tips over its leeward foot, and slides.

    Parameters
    ----------
    stand : Stand
        Mass, foot and height of the wind's grip above the bench.
    area_m2 : float
        Filled outline, in m2.
    drag_factor : float
        Drag coefficient on it.
    friction_ratio : float, optional
        Friction on the bench; the row of `data/wire.csv` by default.

    Returns
    -------
    StandLimits
        Gusts, in m/s.

    Raises
    ------
    RangeError
        If a measure is out of bounds.

    Source
    ------
    own: moment about the leeward foot against half the foot times the weight.

    Examples
    --------
    >>> round(stand_limits(Stand(9000.0, 180.0, 300.0), 0.08247, 1.0).tip_m_s, 2)
    23.14
    """
    area = bounded("area_m2", area_m2, field=_("outline"), unit="m²")
    kg = bounded("mass_kg", stand.mass_g / G_PER_KG, field=_("mass of pot and tree"), unit="kg")
    foot_m = bounded("arm_mm", stand.foot_mm, field=_("width of the foot"), unit="mm") / MM_PER_M
    grip_m = bounded("arm_mm", stand.grip_mm, field=_("height of the wind's grip"), unit="mm") / MM_PER_M
    row = _row("pot", "friction_ratio")
    friction = row.number if friction_ratio is None else friction_ratio
    weight_n = kg * G_M_S2
    tip_m_s = gust_for_n(weight_n * foot_m / 2 / grip_m, area, drag_factor)
    slide_m_s = gust_for_n(friction * weight_n, area, drag_factor)
    shown = _("tips at {tip} m/s, slides at {slide} m/s").format(
        tip=number(tip_m_s, 3), slide=number(slide_m_s, 3)
    )
    formula = "U = sqrt(W g b / (rho Cd A z)), sqrt(2 mu W g / (rho Cd A))"
    below = (trace_parameter(_row("air", "density_kg_m3")), trace_parameter(row))
    return StandLimits(
        tip_m_s, slide_m_s, Trace(_("pot in the wind"), shown, ROOM, formula, "own", "assumed", below)
    )


def tie_down(case: TieCase) -> TieDown:
    """The pull on each windward leg in a gust, and the wires that hold it.

    Parameters
    ----------
    case : TieCase
        Outline, gust, ball and legs.

    Returns
    -------
    TieDown
        Tension 0 where the ball's weight is enough.

    Raises
    ------
    MissingFieldError
        If there is no leg.
    RangeError
        If a measure is out of bounds.

    Source
    ------
    own: moments about the leeward edge of the ball; only windward legs count. Drag carried over from larger
    trees; safety factor 3 is practice and stands on the tension, the half of the yield on the wire.

    Examples
    --------
    >>> held = tie_down(TieCase(0.35, 18.0, 550.0, 14_000.0, 280.0, (300.0, 300.0)))
    >>> round(held.net_nm, 2), round(held.bare_tension_n, 2), round(held.tension_n)
    (18.19, 30.32, 91)
    >>> held.aluminium.diameter_mm, held.copper.diameter_mm
    (4.0, 2.0)
    """
    _check(case)
    safety_row, drag = _row("tie", "safety_factor"), drag_row(bare=case.bare)
    drag_factor = drag.number if case.drag_factor is None else case.drag_factor
    safety_factor = safety_row.number if case.safety_factor is None else case.safety_factor
    force_n = drag_n(case.area_m2, case.gust_m_s, drag_factor)
    moment_nm = force_n * case.grip_mm / MM_PER_M
    held_nm = case.ball_g / G_PER_KG * G_M_S2 * case.ball_width_mm / MM_PER_M / 2
    net_nm = moment_nm - held_nm
    bare_tension_n = max(0.0, net_nm) / (sum(case.arms_mm) / MM_PER_M)
    tension_n = safety_factor * bare_tension_n
    return TieDown(
        case,
        force_n,
        moment_nm,
        held_nm,
        net_nm,
        bare_tension_n,
        tension_n,
        safety_factor,
        drag_factor,
        thinnest("aluminium", tension_n),
        thinnest("copper", tension_n),
        _trace(case, tension_n, (drag, safety_row)),
    )


def _check(case: TieCase) -> None:
    if not case.arms_mm:
        raise MissingFieldError(_("no leg holds against the wind. Give at least one windward leg: --legs 2."))
    bounded("area_m2", case.area_m2, field=_("outline"), unit="m²")
    bounded("gust_m_s", case.gust_m_s, field=_("gust"), unit="m/s")
    bounded("mass_kg", case.ball_g / G_PER_KG, field=_("mass of the ball"), unit="kg")
    bounded("legs", float(len(case.arms_mm)), field=_("legs in tension"))
    for field, value in (
        (_("height of the wind's grip"), case.grip_mm),
        (_("width of the ball"), case.ball_width_mm),
        *((_("lever arm of a leg"), arm_mm) for arm_mm in case.arms_mm),
    ):
        bounded("arm_mm", value, field=field, unit="mm")
    if case.drag_factor is not None:
        bounded("drag_factor", case.drag_factor, field=_("drag coefficient"))
    if case.safety_factor is not None:
        bounded("safety_factor", case.safety_factor, field=_("safety factor"))


def _trace(case: TieCase, tension_n: float, rows: tuple[Parameter, Parameter]) -> Trace:
    drag, safety = rows
    given = (
        (_("outline"), f"{number(case.area_m2, 3)} m²"),
        (_("gust"), f"{number(case.gust_m_s, 3)} m/s"),
        (_("height of the wind's grip"), f"{number(case.grip_mm, 3)} mm"),
        (_("mass of the ball"), f"{number(case.ball_g / G_PER_KG, 3)} kg"),
        (_("width of the ball"), f"{number(case.ball_width_mm, 3)} mm"),
        (_("lever arms"), ", ".join(f"{number(arm_mm, 3)} mm" for arm_mm in case.arms_mm)),
    )
    below = [Trace(label, shown, "given", basis="assumed") for label, shown in given]
    for row, label, value in (
        (drag, _("drag coefficient"), case.drag_factor),
        (safety, _("safety factor"), case.safety_factor),
    ):
        below.append(
            trace_parameter(row, label)
            if value is None
            else Trace(label, f"{value:g}", "given", basis="assumed")
        )
    below.append(trace_parameter(_row("air", "density_kg_m3")))
    return Trace(
        _("pull on a windward leg"),
        _("{n} N").format(n=number(tension_n, 3)),
        ROOM,
        "T = SF (rho Cd A U^2 z / 2 - W g b / 2) / sum of arms",
        "own",
        "transferred",
        tuple(below),
    )
