"""Limbs as a table of segments with the spread of every radius and place."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.structure.measured import How, MeasuredTree, checked_measured
from ringwise.structure.polyline import places_at
from ringwise.structure.section import Section
from ringwise.structure.table import Flag, SegmentTable
from ringwise.structure.turntable.limbs import Limb

_SHORTEST = 1e-3  # of the median step: nodes nearer than this become one


@dataclass
class _Columns:
    parent: list[int]
    order: list[int]
    step: list[FloatArray]
    radius: list[float]
    sd: list[float]
    how: list[int]


def tree_of(
    limbs: list[Limb],
    filled: list[BoolArray],
    sections: tuple[Section, ...],
    position_sd_mm: float,
) -> MeasuredTree:
    """The table of all limbs, trunk first, each limb after its parent.

    Parameters
    ----------
    limbs : list of Limb
        Joined and with fitted radii; the trunk is the first.
    filled : list of (n,) bool
        Which radii of each limb were filled.
    sections : tuple of Section
        Of the trunk.
    position_sd_mm : float
        Spread of a node's place along one axis.

    Returns
    -------
    MeasuredTree
        Checked.

    Source
    ------
    own.

    Examples
    --------
    >>> up = np.array([[0, 0, 0.0], [0, 0, 5], [0, 0, 9]])
    >>> one = Limb(up, np.array([3, 2, 2.0]), np.full(3, 0.1), np.ones(3, bool))
    >>> tree = tree_of([one], [np.zeros(3, bool)], (), 0.1)
    >>> tree.n, tree.table.diameter_mm.round(3).tolist()
    (2, [6.0, 4.0])
    """
    columns = _Columns([], [], [], [], [], [])
    children: list[list[int]] = [[] for _limb in limbs]
    for row, limb in enumerate(limbs):
        if limb.parent >= 0:
            children[limb.parent].append(row)
    step = float(np.median(np.concatenate([np.diff(each.arc_mm) for each in limbs])))
    todo: list[tuple[int, int, int, FloatArray | None]] = [(0, -1, 0, None)]
    while todo:
        row, below, order, foot = todo.pop()
        limb = limbs[row]
        feet = np.array([limbs[each].foot_mm for each in children[row]])
        ends = _add(columns, limb, filled[row], (below, order, foot, _SHORTEST * step), feet)
        for child, (segment, place) in zip(children[row], ends, strict=True):
            todo.append((child, segment, order + 1, place))
    x, y, z = (float(each) for each in limbs[0].points_mm[0])
    return checked_measured(
        MeasuredTree(
            _table(columns),
            np.array(columns.sd),
            np.full(len(columns.sd), position_sd_mm),
            np.array(columns.how),
            sections,
            (x, y, z),
        )
    )


def _table(columns: _Columns) -> SegmentTable:
    way = np.array(columns.step)
    size = np.linalg.norm(way, axis=1)
    n = len(size)
    order_of = np.array(columns.order)
    wood = math.pi * np.array(columns.radius) ** 2
    return SegmentTable(
        parent=np.array(columns.parent),
        order=order_of,
        born=np.zeros(n),
        length_mm=size,
        direction=way / size[:, None],
        wood_mm2=wood,
        sapwood_mm2=wood,
        leaf_cm2=np.zeros(n),
        buds=np.zeros(n),
        clone=np.zeros(n),
        flags=np.where(order_of == 0, int(Flag.TRUNK | Flag.MEASURED), int(Flag.MEASURED)),
        basis="turntable",
    )


def _add(
    columns: _Columns,
    limb: Limb,
    filled: BoolArray,
    start: tuple[int, int, FloatArray | None, float],
    feet: FloatArray,
) -> list[tuple[int, FloatArray]]:
    """Add a limb's segments, with a node at each foot of a child; say on which segment's end each foot is."""
    below, order, foot, shortest = start
    arc = limb.arc_mm
    low = 2.0 * shortest
    at = np.unique(np.concatenate([arc, np.clip(feet, min(low, arc[-1]), arc[-1])]))
    at = at[np.concatenate([[True], np.diff(at) > shortest])]
    points = places_at(limb.points_mm, arc, at)
    if foot is not None:
        points[0] = foot
    radius, sd = np.interp(at, arc, limb.radius_mm), np.interp(at, arc, limb.sd_mm)
    nearest = np.clip(np.searchsorted(arc, at), 0, len(arc) - 1)
    first = len(columns.parent)
    for node in range(len(at) - 1):
        columns.parent.append(below if node == 0 else first + node - 1)
        columns.order.append(order)
        columns.step.append(points[node + 1] - points[node])
        columns.radius.append(float(radius[node]))
        columns.sd.append(float(sd[node]))
        columns.how.append(int(How.FILLED if filled[nearest[node]] else How.IMAGE))
    ends = []
    for each in feet:
        node = max(int(np.argmin(np.abs(at - each))), 1)
        ends.append((first + node - 1, points[node]))
    return ends
