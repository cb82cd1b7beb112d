"""The branches of a tree with their share of the whole, and how finely it is branched."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import FloatArray, IntArray
from ringwise.structure.measured import How, MeasuredTree
from ringwise.structure.measures import axis_length_mm, branch_feet, heading, wood_mm3
from ringwise.structure.measuring_data import measuring
from ringwise.structure.orders import axes_of, gravelius_order, strahler_order
from ringwise.structure.table import SegmentTable
from ringwise.structure.tape import clock_of
from ringwise.structure.topology import sum_to_tips, tip_count


@dataclass(frozen=True)
class Branch:
    """A branch: place, direction, size, share of the tree, each with its spread (NaN: nobody can say).

    `parent` is the place of the branch it springs from in the list, -1 the trunk; `trunk_mm` the thickness
    of the wood that bears it; `order` counts from the trunk (Gravelius). `azimuth_deg` is where its wood
    lies, from above from +x (the right) anticlockwise; `heading_deg` the way it goes near its base, seen so,
    and `angle_deg` that to the upright there. `length_mm` is that of its axis, without its side shoots.
    """

    row: int
    parent: int
    order: int
    strahler: int
    height_mm: float
    height_sd_mm: float
    clock: float
    azimuth_deg: float
    azimuth_sd_deg: float
    heading_deg: float
    angle_deg: float
    angle_sd_deg: float
    base_diameter_mm: float
    base_diameter_sd_mm: float
    trunk_mm: float
    length_mm: float
    length_sd_mm: float
    tips: int
    wood_frac: float
    tips_frac: float


def branches(
    measured: MeasuredTree, *, most_order: int | None = None, twigs: bool = False
) -> tuple[Branch, ...]:
    """All branches that are thick enough to be called so, each after the one it springs from.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    most_order : int, optional
        1 for the branches of the trunk alone.
    twigs : bool
        Also what is thinner than a branch.

    Returns
    -------
    tuple of Branch
        Of the trunk's branches the lowest first, each followed by its own.

    Source
    ------
    gravelius1914 for the orders; thickness and share own.

    Examples
    --------
    >>> from ringwise.structure.measured import attach, measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=4.0))
    >>> tree = attach(attach(stem, stem, 0), stem, 0)
    >>> [(each.height_mm, round(each.wood_frac, 3)) for each in branches(tree)]
    [(40.0, 0.283)]
    """
    table = measured.table
    sums = _Sums.of(table)
    feet = branch_feet(table, twigs=twigs)
    if most_order is not None:
        feet = feet[sums.order[feet] <= most_order]
    bearer = _bearers(table, feet)
    place: dict[int, int] = {}
    for foot in _in_reading_order(table, bearer):
        place[foot] = len(place)
    return tuple(_branch(measured, sums, foot, place.get(bearer[foot], -1)) for foot in place)


@dataclass(frozen=True)
class _Sums:
    """What every branch needs of the whole tree."""

    order: IntArray
    strahler: IntArray
    tips: IntArray
    axis_mm: FloatArray
    wood_mm3: FloatArray
    centre_mm: FloatArray

    @staticmethod
    def of(table: SegmentTable) -> _Sums:
        weight = table.length_mm.astype(np.float64)
        centre = np.stack([sum_to_tips(table.parent, table.end_mm[:, a] * weight) for a in (0, 1)], axis=1)
        return _Sums(
            gravelius_order(table),
            strahler_order(table),
            tip_count(table),
            axis_length_mm(table),
            sum_to_tips(table.parent, wood_mm3(table)),
            centre / sum_to_tips(table.parent, weight)[:, None],
        )


def _bearers(table: SegmentTable, feet: IntArray) -> dict[int, int]:
    """For the foot of each branch that of the listed one it springs from; the trunk's is 0."""
    axis, parent = axes_of(table), table.parent.astype(np.int64)
    out: dict[int, int] = {}
    listed = {0, *feet.tolist()}
    for foot in feet.tolist():
        below = int(axis[parent[foot]])
        while below not in listed:
            below = int(axis[parent[below]])
        out[foot] = below
    return out


def _in_reading_order(table: SegmentTable, bearer: dict[int, int]) -> list[int]:
    """Branches of the trunk from the lowest up, each followed by its own branches."""
    borne: dict[int, list[int]] = {}
    for foot in sorted(bearer, key=lambda each: -float(table.start_mm[each, 2])):
        borne.setdefault(bearer[foot], []).append(foot)
    out: list[int] = []
    waiting = borne.get(0, [])
    while waiting:
        out.append(waiting.pop())
        waiting += borne.get(out[-1], [])
    return out


