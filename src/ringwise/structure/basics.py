"""A plausible tape where only trunk and height are known: the trade's proportions, turned by luck."""

from __future__ import annotations

import math

from ringwise.kit.tables import Table, load_table
from ringwise.structure.forms import TreeForm
from ringwise.structure.ramify import Luck
from ringwise.structure.tape import Tape, TapeBranch, TapeGirth
from ringwise.structure.tape_sure import reach_frac, usual_key

BASICS = -2  # the stream of luck of a tape made up; branches use 0 and up, the trunk -1


def tape_from_basics(trunk_mm: float, height_mm: float, form: TreeForm, *, seed: int = 0) -> Tape:
    """A tape as it could be read from a tree of this trunk and height.

    Parameters
    ----------
    trunk_mm : float
        Diameter of the trunk above the flare, in mm.
    height_mm : float
        Height above the soil, in mm.
    form : TreeForm
        Habit of the species.
    seed : int
        Which of the plausible trees.

    Returns
    -------
    Tape
        One girth at the base and invented branches; every branch is practice, none is measured.

    Raises
    ------
    RangeError
        If trunk or height are out of range.

    Source
    ------
    practice: first branch at about a third, branch zone shortening upwards, branch at most half the trunk.

    Examples
    --------
    >>> tape = tape_from_basics(92.0, 520.0, TreeForm())
    >>> tape.height_mm, round(tape.girths[0].diameter_mm, 6)
    (520.0, 92.0)
    """
    luck = Luck(seed, BASICS)
    girths = (TapeGirth(0.0, math.pi * trunk_mm),)
    practice = load_table("ringwise.structure", "basics")
    if usual_key(form, height_mm / trunk_mm) == "broom":
        branches = _broom(trunk_mm, height_mm, practice, luck)
    else:
        branches = _tiers(trunk_mm, height_mm, form, practice, luck)
    return Tape(height_mm, girths, branches)


def _tiers(
    trunk_mm: float, height_mm: float, form: TreeForm, practice: Table, luck: Luck
) -> tuple[TapeBranch, ...]:
    """Branches up a single trunk, left and right by turns, some to the back, few to the front."""
    key = usual_key(form, height_mm / trunk_mm)
    count = round(practice.get(key, "branches").number)
    first_frac = practice.get(key, "first_branch_frac").number * luck.between(0.9, 1.15)
    spread_frac = practice.get(key, "half_spread_frac").number
    thick_frac = practice.get(key, "branch_to_trunk_frac").number
    thins = practice.get("reach", "thickness_exponent").number
    least_mm = practice.get("reach", "least_length_frac").number * height_mm
    sides = _sides(count, luck)
    branches = []
    for number in range(count):
        frac = first_frac + (0.9 - first_frac) * (number / count) ** 0.82
        reach = reach_frac(practice, frac, first_frac)
        trunk_here_mm = trunk_mm * (1.0 - frac) ** 0.85
        back = 0.8 if math.cos(sides[number] / 12.0 * 2.0 * math.pi) > 0.5 else 1.0
        length_mm = height_mm * spread_frac * reach * back * luck.between(0.82, 1.12)
        diameter_mm = max(trunk_here_mm * thick_frac * reach**thins * back * luck.between(0.85, 1.1), 1.0)
        branches.append(TapeBranch(height_mm * frac, sides[number], diameter_mm, max(length_mm, least_mm)))
    return tuple(branches)


def _sides(count: int, luck: Luck) -> list[float]:
    """Clock positions from the lowest up: a side, the other side, the back, and so on."""
    first = 1.0 if luck.between(0.0, 1.0) < 0.5 else -1.0
    pattern = (3.4, 8.8, 0.4, 2.2, 9.9, 11.4, 4.4, 7.6, 1.2, 10.6, 5.6, 6.6)
    clocks = []
    for number in range(count):
        clock = pattern[number % len(pattern)] + luck.between(-0.6, 0.6)
        clocks.append((first * clock) % 12.0)
    return clocks


def _broom(trunk_mm: float, height_mm: float, practice: Table, luck: Luck) -> tuple[TapeBranch, ...]:
    """Limbs that leave a short trunk close together and rise to one dome."""
    count = round(practice.get("broom", "branches").number)
    first_frac = practice.get("broom", "first_branch_frac").number
    thick_frac = practice.get("broom", "branch_to_trunk_frac").number
    branches = []
    for number in range(count):
        at_mm = height_mm * (first_frac + 0.09 * number / count)
        clock = (12.0 * number * 0.381966 + luck.between(-0.5, 0.5)) % 12.0
        length_mm = (height_mm - at_mm) * luck.between(0.86, 1.05)
        branches.append(TapeBranch(at_mm, clock, trunk_mm * thick_frac * luck.between(0.8, 1.15), length_mm))
    return tuple(branches)
