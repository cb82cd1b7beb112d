"""Drain holes, mesh squares and tie wires: how many, how long, how thick, and through which holes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringwise.kit.show import length, wire_span
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _
from ringwise.records.model import Hole
from ringwise.rootzone.pot import PotShape

ROOM = "rootzone.anchoring"
FEW = 2  # this many ties run between opposite holes so that they cross over the root ball


@dataclass(frozen=True)
class Tie:
    """One wire bridged under the pot floor between two holes, both ends brought up and twisted."""

    first: int
    second: int
    spacing_mm: float
    length_mm: float


@dataclass(frozen=True)
class Anchoring:
    """How the tree is held in its pot."""

    ties: tuple[Tie, ...]
    gauge_low_mm: float
    gauge_high_mm: float
    bar: bool
    reach_mm: float
    slender_ratio: float | None
    notes: tuple[str, ...]
    trace: Trace

    @property
    def wire_mm(self) -> float:
        """Wire for all ties together."""
        return sum(tie.length_mm for tie in self.ties)

    @property
    def gauge(self) -> str:
        """The gauge as people say it."""
        return wire_span(self.gauge_low_mm, self.gauge_high_mm)


@dataclass(frozen=True)
class AnchorNeed:
    """What decides the anchoring: the pot as filled, its holes, size class, tree height and exposure."""

    pot: PotShape
    holes: tuple[Hole, ...]
    size_class: str
    tree_height_mm: float | None = None
    exposed: bool = False
    reach_mm: float | None = None


def _row(key: str, parameter: str) -> Parameter:
    return load_table("ringwise.rootzone", "potting").get(key, parameter)


def assumed_holes(pot: PotShape, size_class: str) -> tuple[Hole, ...]:
    """A hole layout for a pot whose holes were not measured; an assumption and shown as one.

    Parameters
    ----------
    pot : PotShape
        The pot.
    size_class : str
        XS, S, M, L or XL.

    Returns
    -------
    tuple of Hole
        Two on the long axis, or four; positions from the middle of the floor.

    Source
    ------
    own: a usual layout; measure the pot instead.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> [hole.x_mm for hole in assumed_holes(pot_shape("oval", PotLengths(500, 370, 80)), "L")]
    [-90.0, 90.0]
    """
    count = int(_row(f"holes_{size_class}", "count").number)
    diameter_mm = _row(f"holes_{size_class}", "diameter_mm").number
    half = _row("holes", "spacing_per_length_ratio").number / 2
    x_mm, y_mm = half * pot.length_mm, half * pot.width_mm
    if count == 1:
        return (Hole(diameter_mm, 0.0, 0.0),)
    if count == 2:
        return (Hole(diameter_mm, -x_mm, 0.0), Hole(diameter_mm, x_mm, 0.0))
    return tuple(Hole(diameter_mm, sx * x_mm, sy * y_mm) for sx in (-1, 1) for sy in (-1, 1))


def mesh_square_mm(hole_diameter_mm: float) -> float:
    """Side of the mesh square over a hole.

    Parameters
    ----------
    hole_diameter_mm : float
        The hole, in mm.

    Returns
    -------
    float
        Side, in mm.

    Source
    ------
    practice: hole and 4 cm.

    Examples
    --------
    >>> mesh_square_mm(25.0)
    65.0
    """
    return hole_diameter_mm + _row("mesh", "margin_mm").number


def tie_length_mm(spacing_mm: float, depth_mm: float, reach_mm: float) -> float:
    """Wire for one tie through two holes.

    Parameters
    ----------
    spacing_mm : float
        Distance between the holes, in mm.
    depth_mm : float
        Height of substrate, in mm.
    reach_mm : float
        From above the hole to where the ends cross, in mm.

    Returns
    -------
    float
        Length, in mm: spacing + 2 (depth + reach + twist).

    Source
    ------
    practice: tie wire through two holes with 15 cm to twist at each end.

    Examples
    --------
    >>> tie_length_mm(180.0, 70.0, 140.0)
    900.0
    """
    return spacing_mm + 2 * (depth_mm + reach_mm + _row("tie", "twist_mm").number)


def tie_pairs(holes: tuple[Hole, ...], ties: int) -> tuple[tuple[int, int], ...]:
    """Through which holes each tie runs.

    Parameters
    ----------
    holes : tuple of Hole
        The pot's holes.
    ties : int
        How many ties.

    Returns
    -------
    tuple of pairs of int
        Opposite holes for two ties over four holes or more, so that they cross; else round the ring.

    Source
    ------
    own: routes that share the load between holes.

    Examples
    --------
    >>> square = tuple(Hole(20, x, y) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1)))
    >>> tie_pairs(square, 2)
    ((0, 2), (1, 3))
    """
    if not holes:
        return ()
    ring = sorted(range(len(holes)), key=lambda i: math.atan2(holes[i].y_mm, holes[i].x_mm))
    n = len(ring)
    if n > 3 and ties <= FEW:
        return tuple((ring[i % n], ring[(i + n // 2) % n]) for i in range(ties))
    pairs = [(ring[i % n], ring[(i + 1) % n]) for i in range(ties)]
    return tuple((min(pair), max(pair)) for pair in pairs)


def anchoring(need: AnchorNeed) -> Anchoring:
    """Ties, wire and bar for a tree in its pot.

    Parameters
    ----------
    need : AnchorNeed
        Pot as filled, holes, size class, tree height, exposure.

    Returns
    -------
    Anchoring
        Lengths are rounded up to whole centimetres, ready to cut.

    Source
    ------
    practice: ties and gauge by size class; height to shorter side above 2.2, or wind, asks for four and a
    bar; above 3 mm more legs, a bar, shelter and copper come before thicker aluminium.

    Examples
    --------
    >>> from ringwise.rootzone.pot import Fill, PotLengths, pot_shape
    >>> pot = pot_shape("oval", PotLengths(500, 370, 80), Fill(5, 5))
    >>> plan = anchoring(AnchorNeed(pot, assumed_holes(pot, "M"), "M", reach_mm=140.0))
    >>> [tie.length_mm for tie in plan.ties], plan.wire_mm
    ([900.0, 900.0], 1800.0)
    """
    rows = {name: _row(f"anchor_{need.size_class}", name) for name in ("ties", "gauge_mm", "bar")}
    count, bar = int(rows["ties"].number), rows["bar"].value == "yes"
    slender = None if need.tree_height_mm is None else need.tree_height_mm / need.pot.shorter_side_mm
    limit = _row("tie", "slender_ratio")
    tall = slender is not None and slender > limit.number
    if tall or need.exposed:
        count, bar = max(count, int(_row("anchor_XL", "ties").number)), True
    reach_mm = need.reach_mm
    if reach_mm is None:
        reach_mm = _row("tie", "reach_per_side_ratio").number * need.pot.shorter_side_mm
    ties = tuple(_tie(need, pair, reach_mm) for pair in tie_pairs(need.holes, count))
    gauge = rows["gauge_mm"]
    return Anchoring(
        ties,
        gauge.low or gauge.number,
        gauge.high or gauge.number,
        bar,
        reach_mm,
        slender,
        _notes(need, gauge, tall=tall),
        _trace(ties, reach_mm, [*rows.values(), limit], measured_reach=need.reach_mm is not None),
    )


def _tie(need: AnchorNeed, pair: tuple[int, int], reach_mm: float) -> Tie:
    a, b = (need.holes[i] for i in pair)
    spacing_mm = math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm)
    step = _row("tie", "cut_step_mm").number
    exact = tie_length_mm(spacing_mm, need.pot.fill_height_mm, reach_mm)
    # a thousandth of a step is the rounding of floats, not a reason for a longer wire
    return Tie(*pair, spacing_mm, math.ceil(exact / step - 1e-3) * step)


def _notes(need: AnchorNeed, gauge: Parameter, *, tall: bool) -> tuple[str, ...]:
    notes = []
    if tall:
        notes.append(_("Tall for its pot: four ties and a bar under the ball."))
    if need.exposed:
        notes.append(_("Windy place: four ties and a bar under the ball."))
    if (gauge.high or gauge.number) > _row("tie", "ladder_above_mm").number:
        notes.append(_("Before wire above 3 mm: more legs, a bar under the ball, wind shelter, then copper."))
    if len(need.holes) == 1:
        notes.append(_("One hole only: bring both ends up through it, round a short bar below."))
    if not need.holes:
        notes.append(_("No holes: no ties reckoned."))
    return tuple(notes)


def _trace(ties: tuple[Tie, ...], reach_mm: float, rows: list[Parameter], *, measured_reach: bool) -> Trace:
    reach = _("reach to the crossing")
    below = [trace_parameter(row) for row in rows]
    below.append(trace_parameter(_row("tie", "twist_mm"), _("free end for the twist")))
    if measured_reach:
        below.append(Trace(reach, length(reach_mm), "given", basis="measured"))
    else:
        row = _row("tie", "reach_per_side_ratio")
        below.append(Trace(reach, length(reach_mm), ROOM, "", "own", "assumed", (trace_parameter(row),)))
    total_mm = sum(tie.length_mm for tie in ties)
    return Trace(
        _("tie wire"),
        _("{n} ties, {total} in all").format(n=len(ties), total=length(total_mm)),
        ROOM,
        _("hole spacing + 2 (depth + reach + twist), each"),
        "practice",
        "practice",
        tuple(below),
    )
