"""A branch forked down to its tips: exactly as many tips as asked, along a leader of the asked length.

The pattern is that of a pruned tree rather than of a feather: at each fork the side shoot takes a share
of the tips and the leader bends away from it by the weight of that share; side shoots shorten towards
the end, spread sideways on level branches and all round on upright ones, and turn up at their ends.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from ringwise.kit import chance
from ringwise.kit.chance import Purpose
from ringwise.kit.types import FloatArray
from ringwise.structure.forms import TreeForm

UP = np.array([0.0, 0.0, 1.0])
GOLDEN_RAD = math.pi * (3.0 - math.sqrt(5.0))  # the spiral of alternate buds on an upright shoot
DRAWS_AT_ONCE = 4096
SHORTEST_MM = 3.5  # a shoot shorter than this is a bud
PIECE_FRAC = 0.055  # of the branch's length: how finely its bends are drawn
SHARES = {"broom": 0.5}  # share of the tips that side shoots take at a fork, where posture decides it


class Luck:
    """Draws for one branch, in order; each branch has its own, so that editing one changes no other."""

    def __init__(self, seed: int, branch: int) -> None:
        self._seed, self._branch, self._used = seed, branch, 0
        self._draws: FloatArray = np.empty(0)

    def between(self, low: float, high: float) -> float:
        """A uniform draw."""
        if self._used % DRAWS_AT_ONCE == 0:
            entity = np.arange(self._used, self._used + DRAWS_AT_ONCE)
            self._draws = chance.uniform(self._seed, 0, self._branch, 0, Purpose.DIRECTION, entity)
        draw = float(self._draws[self._used % DRAWS_AT_ONCE])
        self._used += 1
        return low + (high - low) * draw


@dataclass
class Wood:
    """Segments while a tree is drawn up: the row each grows from, where it ends, which branch it is of."""

    parent: list[int] = field(default_factory=list)
    end_mm: list[FloatArray] = field(default_factory=list)
    branch: list[int] = field(default_factory=list)
    order: list[int] = field(default_factory=list)

    def add(self, row: int, end_mm: FloatArray, branch: int, order: int) -> int:
        """A new segment from the end of `row` (-1: from the origin); its own row index."""
        self.parent.append(row)
        self.end_mm.append(end_mm)
        self.branch.append(branch)
        self.order.append(order)
        return len(self.parent) - 1

    def end_of(self, row: int) -> FloatArray:
        """Upper end of a segment, the origin for -1."""
        return self.end_mm[row] if row >= 0 else np.zeros(3)


@dataclass(frozen=True)
class Axis:
    """A shoot to be drawn: from the end of `row`, this way, this long, forking to so many tips."""

    row: int
    heading: FloatArray
    length_mm: float
    tips: int
    branch: int
    order: int
    piece_mm: float


def unit(vector: FloatArray) -> FloatArray:
    """A vector of length one.

    Parameters
    ----------
    vector : (3,) float
        Not zero.

    Returns
    -------
    (3,) float
        Same direction.

    Source
    ------
    own.

    Examples
    --------
    >>> unit(np.array([0.0, 3.0, 4.0])).tolist()
    [0.0, 0.6, 0.8]
    """
    return vector / math.sqrt(float(vector @ vector))


def ramify(wood: Wood, axis: Axis, form: TreeForm, luck: Luck) -> None:
    """Draw a shoot and all that grows from it into the wood.

    Parameters
    ----------
    wood : Wood
        Added to.
    axis : Axis
        The leader.
    form : TreeForm
        Arrangement and posture.
    luck : Luck
        Draws of this branch.

    Source
    ------
    own: see the module's text.

    Examples
    --------
    >>> wood = Wood()
    >>> ramify(wood, Axis(-1, UP, 120.0, 9, 0, 1, 8.0), TreeForm(), Luck(7, 0))
    >>> len(set(range(len(wood.parent))) - set(wood.parent))
    9
    """
    row, heading, left_mm, tips = axis.row, axis.heading, axis.length_mm, axis.tips
    share_frac = SHARES.get(form.posture, 0.42 if form.arrangement == "opposite" else 0.32)
    end_mm = max(SHORTEST_MM, min(0.12 * axis.length_mm, 4.0 * axis.piece_mm))
    turn_rad = luck.between(0.0, 2.0 * math.pi)
    hand = 1 if luck.between(0.0, 1.0) < 0.5 else -1
    clear_mm = form.clear_frac * luck.between(0.8, 1.2) * axis.length_mm
    while tips > 1:
        step_mm = clear_mm or _step(left_mm, end_mm, tips, share_frac) * luck.between(0.75, 1.25)
        clear_mm = 0.0
        row, heading = _run(wood, axis, (row, heading, max(step_mm, SHORTEST_MM)), form, luck)
        left_mm = max(left_mm - step_mm, end_mm)
        turn_rad, hand = turn_rad + GOLDEN_RAD, -hand
        sides = _sides(tips, share_frac, form, luck)
        bent = heading
        for number, side_tips in enumerate(sides):
            roll_rad = _roll(heading, turn_rad, hand if number == 0 else -hand, luck)
            angle_rad = form.side_angle_rad * luck.between(0.75, 1.25)
            way = _aside(heading, roll_rad, angle_rad)
            reach_mm = left_mm * luck.between(0.62, 0.95) * (side_tips / max(tips - side_tips, 1)) ** 0.2
            side = Axis(
                row,
                way,
                max(min(reach_mm, left_mm), SHORTEST_MM),
                side_tips,
                axis.branch,
                axis.order + 1,
                axis.piece_mm,
            )
            ramify(wood, side, form, luck)
            bent = bent - 0.55 * math.sin(angle_rad) * (side_tips / tips) * unit(
                way - (way @ heading) * heading
            )
        heading = unit(bent)
        tips -= sum(sides)
    _run(wood, axis, (row, heading, left_mm), form, luck)


def _step(left_mm: float, end_mm: float, tips: int, share_frac: float) -> float:
    """Distance to the next fork so that the last one still leaves a shoot of the wanted length."""
    forks = max(1.0, math.log(tips) / -math.log(1.0 - share_frac))
    return left_mm * (1.0 - math.pow(min(1.0, end_mm / left_mm), 1.0 / forks))


def _sides(tips: int, share_frac: float, form: TreeForm, luck: Luck) -> list[int]:
    """Tips of the side shoots at one fork; the leader keeps at least one, and no single one outgrows it."""
    wanted = max(1, min(tips - 1, round(tips * share_frac * luck.between(0.7, 1.3))))
    if form.arrangement == "opposite" and wanted >= 2:
        return [wanted - wanted // 2, wanted // 2]
    return [min(wanted, tips - wanted)]


def _roll(heading: FloatArray, turn_rad: float, hand: int, luck: Luck) -> float:
    """Where round its axis a side shoot stands: all round on upright shoots, sideways on level ones."""
    if heading[2] > 0.8:
        return turn_rad
    return hand * luck.between(0.9, 1.75)


def _aside(heading: FloatArray, roll_rad: float, angle_rad: float) -> FloatArray:
    """A direction at an angle to the heading; roll 0 is upwards, a quarter turn is sideways."""
    other = UP if heading[2] < 0.97 else np.array([1.0, 0.0, 0.0])
    upward = unit(other - (other @ heading) * heading)
    (a, b, c), (x, y, z) = heading.tolist(), upward.tolist()
    across = np.array([b * z - c * y, c * x - a * z, a * y - b * x])
    sideways = math.cos(roll_rad) * upward + math.sin(roll_rad) * across
    return unit(math.cos(angle_rad) * heading + math.sin(angle_rad) * sideways)


def _run(
    wood: Wood, axis: Axis, leg: tuple[int, FloatArray, float], form: TreeForm, luck: Luck
) -> tuple[int, FloatArray]:
    """An unforked leg of wood in short pieces, wandering and turning up a little."""
    row, heading, length_mm = leg
    pieces = max(1, round(length_mm / axis.piece_mm))
    size_mm = length_mm / pieces
    lift = form.lift_factor * min(1.0, size_mm / 12.0) * (0.22 if axis.order <= 1 else 1.0)
    wander = 0.14 if axis.order <= 1 else 0.11
    for _piece in range(pieces):
        sway = np.array([luck.between(-1, 1), luck.between(-1, 1), luck.between(-1, 1)])
        heading = unit(heading + wander * sway + lift * (1.0 - heading[2]) * UP)
        row = wood.add(row, wood.end_of(row) + size_mm * heading, axis.branch, axis.order)
    return row, heading
