"""From a tree, its ball, the holes and the ties to the wire that holds: the worst wind direction decides."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from ringwise.kit.tables import load_table
from ringwise.kit.trace import Trace
from ringwise.records.model import Hole
from ringwise.rootzone.anchoring import Anchoring
from ringwise.rootzone.cut import RootBall
from ringwise.rootzone.pot import PotShape
from ringwise.rootzone.tie_down import Stand, StandLimits, TieCase, TieDown, drag_row, stand_limits, tie_down
from ringwise.rootzone.tie_ladder import Rung, ladder, needs_ladder
from ringwise.rootzone.wire import WireChoice, thinnest

DIRECTIONS = 16  # winds tried round the pot
BESIDE_MM = 1e-6  # a leg beside the ball's middle counts as windward; the rest is rounding of floats


@dataclass(frozen=True)
class TreeLoad:
    """What the wind has to push on, with its range: outline, height of its middle above the soil, gust."""

    area_m2: float
    low_m2: float
    high_m2: float
    grip_mm: float
    gust_m_s: float
    bare: bool
    words: str
    trace: Trace


@dataclass(frozen=True)
class TieTask:
    """All that decides the wire: pot as filled, holes, ties, ball and its wet mass, whole mass, wind load."""

    pot: PotShape
    holes: tuple[Hole, ...]
    anchor: Anchoring
    ball: RootBall
    ball_g: float
    mass_g: float
    load: TreeLoad


@dataclass(frozen=True)
class TiePlan:
    """The pull in the worst wind, the wire to cut, the ladder where it is due, and the pot as a whole.

    `high_wire` is the one for the upper end of the outline.
    """

    load: TreeLoad
    held: TieDown
    wire: WireChoice | None
    rungs: tuple[Rung, ...]
    limits: StandLimits
    high_wire: WireChoice | None

    @property
    def holds_high(self) -> bool:
        """Whether the wire to cut also holds at the upper end of the outline."""
        least, most = self.wire, self.high_wire
        return least is not None and most is not None and least.working_n >= most.working_n

    @property
    def on_ladder(self) -> bool:
        """Whether aluminium up to 3 mm does not hold."""
        return needs_ladder(self.held)


def windward_arms(
    positions: Iterable[tuple[float, float]], ball: RootBall, toward_rad: float
) -> tuple[float, tuple[float, ...]]:
    """Width of the ball along a wind, and the lever arms of the legs on its windward half.

    Parameters
    ----------
    positions : iterable of (float, float)
        Where each leg rises, from the middle of the pot, in mm.
    ball : RootBall
        The ball; its plan counts as an ellipse.
    toward_rad : float
        Direction to which the wind blows, in radians from the right.

    Returns
    -------
    float, tuple of float
        Width and arms from the leeward edge, in mm; a leg on the lee side has none.

    Source
    ------
    own: only windward legs hold.

    Examples
    --------
    >>> windward_arms([(-90.0, 0.0), (90.0, 0.0)], RootBall(300.0, 200.0, 50.0), 0.0)
    (300.0, (240.0,))
    """
    ux, uy = math.cos(toward_rad), math.sin(toward_rad)
    half_mm = math.hypot(ball.length_mm / 2 * ux, ball.width_mm / 2 * uy)
    along = (x * ux + y * uy for x, y in positions)
    return 2 * half_mm, tuple(half_mm - at for at in along if at <= BESIDE_MM)


def tie_plan(task: TieTask) -> TiePlan | None:
    """The wire that holds a tree in its pot in the worst wind direction.

    Parameters
    ----------
    task : TieTask
        Pot, holes, ties, ball and wind load.

    Returns
    -------
    TiePlan or None
        None where no tie runs, so that nothing can be reckoned. The gauge is never thinner than the trade's
        for the size of pot.

    Source
    ------
    own: moments about the leeward edge of the ball for winds all round.

    Examples
    --------
    >>> from ringwise.rootzone.anchoring import AnchorNeed, anchoring, assumed_holes
    >>> from ringwise.rootzone.cut import assumed_ball
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> pot = pot_shape("oval", PotLengths(500, 370, 80))
    >>> holes = assumed_holes(pot, "L")
    >>> anchor = anchoring(AnchorNeed(pot, holes, "L"))
    >>> load = TreeLoad(0.2, 0.15, 0.25, 350.0, 15.0, False, "", Trace("outline", ""))
    >>> plan = tie_plan(TieTask(pot, holes, anchor, assumed_ball(pot, 0.45), 5000.0, 16000.0, load))
    >>> plan.wire.diameter_mm >= 2.5, plan.held.legs
    (True, 4)
    """
    legs = [task.holes[i] for tie in task.anchor.ties for i in (tie.first, tie.second)]
    positions = [(hole.x_mm, hole.y_mm) for hole in legs]
    if not positions:
        return None
    held = max(
        (_held(task, positions, 2 * math.pi * k / DIRECTIONS, task.load.area_m2) for k in range(DIRECTIONS)),
        key=lambda each: (each.tension_n, each.net_nm),
    )
    high_n = max(
        _held(task, positions, 2 * math.pi * k / DIRECTIONS, task.load.high_m2).tension_n
        for k in range(DIRECTIONS)
    )
    wire, high_wire = (
        thinnest("aluminium", pull_n, least_mm=task.anchor.gauge_low_mm) or thinnest("copper", pull_n)
        for pull_n in (held.tension_n, high_n)
    )
    factor = drag_row(bare=task.load.bare).number
    limits = stand_limits(
        Stand(task.mass_g, _foot_mm(task.pot), task.pot.depth_mm + task.load.grip_mm),
        task.load.area_m2,
        factor,
    )
    return TiePlan(task.load, held, wire, ladder(held), limits, high_wire)


def _held(task: TieTask, positions: list[tuple[float, float]], toward_rad: float, area_m2: float) -> TieDown:
    width_mm, arms = windward_arms(positions, task.ball, toward_rad)
    least_mm = load_table("ringwise.rootzone", "wire").get("accepted", "arm_mm").low or 1.0
    arms_mm = tuple(max(arm, least_mm) for arm in arms)
    grip_mm = task.load.grip_mm + task.ball.depth_mm
    return tie_down(
        TieCase(area_m2, task.load.gust_m_s, grip_mm, task.ball_g, width_mm, arms_mm, task.load.bare)
    )


def _foot_mm(pot: PotShape) -> float:
    """Width of the pot's foot along its shorter side; walls that were not measured slope by the taper."""
    floor = (pot.bottom_length_mm or pot.length_mm, pot.bottom_width_mm or pot.width_mm)
    return min(floor) * pot.taper_frac
