"""From a tape to a tree: several equally likely ones, each with what was measured and luck in between."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from ringwise.kit.types import FloatArray, IntArray
from ringwise.structure.forms import TreeForm
from ringwise.structure.orders import gravelius_order, strahler_order
from ringwise.structure.ramify import PIECE_FRAC, UP, Axis, Luck, Wood, ramify, unit
from ringwise.structure.table import Flag, SegmentTable, checked
from ringwise.structure.tape import Tape, clock_direction
from ringwise.structure.tape_sure import SureBranch, SureTape, sure
from ringwise.structure.topology import sum_to_tips, tip_count
from ringwise.structure.trunk_line import (
    apex_base_mm,
    bend_points,
    offset_at,
    trunk_diameter_mm,
    trunk_heights,
)

TRUNK = -1  # the trunk's own number among branches
THINNEST_DELTA, THICKEST_DELTA = 1.6, 2.6  # pipe exponents between which a branch is still believed
APEX_TAPER = 1.05  # how the trunk thins from its last girth to the apex; form only
BROOM_SHARE = 0.42  # thickness of a broom's middle limb against its trunk; form only
GUESSED_TIPS_FRAC = 0.85  # of what the pipe rule would carry, where nobody counted: pruned trees carry less
CLOSEST_TIPS_MM = (
    3.5,
    8.0,
)  # spacing of tips along a branch that leaves no room for more: small and large trees
SPACING_FRAC = 0.045  # of the branch's length, between those two
CROWDING = 1.45  # tips along a branch grow faster than its length, since side shoots lengthen too
USUAL_ANGLES_DEG = {
    "rising": (84.0, 40.0),
    "level": (97.0, 62.0),
    "broom": (50.0, 24.0),
}  # low to high on the tree
ROUNDING_MM = 0.01  # ends are sums of float32 lengths


@dataclass(frozen=True)
class Limb:
    """A branch or the apex, with its unknowns filled in: tips, thickness of a tip, pipe exponent."""

    branch: SureBranch
    tips: int
    tip_mm: float
    pipe_index: float


def tree_from_tape(
    tape: Tape, *, seed: int, form: TreeForm | None = None, born_year: int = 0, leaf_cm2: float | None = None
) -> SegmentTable:
    """One of the equally likely trees that a tape describes.

    Parameters
    ----------
    tape : Tape
        What was measured.
    seed : int
        Which of the likely trees; the same seed gives the same tree.
    form : TreeForm, optional
        Habit of the species.
    born_year : int
        Growing year of the youngest shoots.
    leaf_cm2 : float, optional
        Leaf area of one tip in cm2; by default that of the form.

    Returns
    -------
    SegmentTable
        Basis "tape"; height, girths, branch bases and tips as measured, the rest drawn by luck: sizes that
        the tape leaves open, angles, bends between what was measured, forks.

    Raises
    ------
    StructureError
        If the tape cannot make a tree.

    Source
    ------
    shinozaki1964: pipe rule for the thickness of forks; bends and forks are own reasoning.

    Examples
    --------
    >>> from ringwise.structure.tape import TapeBranch, TapeGirth
    >>> tape = Tape(400.0, (TapeGirth(0.0, 157.0),), (TapeBranch(140.0, 9.0, 14.0, 150.0, 30),))
    >>> table = tree_from_tape(tape, seed=1)
    >>> round(float(table.end_mm[:, 2].max()), 3)
    400.0
    """
    form = form or TreeForm()
    known = sure(tape, form, seed=seed)
    wood, limbs = _draw(known, form, seed)
    draft = _draft(wood, _pressed_to_height(wood, limbs, tape.height_mm))
    tips = tip_count(draft)
    return checked(
        _finished(
            draft, known, _Tips(limbs, np.array(wood.branch), tips), born_year, leaf_cm2 or form.leaf_cm2
        )
    )


@dataclass(frozen=True)
class _Tips:
    """What thickness needs to know: limbs, the limb of each row, the tips above each row."""

    limbs: tuple[Limb, ...]
    limb_of: IntArray
    count: IntArray


def _draw(tape: SureTape, form: TreeForm, seed: int) -> tuple[Wood, tuple[Limb, ...]]:
    """The wood of trunk, branches and apex, before heights are made to fit."""
    luck, wood = Luck(seed, TRUNK), Wood()
    top_mm = apex_base_mm(tape, form)
    heights = trunk_heights(tape, top_mm)
    offsets = offset_at(heights, *bend_points(tape, form, luck))
    row = -1
    for height, offset in zip(heights, offsets, strict=True):
        row = wood.add(row, np.array([*offset, height]), TRUNK, 0)
    limbs = tuple(limb(each, form) for each in (*tape.branches, _apex(tape, form, top_mm)))
    for number, each in enumerate(limbs):
        own = Luck(seed, number)
        is_apex = number == len(tape.branches)
        at = int(np.argmin(np.abs(heights - each.branch.height_mm)))
        heading = (
            unit(wood.end_of(row) - wood.end_of(row - 1)) if is_apex else _heading(each, tape, form, own)
        )
        length_mm = each.branch.length_mm
        piece_mm = max(4.0, min(12.0, PIECE_FRAC * length_mm))
        axis = Axis(at, heading, length_mm, each.tips, number, 0 if is_apex else 1, piece_mm)
        ramify(wood, axis, replace(form, clear_frac=0.12) if is_apex else form, own)
    return wood, limbs


def _apex(tape: SureTape, form: TreeForm, top_mm: float) -> SureBranch:
    """The apex as if it were a branch that stands on the end of the trunk."""
    last = tape.girths[-1]
    left = (tape.height_mm - top_mm) / (tape.height_mm - last.at_mm)
    thin_mm = last.diameter_mm * (left**APEX_TAPER if form.posture != "broom" else BROOM_SHARE)
    diameter_mm = max(thin_mm, min(form.tip_mm, last.diameter_mm))
    return SureBranch(top_mm, 12.0, diameter_mm, max(tape.height_mm - top_mm, 4.0), tape.apex_tips)


def limb(branch: SureBranch, form: TreeForm) -> Limb:
    """A branch with its unknowns filled in from the pipe rule.

    Parameters
    ----------
    branch : SureBranch
        As measured.
    form : TreeForm
        Thickness of a twig.

    Returns
    -------
    Limb
        Tips and the exponent that joins the base to the tips, kept where the pipe rule is believed;
        beyond that the tips are drawn thicker or thinner than the form says.

    Source
    ------
    shinozaki1964: d(base)^Delta = tips d(tip)^Delta, Delta about 2.

    Examples
    --------
    >>> limb(SureBranch(140.0, 9.0, 8.0, 150.0, 16), TreeForm(tip_mm=2.0)).pipe_index
    2.0
    """
    ratio = branch.diameter_mm / form.tip_mm
    closest_mm = min(max(SPACING_FRAC * branch.length_mm, CLOSEST_TIPS_MM[0]), CLOSEST_TIPS_MM[1])
    most = max(1, int((branch.length_mm / closest_mm) ** CROWDING))
    tips = branch.tips or max(1, min(round(GUESSED_TIPS_FRAC * ratio**2), most))
    if tips == 1:
        return Limb(branch, 1, branch.diameter_mm, 2.0)
    pipe_index = math.log(tips) / math.log(ratio) if ratio > 1.0 else THICKEST_DELTA
    pipe_index = min(max(pipe_index, THINNEST_DELTA), THICKEST_DELTA)
    return Limb(branch, tips, branch.diameter_mm / tips ** (1.0 / pipe_index), pipe_index)


def _heading(each: Limb, tape: SureTape, form: TreeForm, luck: Luck) -> FloatArray:
    """Which way a branch leaves the trunk: its clock, and its measured or usual angle to the upright."""
    angle_deg = each.branch.angle_deg
    if angle_deg is None:
        low_deg, high_deg = USUAL_ANGLES_DEG[form.posture]
        frac = each.branch.height_mm / tape.height_mm
        angle_deg = low_deg + (high_deg - low_deg) * frac + luck.between(-7.0, 7.0)
    angle = math.radians(angle_deg)
    return math.sin(angle) * clock_direction(each.branch.clock) + math.cos(angle) * UP


def _pressed_to_height(wood: Wood, limbs: tuple[Limb, ...], height_mm: float) -> FloatArray:
    """Ends of the segments with the apex stretched to the measured height and no branch above it."""
    ends, limb_of = np.array(wood.end_mm), np.array(wood.branch)
    for number, each in enumerate(limbs):
        rows = limb_of == number
        base_mm, top_mm = each.branch.height_mm, float(ends[rows, 2].max())
        if number == len(limbs) - 1 or top_mm > height_mm:
            ends[rows, 2] = base_mm + (ends[rows, 2] - base_mm) * (height_mm - base_mm) / (top_mm - base_mm)
    return ends


def _draft(wood: Wood, ends: FloatArray) -> SegmentTable:
    """The table with its geometry, and thickness still to come."""
    parent = np.array(wood.parent)
    steps = ends - np.where((parent >= 0)[:, None], ends[parent], 0.0)
    length = np.linalg.norm(steps, axis=1)
    n = len(parent)
    return SegmentTable(
        parent=parent,
        order=np.array(wood.order),
        born=np.zeros(n),
        length_mm=length,
        direction=steps / length[:, None],
        wood_mm2=np.ones(n),
        sapwood_mm2=np.ones(n),
        leaf_cm2=np.zeros(n),
        buds=np.ones(n),
        clone=np.zeros(n),
        flags=np.zeros(n),
        basis="tape",
    )


def _finished(
    draft: SegmentTable, tape: SureTape, tips: _Tips, born_year: int, leaf_cm2: float
) -> SegmentTable:
    """The table with thickness, live wood, leaves and the years its shoots are taken to be from."""
    diameter, tip_mm = _diameters_mm(draft, tape, tips)
    is_tip = draft.continued_by < 0
    tip_area = np.where(is_tip, np.pi / 4.0 * tip_mm**2, 0.0)
    wood_mm2 = np.pi / 4.0 * diameter**2
    measured = (tips.limb_of == TRUNK) & (draft.start_mm[:, 2] <= tape.girths[-1].at_mm + ROUNDING_MM)
    below_girths = (tips.limb_of == TRUNK) & (draft.end_mm[:, 2] <= tape.girths[0].at_mm + ROUNDING_MM)
    flags = (
        draft.flags | np.where(measured, int(Flag.MEASURED), 0) | np.where(below_girths, int(Flag.FLARE), 0)
    )
    table = replace(
        draft,
        wood_mm2=wood_mm2,
        sapwood_mm2=np.minimum(wood_mm2, sum_to_tips(draft.parent, tip_area)),
        leaf_cm2=np.where(is_tip, leaf_cm2, 0.0),
        flags=flags,
    )
    order = gravelius_order(table)
    trunk = np.where(order == 0, int(Flag.TRUNK), 0)
    return replace(table, order=order, flags=flags | trunk, born=born_year + 1 - strahler_order(table))


def _diameters_mm(draft: SegmentTable, tape: SureTape, tips: _Tips) -> tuple[FloatArray, FloatArray]:
    """Diameter of every segment, and of the tips of the limb it belongs to."""
    tip_mm = np.array([each.tip_mm for each in tips.limbs])[tips.limb_of]
    pipe_index = np.array([each.pipe_index for each in tips.limbs])[tips.limb_of]
    diameter = tip_mm * tips.count ** (1.0 / pipe_index)
    apex = tips.limbs[-1].branch
    trunk = tips.limb_of == TRUNK
    heights = draft.start_mm[trunk, 2]
    top = (apex.height_mm, apex.diameter_mm)
    diameter[trunk] = trunk_diameter_mm(heights, tape, top, tape.taper_index)
    return diameter, tip_mm
