"""A tape with its unknowns filled in by luck, so that they differ from one likely tree to the next."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.kit.tables import Table, load_table
from ringwise.structure.forms import TreeForm
from ringwise.structure.ramify import Luck
from ringwise.structure.tape import SECTORS, Tape, TapeBranch, TapeGirth, hours_apart

TAPER, UNKNOWN = -3, -4  # streams of luck of what was not measured; the trunk's is -1, a made-up tape's -2


@dataclass(frozen=True)
class SureBranch:
    """A branch of which every size is known, measured or not; tips and angle may still be open."""

    height_mm: float
    clock: float
    diameter_mm: float
    length_mm: float
    tips: int | None = None
    angle_deg: float | None = None


@dataclass(frozen=True)
class SureTape:
    """A tape with sure branches, in the order of the tape."""

    height_mm: float
    girths: tuple[TapeGirth, ...]
    branches: tuple[SureBranch, ...]
    apex_tips: int | None = None
    lean_mm: float = 0.0
    lean_clock: float = 6.0
    taper_index: float = 0.85  # how the trunk thins above its last girth; 1 is evenly


def sure(tape: Tape, form: TreeForm, *, seed: int) -> SureTape:
    """A tape with a plausible value for every size that it leaves open.

    Parameters
    ----------
    tape : Tape
        What was measured stays as it is.
    form : TreeForm
        Habit of the species.
    seed : int
        Which of the likely trees.

    Returns
    -------
    SureTape
        Of the same branches.

    Source
    ------
    practice: table `basics`, shares of trunk and height, with their ranges as spread; a branch of
    unknown side stands where none of its neighbours does, seldom at the front.

    Examples
    --------
    >>> tape = Tape(400.0, (TapeGirth(0.0, 157.0),), (TapeBranch(140.0, 9.0),))
    >>> branch = sure(tape, TreeForm(), seed=3).branches[0]
    >>> branch.clock, 5.0 < branch.diameter_mm < 25.0
    (9.0, True)
    """
    practice = load_table("ringwise.structure", "basics")
    key = usual_key(form, tape.height_mm / tape.girths[0].diameter_mm)
    clocks: list[tuple[float, float]] = [
        (each.height_mm, each.clock) for each in tape.branches if each.clock is not None
    ]
    branches = []
    for number, each in enumerate(tape.branches):
        luck = Luck(seed, UNKNOWN - number)
        clock = each.clock
        if clock is None:
            clock = _free_clock(practice, (each.height_mm, tape.height_mm), clocks, luck)
            clocks.append((each.height_mm, clock))
        diameter_mm, length_mm = _sizes(each, tape, (practice, key), luck)
        branches.append(SureBranch(each.height_mm, clock, diameter_mm, length_mm, each.tips, each.angle_deg))
    return SureTape(
        tape.height_mm,
        tape.girths,
        tuple(branches),
        tape.apex_tips,
        tape.lean_mm,
        tape.lean_clock,
        _drawn(practice, "trunk", "taper_exponent", Luck(seed, TAPER)),
    )


def usual_key(form: TreeForm, slender_ratio: float) -> str:
    """The row of table `basics` that fits a tree.

    Parameters
    ----------
    form : TreeForm
        Habit of the species.
    slender_ratio : float
        Height to base diameter.

    Returns
    -------
    str
        "whip" for a slender young tree, else its posture.

    Source
    ------
    practice: a tree above 18 to 1 is still field-grown.

    Examples
    --------
    >>> usual_key(TreeForm(), 30.0), usual_key(TreeForm(), 6.0)
    ('whip', 'rising')
    """
    whip = load_table("ringwise.structure", "basics").get("whip", "height_to_base_ratio").number
    return "whip" if slender_ratio > whip else form.posture


def reach_frac(practice: Table, height_frac: float, first_frac: float) -> float:
    """How far a branch at a height reaches, against the longest: the outline of a crown that closes upwards.

    Parameters
    ----------
    practice : Table
        The table `basics`.
    height_frac, first_frac : float
        Where the branch and the lowest one leave the trunk, in shares of the height.

    Returns
    -------
    float
        1 at the lowest branch and below.

    Source
    ------
    practice: table `basics`, rows `reach`.

    Examples
    --------
    >>> practice = load_table("ringwise.structure", "basics")
    >>> [round(reach_frac(practice, at, 0.3), 2) for at in (0.2, 0.3, 0.65, 0.9)]
    [1.0, 1.0, 0.62, 0.29]
    """
    if height_frac <= first_frac:
        return 1.0
    ends = practice.get("reach", "ends_frac").number
    left = max(
        1.0 - (height_frac - first_frac) / (ends - first_frac), practice.get("reach", "least_frac").number
    )
    return float(left ** practice.get("reach", "exponent").number)


def _sizes(each: TapeBranch, tape: Tape, usual: tuple[Table, str], luck: Luck) -> tuple[float, float]:
    """Diameter and length: as measured, else by the usual share, drawn from its range."""
    practice, key = usual
    frac = each.height_mm / tape.height_mm
    first_frac = practice.get(key, "first_branch_frac").number
    reach = reach_frac(practice, frac, first_frac)
    thins = practice.get("reach", "thickness_exponent").number
    least_frac = practice.get("reach", "least_length_frac").number
    diameter_mm = each.diameter_mm
    if diameter_mm is None:
        share = _drawn(practice, key, "branch_to_trunk_frac", luck)
        diameter_mm = max(_trunk_mm(tape, each.height_mm) * share * reach**thins, 1.0)
    length_mm = each.length_mm
    if length_mm is None:
        share = _drawn(practice, key, "half_spread_frac", luck)
        length_mm = max(tape.height_mm * share * reach, least_frac * tape.height_mm, 5.0)
    return diameter_mm, length_mm


def _drawn(practice: Table, key: str, parameter: str, luck: Luck) -> float:
    """A triangular draw over the range of a row."""
    row = practice.get(key, parameter)
    low = row.number if row.low is None else float(row.low)
    high = row.number if row.high is None else float(row.high)
    peak, share = row.number, luck.between(0.0, 1.0)
    if high <= low:
        return peak
    if share < (peak - low) / (high - low):
        return low + math.sqrt(share * (high - low) * (peak - low))
    return high - math.sqrt((1.0 - share) * (high - low) * (high - peak))


def _trunk_mm(tape: Tape, height_mm: float) -> float:
    """Thickness of the trunk at a height: between girths in proportion, thinning evenly above the last."""
    heights = [each.at_mm for each in tape.girths] + [tape.height_mm]
    widths = [each.diameter_mm for each in tape.girths] + [0.08 * tape.girths[-1].diameter_mm]
    return float(np.interp(height_mm, heights, widths))


def _free_clock(
    practice: Table, heights_mm: tuple[float, float], taken: list[tuple[float, float]], luck: Luck
) -> float:
    """The freest of a few drawn clock positions for a branch at a height of a tree of a height."""
    at_mm, tree_mm = heights_mm
    near_mm = practice.get("side", "near_frac").number * tree_mm
    front, front_clock = (practice.get("side", name).number for name in ("front_weight_ratio", "front_clock"))

    def crowding(clock: float) -> float:
        near = sum(
            max(0.0, 1.0 - abs(other_mm - at_mm) / near_mm) * (1.0 - hours_apart(clock, other) / 6.0)
            for other_mm, other in taken
        )
        return near + front * max(0.0, 1.0 - hours_apart(clock, 6.0) / front_clock)

    tries = round(practice.get("side", "tries").number)
    return min((luck.between(0.0, float(SECTORS)) for _try in range(tries)), key=crowding)
