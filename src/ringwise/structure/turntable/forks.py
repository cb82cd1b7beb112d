"""Forks: where a limb leaves its parent's wood, which limb continues, and where the axes meet."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from ringwise.kit.types import FloatArray, IntArray
from ringwise.structure.polyline import places_at
from ringwise.structure.turntable.limbs import Limb
from ringwise.structure.turntable.limits import limit_of


def radius_at_mm(limb: Limb, arc_mm: float, reach_mm: float) -> float:
    """The radius of a limb about a place, from the sure nodes near it.

    Parameters
    ----------
    limb : Limb
        With radii.
    arc_mm : float
        Way along its axis.
    reach_mm : float
        How far nodes count.

    Returns
    -------
    float
        Median; the nearest sure node's where none is in reach, NaN where none is sure.

    Source
    ------
    own.

    Examples
    --------
    >>> radius_at_mm(Limb(np.diag([0, 1, 2.0]), np.array([3, 4, 5.0]), np.ones(3), np.ones(3, bool)), 0, 0.5)
    3.0
    """
    usable = limb.sure.copy()
    usable[: limb.own] = False
    if not usable.any():
        return math.nan
    gap = np.where(usable, np.abs(limb.arc_mm - arc_mm), np.inf)
    near = gap <= reach_mm
    return float(np.median(limb.radius_mm[near])) if near.any() else float(limb.radius_mm[np.argmin(gap)])


def _reach_mm(limb: Limb) -> float:
    """Over how much of a limb its radius is taken at a fork."""
    known = limb.radius_mm[np.isfinite(limb.radius_mm)]
    return limit_of("fork", "reach_ratio") * float(known.mean()) if len(known) else 0.0


def leave_parents(limbs: list[Limb]) -> None:
    """Find for each limb the first node outside its parent's wood.

    Parameters
    ----------
    limbs : list of Limb
        Parents before children; changed in place.

    Source
    ------
    own.

    Examples
    --------
    >>> up = np.array([[0, 0, z] for z in np.arange(0.0, 50.0, 5.0)])
    >>> out = np.array([[x, 0, 20.0] for x in np.arange(0.0, 50.0, 5.0)])
    >>> trunk = Limb(up, np.full(10, 12.0), np.ones(10), np.ones(10, bool))
    >>> side = Limb(out, np.full(10, 2.0), np.ones(10), np.ones(10, bool), 0, 20.0)
    >>> leave_parents([trunk, side])
    >>> side.own
    3
    """
    for limb in limbs:
        if limb.parent < 0:
            limb.own, limb.exit_mm = 0, 0.0
        else:
            _leave(limb, limbs[limb.parent])


def _leave(limb: Limb, parent: Limb) -> None:
    """Find the first node of a limb outside its parent's wood."""
    radius = radius_at_mm(parent, limb.foot_mm, _reach_mm(parent))
    if not math.isfinite(radius):
        radius = float(np.nanmedian(limb.radius_mm)) if np.isfinite(limb.radius_mm).any() else 0.0
    gap = _from_line_mm(limb.points_mm, parent.points_mm) - radius
    outside = np.nonzero(gap > 0.0)[0]
    limb.own = max(int(outside[0]), 1) if len(outside) else len(limb.points_mm) - 1
    arc, here, below = limb.arc_mm, gap[limb.own], gap[limb.own - 1]
    part = here / (here - below) if here > 0.0 > below else 0.0
    limb.exit_mm = float(arc[limb.own] - part * (arc[limb.own] - arc[limb.own - 1]))


def _from_line_mm(points: FloatArray, line: FloatArray) -> FloatArray:
    """Distance of points from a polyline."""
    start, step = line[:-1], np.diff(line, axis=0)
    square = np.maximum((step**2).sum(1), 1e-12)
    away = points[:, None, :] - start[None]
    part = np.clip((away * step[None]).sum(2) / square, 0.0, 1.0)
    return np.asarray(np.linalg.norm(away - part[..., None] * step[None], axis=2).min(1))


