"""The stem of a thick trunk: where it stands on the soil, and its way through the middle of its wood.

Near the soil the inside depth of a trunk is bounded by the silhouettes' lower edge and is flat across it, so
a cheapest way wanders there. The middles of level slices do not.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.structure.polyline import way_along
from ringwise.structure.turntable.axis import smoothed, spread_nodes, tangents_of
from ringwise.structure.turntable.carve import Carved
from ringwise.structure.turntable.limbs import Limb
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.topology import Paths


def stem_middles(carved: Carved, paths: Paths) -> Paths:
    """The trunk's path moved into the middle of the level slices, where it is thick.

    Parameters
    ----------
    carved : Carved
        Cells inside the silhouettes.
    paths : Paths
        At even steps, the trunk first.

    Returns
    -------
    Paths
        Only nodes of the trunk are moved.

    Source
    ------
    own: means weighted by the squared depth, so that side limbs hardly pull; rows stem of turntable.csv.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_views
    >>> from ringwise.structure.turntable.looking import stacked
    >>> from ringwise.structure.turntable.carve import carve
    >>> stack, middle_mm = stacked(rod_views())
    >>> z = np.arange(2.0, 78.0, 2.0)
    >>> points = np.stack([np.full(len(z), 3.0), np.zeros(len(z)), z], axis=1)
    >>> none = np.array([-1], np.int32)
    >>> rod = Paths(points, np.full(len(z), 20.0), np.array([0, len(z)], np.int32), none, none)
    >>> bool(abs(stem_middles(carve(stack, middle_mm, 0.0), rod).points_mm[:, 0]).max() < 0.6)
    True
    """
    rows = paths.rows(0)
    line, depth = paths.points_mm[rows].copy(), paths.radius_mm[rows].copy()
    if len(line) < 4:
        return paths
    _straight_end(line, depth)
    # Below its thickest place a trunk is not taken for thinner.
    reach = np.maximum.accumulate(depth[::-1])[::-1]
    thick = reach >= limit_of("stem", "least_depth_cells") * carved.cell_mm
    if thick.sum() < 4:
        return paths
    whole = np.array([0, len(line)], np.int32)
    upright = tangents_of(line, whole, spread_nodes(line, reach))[:, 2] >= limit_of(
        "stem", "least_rise_ratio"
    )
    layers = _layers(carved)
    for _round in range(int(limit_of("stem", "rounds"))):
        line = smoothed(line, whole, limit_of("axis", "smooth_nodes"), spread_nodes(line, reach))
        for row in np.nonzero(thick & upright)[0]:
            layer = int((line[row, 2] - carved.corner_mm[2]) / carved.cell_mm)
            if 0 <= layer < len(layers):
                line[row, :2] = _layer_middle(layers[layer], line[row, :2], reach[row])
        _straight(line, float(reach[0]))
    points = paths.points_mm.copy()
    points[rows] = smoothed(line, whole, limit_of("axis", "smooth_nodes"), spread_nodes(line, reach))
    radius = paths.radius_mm.copy()
    radius[rows] = depth
    return replace(paths, points_mm=points, radius_mm=radius)


def _straight_end(line: FloatArray, depth_mm: FloatArray) -> None:
    """Lead a trunk that is cut off blunt straight to its end, where the cheapest way runs to a corner."""
    arc = way_along(line)
    blunt = np.nonzero(arc[-1] - arc <= limit_of("stem", "blunt_ratio") * depth_mm)[0]
    if len(blunt) == 0:
        return
    begin = int(blunt[np.argmax(depth_mm[blunt])])
    base = np.nonzero(arc[begin] - arc[: begin + 1] <= depth_mm[begin])[0]
    if len(base) < 3 or len(line) - begin < 3:
        return
    way = line[begin] - line[base[0]]
    way = way / np.linalg.norm(way)
    end = max(float((line[-1] - line[begin]) @ way), 0.0)
    along = np.linspace(0.0, end, len(line) - begin)
    line[begin:] = line[begin] + along[:, None] * way
    depth_mm[begin:] = depth_mm[begin]


def _layers(carved: Carved) -> list[tuple[FloatArray, FloatArray]]:
    """Places in the plane and weights of the cells of each level layer."""
    order = np.argsort(carved.cells[:, 2], kind="stable")
    ends = np.searchsorted(carved.cells[order, 2], np.arange(int(carved.cells[:, 2].max()) + 2))
    places, weight = carved.middles_mm[order, :2], np.maximum(carved.inside_mm[order], 0.0) ** 2
    return [(places[low:high], weight[low:high]) for low, high in pairwise(ends)]


def _layer_middle(layer: tuple[FloatArray, FloatArray], place: FloatArray, reach_mm: float) -> FloatArray:
    """Middle of the cells of a layer about a place, the deep ones counting more."""
    places, weight = layer
    near = ((places - place) ** 2).sum(1) <= (limit_of("stem", "reach_ratio") * reach_mm) ** 2
    whole = float(weight[near].sum())
    return place if whole <= 0.0 else np.asarray((weight[near, None] * places[near]).sum(0) / whole)


def straight_foot(trunk: Limb) -> None:
    """Lead the trunk's lowest nodes straight down from those above, where a blunt end would bend them.

    Parameters
    ----------
    trunk : Limb
        The first limb; changed in place.

    Source
    ------
    own: row stem.foot_ratio of turntable.csv.

    Examples
    --------
    >>> up = np.array([[0, 0, z] for z in np.arange(0.0, 50.0, 5.0)])
    >>> up[0, 0] = 6.0
    >>> one = Limb(up, np.full(10, 12.0), np.ones(10), np.ones(10, bool))
    >>> straight_foot(one)
    >>> one.points_mm[0].round(6).tolist()
    [0.0, 0.0, 0.0]
    """
    known = np.nonzero(trunk.sure)[0]
    if len(known) < 4:
        return
    few = known[: max(4, len(known) // 6)]
    _straight(trunk.points_mm, float(np.median(trunk.radius_mm[few])))


def _straight(points: FloatArray, radius_mm: float) -> None:
    """Lead the nodes below a share of the radius straight on from those above; a lying line stays."""
    arc, reach = way_along(points), limit_of("stem", "foot_ratio") * radius_mm
    begin = int(np.searchsorted(arc, reach))
    base = np.nonzero((arc >= reach) & (arc <= 2.5 * reach))[0]
    if begin < 1 or len(base) < 3 or base[-1] > 0.6 * len(arc):
        return
    height = points[base, 2]
    if height[-1] - height[0] < 0.5 * (arc[base[-1]] - arc[base[0]]):
        return
    low = np.linspace(min(points[: begin + 1, 2]), points[begin, 2], begin + 1)[:begin]
    for axis in range(2):
        slope = np.polyfit(height, points[base, axis], 1)[0]
        points[:begin, axis] = points[begin, axis] + slope * (low - points[begin, 2])
    points[:begin, 2] = low