def _branch(measured: MeasuredTree, sums: _Sums, foot: int, parent: int) -> Branch:
    table = measured.table
    way = heading(table, foot)
    side = sums.centre_mm[foot] - table.start_mm[foot, :2]
    out_mm = max(float(np.hypot(*side)), 1e-6)
    own_mm = float(measured.position_sd_mm[foot])
    below = int(table.parent[foot])
    foot_mm = float(measured.position_sd_mm[below])
    by_eye = measured.how[foot] == How.CALLIPER
    clock_sd_deg = measuring("reading", "clock_sd_deg") if by_eye else 0.0
    wood, tips = sums.wood_mm3, sums.tips
    return Branch(
        row=foot,
        parent=parent,
        order=int(sums.order[foot]),
        strahler=int(sums.strahler[foot]),
        height_mm=float(table.start_mm[foot, 2]),
        height_sd_mm=foot_mm,
        clock=clock_of(float(side[0]), float(side[1])),
        azimuth_deg=_from_right_deg(side),
        azimuth_sd_deg=math.hypot(math.degrees(math.atan2(own_mm, out_mm)), clock_sd_deg),
        heading_deg=_from_right_deg(way),
        angle_deg=math.degrees(math.acos(min(1.0, max(-1.0, float(way[2] / np.linalg.norm(way)))))),
        angle_sd_deg=math.degrees(math.atan2(own_mm, float(np.linalg.norm(way)))),
        base_diameter_mm=float(table.diameter_mm[foot]),
        base_diameter_sd_mm=2.0 * float(measured.radius_sd_mm[foot]),
        trunk_mm=float(table.end_diameter_mm[below]),
        length_mm=float(sums.axis_mm[foot]),
        length_sd_mm=math.hypot(own_mm, foot_mm),
        tips=int(tips[foot]),
        wood_frac=float(wood[foot] / wood[0]),
        tips_frac=float(tips[foot] / tips[0]),
    )


def _from_right_deg(way: FloatArray) -> float:
    """A way seen from above, from +x anticlockwise."""
    return math.degrees(math.atan2(float(way[1]), float(way[0]))) % 360.0


@dataclass(frozen=True)
class Ramification:
    """How finely a tree is branched: streams of each Strahler order and shoots of each Gravelius order.

    `bifurcation_ratio` is the mean factor from one Strahler order to the next, None for a single line;
    `internode_mm` the median way between the forks of last-order shoots, None where there are none.
    """

    strahler_counts: tuple[int, ...]
    gravelius_counts: tuple[int, ...]
    gravelius_lengths_mm: tuple[float, ...]
    bifurcation_ratio: float | None
    tips: int
    total_length_mm: float
    internode_mm: float | None


def ramification(table: SegmentTable) -> Ramification:
    """How finely a tree is branched.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    Ramification
        Orders count from 1 (Strahler) and from 0, the trunk (Gravelius).

    Source
    ------
    strahler1957 and gravelius1914 for the orders, horton1945 for the bifurcation ratio, from memory.

    Examples
    --------
    >>> from ringwise.structure.surgery import attach
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> ramification(attach(attach(stem, stem, 0), stem, 0)).strahler_counts
    (2, 1)
    """
    parent = table.parent.astype(np.int64)
    strahler, gravelius = strahler_order(table), gravelius_order(table)
    above = np.where(parent >= 0, strahler[parent], 0)
    starts = strahler[above != strahler]
    counts = np.bincount(starts)[1:]
    axes = gravelius[axes_of(table) == np.arange(table.n)]
    length = table.length_mm.astype(np.float64)
    top = len(counts)
    return Ramification(
        strahler_counts=tuple(int(each) for each in counts),
        gravelius_counts=tuple(int(each) for each in np.bincount(axes)),
        gravelius_lengths_mm=tuple(float(each) for each in np.bincount(gravelius, weights=length)),
        bifurcation_ratio=float((counts[0] / counts[-1]) ** (1.0 / (top - 1))) if top > 1 else None,
        tips=int(tip_count(table)[0]),
        total_length_mm=float(length.sum()),
        internode_mm=_internode_mm(table, strahler),
    )


def _internode_mm(table: SegmentTable, strahler: IntArray) -> float | None:
    """Median way from a fork to the tip over all last shoots of a branched tree."""
    tips = np.nonzero(table.continued_by < 0)[0]
    if strahler[0] < 2:
        return None
    length = table.length_mm.astype(np.float64)
    ways = []
    for tip in tips.tolist():
        row, way_mm = tip, 0.0
        while row >= 0 and strahler[row] == 1:
            way_mm += float(length[row])
            row = int(table.parent[row])
        ways.append(way_mm)
    return float(np.median(ways))