def choose_continuations(limbs: list[Limb]) -> int:
    """At each fork let the limb go on into the thicker and straighter of both ways.

    Parameters
    ----------
    limbs : list of Limb
        With radii and first own nodes; changed in place.

    Returns
    -------
    int
        How many tails were exchanged.

    Source
    ------
    own: row fork.direction_weight of turntable.csv.

    Examples
    --------
    >>> choose_continuations([Limb(np.diag([0, 1, 2.0]), np.ones(3), np.ones(3), np.ones(3, bool))])
    0
    """
    exchanged, todo, done = 0, [0], 0
    while done < len(todo):
        row = todo[done]
        done += 1
        children = sorted((k for k, each in enumerate(limbs) if each.parent == row), key=_foot(limbs))
        place = 0
        while place < len(children):
            child = children[place]
            if limbs[child].parent == row and _better(limbs[row], limbs[child]):
                _exchange(limbs, row, child)
                exchanged += 1
                foot = limbs[child].foot_mm
                later = [
                    k for k, each in enumerate(limbs) if each.parent == row and each.foot_mm > foot + 1e-6
                ]
                children = children[: place + 1] + sorted(later, key=_foot(limbs))
            place += 1
        todo += [k for k, each in enumerate(limbs) if each.parent == row]
    return exchanged


def _foot(limbs: list[Limb]) -> Callable[[int], float]:
    return lambda row: limbs[row].foot_mm


def _way(points: FloatArray) -> FloatArray:
    """Direction of a few nodes, first to last, by least squares."""
    if len(points) < 2:
        return np.zeros(3)
    middle = points - points.mean(0)
    way = np.linalg.svd(middle, full_matrices=False)[2][0]
    way = way if way @ (points[-1] - points[0]) >= 0 else -way
    return np.asarray(way)


def _better(limb: Limb, child: Limb) -> bool:
    """Whether a child continues a limb better than the limb's own upper part."""
    nodes = int(limit_of("fork", "base_nodes"))
    arc = limb.arc_mm
    radius = radius_at_mm(limb, child.foot_mm, _reach_mm(limb))
    if not math.isfinite(radius):
        return False
    tail = np.nonzero(arc > child.foot_mm + radius)[0][:nodes]
    before = np.nonzero(arc < child.foot_mm - 0.3 * radius)[0][-nodes:]
    before = before[before >= min(limb.own, len(arc) - 2)]
    own = np.arange(child.own, min(child.own + nodes, len(child.points_mm)))
    if len(tail) < 2 or len(own) < 2 or len(before) < 2:
        return len(tail) < 2 <= len(own) and len(before) >= 2
    thick = [_median(limb, tail), _median(child, own)]
    if not all(math.isfinite(each) for each in thick):
        return False
    come = _way(limb.points_mm[before])
    weight = limit_of("fork", "direction_weight")
    ahead = math.log(thick[0]) + weight * float(come @ _way(limb.points_mm[tail]))
    aside = math.log(thick[1]) + weight * float(come @ _way(child.points_mm[own]))
    return aside > ahead


def _median(limb: Limb, rows: IntArray) -> float:
    sure = rows[limb.sure[rows]]
    return float(np.median(limb.radius_mm[sure])) if len(sure) else math.nan


def _exchange(limbs: list[Limb], row: int, child: int) -> None:
    """The child becomes the limb's upper part, and the old upper part the child."""
    limb, side = limbs[row], limbs[child]
    arc = limb.arc_mm
    cut = int(np.searchsorted(arc, side.foot_mm + 1e-6))
    foot = side.foot_mm
    side_arc = side.arc_mm
    join = max(side.own, 1)
    lower = limb.points_mm[:cut]
    gone = float(side_arc[join] - np.linalg.norm(side.points_mm[join] - lower[-1]) - arc[cut - 1])
    for each in limbs:
        if each.parent == row and each is not side and each.foot_mm > foot:
            each.parent, each.foot_mm = child, each.foot_mm - foot
        elif each.parent == child:
            each.parent, each.foot_mm = row, max(each.foot_mm - gone, foot)
    # The foot may lie far above the node below it, where an earlier exchange left a gap.
    start = _at(limb, foot)
    columns = ("points_mm", "radius_mm", "sd_mm", "sure")
    for name in columns:
        mine, its = getattr(limb, name), getattr(side, name)
        setattr(limb, name, np.concatenate([mine[:cut], its[join:]]))
        setattr(side, name, mine[cut - 1 :].copy())
    side.points_mm[0] = start
    side.own = min(1, len(side.points_mm) - 1)
    _leave(side, limb)


