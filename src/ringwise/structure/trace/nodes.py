"""Traced branches as one table: nodes along each axis, forks on the parent's, thickness at each node."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.structure.forms import TreeForm
from ringwise.structure.measured import How, MeasuredTree, checked_measured
from ringwise.structure.orders import strahler_order
from ringwise.structure.polyline import places_at
from ringwise.structure.section import Section, section_of
from ringwise.structure.table import Flag, SegmentTable
from ringwise.structure.tape import clock_direction
from ringwise.structure.topology import sum_to_tips
from ringwise.structure.trace.axes import Axis
from ringwise.structure.trace.limbs import Limb
from ringwise.structure.trace.rules import TraceRules

_OUTLINE = 48  # radii of a section
_SIDEWAYS_CLOCK = 3.0


@dataclass(frozen=True)
class _Nodes:
    """Nodes of one limb from its foot on, and how far along the axis each lies (the foot at less than 0)."""

    points_mm: FloatArray
    at_mm: FloatArray


def table_of(
    limbs: Sequence[Limb], form: TreeForm, born_year: int, rules: TraceRules
) -> tuple[MeasuredTree, list[int]]:
    """The measured tree of traced branches.

    Parameters
    ----------
    limbs : sequence of Limb
        Parents first, radii everywhere.
    form : TreeForm
        For tips and leaves.
    born_year : int
        Growing year of the youngest shoots.
    rules : TraceRules
        From the table.

    Returns
    -------
    tree : MeasuredTree
        Checked, basis "traced".
    first : list of int
        The first row of each limb.

    Raises
    ------
    StructureError
        If the clicks make no tree.

    Source
    ------
    own: the clicks' geometry; leaves by the pipe rule, as a tip of that thickness would carry them.

    Examples
    --------
    >>> table_of.__name__
    'table_of'
    """
    forks: list[list[float]] = [[] for _limb in limbs]
    for limb in limbs[1:]:
        forks[limb.parent].append(limb.along_parent_mm)
    rows: dict[str, list[Any]] = {
        name: [] for name in ("parent", "order", "step", "radius", "sd", "how", "place")
    }
    first: list[int] = []
    ends: list[FloatArray] = []
    for number, limb in enumerate(limbs):
        nodes = _nodes(limb, forks[number], rules)
        row = len(rows["parent"])
        first.append(row)
        ends.append(nodes.at_mm)
        above = -1 if limb.parent < 0 else _row_at(limb, first[limb.parent], ends[limb.parent])
        count = len(nodes.points_mm) - 1
        rows["parent"] += [above, *range(row, row + count - 1)]
        rows["order"] += [limb.order] * count
        rows["step"].append(np.diff(nodes.points_mm, axis=0))
        for key, values in _sides(limb, nodes).items():
            rows[key].append(values)
    return _measured(rows, form, born_year, rules), first


def _nodes(limb: Limb, forks_mm: Sequence[float], rules: TraceRules) -> _Nodes:
    along = limb.axis.along_mm
    start_mm = float(along[limb.exit]) if limb.parent >= 0 else 0.0
    count = max(1, round((float(along[-1]) - start_mm) / rules.node_step_mm))
    at = list(np.linspace(start_mm, along[-1], count + 1))
    for fork in forks_mm:
        fork = min(max(fork, at[1] if limb.parent < 0 else at[0]), at[-1])
        if min(abs(fork - each) for each in at) > rules.closest_mm:
            at.append(fork)
    arcs = np.sort(np.array(at))
    points = places_at(limb.axis.points_mm, along, arcs)
    if limb.parent < 0:
        points[0] = 0.0
        return _Nodes(points, arcs)
    if np.linalg.norm(points[0] - limb.foot_mm) < rules.closest_mm:
        points, arcs = points[1:], arcs[1:]
    return _Nodes(np.vstack([limb.foot_mm, points]), np.concatenate([[-1.0], arcs]))


def _row_at(limb: Limb, first: int, at_mm: FloatArray) -> int:
    """The parent's row that ends where a limb begins."""
    nearest = int(np.argmin(np.abs(at_mm[1:] - limb.along_parent_mm)))
    return first + nearest


def _sides(limb: Limb, nodes: _Nodes) -> dict[str, Any]:
    along = limb.axis.along_mm
    lower = np.maximum(nodes.at_mm[:-1], 0.0)
    if limb.parent >= 0:
        lower[0] = nodes.at_mm[1]
    radius = np.interp(lower, along, limb.radius_mm)
    sd = np.interp(lower, along, limb.radius_sd_mm)
    how = limb.how[np.abs(lower[:, None] - along[None, :]).argmin(axis=1)].copy()
    if limb.parent >= 0 and how[0] == How.TRACED:
        how[0] = int(How.FILLED)
    place = np.interp(nodes.at_mm[1:], along, limb.axis.place_sd_mm)
    return {"radius": radius, "sd": sd, "how": how, "place": place}


