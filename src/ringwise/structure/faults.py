"""What the trade calls faults, each found by a rule whose threshold stands in the table `faults`.

Common practice all of it: a fault names what a judge would point at, not what must go. A tree may carry
one for a reason, and nothing here counts them up.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from ringwise.kit.tables import load_table
from ringwise.structure.branching import Branch
from ringwise.structure.crossings import crossings
from ringwise.structure.measured import MeasuredTree
from ringwise.structure.measures import base_row
from ringwise.structure.movement import Movement
from ringwise.structure.roots import TracedRoot
from ringwise.structure.tape import hours_apart
from ringwise.structure.trunk_profile import thickenings
from ringwise.structure.wound_list import Wound

FRONT_CLOCK = 6.0


@dataclass(frozen=True)
class Fault:
    """A fault: its kind, the segments concerned, where it is. `clock` is None where it has no direction."""

    kind: str
    rows: tuple[int, ...]
    height_mm: float
    clock: float | None = None


@dataclass(frozen=True)
class Seen:
    """What the rules look at: the tree, its branches from the lowest up, its trunk, wounds and roots.

    Rules about the way that wood takes need `lines_seen`: a tape knows where a branch begins, not where it
    goes, and what luck drew between two readings is no fault of the tree.
    """

    measured: MeasuredTree
    branches: tuple[Branch, ...]  # of the trunk
    movement: Movement
    height_mm: float
    wounds: tuple[Wound, ...] = ()
    root_sectors: tuple[bool, ...] | None = None
    lines_seen: bool = True
    roots: tuple[TracedRoot, ...] = ()

    @property
    def below_apex(self) -> tuple[Branch, ...]:
        """The branches that are judged one by one; what stands in the apex is its crown."""
        top_mm = limit("bar", "top_frac") * self.height_mm
        return tuple(each for each in self.branches if each.height_mm < top_mm)


def limit(kind: str, parameter: str) -> float:
    """A threshold of the table `faults`.

    Parameters
    ----------
    kind, parameter : str
        Of its row.

    Returns
    -------
    float
        Its value.

    Source
    ------
    practice: table `faults`.

    Examples
    --------
    >>> limit("thick_high", "over_ratio")
    1.2
    """
    return load_table("ringwise.structure", "faults").get(kind, parameter).number


def faults(seen: Seen) -> tuple[Fault, ...]:
    """The faults of a tree by rule, from the lowest up.

    Parameters
    ----------
    seen : Seen
        What the rules look at.

    Returns
    -------
    tuple of Fault
        Empty where no rule points at anything.

    Source
    ------
    practice: the trade's list of faults; thresholds in the table `faults`.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.movement import movement
    >>> from ringwise.structure.table import single_segment
    >>> pole = single_segment(length_mm=40.0, diameter_mm=4.0)
    >>> [each.kind for each in faults(Seen(measured_of(pole), (), movement(pole), 40.0))]
    ['straight']
    """
    rules = (*_RULES, *_LINE_RULES) if seen.lines_seen else _RULES
    found = [fault for rule in rules for fault in rule(seen)]
    return tuple(sorted(found, key=lambda fault: (fault.height_mm, fault.kind)))


def _levels(seen: Seen) -> list[list[Branch]]:
    """Branches below the apex in groups that leave the trunk on one level."""
    low = seen.below_apex
    apart_mm = limit("bar", "level_frac") * seen.height_mm
    groups: list[list[Branch]] = []
    for branch in low:
        if groups and branch.height_mm - groups[-1][0].height_mm <= apart_mm:
            groups[-1].append(branch)
        else:
            groups.append([branch])
    return groups


def _bars(seen: Seen) -> list[Fault]:
    wide = limit("bar", "opposite_deg")
    return [
        Fault("bar", (one.row, other.row), one.height_mm, one.clock)
        for group in _levels(seen)
        if len(group) < limit("wheel", "branches")
        for one, other in _pairs(group)
        if _apart_deg(one.azimuth_deg, other.azimuth_deg) > wide
    ]


def _wheels(seen: Seen) -> list[Fault]:
    return [
        Fault("wheel", tuple(each.row for each in group), group[0].height_mm)
        for group in _levels(seen)
        if len(group) >= limit("wheel", "branches")
    ]


def _parallels(seen: Seen) -> list[Fault]:
    gap_mm = limit("parallel", "gap_frac") * seen.height_mm
    level_mm = limit("bar", "level_frac") * seen.height_mm
    return [
        Fault("parallel", (one.row, other.row), one.height_mm, one.clock)
        for one, other in _pairs(seen.below_apex)
        if level_mm < abs(one.height_mm - other.height_mm) <= gap_mm
        and _apart_deg(one.azimuth_deg, other.azimuth_deg) <= limit("parallel", "apart_deg")
        and abs(one.angle_deg - other.angle_deg) <= limit("parallel", "tilt_deg")
    ]


def _crossings(seen: Seen) -> list[Fault]:
    heads = [each.row for each in seen.branches]
    table = seen.measured.table
    least_mm = limit("crossing", "least_frac") * float(table.diameter_mm[0])
    found = crossings(table, heads, gap_mm=limit("crossing", "gap_mm"), least_mm=least_mm)
    return [Fault("crossing", rows, float(table.start_mm[rows[0], 2])) for rows in found]


def _inner(seen: Seen) -> list[Fault]:
    near_mm = limit("inner", "near_frac") * seen.height_mm
    within = limit("inner", "within_deg")
    out = []
    for turn in seen.movement.turns:
        if turn.turn_deg < limit("inner", "turn_deg"):
            continue
        for branch in seen.below_apex:
            off_deg = _apart_deg(branch.azimuth_deg, turn.inside_deg)
            if abs(branch.height_mm - turn.height_mm) <= near_mm and off_deg <= within:
                out.append(Fault("inner", (branch.row,), branch.height_mm, branch.clock))
    return out


def _against_style(seen: Seen) -> list[Fault]:
    count = int(limit("against_style", "neighbours"))
    judged = seen.below_apex
    if len(judged) <= count:
        return []
    out = []
    for branch in judged:
        others = sorted(
            (each for each in judged if each is not branch),
            key=lambda each: abs(each.height_mm - branch.height_mm),
        )[:count]
        usual_deg = float(np.median([each.angle_deg for each in others]))
        if abs(branch.angle_deg - usual_deg) > limit("against_style", "off_deg"):
            out.append(Fault("against_style", (branch.row,), branch.height_mm, branch.clock))
    return out


def _thick_high(seen: Seen) -> list[Fault]:
    over, thinnest, out = limit("thick_high", "over_ratio"), math.inf, []
    below: Branch | None = None
    for branch in seen.below_apex:
        if below is not None and branch.base_diameter_mm > over * thinnest:
            rows = (branch.row, below.row)
            out.append(Fault("thick_high", rows, branch.height_mm, branch.clock))
        if branch.base_diameter_mm < thinnest and _is_main(branch, seen):
            thinnest, below = branch.base_diameter_mm, branch
    return out


def _is_main(branch: Branch, seen: Seen) -> bool:
    """Whether branches above one are held against it: a thin shoot among them is none."""
    widths = [each.base_diameter_mm for each in seen.below_apex]
    return branch.base_diameter_mm >= limit("thick_high", "main_frac") * float(np.median(widths))


def _thick_branches(seen: Seen) -> list[Fault]:
    most = limit("thick_branch", "to_trunk_ratio")
    return [
        Fault("thick_branch", (branch.row,), branch.height_mm, branch.clock)
        for branch in seen.below_apex
        if branch.base_diameter_mm > most * branch.trunk_mm
    ]


def _inverse_taper(seen: Seen) -> list[Fault]:
    found = thickenings(seen.measured, least_frac=limit("inverse_taper", "least_frac"))
    return [Fault("inverse_taper", each.rows, each.from_mm) for each in found]


def _straight(seen: Seen) -> list[Fault]:
    moves = seen.movement
    if moves.longest_frac <= limit("straight", "stretch_frac"):
        return []
    place = int(np.argmax(moves.stretches_mm))
    from_mm = moves.turns[place - 1].height_mm if place else 0.0
    rows = (moves.turns[place - 1].row,) if place else (0,)
    return [Fault("straight", rows, from_mm)]


def _front_scars(seen: Seen) -> list[Fault]:
    within = limit("front_scar", "within_clock")
    return [
        Fault("front_scar", (), wound.latest.at_mm, wound.latest.clock)
        for wound in seen.wounds
        if wound.is_open
        and wound.latest.clock is not None
        and hours_apart(wound.latest.clock, FRONT_CLOCK) <= within
    ]


def _one_sided(seen: Seen) -> list[Fault]:
    sectors = seen.root_sectors
    if sectors is None or not any(sectors):
        return []
    longest, run, end = 0, 0, 0
    for place, filled in enumerate((*sectors, *sectors)):
        run = 0 if filled else run + 1
        if run > longest:
            longest, end = run, place
    if longest < limit("one_sided", "empty_sectors"):
        return []
    middle = (end - (longest - 1) / 2.0 + 1.0) % 12.0
    return [Fault("one_sided", (), 0.0, middle or 12.0)]


def _reverse_roots(seen: Seen) -> list[Fault]:
    """Roots that run back towards the trunk or across it; a cut one runs nowhere."""
    table = seen.measured.table
    least_mm = limit("reverse_root", "least_ratio") * float(table.diameter_mm[base_row(table)])
    return [
        Fault("reverse_root", (), 0.0, each.from_clock)
        for each in seen.roots
        if not each.cut
        and each.reach_mm >= least_mm
        and each.turned_deg >= limit("reverse_root", "turned_deg")
    ]


_RULES: tuple[Callable[[Seen], list[Fault]], ...] = (
    _bars,
    _wheels,
    _parallels,
    _thick_high,
    _thick_branches,
    _inverse_taper,
    _front_scars,
    _one_sided,
    _reverse_roots,
)
_LINE_RULES: tuple[Callable[[Seen], list[Fault]], ...] = (_crossings, _inner, _against_style, _straight)


def _pairs(group: Sequence[Branch]) -> list[tuple[Branch, Branch]]:
    return [(one, other) for place, one in enumerate(group) for other in group[place + 1 :]]


def _apart_deg(azimuth_deg: float, other_deg: float) -> float:
    off = abs(azimuth_deg - other_deg) % 360.0
    return min(off, 360.0 - off)