def join_axes(limbs: list[Limb]) -> None:
    """Lead each limb straight from its first nodes clear of the fork to its parent's axis.

    Parameters
    ----------
    limbs : list of Limb
        With first own nodes; changed in place: the way inside the parent and next to it becomes straight.

    Source
    ------
    own: nearest approach of the fitted way and the parent's axis; row fork.base_nodes of turntable.csv.

    Examples
    --------
    >>> up = np.array([[0, 0, z] for z in np.arange(0.0, 50.0, 5.0)])
    >>> out = np.array([[x, 0, 20.0] for x in np.arange(0.0, 50.0, 5.0)])
    >>> trunk = Limb(up, np.full(10, 12.0), np.ones(10), np.ones(10, bool))
    >>> side = Limb(out, np.full(10, 2.0), np.ones(10), np.ones(10, bool), 0, 15.0, 3)
    >>> join_axes([trunk, side])
    >>> bool(abs(side.foot_mm - 20.0) < 0.3), side.own
    (True, 1)
    """
    nodes = int(limit_of("fork", "base_nodes"))
    for limb in limbs:
        if limb.parent < 0:
            continue
        parent = limbs[limb.parent]
        radius = radius_at_mm(parent, limb.foot_mm, _reach_mm(parent))
        radius = radius if math.isfinite(radius) else 0.0
        last = len(limb.points_mm) - 1
        begin = min(limb.own, last)
        clear = _clear_node(limb, begin, radius)
        base = limb.points_mm[clear : clear + nodes]
        if len(base) < 2:
            base = limb.points_mm[max(last - 1, 0) :]
        way, middle = _way(base), base.mean(0)
        limb.foot_mm = _approach_mm(parent, limb, (middle, way), radius)
        foot = _at(parent, limb.foot_mm)
        lead = limb.points_mm[begin:]
        share = (limb.arc_mm[begin:clear] / max(float(limb.arc_mm[clear]), 1e-9))[:, None]
        lead[: clear - begin] = foot + share * (limb.points_mm[clear] - foot)
        limb.points_mm = np.concatenate([foot[None], lead])
        for name in ("radius_mm", "sd_mm", "sure"):
            column = getattr(limb, name)
            empty = np.array([False]) if name == "sure" else np.array([math.nan])
            setattr(limb, name, np.concatenate([empty, column[begin:]]))
        limb.own = 1
        limb.exit_mm = min(radius, float(limb.arc_mm[1]))


def _clear_node(limb: Limb, begin: int, radius_mm: float) -> int:
    """The first node clear of the fork, if there is one: those next to it are drawn into the crotch."""
    clear = int(np.searchsorted(limb.arc_mm, limit_of("fork", "zone_ratio") * radius_mm))
    return clear if begin < clear <= len(limb.points_mm) - limit_of("fork", "clear_nodes") else begin


def _at(limb: Limb, arc_mm: float) -> FloatArray:
    return np.asarray(places_at(limb.points_mm, limb.arc_mm, np.array([arc_mm]))[0])


def _approach_mm(parent: Limb, limb: Limb, line: tuple[FloatArray, FloatArray], radius_mm: float) -> float:
    """Where along the parent's axis the line through a limb's base passes nearest."""
    middle, way = line
    arc = parent.arc_mm
    begin = limb.points_mm[min(limb.own, len(limb.points_mm) - 1)]
    reach = 3.0 * radius_mm + float(np.linalg.norm(begin - _at(parent, limb.foot_mm)))
    # A foot at the very end would make the limb the parent's continuation.
    end = max(min(limb.foot_mm + reach, float(arc[-1]) - 2.0 * radius_mm), min(limb.foot_mm, float(arc[-2])))
    tried = np.linspace(max(min(limb.foot_mm, end) - reach, 0.0), end, 161)
    places = places_at(parent.points_mm, arc, tried)
    away = places - middle
    along = away @ way
    gap = np.linalg.norm(away - along[:, None] * way, axis=1)
    # The foot lies behind the limb's first own node, and steep limbs would slide far down their parent.
    behind = along <= (begin - middle) @ way
    gap = np.where(behind, gap, gap + radius_mm + reach) + 0.02 * np.abs(tried - limb.foot_mm)
    return float(tried[np.argmin(gap)])