def _measured(rows: dict[str, list[Any]], form: TreeForm, born_year: int, rules: TraceRules) -> MeasuredTree:
    parent = np.array(rows["parent"])
    steps, radius = np.concatenate(rows["step"]), np.concatenate(rows["radius"])
    how = np.concatenate(rows["how"])
    length = np.maximum(np.linalg.norm(steps, axis=1), 1e-3)
    n = len(parent)
    wood = np.pi * np.maximum(radius, 0.05) ** 2
    order = np.array(rows["order"])
    flags = np.where(order == 0, int(Flag.TRUNK), 0) | np.where(how == How.TRACED, int(Flag.MEASURED), 0)
    draft = SegmentTable(
        parent=parent,
        order=order,
        born=np.zeros(n),
        length_mm=length,
        direction=steps / length[:, None],
        wood_mm2=wood,
        sapwood_mm2=wood,
        leaf_cm2=np.zeros(n),
        buds=np.ones(n),
        clone=np.zeros(n),
        flags=flags,
        basis="traced",
    )
    table = _with_leaves(draft, form, born_year)
    table = replace(table, flags=table.flags | _flare(table, rules))
    return checked_measured(
        MeasuredTree(table, np.concatenate(rows["sd"]), np.concatenate(rows["place"]), how)
    )


def _with_leaves(draft: SegmentTable, form: TreeForm, born_year: int) -> SegmentTable:
    """Leaves at the ends: as many tips as their cross-section feeds, for twigs that nobody traced."""
    is_tip = draft.continued_by < 0
    tip_mm2 = np.pi / 4.0 * form.tip_mm**2
    tips = np.where(is_tip, np.maximum(draft.wood_mm2 / tip_mm2, 1.0), 0.0)
    carried = sum_to_tips(draft.parent, tips.astype(np.float64)) * tip_mm2
    return replace(
        draft,
        sapwood_mm2=np.minimum(draft.wood_mm2, carried),
        leaf_cm2=tips * form.leaf_cm2,
        born=born_year + 1 - strahler_order(draft),
    )


def _flare(table: SegmentTable, rules: TraceRules) -> Any:
    """Trunk rows at the base that are wider than the taper of the trunk above lets expect."""
    trunk = np.nonzero(table.order == 0)[0]
    height = table.start_mm[trunk, 2]
    radius = 0.5 * table.diameter_mm[trunk]
    top_mm = float(table.end_mm[trunk, 2].max())
    flags = np.zeros(table.n, dtype=np.uint16)
    above = (height >= 0.15 * top_mm) & (height <= 0.6 * top_mm)
    if above.sum() < 3:
        return flags
    slope, foot = np.polyfit(height[above], radius[above], 1)
    wide = radius > (1.0 + rules.flare_frac) * (foot + slope * height)
    flared = trunk[: int(np.argmin(wide))] if not wide.all() else trunk[:0]
    flags[flared[table.start_mm[flared, 2] < 0.15 * top_mm]] = int(Flag.FLARE)
    return flags


def sections_of(trunk: Axis, clocks: dict[str, float], rules: TraceRules) -> tuple[Section, ...]:
    """Outlines of the trunk where both photos show it clear, as ellipses of the two widths.

    Parameters
    ----------
    trunk : Axis
        Its widths by view.
    clocks : dict
        From where each view was taken.
    rules : TraceRules
        How far apart sections lie, and their spread.

    Returns
    -------
    tuple of Section
        From the base up; none with one photo.

    Source
    ------
    own: girth = pi times the mean width over directions (Cauchy); two of them leave about 1 % unknown, up to
    2.6 % on lobed trunks.

    Examples
    --------
    >>> sections_of.__name__
    'sections_of'
    """
    if len(trunk.widths_mm) < 2:
        return ()
    front, side = (name for name in ("front", "side"))
    a, b = trunk.widths_mm[front], trunk.widths_mm[side]
    height = trunk.points_mm[:, 2]
    both = np.isfinite(a) & np.isfinite(b) & (height >= 0.0)
    found: list[Section] = []
    next_mm = -np.inf
    across = clock_direction(clocks[front] - _SIDEWAYS_CLOCK)
    turn = float(np.arctan2(across[1], across[0]))
    angle = np.arange(_OUTLINE) / _OUTLINE * 2.0 * np.pi - turn
    for row in np.nonzero(both)[0]:
        if height[row] < next_mm:
            continue
        wide, deep = 0.5 * a[row], 0.5 * b[row]
        radii = wide * deep / np.hypot(deep * np.cos(angle), wide * np.sin(angle))
        girth_mm = np.pi * 0.5 * (a[row] + b[row])
        found.append(section_of(float(height[row]), radii, girth_sd_mm=rules.girth_sd_frac * girth_mm))
        next_mm = height[row] + rules.section_step_mm
    return tuple(found)
